"""The planned track beside the coastline: what lies on land, and how near the coast comes."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.clearance.index import surroundings_of
from wheelover.core.clearance.of_points import TrackLines, track_lines
from wheelover.core.clearance.of_track import passing_edges, places_of
from wheelover.core.clearance.passing import LEAST_SEARCH_M, NO_PASSING, Passing, TrackPiece
from wheelover.core.coast.canals import canals_at
from wheelover.core.coast.chunks import ends_of
from wheelover.core.coast.cover import official_cover, used_stretches
from wheelover.core.coast.inside import on_land
from wheelover.core.coast.near import Sought, edges_near
from wheelover.core.types.cells import Cell
from wheelover.core.types.chart import Hazards, Paths
from wheelover.core.types.clearance import SIDES, Piece
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
from wheelover.core.types.track import PlannedLeg, Side
from wheelover.core.units import m_from_nm

_BOTH: tuple[Side, Side] = ("port", "starboard")
_ON_TRACK_M = 0.0005
_SHORTEST_M = 0.001
_WINDS = "it curves too sharply beside the pole for its nearest points to be found"


def land_of(
    pieces: Sequence[TrackPiece],
    legs: Sequence[PlannedLeg],
    coast: Coast,
    cells: Sequence[Cell] = (),
    half_width_m: Mapping[int, float] | None = None,
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

    Notes
    -----
    Distances are those of ``core/clearance``, exact to 1 mm within 10 NM of the shores as they are
    given, which are not surveyed to a stated accuracy. Which stretches are land is asked in the
    middle between two places where the track crosses a shore.
    """
    halves_m = half_width_m or {}
    limited = [one for one in legs if one.path is not None and _widest_nm(one) is not None]
    everything = (*pieces, *(_whole(one) for one in limited))
    if not pieces:
        return Land(version=coast.version, rows=())
    cover = official_cover(cells)
    track = track_lines(everything)
    reach_m = [max(LEAST_SEARCH_M, halves_m.get(_leg_index(one), 0.0)) for one in pieces]
    reach_m += [m_from_nm(_widest_nm(one) or 0.0) for one in limited]
    by_side = np.arange(len(everything)) >= len(pieces)
    sought = Sought(reach_m=np.array(reach_m), by_side=by_side)
    passing, lost = _passing(track, coast, sought, cover)
    found = _Found(track=track, passing=passing, lost=lost)
    rows = _rows(found, len(pieces), sought.reach_m, coast, cover)
    beside = _corridors(passing, limited, len(pieces))
    return Land(
        version=coast.version,
        rows=tuple(_with_leg(one, beside, halves_m) for one in rows),
    )


def _leg_index(piece: TrackPiece) -> int:
    """Return the number of the leg that a piece is, -1 for a turn."""
    return piece.piece.index if piece.piece.kind == "leg" else -1


def _with_leg(
    row: LandRow, beside: Mapping[int, tuple[CorridorLand, ...]], halves_m: Mapping[int, float]
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
    )


def _whole(leg: PlannedLeg) -> TrackPiece:
    """Return a leg from waypoint to waypoint as a piece."""
    return TrackPiece(piece=Piece(kind="leg", index=leg.index), leg=leg.path, to_m=leg.length_m)


def _widest_nm(leg: PlannedLeg) -> float | None:
    """Return the larger cross-track limit of a leg, None without any."""
    given = [one for one in (leg.xtd_port_nm, leg.xtd_starboard_nm) if one is not None]
    return max(given) if given else None


def coast_hazards(coast: Coast, edge: Ints) -> Hazards:
    """Return edges of the coastline as dangers of class coast, one for each edge.

    Parameters
    ----------
    coast : Coast
        The shores.
    edge : ndarray, shape (k,)
        The numbers of the first vertices of the edges.
    """
    one, other = ends_of(coast, edge)
    number = np.arange(edge.size, dtype=np.int64)
    unknown = np.full(edge.size, np.nan)
    return Hazards(
        ids=tuple(f"coast/{vertex}" for vertex in edge.tolist()),
        names=(None,) * edge.size,
        kinds=("coast",) * edge.size,
        shapes=("LineString",) * edge.size,
        depth_m=unknown,
        position_uncertainty_m=np.zeros(edge.size),
        uncertainty_given=np.zeros(edge.size, dtype=np.bool_),
        min_clearance_m=unknown,
        paths=Paths(
            hazard=number,
            area=np.full(edge.size, -1, dtype=np.int64),
            starts=np.arange(edge.size + 1, dtype=np.int64) * 2,
            lat_deg=np.stack([one[:, 1], other[:, 1]], axis=1).ravel(),
            lon_deg=np.stack([one[:, 0], other[:, 0]], axis=1).ravel(),
        ),
    )


def _passing(
    track: TrackLines, coast: Coast, sought: Sought, cover: Any | None
) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points of pieces to the edges of the coastline that may matter."""
    edge, search_m = edges_near(coast, track, sought, cover)
    if edge.size == 0:
        return NO_PASSING, frozenset()
    index = surroundings_of(coast_hazards(coast, edge), search_m).edges
    if index is None:
        raise AssertionError("dangers that are edges have an index of edges")
    passing, lost = passing_edges(track, index)
    within = passing.distance_m <= sought.reach_m[passing.piece]
    passing = passing.rows(np.flatnonzero(within))
    return passing.rows(np.lexsort((passing.along_m, passing.piece))), lost


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


def _rows(
    found: _Found, count: int, reach_m: Floats, coast: Coast, cover: Any | None
) -> list[LandRow]:
    """Return the row of every piece of the track, before what its leg asks for."""
    spans = _between_crossings(found, count)
    middle_m = (spans.from_m + spans.to_m) / 2.0
    dry = np.flatnonzero(on_land(coast, *_places(found.track, spans.piece, middle_m)))
    used = [_used(found.track, piece, cover) for piece in range(count)]
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


def _between_crossings(found: _Found, count: int) -> _Spans:
    """Return the pieces of the track cut where they cross a shore."""
    bounds_m = np.array([_bounds_m(found.track, piece) for piece in range(count)])
    piece, along_m = found.passing.piece, found.passing.along_m
    rows = np.flatnonzero((found.passing.distance_m < _ON_TRACK_M) & (piece < count))
    rows = rows[
        (along_m[rows] > bounds_m[piece[rows], 0] + _SHORTEST_M)
        & (along_m[rows] < bounds_m[piece[rows], 1] - _SHORTEST_M)
    ]
    number = np.arange(count, dtype=np.int64)
    of_cut = np.concatenate([number, number, piece[rows]])
    cut_m = np.concatenate([bounds_m[:, 0], bounds_m[:, 1], along_m[rows]])
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


def _used(track: TrackLines, piece: int, cover: Any | None) -> tuple[UsedStretch, ...]:
    """Return where along a piece cells count and where the coastline does."""
    from_m, to_m = _bounds_m(track, piece)
    if cover is None:
        return (UsedStretch(from_m=from_m, to_m=to_m, source="coastline"),)
    steps = max(math.ceil((to_m - from_m) / LEAST_SEARCH_M), 4)
    along_m = np.linspace(from_m, to_m, steps + 1)
    lat, lon = _places(track, np.full(along_m.size, piece), along_m)
    return used_stretches(cover, np.column_stack([lon, lat]), along_m)


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
    near = passing.rows(_first_of_pieces(passing, np.arange(passing.piece.size)))
    lat, lon = places_of(found.track, near)
    return {
        int(near.piece[row]): NearestCoast(
            distance_m=float(near.distance_m[row]),
            on_track=Position(lat_deg=float(lat[row]), lon_deg=float(lon[row])),
            on_coast=_on_coast(near, row),
        )
        for row in range(near.piece.size)
    }


def _on_coast(passing: Passing, row: int) -> Position:
    """Return the place of the coastline that is nearest."""
    return Position(
        lat_deg=float(passing.danger_lat_deg[row]), lon_deg=float(passing.danger_lon_deg[row])
    )


def _corridors(
    passing: Passing, limited: Sequence[PlannedLeg], first: int
) -> dict[int, tuple[CorridorLand, ...]]:
    """Return the nearest coastline inside each cross-track limit, by the number of the leg.

    The pieces from ``first`` on are the legs. What lies beyond an end counts on both sides.
    """
    found: dict[int, tuple[CorridorLand, ...]] = {}
    for number, side in enumerate(_BOTH):
        limits_nm = [(leg.xtd_port_nm, leg.xtd_starboard_nm)[number] for leg in limited]
        limit_m = np.array([np.nan if one is None else m_from_nm(one) for one in limits_nm])
        rows = np.flatnonzero(
            (passing.piece >= first) & (passing.side != SIDES.index(_BOTH[1 - number]))
        )
        rows = rows[passing.distance_m[rows] <= limit_m[passing.piece[rows] - first]]
        for row in _first_of_pieces(passing, rows).tolist():
            leg = int(passing.piece[row]) - first
            land = CorridorLand(
                side=side,
                limit_m=float(limit_m[leg]),
                distance_m=float(passing.distance_m[row]),
                on_coast=_on_coast(passing, row),
            )
            found[limited[leg].index] = (*found.get(limited[leg].index, ()), land)
    return found


def _first_of_pieces(passing: Passing, rows: Ints) -> Ints:
    """Return of some rows the nearest of each piece, of equally near ones the first along it."""
    order = rows[np.lexsort((passing.along_m[rows], passing.distance_m[rows], passing.piece[rows]))]
    piece = passing.piece[order]
    return np.asarray(order[np.append(True, piece[1:] != piece[:-1])[: order.size]])
