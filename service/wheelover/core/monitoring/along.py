"""Places along the planned track: how far from its start, when, and where."""

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo import geodesic
from wheelover.core.legs import feet_on_leg, in_columns, points_along
from wheelover.core.track import Track
from wheelover.core.types.clearance import Piece
from wheelover.core.types.monitoring import OnTrack
from wheelover.core.types.route import Position
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import Arc, PlannedLeg, PlannedTurn

_ON_PIECE_M = 1e-6
_LEAST_MINUTE_M = 1842.0
"""A minute of latitude is nowhere shorter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stretch:
    """One piece of the track, how far from its start it begins, and on which run of it."""

    piece: TrackPiece
    run: int
    start_m: float
    length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Box:
    """A box about a rhumb line, degrees; of a geodesic, which may leave it, ``whole`` is true."""

    middle_lat_deg: float
    middle_lon_deg: float
    half_lat_deg: float
    half_lon_deg: float
    whole: bool

    def may_hold(self, place: Position, within_m: float) -> bool:
        """Return whether a position may lie so near to the leg; never false for one that does."""
        up_deg = within_m / _LEAST_MINUTE_M / 60.0
        most_deg = min(max(abs(place.lat_deg), abs(self.middle_lat_deg)) + self.half_lat_deg, 89.9)
        aside_deg = up_deg / math.cos(math.radians(most_deg))
        off_deg = abs((place.lon_deg - self.middle_lon_deg + 180.0) % 360.0 - 180.0)
        beside = off_deg <= self.half_lon_deg + aside_deg
        above = abs(place.lat_deg - self.middle_lat_deg) <= self.half_lat_deg + up_deg
        return self.whole or (beside and above)


def _box_of(leg: PlannedLeg) -> _Box:
    """Return the box of a leg."""
    if leg.path is None:
        return _Box(
            middle_lat_deg=0.0, middle_lon_deg=0.0, half_lat_deg=0.0, half_lon_deg=0.0, whole=False
        )
    start, path = leg.path.start, leg.path
    lat, lon, _ = points_along(path, [path.length_m])
    end_lat, run_lon = float(lat[0]), (float(lon[0]) - start.lon_deg + 180.0) % 360.0 - 180.0
    return _Box(
        middle_lat_deg=(start.lat_deg + end_lat) / 2.0,
        middle_lon_deg=start.lon_deg + run_lon / 2.0,
        half_lat_deg=abs(end_lat - start.lat_deg) / 2.0,
        half_lon_deg=abs(run_lon) / 2.0,
        whole=path.line == "geodesic",
    )


class Way:
    """The planned track as one line, cut where it has a hole or where turns overlap."""

    def __init__(self, track: Track, times: Mapping[Piece, PieceTime]) -> None:
        self.legs: Sequence[PlannedLeg] = track.legs
        self.turns: Sequence[PlannedTurn] = track.turns
        self.times = times
        self._stretches = _stretches(track)
        self._starts = [one.start_m for one in self._stretches]
        self._of_leg = {
            one.piece.piece.index: one for one in self._stretches if one.piece.piece.kind == "leg"
        }
        self._of_turn = {
            one.piece.piece.index: one for one in self._stretches if one.piece.piece.kind == "turn"
        }
        self._boxes: dict[int, _Box] = {}
        self._by_id = {leg.to_id: leg for leg in track.legs}

    def leg(self, to_id: str) -> PlannedLeg | None:
        """Return the leg that leads to a waypoint."""
        return self._by_id.get(to_id)

    def on_leg(self, leg: PlannedLeg, along_m: float) -> OnTrack:
        """Return a place of a leg, which must have a length.

        Parameters
        ----------
        leg : PlannedLeg
            The leg.
        along_m : float
            From its first waypoint.
        """
        if leg.path is None:
            raise OutOfDomain(f"the leg to {leg.to_id} has no length")
        lat, lon, _ = points_along(leg.path, [along_m])
        of_leg = self._of_leg.get(leg.index)
        within = (
            of_leg is not None
            and leg.track_from_m - _ON_PIECE_M <= along_m <= leg.track_to_m + _ON_PIECE_M
        )
        time = self.times.get(Piece(kind="leg", index=leg.index))
        return OnTrack(
            leg_index=leg.index,
            leg_to_id=leg.to_id,
            along_m=along_m,
            before_m=leg.length_m - along_m,
            position=Position(lat_deg=float(lat[0]), lon_deg=float(lon[0])),
            track_m=of_leg.start_m + along_m - leg.track_from_m if of_leg and within else None,
            at_s=None if time is None else time.at_s(along_m),
        )

    def on_turn(self, turn: PlannedTurn, gone_m: float) -> OnTrack:
        """Return a place of a turn's arc, which must be one: on the leg that leads into it.

        Parameters
        ----------
        turn : PlannedTurn
            The turn.
        gone_m : float
            From where its arc begins.
        """
        stretch = self._of_turn.get(turn.index)
        if stretch is None:
            raise OutOfDomain(f"the turn at {turn.waypoint_id} has no arc")
        return self._at(stretch, gone_m)

    def back_from(self, place: OnTrack, distance_m: float) -> OnTrack | None:
        """Return the place so far back along the track, None where the track does not reach.

        A place in a turn is given on the leg that leads into it, with its position on the arc.
        """
        if place.track_m is None:
            return None
        of = self._of_leg[place.leg_index]
        at_m = place.track_m - distance_m
        index = max(bisect_right(self._starts, at_m) - 1, 0)
        found = self._stretches[index]
        if at_m < found.start_m - _ON_PIECE_M or found.run != of.run:
            return None
        return self._at(found, max(at_m - found.start_m, 0.0))

    def at_time(self, at_s: float) -> OnTrack | None:
        """Return where she is at a time counted from the start of the track, None if not known."""
        for one in reversed(self._stretches):
            time = self.times.get(one.piece.piece)
            if time is None or time.start_s is None or time.speed_m_per_s is None:
                continue
            if time.start_s <= at_s:
                gone_m = (at_s - time.start_s) * time.speed_m_per_s
                return self._at(one, gone_m) if gone_m <= one.length_m + 1.0 else None
        return None

    def untimed(self, place: OnTrack) -> str:
        """Return why no time is known at a place."""
        time = self.times.get(Piece(kind="leg", index=place.leg_index))
        return (time and time.reason) or "no time is known there"

    def nearest(
        self, place: Position, to_id: str | None = None, within_m: float | None = None
    ) -> tuple[OnTrack, float] | None:
        """Return the place of the track nearest to a position, and how far off it lies.

        Parameters
        ----------
        place : Position
            The position.
        to_id : str or None
            The leg to look on; every leg when None.
        within_m : float or None
            Legs that are sure to lie farther off are left out.

        Returns
        -------
        tuple or None
            The distance is positive where the position lies to starboard. None where no leg has
            a length or lies near enough, or one curves too sharply.
        """
        legs = [
            leg
            for leg in self.legs
            if leg.path is not None
            and to_id in (None, leg.to_id)
            and (within_m is None or self._box(leg).may_hold(place, within_m))
        ]
        if not legs:
            return None
        lines = in_columns([leg.path for leg in legs if leg.path is not None])
        count = len(legs)
        try:
            feet = feet_on_leg(
                lines, np.zeros(count), lines.length_m,
                np.full(count, place.lat_deg), np.full(count, place.lon_deg),
            )  # fmt: skip
        except OutOfDomain:
            return None
        first = int(np.argmin(feet.distance_m))
        off_m = float(np.copysign(feet.distance_m[first], feet.bearing_off_deg[first]))
        return self.on_leg(legs[first], float(feet.along_m[first])), off_m

    def _box(self, leg: PlannedLeg) -> _Box:
        """Return the box of a leg, made at the first question."""
        if leg.index not in self._boxes:
            self._boxes[leg.index] = _box_of(leg)
        return self._boxes[leg.index]

    def _at(self, stretch: _Stretch, gone_m: float) -> OnTrack:
        """Return the place so far along a piece of the track."""
        gone_m = min(gone_m, stretch.length_m)
        if stretch.piece.arc is None:
            leg = self.legs[stretch.piece.piece.index]
            return self.on_leg(leg, stretch.piece.from_m + gone_m)
        turn = self.turns[stretch.piece.piece.index]
        leg = next(one for one in self.legs if one.from_index + 1 == turn.waypoint_index)
        time = self.times.get(stretch.piece.piece)
        return OnTrack(
            leg_index=leg.index,
            leg_to_id=leg.to_id,
            along_m=leg.track_to_m,
            before_m=leg.length_m - leg.track_to_m,
            position=_on_arc(stretch.piece.arc, gone_m),
            track_m=stretch.start_m + gone_m,
            at_s=None if time is None else time.at_s(gone_m),
        )


def _on_arc(arc: Arc, gone_m: float) -> Position:
    """Return a place on an arc."""
    share = 0.0 if arc.arc_m == 0.0 else gone_m / arc.arc_m
    lat, lon, _ = geodesic.direct(
        arc.centre.lat_deg, arc.centre.lon_deg,
        arc.from_bearing_deg + share * arc.sweep_deg, arc.radius_m,
    )  # fmt: skip
    return Position(lat_deg=float(lat[0]), lon_deg=float(lon[0]))


def _stretches(track: Track) -> list[_Stretch]:
    """Return the pieces of a track with where they begin; a new run behind each break."""
    found: list[_Stretch] = []
    run, start_m, expected = 0, 0.0, -1
    for piece in track.pieces:
        if piece.piece.kind == "leg":
            leg = track.legs[piece.piece.index]
            run += int(leg.from_index != expected or not leg.room)
            expected = leg.from_index + 1
        length_m = max(piece.to_m - piece.from_m, 0.0) if piece.arc is None else piece.arc.arc_m
        found.append(_Stretch(piece=piece, run=run, start_m=start_m, length_m=length_m))
        start_m += length_m
    return found
