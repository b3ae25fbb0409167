"""Clearance of the whole planned track from dangers that are points, lines and areas.

Legs alone would not do: where an arc is nearest, a check of the legs is too kind in about half
the cases and too strict in the rest. Every piece is looked at, every distance is a geodesic.
"""

import itertools
from collections.abc import Iterator, Sequence

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.clearance.index import search_wide_m, surroundings_of
from wheelover.core.clearance.limits import (
    Judged,
    infringements_of,
    judge,
    keeps_limit,
    limits_of,
    worst_rows,
)
from wheelover.core.clearance.of_points import TrackLines, track_lines
from wheelover.core.clearance.of_track import passing_track, places_of
from wheelover.core.clearance.passing import LEAST_SEARCH_M, TrackPiece
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import (
    LIMIT_SOURCES,
    ClearanceRows,
    Clearances,
    PieceLeast,
)

_SAME_M = 1e-6


def clear(
    pieces: tuple[TrackPiece, ...], hazards: Hazards, plan_limit_m: float | None
) -> Clearances:
    """Return how near the track comes to each danger, and where it is too near.

    Parameters
    ----------
    pieces : tuple of TrackPiece
        The planned track in sailing order.
    hazards : Hazards
        The dangers.
    plan_limit_m : float or None
        Clearance asked for where neither the danger nor the leg has a limit of its own.

    Raises
    ------
    InvalidChart
        When the edges of lines and areas are longer in sum than can be measured.

    Notes
    -----
    Shortest geodesic distance on WGS84; error below 1e-6 m within 10 NM and below 1e-4 m at
    100 NM (tests/core/test_clearance.py, tests/core/test_clearance_shapes.py). Edges are straight
    in longitude and latitude [RFC7946]_. An area that the track enters is crossed, at no distance;
    a hole in it is outside.
    """
    if hazards.count == 0 or not pieces:
        return Clearances()
    around = surroundings_of(hazards, search_wide_m(pieces, hazards, plan_limit_m))
    track = track_lines(pieces)
    passing, lost = passing_track(track, around, limits_of(pieces, plan_limit_m))
    judged = judge(pieces, passing, hazards, plan_limit_m)
    return Clearances(
        rows=_rows(track, judged, hazards, whole=not lost),
        infringements=infringements_of(pieces, judged),
        least=tuple(_least(pieces, judged, hazards.ids)),
        unmeasured=tuple(pieces[number].piece for number in sorted(lost)),
    )


def _rows(track: TrackLines, judged: Judged, hazards: Hazards, *, whole: bool) -> ClearanceRows:
    """Return one row for each danger that is listed, nearest first.

    A danger is not met if it is inside its limit on any piece at all: the nearest piece may ask
    for less than another that lies farther off, and then the limit shown is the one that is not
    kept. Where the track was not measured as a whole nothing is said to be met.
    """
    nearest = _nearest_of_all(judged)
    hazard = judged.passing.hazard[nearest]
    worst = np.full(hazards.count, -1)
    inside = worst_rows(judged)
    worst[judged.passing.hazard[inside]] = inside
    distance_m = judged.passing.distance_m[nearest]
    limit_m = judged.limit_m[nearest]
    listing_m = np.maximum(
        np.where(np.isnan(limit_m), 0.0, limit_m) + hazards.position_uncertainty_m[hazard],
        LEAST_SEARCH_M,
    )
    listed = np.flatnonzero((distance_m <= listing_m) | (worst[hazard] >= 0))
    listed = _in_order(listed, distance_m, hazard, hazards.ids)
    row, hazard = nearest[listed], hazard[listed]
    shown = np.where(worst[hazard] >= 0, worst[hazard], row)
    passing = judged.passing.rows(row)
    lat, lon = places_of(track, passing)
    limited = judged.limit_source[shown] >= 0
    kept = keeps_limit(judged.clearance_m[shown], judged.limit_m[shown])
    met = np.where(limited & (worst[hazard] >= 0), 0, np.where(limited, kept, -1))
    return ClearanceRows(
        ids=hazards.ids,
        pieces=tuple(one.piece for one in track.pieces),
        hazard=hazard,
        distance_m=passing.distance_m,
        clearance_m=judged.clearance_m[row],
        nearest_lat_deg=lat,
        nearest_lon_deg=lon,
        danger_lat_deg=passing.danger_lat_deg,
        danger_lon_deg=passing.danger_lon_deg,
        piece=passing.piece,
        side=passing.side,
        limit_m=judged.limit_m[shown],
        limit_source=judged.limit_source[shown],
        limit_piece=np.where(limited, judged.passing.piece[shown], -1),
        met=met if whole else np.where(met == 1, -1, met),
    )


def _nearest_of_all(judged: Judged) -> Ints:
    """Return the row of the nearest piece of each danger, in the order of dangers.

    Between pieces that are equally near to a micrometre the one sailed first is taken.
    """
    passing = judged.passing
    order = np.lexsort((passing.piece, passing.distance_m, passing.hazard))
    hazard, distance_m = passing.hazard[order], passing.distance_m[order]
    first = np.flatnonzero(np.append(True, np.diff(hazard) != 0)[: order.size])
    which = np.repeat(np.arange(first.size), np.diff(np.append(first, order.size)))
    same = np.flatnonzero(distance_m <= distance_m[first][which] + _SAME_M)
    sailed = np.full(first.size, np.iinfo(np.int64).max)
    np.minimum.at(sailed, which[same], passing.piece[order[same]])
    taken = same[passing.piece[order[same]] == sailed[which[same]]]
    return np.asarray(order[taken], dtype=np.int64)


def _in_order(rows: Ints, distance_m: Floats, hazard: Ints, ids: Sequence[str]) -> Ints:
    """Return rows by distance, and those as near by the id of their danger.

    The order in which dangers came in says nothing: a plan made of them in another is the same.
    """
    rows = rows[np.argsort(distance_m[rows], kind="stable")]
    equal = np.diff(distance_m[rows]) == 0.0
    if not bool(np.any(equal)):
        return rows
    bounds = np.flatnonzero(np.concatenate(([True], ~equal, [True])))
    for start, stop in itertools.pairwise(bounds):
        if stop - start > 1:
            rows[start:stop] = sorted(rows[start:stop], key=lambda one: ids[int(hazard[one])])
    return rows


def _least(
    pieces: tuple[TrackPiece, ...], judged: Judged, ids: Sequence[str]
) -> Iterator[PieceLeast]:
    """Yield the danger with the least margin, or clearance, from each piece that has one near.

    Of several with the same, the first by id.
    """
    passing = judged.passing
    infringed = np.bincount(passing.piece[judged.infringed], minlength=len(pieces))
    order = np.lexsort((passing.hazard, judged.margin_m, passing.piece))
    piece, margin_m = passing.piece[order], judged.margin_m[order]
    starts = np.flatnonzero(np.append(True, np.diff(piece) != 0)[: order.size])
    for start, stop in itertools.pairwise([*starts.tolist(), order.size]):
        same = start + np.searchsorted(margin_m[start:stop], margin_m[start], side="right")
        row = min(order[start:same].tolist(), key=lambda one: ids[int(passing.hazard[one])])
        number, limited = int(passing.piece[row]), judged.limit_source[row] >= 0
        clearance_m, limit_m = float(judged.clearance_m[row]), float(judged.limit_m[row])
        yield PieceLeast(
            piece=pieces[number].piece,
            hazard_index=int(passing.hazard[row]),
            distance_m=float(passing.distance_m[row]),
            clearance_m=clearance_m,
            limit_m=limit_m if limited else None,
            limit_source=LIMIT_SOURCES[judged.limit_source[row]] if limited else None,
            met=bool(keeps_limit(clearance_m, limit_m)) if limited else None,
            infringed_count=int(infringed[number]),
        )
