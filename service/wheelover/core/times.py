"""When she is where on the planned track, counted from its start: at the speed over the ground."""

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.helm_orders import speed_made_good_m_per_s
from wheelover.core.sweep.of_turns import current_of
from wheelover.core.track import Track
from wheelover.core.types.clearance import Piece
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import m_per_s_from_kn

NO_CURRENT_NOTE = "no current is given on the way: still water is assumed"


def piece_times(track: Track) -> dict[Piece, PieceTime]:
    """Return when she comes to each leg and turn of a planned track.

    Parameters
    ----------
    track : Track
        The track, with speeds and currents.

    Notes
    -----
    Along a leg she goes at the speed that is made good along its first course, through a turn at
    the speed of the turn through the water. After a hole in the route, a leg without speed, or
    turns that overlap, no time is known.
    """
    found: dict[Piece, PieceTime] = {}
    at = {turn.waypoint_index: turn for turn in track.turns}
    clock = _Clock()
    for leg in track.legs:
        clock.comes_to(leg)
        found[Piece(kind="leg", index=leg.index)] = clock.along_leg(leg)
        turn = at.get(leg.from_index + 1)
        if turn is not None:
            found[Piece(kind="turn", index=turn.index)] = clock.through(turn)
    return found


class _Clock:
    """The time as it runs along the track; once it is not known it stays so."""

    def __init__(self) -> None:
        self._now_s: float | None = 0.0
        self._reason: str | None = None
        self._note: str | None = None
        self._expected_index: int | None = None
        self._speed_m_per_s: float | None = None

    def _stop(self, reason: str) -> None:
        """Know no time from here on."""
        if self._now_s is not None:
            self._now_s, self._reason = None, reason

    def comes_to(self, leg: PlannedLeg) -> None:
        """Go on to a leg."""
        if self._expected_index is not None and leg.from_index != self._expected_index:
            self._stop(f"the route has a hole before {leg.from_id}")
        self._expected_index = leg.from_index + 1
        if not leg.room:
            self._stop(f"turns overlap on the leg to {leg.to_id}: no track exists there")

    def along_leg(self, leg: PlannedLeg) -> PieceTime:
        """Go along a leg."""
        if leg.path is None:
            self._stop(f"the leg to {leg.to_id} has no length")
        elif leg.speed_kn is None:
            self._stop(f"no speed is given on the leg to {leg.to_id}")
        else:
            if leg.drift_kn is None:
                self._note = NO_CURRENT_NOTE
            try:
                self._speed_m_per_s = speed_made_good_m_per_s(
                    leg.path.course_deg, m_per_s_from_kn(leg.speed_kn), current_of(leg)
                )
            except OutOfDomain as error:
                self._stop(str(error))
        return self._piece(leg.track_from_m, leg.track_to_m - leg.track_from_m)

    def through(self, turn: PlannedTurn) -> PieceTime:
        """Go through a turn; a corner without an arc takes no time."""
        length_m = 0.0 if turn.arc is None else turn.arc.arc_m
        if turn.arc is not None and turn.duration_s:
            self._speed_m_per_s = length_m / turn.duration_s
        return self._piece(0.0, length_m)

    def _piece(self, from_m: float, length_m: float) -> PieceTime:
        """Return the time of a piece, and go to its end."""
        if self._now_s is None or self._speed_m_per_s is None:
            return PieceTime(from_m=from_m, reason=self._reason or "no speed is known")
        start_s = self._now_s
        self._now_s = start_s + length_m / self._speed_m_per_s
        return PieceTime(
            from_m=from_m, start_s=start_s, speed_m_per_s=self._speed_m_per_s, note=self._note
        )
