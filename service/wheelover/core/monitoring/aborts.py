"""Where the plan can still be given up: the point of no return of a leg, and her abort point.

Positions to abort from, worked before the narrow part of a passage, are what guidance on loss
prevention asks for [Abort]_; it gives no formula. Ours: she is committed where she no longer has
room to turn round, and full astern must be ordered so early that she is stopped before that.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from wheelover.core.arrays import Floats
from wheelover.core.monitoring.along import Way
from wheelover.core.monitoring.room import places_m, room_along, stretches_of
from wheelover.core.monitoring.shore import Shore, shore_of
from wheelover.core.monitoring.stopping import stop_from
from wheelover.core.monitoring.turn_round import turns_round
from wheelover.core.types.cells import Cell
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.monitoring import LegAbort, OnTrack, RoomStretch, Stop, TurnRound
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg
from wheelover.core.types.watch import Stage
from wheelover.core.units import nm_from_m

COMMITTING: tuple[Stage, ...] = ("pilotage", "confined")
"""Stages in which a leg wants to know where the plan can still be given up."""

_END_M = 0.5
_NO_TRACK = "no track exists along the leg"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """The room to turn round along a leg: where it was looked at, and the stretches that have it.

    Without places ``reason`` says why none was.
    """

    turns: tuple[TurnRound, ...] = ()
    along_m: Floats | None = None
    stretches: tuple[RoomStretch, ...] = ()
    reason: str | None = None

    @property
    def at_start(self) -> bool:
        """Return whether she has room where the leg begins."""
        return (
            self.along_m is not None
            and bool(self.stretches)
            and self.stretches[0].from_m <= float(self.along_m[0]) + _END_M
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Waters:
    """What the room is looked for in, and what was found of each leg."""

    way: Way
    ship: ShipProfile | None
    chart: Chart
    shore: Shore | None
    limits: Limits
    known: dict[int, _Room] = field(default_factory=dict)

    def room(self, leg: PlannedLeg) -> _Room:
        """Return the room along a leg, looked for once."""
        if leg.index not in self.known:
            self.known[leg.index] = self._look(leg)
        return self.known[leg.index]

    def _look(self, leg: PlannedLeg) -> _Room:
        """Look for the room along a leg."""
        turns = turns_round(self.ship, leg.speed_kn)
        reasons = [turns] if isinstance(turns, str) else []
        if leg.path is None or not leg.room:
            reasons.append(_NO_TRACK)
        if not self.chart.loaded:
            reasons.append("no dangers are loaded")
        if self.ship is None or isinstance(turns, str) or leg.path is None or reasons:
            own = () if isinstance(turns, str) or _NO_TRACK in reasons else turns
            return _Room(turns=own, reason="; ".join(reasons))
        along_m = places_m(leg.track_from_m, leg.track_to_m)
        room = room_along(
            leg.path, along_m, turns, self.ship.loa_m, self.chart.hazards, leg.asked, self.limits,
            self.shore,
        )  # fmt: skip
        return _Room(turns=turns, along_m=along_m, stretches=stretches_of(along_m, room))


def aborts_of(
    way: Way,
    stages: Mapping[int, Stage | None],
    ship: ShipProfile | None,
    charts: tuple[Chart, Sequence[Cell]],
    limits: Limits,
) -> tuple[LegAbort, ...]:
    """Return where the plan can be given up on each leg of pilotage or confined water.

    Parameters
    ----------
    way : Way
        The planned track.
    stages : mapping
        The stage of each leg by its index.
    ship : ShipProfile or None
        Her stopping trials, her turning circle or response.
    charts : tuple
        All dangers loaded, with the open coastline; and the cells, where that does not count.
    limits : Limits
        What is asked of them.

    Notes
    -----
    The point of no return is the last place looked at before the room to turn round first ends on
    the leg; places are half a cable apart, or farther on a long leg. Where she has no room where
    the leg begins it lies on the last leg before that has some. The abort point lies the stopping
    run before it along the track, if need be on a leg before.
    """
    committing = [leg for leg in way.legs if stages.get(leg.index) in COMMITTING]
    if not committing:
        return ()
    chart, cells = charts
    waters = _Waters(way=way, ship=ship, chart=chart, shore=shore_of(chart, cells), limits=limits)
    return tuple(_of_leg(waters, leg) for leg in committing)


def _of_leg(waters: _Waters, leg: PlannedLeg) -> LegAbort:
    """Return where the plan can be given up on one leg."""
    stop = stop_from(waters.ship, leg)
    room = waters.room(leg)
    reasons = [one for one in (stop, room.reason) if isinstance(one, str)]
    known = stop if isinstance(stop, Stop) else None
    along_m = room.along_m
    if along_m is None:
        return LegAbort(leg_index=leg.index, stop=known, turns=room.turns, reasons=tuple(reasons))
    no_return, why = _no_return(waters, leg, room)
    if why is not None:
        reasons.append(why)
    abort, no_abort, notes = _abort(waters, leg, no_return, known)
    return LegAbort(
        leg_index=leg.index,
        stop=known,
        turns=room.turns,
        room=room.stretches,
        looked_from_m=float(along_m[0]),
        looked_to_m=float(along_m[-1]),
        step_m=float(along_m[1] - along_m[0]),
        no_return=no_return,
        abort=abort,
        no_abort=no_abort,
        committed_before=not room.at_start,
        reasons=tuple(reasons),
        notes=(*notes, *_notes(waters, leg, room)),
    )


def _notes(waters: _Waters, leg: PlannedLeg, room: _Room) -> list[str]:
    """Return what is to be known of the room along a leg."""
    notes = []
    if not room.at_start and room.stretches:
        first = room.stretches[0]
        notes.append(
            f"she has room again from {nm_from_m(leg.length_m - first.from_m):.2f} NM to "
            f"{nm_from_m(leg.length_m - first.to_m):.2f} NM before {leg.to_id}"
        )
    if waters.shore is None:
        notes.append(
            "of land only what is loaded or charted counts as no room, not the open coastline"
        )
    else:
        notes.append(
            "where no loaded cell covers the open coastline counts as no room; it is not official "
            "and may be some hundred metres wrong"
        )
    if leg.set_deg is not None:
        notes.append("the stream is not applied to the turning circle")
    return notes


def _no_return(waters: _Waters, leg: PlannedLeg, room: _Room) -> tuple[OnTrack | None, str | None]:
    """Return the last place before the room to turn round first ends, and what is not known.

    Where she has none as the leg begins it is looked for on the legs before, as far as they join.
    """
    if room.at_start and room.along_m is not None:
        if room.stretches[0].to_m >= float(room.along_m[-1]) - _END_M:
            return None, None
        return waters.way.on_leg(leg, room.stretches[0].to_m), None
    expected = leg.from_index
    for before in reversed(waters.way.legs[: leg.index]):
        if before.from_index + 1 != expected:
            break
        own = waters.room(before)
        if own.along_m is None:
            return None, (
                f"she has no room where the leg begins, and on the leg to {before.to_id} before it "
                f"the room is not known: {own.reason}"
            )
        if own.stretches:
            return waters.way.on_leg(before, own.stretches[-1].to_m), None
        expected = before.from_index
    return None, None


def _abort(
    waters: _Waters, leg: PlannedLeg, no_return: OnTrack | None, stop: Stop | None
) -> tuple[OnTrack | None, str | None, list[str]]:
    """Return the place from which she stops before the point of no return, why not, and notes."""
    if no_return is None or stop is None:
        return None, None, []
    notes = []
    run_m = stop.run_m
    if no_return.leg_index != leg.index:
        there = stop_from(waters.ship, waters.way.legs[no_return.leg_index])
        if isinstance(there, Stop) and there.run_m > run_m:
            run_m = there.run_m
            notes.append(f"her run on the leg to {no_return.leg_to_id} is longer and counts")
    found = waters.way.back_from(no_return, run_m)
    if found is None:
        why = "the stopping run reaches back beyond the start of the track"
        return None, why, [*notes, why]
    if found.leg_index != no_return.leg_index:
        notes.append(f"it lies on the leg to {found.leg_to_id}, where her speed may be another")
    return found, None, notes
