"""The planned track beside the coastline: what lies on land, and how near the coast comes."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from wheelover.core.arrays import Floats, Ints, numbered
from wheelover.core.clearance.of_points import TrackLines, track_lines
from wheelover.core.clearance.of_track import places_of
from wheelover.core.clearance.passing import (
    LEAST_SEARCH_M,
    ON_TRACK_M,
    Passing,
    TrackPiece,
)
from wheelover.core.coast.beside import corridor_land
from wheelover.core.coast.canals import canals_at
from wheelover.core.coast.cover import official_cover, used_stretches
from wheelover.core.coast.hull import hull_off_coast_m
from wheelover.core.coast.inside import on_land
from wheelover.core.coast.measured import first_of_pieces, on_coast, passing_coast
from wheelover.core.coast.near import Sought
from wheelover.core.coast.waived import waived_on
from wheelover.core.types.cells import Cell
from wheelover.core.types.coast import (
    Coast,
    CorridorLand,
    Land,
    Landfall,
    LandRow,
    NearestCoast,
    UsedStretch,
)
from wheelover.core.types.route import Position
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg, PlannedTurn

_SHORTEST_M = 0.001
_WINDS = "it curves too sharply beside the pole for its nearest points to be found"


def land_of(
    pieces: Sequence[TrackPiece],
    legs: Sequence[PlannedLeg],
    coast: Coast,
    cells: Sequence[Cell] = (),
    half_width_m: Mapping[int, float] | None = None,
    turns: Sequence[PlannedTurn] = (),
    ship: ShipProfile | None = None,
) -> Land:
    """Return what the coastline says of every piece of a planned track.

    Parameters
    ----------
    pieces : sequence of TrackPiece
        The planned track.
    legs : sequence of PlannedLeg
        Its legs; the corridor of each is looked at from waypoint to waypoint.
    coast : Coast
        The shores of the world.
    cells : sequence of Cell
        Charts; inside their coverage the coastline does not count.
    half_width_m : mapping or None
        How far the hull reaches to either side on a leg, by the number of the leg.
    turns : sequence of PlannedTurn
        The turns of which the hull is swept where they are simulated.
    ship : ShipProfile or None
        Her length and beam.

    Notes
    -----
    Distances are those of ``core/clearance``, exact to 1 mm within 10 NM of the shores as they are
    given, which are not surveyed to a stated accuracy. Which stretches are land is asked in the
    middle between two places where the track crosses a shore.
    """
    if not pieces:
        return Land(version=coast.version, rows=())
    halves_m = half_width_m or {}
    cover = official_cover(cells)
    track = track_lines(tuple(pieces))
    reach_m = np.array([max(LEAST_SEARCH_M, halves_m.get(_leg_index(one), 0.0)) for one in pieces])
    sought = Sought(reach_m=reach_m, by_side=np.zeros(len(pieces), dtype=np.bool_))
    passing, lost = passing_coast(track, coast, sought, cover)
    rows = _rows(_Found(track=track, passing=passing, lost=lost), reach_m, coast, cover)
    rows = _with_waived(rows, legs)
    beside, rest_m = corridor_land(legs, rows, coast, cover)
    hull_m = hull_off_coast_m(turns, ship, coast, cover)
    return Land(
        version=coast.version,
        rows=tuple(_with_hull(_with_leg(one, beside, halves_m, rest_m), hull_m) for one in rows),
    )


def _leg_index(piece: TrackPiece) -> int:
    """Return the number of the leg that a piece is, -1 for a turn."""
    return piece.piece.index if piece.piece.kind == "leg" else -1


def _with_hull(row: LandRow, hull_m: Mapping[int, float]) -> LandRow:
    """Return the row of a turn with how far the hull stays from the coast in it."""
    if row.piece.kind != "turn":
        return row
    return replace(row, hull_m=hull_m.get(row.piece.index))


def _with_waived(rows: Sequence[LandRow], legs: Sequence[PlannedLeg]) -> list[LandRow]:
    """Return rows with the stretches for which canal waivers of their legs answer."""
    by_index = {leg.index: leg for leg in legs if leg.canal is not None}
    return [
        replace(one, waived=waived_on(by_index[one.piece.index], one))
        if one.piece.kind == "leg" and one.piece.index in by_index
        else one
        for one in rows
    ]


def _with_leg(
    row: LandRow,
    beside: Mapping[int, tuple[CorridorLand, ...]],
    halves_m: Mapping[int, float],
    rest_m: Mapping[int, float],
) -> LandRow:
    """Return the row of a leg with what its corridor holds and what is left beside the hull."""
    if row.piece.kind != "leg":
        return row
    half_m = halves_m.get(row.piece.index)
    near_m = None if row.nearest is None else row.nearest.distance_m
    return replace(
        row,
        corridor=beside.get(row.piece.index, ()),
        hull_m=None if half_m is None or near_m is None else near_m - half_m,
        rest_m=rest_m.get(row.piece.index),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """What passes the pieces of a track, in the order of the pieces and along them."""

    track: TrackLines
    passing: Passing
    lost: frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spans:
    """Stretches of pieces in columns, metres along them, in sailing order."""

    piece: Ints
    from_m: Floats
    to_m: Floats


def _rows(found: _Found, reach_m: Floats, coast: Coast, cover: Any | None) -> list[LandRow]:
    """Return the row of every piece of the track, before what its leg asks for."""
    count = len(found.track.pieces)
    used = _used(found.track, cover)
    spans = _between_crossings(found, used)
    middle_m = (spans.from_m + spans.to_m) / 2.0
    dry = np.flatnonzero(on_land(coast, *_places(found.track, spans.piece, middle_m)))
    on_shore: dict[int, list[tuple[float, float]]] = {}
    for row in dry.tolist():
        piece = int(spans.piece[row])
        _add(on_shore.setdefault(piece, []), float(spans.from_m[row]), float(spans.to_m[row]))
    landfalls = _landfalls(
        found.track, {one: _counted(many, used[one]) for one, many in on_shore.items()}
    )
    nearest = _nearest(found)
    return [
        LandRow(
            piece=found.track.pieces[piece].piece,
            search_m=float(reach_m[piece]),
            nearest=nearest.get(piece),
            on_land=landfalls.get(piece, ()),
            used=used[piece],
            unmeasured=_WINDS if piece in found.lost else None,
        )
        for piece in range(count)
    ]


def _bounds_m(track: TrackLines, piece: int) -> tuple[float, float]:
    """Return where a piece begins and ends, metres along it."""
    one = track.pieces[piece]
    if one.arc is not None:
        return 0.0, math.radians(abs(one.arc.sweep_deg)) * one.arc.radius_m
    return one.from_m, one.to_m


def _between_crossings(found: _Found, used: list[tuple[UsedStretch, ...]]) -> _Spans:
    """Return the pieces cut where they cross a shore, and where official coverage begins or ends.

    Inside the coverage shores are not looked for, so that what lies there must stand apart.
    """
    bounds_m = np.array([(one[0].from_m, one[-1].to_m) for one in used])
    piece, along_m = found.passing.piece, found.passing.along_m
    rows = np.flatnonzero(found.passing.distance_m < ON_TRACK_M)
    rows = rows[
        (along_m[rows] > bounds_m[piece[rows], 0] + _SHORTEST_M)
        & (along_m[rows] < bounds_m[piece[rows], 1] - _SHORTEST_M)
    ]
    inner = [(number, one.to_m) for number, many in enumerate(used) for one in many[:-1]]
    number = np.arange(len(used), dtype=np.int64)
    of_inner = np.array([one for one, _ in inner], dtype=np.int64)
    of_cut = np.concatenate([number, number, of_inner, piece[rows]])
    inner_m = np.array([one for _, one in inner])
    cut_m = np.concatenate([bounds_m[:, 0], bounds_m[:, 1], inner_m, along_m[rows]])
    order = np.lexsort((cut_m, of_cut))
    of_cut, cut_m = of_cut[order], cut_m[order]
    first = np.flatnonzero(of_cut[:-1] == of_cut[1:])
    return _Spans(piece=of_cut[first], from_m=cut_m[first], to_m=cut_m[first + 1])


def _places(track: TrackLines, piece: Ints, along_m: Floats) -> tuple[Floats, Floats]:
    """Return positions along pieces, degrees, shape (n,)."""
    nowhere = np.zeros(piece.size)
    nothing = np.zeros(piece.size, dtype=np.int64)
    passing = Passing(
        piece=piece,
        hazard=nothing,
        distance_m=nowhere,
        along_m=along_m,
        danger_lat_deg=nowhere,
        danger_lon_deg=nowhere,
        side=nothing,
    )
    return places_of(track, passing)


def _used(track: TrackLines, cover: Any | None) -> list[tuple[UsedStretch, ...]]:
    """Return where along each piece cells count and where the coastline does."""
    bounds_m = np.array([_bounds_m(track, piece) for piece in range(len(track.pieces))])
    if cover is None:
        return [
            (UsedStretch(from_m=from_m, to_m=to_m, source="coastline"),)
            for from_m, to_m in bounds_m.tolist()
        ]
    length_m = bounds_m[:, 1] - bounds_m[:, 0]
    steps = np.maximum(np.ceil(length_m / LEAST_SEARCH_M), 4.0).astype(np.int64)
    piece, place = numbered(steps + 1)
    along_m = bounds_m[piece, 0] + length_m[piece] * (place / steps[piece])
    lat, lon = _places(track, piece, along_m)
    parts = np.cumsum(steps + 1)[:-1]
    lines_deg = np.split(np.column_stack([lon, lat]), parts)
    return list(map(partial(used_stretches, cover), lines_deg, np.split(along_m, parts)))


def _add(spans: list[tuple[float, float]], from_m: float, to_m: float) -> None:
    """Add a stretch behind others; where it goes on from the last it is one with it."""
    if spans and spans[-1][1] == from_m:
        spans[-1] = (spans[-1][0], to_m)
    else:
        spans.append((from_m, to_m))


def _counted(
    on_shore: list[tuple[float, float]], used: tuple[UsedStretch, ...]
) -> list[tuple[float, float]]:
    """Return what of stretches on land lies where the coastline counts."""
    spans = []
    for from_m, to_m in on_shore:
        for one in used:
            low_m, high_m = max(from_m, one.from_m), min(to_m, one.to_m)
            if one.source == "coastline" and high_m > low_m:
                spans.append((low_m, high_m))
    return spans


def _landfalls(
    track: TrackLines, spans: Mapping[int, list[tuple[float, float]]]
) -> dict[int, tuple[Landfall, ...]]:
    """Return stretches on land with their ends, by the number of the piece."""
    piece = np.array([one for one, many in spans.items() for _ in many], dtype=np.int64)
    along_m = np.array([one for many in spans.values() for one in many]).reshape(-1, 2)
    lat, lon = (one.reshape(-1, 2) for one in _places(track, np.repeat(piece, 2), along_m.ravel()))
    found: dict[int, tuple[Landfall, ...]] = {}
    for row, (one, canals) in enumerate(zip(piece.tolist(), canals_at(lat, lon), strict=True)):
        start, end = (
            Position(lat_deg=float(a), lon_deg=float(b))
            for a, b in zip(lat[row], lon[row], strict=True)
        )
        fall = Landfall(
            from_m=float(along_m[row, 0]),
            to_m=float(along_m[row, 1]),
            start=start,
            end=end,
            canals=canals,
        )
        found[one] = (*found.get(one, ()), fall)
    return found


def _nearest(found: _Found) -> dict[int, NearestCoast]:
    """Return the nearest place of the coastline to each piece; where crossed, the first time."""
    passing = found.passing
    near = passing.rows(first_of_pieces(passing, np.arange(passing.piece.size)))
    lat, lon = places_of(found.track, near)
    return {
        int(near.piece[row]): NearestCoast(
            distance_m=float(near.distance_m[row]),
            on_track=Position(lat_deg=float(lat[row]), lon_deg=float(lon[row])),
            on_coast=on_coast(near, row),
        )
        for row in range(near.piece.size)
    }
