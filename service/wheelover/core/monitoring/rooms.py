"""The room to turn round along the pieces of the track, each looked at once."""

from dataclasses import dataclass, field

import numpy as np

from wheelover.core.arrays import Bools
from wheelover.core.monitoring.along import Way
from wheelover.core.monitoring.places import Places, on_arc, on_leg
from wheelover.core.monitoring.room import room_along, stretches_of
from wheelover.core.monitoring.shore import Shore
from wheelover.core.monitoring.turn_round import turns_round
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.monitoring import OnTrack, RoomStretch, TurnRound
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg, PlannedTurn

_NO_TRACK = "no track exists along the leg"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Room:
    """The room to turn round along a leg or an arc: where it was looked at, and what has it.

    ``free`` says of each place whether she has room there. Without places ``reason`` says why none
    was looked at. ``turn`` is the turn whose arc it is, None of a leg.
    """

    leg: PlannedLeg
    turn: PlannedTurn | None = None
    turns: tuple[TurnRound, ...] = ()
    places: Places | None = None
    free: Bools = field(default_factory=lambda: np.zeros(0, dtype=np.bool_))
    stretches: tuple[RoomStretch, ...] = ()
    reason: str | None = None

    @property
    def at_start(self) -> bool:
        """Return whether she has room where it begins."""
        return self.free.size > 0 and bool(self.free[0])

    @property
    def whole(self) -> bool:
        """Return whether she has room at every place."""
        return self.free.size > 0 and bool(np.all(self.free))

    def place(self, way: Way, number: int) -> OnTrack:
        """Return where on the track one of the places is.

        Parameters
        ----------
        way : Way
            The planned track.
        number : int
            The place.
        """
        along_m = 0.0 if self.places is None else float(self.places.along_m[number])
        if self.turn is None:
            return way.on_leg(self.leg, along_m)
        return way.on_turn(self.turn, along_m)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waters:
    """What the room is looked for in, and what was found of each leg and arc."""

    way: Way
    ship: ShipProfile | None
    chart: Chart
    shore: Shore | None
    limits: Limits
    known: dict[int, Room] = field(default_factory=dict)
    bends: dict[int, Room | None] = field(default_factory=dict)

    def room(self, leg: PlannedLeg) -> Room:
        """Return the room along a leg, looked for once.

        Parameters
        ----------
        leg : PlannedLeg
            The leg.
        """
        if leg.index not in self.known:
            self.known[leg.index] = self._of_leg(leg)
        return self.known[leg.index]

    def bend(self, leg: PlannedLeg) -> Room | None:
        """Return the room along the arc behind a leg, looked for once; None where none is there.

        Parameters
        ----------
        leg : PlannedLeg
            The leg that leads into the turn.
        """
        if leg.index not in self.bends:
            self.bends[leg.index] = self._of_bend(leg)
        return self.bends[leg.index]

    def _unknown(self, leg: PlannedLeg, turns: tuple[TurnRound, ...] | str) -> list[str]:
        """Return why the room of a leg is not known."""
        reasons = [turns] if isinstance(turns, str) else []
        if leg.path is None or not leg.room:
            reasons.append(_NO_TRACK)
        if not self.chart.loaded:
            reasons.append("no dangers are loaded")
        return reasons

    def _of_leg(self, leg: PlannedLeg) -> Room:
        """Look for the room along a leg."""
        turns = turns_round(self.ship, leg.speed_kn)
        reasons = self._unknown(leg, turns)
        if self.ship is None or isinstance(turns, str) or leg.path is None or reasons:
            own = () if isinstance(turns, str) or _NO_TRACK in reasons else turns
            return Room(leg=leg, turns=own, reason="; ".join(reasons))
        places = on_leg(leg.path, leg.track_from_m, leg.track_to_m)
        return self._looked(Room(leg=leg, turns=turns, places=places), (leg.asked,))

    def _of_bend(self, leg: PlannedLeg) -> Room | None:
        """Look for the room along the arc behind a leg."""
        turn = next(
            (one for one in self.way.turns if one.waypoint_index == leg.from_index + 1), None
        )
        if turn is None or not turn.course_change_deg:
            return None
        after = next(one for one in self.way.legs if one.from_index == turn.waypoint_index)
        turns = turns_round(self.ship, leg.speed_kn)
        reason = turn.reason if turn.arc is None else None
        if not after.room:
            reason = f"turns overlap on the leg to {after.to_id} behind it"
        if isinstance(turns, str):
            reason = turns
        if turn.arc is None or isinstance(turns, str) or reason is not None:
            told = f"in the turn at {turn.waypoint_id} the room is not looked at"
            return Room(leg=leg, turn=turn, reason=f"{told}: {reason or 'it has no arc'}")
        side = "starboard" if turn.arc.sweep_deg >= 0.0 else "port"
        same = tuple(one for one in turns if one.side == side)
        made = Room(leg=leg, turn=turn, turns=same, places=on_arc(turn.arc))
        return self._looked(made, (leg.asked, after.asked))

    def _looked(self, made: Room, asked: tuple[LegAsked, ...]) -> Room:
        """Return what is found of the room at its places."""
        if made.places is None or self.ship is None:
            return made
        room = room_along(
            made.places, made.turns, self.ship.loa_m, self.chart.hazards, asked, self.limits,
            self.shore,
        )  # fmt: skip
        return Room(
            leg=made.leg,
            turn=made.turn,
            turns=made.turns,
            places=made.places,
            free=np.any(np.stack(list(room.values())), axis=0),
            stretches=stretches_of(made.places.along_m, room),
        )
