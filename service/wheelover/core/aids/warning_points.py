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

    Of an arc ``along_m`` counts from its start. A speed that is not known is None.
    """

    leg: LegLine | None
    arc: Arc | None
    index: int
    along_m: float
    length_m: float
    speed_m_per_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """Where a warning point lies: the stretch, how far back from its end, and from the wheel-over.

    ``back_s`` is None where no speed is known on the way.
    """

    stretch: _Stretch
    back_m: float
    distance_m: float
    back_s: float | None


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
        How fast she goes on each piece of it over the ground.
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
        at_s = self._helm.at_s
        return replace(
            bare,
            distance_m=found.distance_m,
            on="leg" if found.stretch.arc is None else "turn",
            on_index=found.stretch.index,
            at_s=None if at_s is None or found.back_s is None else at_s - found.back_s,
        ), found

    def _find(self, wish: WarningWish) -> _Place | str:
        """Return where a wish lies, or why nowhere."""
        left_m = None if wish.before_nm is None else m_from_nm(wish.before_nm)
        left_s = wish.before_s or 0.0
        run_m, run_s, known = 0.0, 0.0, True
        number = 0
        while not isinstance(stretch := self._stretch(number), str):
            speed = stretch.speed_m_per_s or 0.0
            known = known and speed > 0.0
            if left_m is None and not known:
                return NO_SPEED
            step_m = left_s * speed if left_m is None else left_m
            back_m = min(step_m, stretch.length_m)
            run_m += back_m
            run_s += back_m / speed if known else 0.0
            if step_m <= stretch.length_m:
                back_s = run_s if known else None
                return _Place(stretch=stretch, back_m=back_m, distance_m=run_m, back_s=back_s)
            if left_m is None:
                left_s -= back_m / speed
            else:
                left_m -= back_m
            number += 1
        return stretch

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
            self._add_leg(helm.leg, helm.along_m, helm.speed_m_per_s)
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
        self._add_leg(leg, leg.track_to_m, self._speed(Piece(kind="leg", index=leg.index)))
        self._before = leg

    def _add_leg(self, leg: PlannedLeg, along_m: float, speed_m_per_s: float | None) -> None:
        """Add a leg, run back from a place on it."""
        length_m = along_m - leg.track_from_m
        self._stretches.append(
            _Stretch(
                leg=leg.path,
                arc=None,
                index=leg.index,
                along_m=along_m,
                length_m=length_m,
                speed_m_per_s=speed_m_per_s,
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
                speed_m_per_s=self._speed(Piece(kind="turn", index=turn.index)),
            )
        )

    def _speed(self, piece: Piece) -> float | None:
        """Return her speed over the ground on a piece."""
        time = self._times.get(piece)
        return None if time is None else time.speed_m_per_s


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
