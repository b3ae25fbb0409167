"""Clearance of the whole planned track from dangers that are points, lines and areas.

Legs alone would not do: where an arc is nearest, a check of the legs is too kind in about half
the cases and too strict in the rest. Every piece is looked at, every distance is a geodesic.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheelover.core.arrays import Floats, Ints, tied_m
from wheelover.core.clearance.few import few_of_each
from wheelover.core.clearance.index import Surroundings, surroundings_wide
from wheelover.core.clearance.limits import (
    Judged,
    infringements_of,
    judge,
    keeps_limit,
    worst_rows,
)
from wheelover.core.clearance.of_points import TrackLines, track_lines
from wheelover.core.clearance.of_track import passing_track, places_of
from wheelover.core.clearance.passing import LEAST_SEARCH_M, NO_PASSING, Passing, TrackPiece
from wheelover.core.clearance.sides_nearest import nearest_by_side
from wheelover.core.clearance.ties import settled
from wheelover.core.margins import Margins, asked_for_less, margins_of
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import (
    LIMIT_SOURCES,
    ClearanceRows,
    Clearances,
    Infringement,
    PieceLeast,
)

_SAME_M = 1e-6


def clear(pieces: tuple[TrackPiece, ...], hazards: Hazards, limits: Limits) -> Clearances:
    """Return how near the track comes to each danger, and where it is too near.

    Parameters
    ----------
    pieces : tuple of TrackPiece
        The planned track in sailing order, with what its legs ask.
    hazards : Hazards
        The dangers.
    limits : Limits
        What the plan and its limit set ask where neither the danger nor the leg has a limit.

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
    return judged_whole(measured(pieces, hazards, limits), hazards)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """What was measured of a track: its lines, what it asks, and all rows that may matter.

    ``lost`` numbers the pieces that could not be measured.
    """

    track: TrackLines
    margins: Margins
    passing: Passing
    lost: frozenset[int] = frozenset()


def measured(pieces: tuple[TrackPiece, ...], hazards: Hazards, limits: Limits) -> Measured:
    """Return what of the dangers passes a track, not judged yet.

    Parameters
    ----------
    pieces, hazards, limits
        As in ``clear``.
    """
    margins, track = margins_of([one.asked for one in pieces], limits), track_lines(pieces)
    if hazards.count == 0 or not pieces:
        return Measured(track=track, margins=margins, passing=NO_PASSING)
    passing, lost = passing_near(track, margins, surroundings_wide(hazards, margins))
    return Measured(track=track, margins=margins, passing=passing, lost=lost)


def judged_whole(
    found: Measured, hazards: Hazards, looked_at: Measured | None = None
) -> Clearances:
    """Return what was measured of a track, judged by what it asks.

    Parameters
    ----------
    found : Measured
        What was measured.
    hazards : Hazards
        The dangers.
    looked_at : Measured or None
        The pieces on which a rule may be missed though the limit is kept; without it all.
    """
    track, margins, pieces = found.track, found.margins, found.track.pieces
    if hazards.count == 0 or not pieces:
        return Clearances()
    judged = judge(found.passing, hazards, margins)
    nearest = _nearest_of_all(judged)
    near, left_out = few_of_each(track, judged, nearest, margins.rules, hazards.ids)
    return Clearances(
        rows=_rows(track, judged, hazards, nearest, whole=not found.lost),
        infringements=infringements_of(
            pieces, judged.rows(np.flatnonzero(judged.infringed)), margins.rules
        )
        + _rules_missed_else(looked_at or found, hazards),
        least=tuple(_least(pieces, judged, hazards.ids)),
        unmeasured=tuple(pieces[number].piece for number in sorted(found.lost)),
        near=near,
        near_left_out=left_out,
        sides=tuple(nearest_by_side(pieces, judged, hazards.ids)),
    )


def passing_near(
    track: TrackLines, margins: Margins, around: Surroundings
) -> tuple[Passing, frozenset[int]]:
    """Return what passes a track as near as it asks, and the pieces that were not measured.

    Parameters
    ----------
    track : TrackLines
        The track, or some pieces of it.
    margins : Margins
        What these pieces ask.
    around : Surroundings
        The dangers ready to be looked for as far as any piece of the whole track asks.
    """
    return passing_track(track, around, asked_m(margins))


def asked_m(margins: Margins) -> Floats:
    """Return what each piece asks of each class of danger, zero for nothing."""
    return np.where(np.isnan(margins.limit_m), 0.0, margins.limit_m)


def _rules_missed_else(found: Measured, hazards: Hazards) -> tuple[Infringement, ...]:
    """Return where a rule of the set is missed though the limit that counts there is kept.

    That can only be where a danger or a leg asks for less than the set does, and then what is near
    enough is looked for anew: rows are sure to be there only within what was asked for.
    """
    track, margins = found.track, found.margins
    if not margins.rules or not bool(np.any(asked_for_less(hazards, margins))):
        return ()
    alone = replace(margins, limit_m=margins.rule_m)
    passing, _ = passing_near(track, alone, surroundings_wide(hazards, alone, own=False))
    judged = judge(passing, hazards, margins)
    kept = np.flatnonzero(judged.rule_missed & ~judged.infringed)
    return infringements_of(track.pieces, judged.rows(kept), margins.rules)


def _rows(
    track: TrackLines, judged: Judged, hazards: Hazards, nearest: Ints, *, whole: bool
) -> ClearanceRows:
    """Return one row for each danger that is listed, nearest first.

    A danger is not met if it is inside its limit on any piece at all: the nearest piece may ask
    for less than another that lies farther off, and then the limit shown is the one that is not
    kept. Where the track was not measured as a whole nothing is said to be met.
    """
    hazard = judged.passing.hazard[nearest]
    inside = worst_rows(judged)
    # Dangers stand in their order in the rows of their nearest pieces, each once.
    worst = np.full(hazard.size, -1)
    worst[np.searchsorted(hazard, judged.passing.hazard[inside])] = inside
    distance_m = judged.passing.distance_m[nearest]
    limit_m = judged.limit_m[nearest]
    listing_m = np.maximum(
        np.where(np.isnan(limit_m), 0.0, limit_m) + hazards.position_uncertainty_m[hazard],
        LEAST_SEARCH_M,
    )
    listed = np.flatnonzero((distance_m <= listing_m) | (worst >= 0))
    listed = _in_order(listed, distance_m, hazard, hazards.ids)
    row, hazard, worst = nearest[listed], hazard[listed], worst[listed]
    shown = np.where(worst >= 0, worst, row)
    passing = judged.passing.rows(row)
    lat, lon = places_of(track, passing)
    limited = judged.limit_source[shown] >= 0
    kept = keeps_limit(judged.clearance_m[shown], judged.limit_m[shown])
    met = np.where(limited & (worst >= 0), 0, np.where(limited, kept, -1))
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
    near_m = tied_m(distance_m)
    rows = rows[np.argsort(near_m[rows], kind="stable")]
    return settled(rows, np.diff(near_m[rows]) == 0.0, hazard, ids)


def _least(
    pieces: tuple[TrackPiece, ...], judged: Judged, ids: Sequence[str]
) -> Iterator[PieceLeast]:
    """Yield the danger with the least margin, or clearance, from each piece that has one near.

    Of several with the same, the first by id.
    """
    passing = judged.passing
    infringed = np.bincount(passing.piece[judged.infringed], minlength=len(pieces)).tolist()
    left_m = tied_m(judged.margin_m)
    order = np.lexsort((passing.hazard, left_m, passing.piece))
    piece, margin_m = passing.piece[order], left_m[order]
    first = np.append(True, np.diff(piece) != 0)[: order.size]
    group = np.cumsum(first) - 1
    least = np.flatnonzero(margin_m == margin_m[first][group])
    rows: dict[int, int] = {}
    for number, row in zip(group[least].tolist(), order[least].tolist(), strict=True):
        known = rows.get(number)
        if known is None or ids[passing.hazard[row]] < ids[passing.hazard[known]]:
            rows[number] = row
    some = judged.rows(np.array(list(rows.values()), dtype=np.int64))
    columns = (some.passing.piece, some.passing.hazard, some.passing.distance_m, some.clearance_m,
               some.limit_m, some.limit_source)  # fmt: skip
    kept = keeps_limit(some.clearance_m, some.limit_m).tolist()
    for number, hazard, distance_m, clearance_m, limit_m, source, is_kept in zip(
        *(one.tolist() for one in columns), kept, strict=True
    ):
        yield PieceLeast(
            piece=pieces[number].piece,
            hazard_index=hazard,
            distance_m=distance_m,
            clearance_m=clearance_m,
            limit_m=limit_m if source >= 0 else None,
            limit_source=LIMIT_SOURCES[source] if source >= 0 else None,
            met=is_kept if source >= 0 else None,
            infringed_count=infringed[number],
        )
