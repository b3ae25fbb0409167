"""Warning points before a wheel-over: some time or distance back along the planned track."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheelover.core.aids.helms import Helm
from wheelover.core.geo import geodesic
from wheelover.core.legs import in_columns, points_along, positions
from wheelover.core.types.clearance import Piece
from wheelover.core.types.cues import WarningPoint, WarningWish
from wheelover.core.types.route import Position
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import Arc, LegLine, PlannedLeg, PlannedTurn
from wheelover.core.units import m_from_nm

DEFAULT_WARNINGS = (WarningWish(before_s=180.0), WarningWish(before_s=30.0))
"""What is taken where nobody says: common practice of track control, counted as a default."""

BEFORE_START = "it lies before the start of the track"
NO_SPEED = "no speed over the ground is known on the way to it"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stretch:
    """A piece of the planned track, run back from its end; ``along_m`` is where that lies on it.

    Of an arc ``along_m`` counts from its start. ``time`` is when she is where on it, None where
    that is not known.
    """

    leg: LegLine | None
    arc: Arc | None
    index: int
    along_m: float
    length_m: float
    time: PieceTime | None

    def at_s(self, back_m: float) -> float | None:
        """Return when she is so far back from its end."""
        return None if self.time is None else self.time.at_s(self.along_m - back_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """Where a warning point lies: the stretch, how far back from its end, and from the wheel-over.

    ``at_s`` is when she is there, None where that is not known.
    """

    stretch: _Stretch
    back_m: float
    distance_m: float
    at_s: float | None


def warning_points(
    helms: Sequence[Helm],
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    times: Mapping[Piece, PieceTime],
    wishes: Sequence[WarningWish],
) -> list[tuple[WarningPoint, ...]]:
    """Return the warning points of each turn, the earliest first.

    Parameters
    ----------
    helms : sequence of Helm
        The planned wheel-overs.
    legs, turns : sequence of PlannedLeg, PlannedTurn
        The planned track.
    times : mapping
        When she is where on each piece of it: stays and a stream that changes count.
    wishes : sequence of WarningWish
        How long or how far before; empty for the defaults.
    """
    asked = tuple(wishes) or DEFAULT_WARNINGS
    to_waypoint = {leg.from_index + 1: leg for leg in legs}
    at_waypoint = {turn.waypoint_index: turn for turn in turns}
    found: list[tuple[WarningPoint, _Place | None]] = []
    for helm in helms:
        back = _Back(helm, to_waypoint, at_waypoint, times)
        points = [back.point(one, assumed=not wishes) for one in asked]
        found += sorted(points, key=lambda one: -(one[0].distance_m or 0.0))
    placed = _placed(found)
    count = len(asked)
    return [tuple(placed[at : at + count]) for at in range(0, len(placed), count)]


class _Back:
    """The planned track, run back from one wheel-over."""

    def __init__(
        self,
        helm: Helm,
        to_waypoint: Mapping[int, PlannedLeg],
        at_waypoint: Mapping[int, PlannedTurn],
        times: Mapping[Piece, PieceTime],
    ) -> None:
        self._helm = helm
        self._to_waypoint, self._at_waypoint, self._times = to_waypoint, at_waypoint, times
        self._stretches: list[_Stretch] = []
        self._end: str | None = None

    def point(self, wish: WarningWish, *, assumed: bool) -> tuple[WarningPoint, _Place | None]:
        """Return a warning point and where it lies; its position is found later."""
        found = self._find(wish)
        bare = WarningPoint(before_s=wish.before_s, before_nm=wish.before_nm, assumed=assumed)
        if isinstance(found, str):
            return replace(bare, reason=found), None
        return replace(
            bare,
            distance_m=found.distance_m,
            on="leg" if found.stretch.arc is None else "turn",
            on_index=found.stretch.index,
            at_s=found.at_s,
        ), found

    def _find(self, wish: WarningWish) -> _Place | str:
        """Return where a wish lies, or why nowhere."""
        if wish.before_nm is not None:
            return self._by_distance(m_from_nm(wish.before_nm))
        before_s = wish.before_s or 0.0
        if self._helm.at_s is None:
            return self._by_speed(before_s)
        return self._by_time(self._helm.at_s - before_s)

    def _by_distance(self, left_m: float) -> _Place | str:
        """Return the place so far back along the track."""
        run_m, number = 0.0, 0
        while not isinstance(stretch := self._stretch(number), str):
            back_m = left_m - run_m
            if back_m <= stretch.length_m:
                at_s = None if self._helm.at_s is None else stretch.at_s(back_m)
                return _Place(stretch=stretch, back_m=back_m, distance_m=left_m, at_s=at_s)
            run_m += stretch.length_m
            number += 1
        return stretch

    def _by_time(self, at_s: float) -> _Place | str:
        """Return where she is at a time; while she stays at a waypoint, that is where she stays."""
        run_m, number = 0.0, 0
        while not isinstance(stretch := self._stretch(number), str):
            time = stretch.time
            if time is None or time.start_s is None or time.speed_m_per_s is None:
                return NO_SPEED
            if at_s >= time.start_s:
                back_m = max(0.0, stretch.along_m - _along_m(time, at_s))
                back_m = min(back_m, stretch.length_m)
                return _Place(stretch=stretch, back_m=back_m, distance_m=run_m + back_m, at_s=at_s)
            run_m += stretch.length_m
            number += 1
        return stretch

    def _by_speed(self, before_s: float) -> _Place | str:
        """Return the place so long back at the speed before the turn, where no time is known."""
        stretch = self._stretch(0)
        if isinstance(stretch, str):
            return stretch
        back_m = before_s * (self._helm.speed_m_per_s or 0.0)
        if back_m <= 0.0:
            return NO_SPEED
        if back_m <= stretch.length_m:
            return _Place(stretch=stretch, back_m=back_m, distance_m=back_m, at_s=None)
        beyond = self._stretch(1)
        return beyond if isinstance(beyond, str) else NO_SPEED

    def _stretch(self, number: int) -> _Stretch | str:
        """Return the piece of track so many pieces back, or why there is none."""
        while len(self._stretches) <= number and self._end is None:
            self._go_back()
        return self._stretches[number] if number < len(self._stretches) else self._end or ""

    def _go_back(self) -> None:
        """Find the next pieces back: the inbound leg first, then a turn and the leg before it."""
        helm = self._helm
        if not self._stretches:
            if helm.along_m < helm.leg.track_from_m or not helm.leg.room:
                self._end = "the wheel-over lies before the planned track joins its leg"
                return
            self._add_leg(helm.leg, helm.along_m)
            self._before = helm.leg
            return
        turn = self._at_waypoint.get(self._before.from_index)
        leg = self._to_waypoint.get(self._before.from_index)
        if leg is None:
            self._end = BEFORE_START
            if self._before.from_index > 0:
                self._end = f"the route has a hole before {self._before.from_id}"
            return
        if leg.path is None or not leg.room or (turn is not None and not turn.fits):
            self._end = f"no track exists on the way to {self._before.from_id}"
            return
        if turn is not None and turn.arc is not None:
            self._add_turn(turn, turn.arc)
        self._add_leg(leg, leg.track_to_m)
        self._before = leg

    def _add_leg(self, leg: PlannedLeg, along_m: float) -> None:
        """Add a leg, run back from a place on it."""
        length_m = along_m - leg.track_from_m
        self._stretches.append(
            _Stretch(
                leg=leg.path,
                arc=None,
                index=leg.index,
                along_m=along_m,
                length_m=length_m,
                time=self._times.get(Piece(kind="leg", index=leg.index)),
            )
        )

    def _add_turn(self, turn: PlannedTurn, arc: Arc) -> None:
        """Add a turn, run back from its end."""
        self._stretches.append(
            _Stretch(
                leg=None,
                arc=arc,
                index=turn.index,
                along_m=arc.arc_m,
                length_m=arc.arc_m,
                time=self._times.get(Piece(kind="turn", index=turn.index)),
            )
        )


def _along_m(time: PieceTime, at_s: float) -> float:
    """Return how far along a piece she is at a time after she came to it."""
    if time.knots:
        far_m, when_s = np.transpose(time.knots)
        return float(np.interp(at_s, when_s, far_m))
    return time.from_m + (at_s - (time.start_s or 0.0)) * (time.speed_m_per_s or 0.0)


def _placed(found: Sequence[tuple[WarningPoint, _Place | None]]) -> list[WarningPoint]:
    """Return warning points with their positions, found all at once."""
    on_leg, on_arc = [], []
    for number, (_, place) in enumerate(found):
        if place is not None and place.stretch.leg is not None:
            on_leg.append((number, place.stretch.leg, place.stretch.along_m - place.back_m))
        elif place is not None and place.stretch.arc is not None:
            on_arc.append((number, place.stretch.arc, place.stretch.along_m - place.back_m))
    at: dict[int, Position] = {}
    if on_leg:
        lat, lon, _ = points_along(
            in_columns([leg for _, leg, _ in on_leg]), np.array([along for _, _, along in on_leg])
        )
        at |= dict(zip((number for number, _, _ in on_leg), positions(lat, lon), strict=True))
    for number, arc, along_m in on_arc:
        bearing_deg = arc.from_bearing_deg + arc.sweep_deg * along_m / arc.arc_m
        lat, lon, _ = geodesic.direct(
            arc.centre.lat_deg, arc.centre.lon_deg, bearing_deg, arc.radius_m
        )
        at[number] = positions(lat, lon)[0]
    return [replace(point, position=at.get(number)) for number, (point, _) in enumerate(found)]
