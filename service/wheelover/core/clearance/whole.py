"""Clearance of the whole planned track from dangers that are points, lines and areas.

Legs alone would not do: where an arc is nearest, a check of the legs is too kind in about half
the cases and too strict in the rest. Every piece is looked at, every distance is a geodesic.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from operator import attrgetter

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.clearance.few import few_near
from wheelover.core.clearance.foremost import ByDanger, ByPiece, by_danger, by_piece, by_side
from wheelover.core.clearance.index import Surroundings, surroundings_wide
from wheelover.core.clearance.limits import Judged, infringements_of, judge, keeps_limit
from wheelover.core.clearance.of_points import TrackLines, track_lines
from wheelover.core.clearance.of_track import passing_track, places_of
from wheelover.core.clearance.passing import NO_PASSING, Passing, TrackPiece
from wheelover.core.clearance.sides_nearest import nearest_by_side
from wheelover.core.margins import Margins, any_asked_for_less, margins_of
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import (
    LIMIT_SOURCES,
    ClearanceRows,
    Clearances,
    Infringement,
    PieceLeast,
)
from wheelover.core.types.when_asked import Places, WhenAsked


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
    """What was measured of a track: what it asks, and all rows that may matter.

    ``lines`` gives its pieces as lines in space, which not every asker needs. Rows stand in the
    order of pieces and, of each piece, in that of dangers, each pair once. ``lost`` numbers the
    pieces that could not be measured.
    """

    pieces: tuple[TrackPiece, ...]
    lines: Callable[[], TrackLines]
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
        return Measured(pieces=pieces, lines=lambda: track, margins=margins, passing=NO_PASSING)
    passing, lost = passing_near(track, margins, surroundings_wide(hazards, margins))
    return Measured(pieces=pieces, lines=lambda: track, margins=margins, passing=passing, lost=lost)


def judged_whole(
    found: Measured,
    hazards: Hazards,
    looked_at: Measured | None = None,
    about: Bools | None = None,
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
    about : ndarray of bool, shape (pieces,), or None
        With it only rows of dangers are made to which one of these pieces is nearest, or is the one
        that limits. All else that is told is of all pieces.
    """
    lines, margins, pieces = found.lines, found.margins, found.pieces
    if hazards.count == 0 or not pieces:
        return Clearances()
    judged, ids = judge(found.passing, hazards, margins), hazards.ids
    of_dangers = by_danger(judged, ids)
    of_pieces = by_piece(judged, of_dangers.is_nearest, len(pieces), ids)
    places = _places(lines, judged.passing, (of_dangers.nearest, of_pieces.few))
    missed_else = _rules_missed_else(looked_at or found, hazards)
    return Clearances(
        rows=_rows(found, judged, ids, of_dangers, places, about),
        infringements=WhenAsked(
            lambda: (
                infringements_of(pieces, judged, np.flatnonzero(judged.infringed), margins.rules)
                + missed_else
            )
        ),
        least=WhenAsked(lambda: tuple(_least(pieces, judged, of_pieces))),
        unmeasured=tuple(pieces[number].piece for number in sorted(found.lost)),
        near=WhenAsked(
            lambda: few_near(lines(), judged, of_pieces.few, places[of_pieces.few], margins.rules)
        ),
        near_left_out={
            pieces[number].piece: int(of_pieces.left_out_count[number])
            for number in np.flatnonzero(of_pieces.left_out_count).tolist()
        },
        sides=WhenAsked(lambda: nearest_by_side(pieces, judged, by_side(judged, len(pieces), ids))),
    )


def _places(lines: Callable[[], TrackLines], passing: Passing, wanted: tuple[Ints, ...]) -> Places:
    """Return the nearest places on the track of all rows, reckoned for some of them only."""

    def reckon() -> tuple[Floats, Floats]:
        is_wanted = np.zeros(passing.piece.size, dtype=np.bool_)
        for rows in wanted:
            is_wanted[rows] = True
        lat, lon = np.full((2, passing.piece.size), np.nan)
        lat[is_wanted], lon[is_wanted] = places_of(lines(), passing.rows(np.flatnonzero(is_wanted)))
        return lat, lon

    return Places(reckon)


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
    margins = found.margins
    if not margins.rules or not any_asked_for_less(hazards, margins):
        return ()
    alone = replace(margins, limit_m=margins.rule_m)
    passing, _ = passing_near(found.lines(), alone, surroundings_wide(hazards, alone, own=False))
    judged = judge(passing, hazards, margins)
    kept = np.flatnonzero(judged.rule_missed & ~judged.infringed)
    return infringements_of(found.pieces, judged, kept, margins.rules)


def _rows(
    found: Measured,
    judged: Judged,
    ids: tuple[str, ...],
    of_dangers: ByDanger,
    places: Places,
    about: Bools | None,
) -> ClearanceRows:
    """Return one row for each danger that is listed, nearest first.

    A danger is not met if it is inside its limit on any piece at all: the nearest piece may ask
    for less than another that lies farther off, and then the limit shown is the one that is not
    kept. Where the track was not measured as a whole nothing is said to be met.
    """
    row, worst = of_dangers.nearest, of_dangers.worst
    shown = np.where(worst >= 0, worst, row)
    if about is not None:
        limits = about[judged.passing.piece[shown]] & (judged.limit_source[shown] >= 0)
        kept = np.flatnonzero(about[judged.passing.piece[row]] | limits)
        row, worst, shown = row[kept], worst[kept], shown[kept]
    inside = worst >= 0
    passing = judged.passing.rows(row)
    limit_m, limit_source = judged.limit_m[shown], judged.limit_source[shown]
    limited = limit_source >= 0
    outside = keeps_limit(judged.clearance_m[shown], limit_m)
    met = np.where(limited, outside & ~inside, -1)
    return ClearanceRows(
        ids=ids,
        pieces=tuple(map(attrgetter("piece"), found.pieces)),
        hazard=passing.hazard,
        distance_m=passing.distance_m,
        clearance_m=judged.clearance_m[row],
        nearest=places[row],
        danger_lat_deg=passing.danger_lat_deg,
        danger_lon_deg=passing.danger_lon_deg,
        piece=passing.piece,
        side=passing.side,
        limit_m=limit_m,
        limit_source=limit_source,
        limit_piece=np.where(limited, judged.passing.piece[shown], -1),
        met=met if not found.lost else np.where(met == 1, -1, met),
    )


def _least(
    pieces: tuple[TrackPiece, ...], judged: Judged, of_pieces: ByPiece
) -> Iterator[PieceLeast]:
    """Yield the danger with the least margin, or clearance, from each piece that has one near."""
    numbers = np.flatnonzero(of_pieces.least >= 0)
    rows, passing = of_pieces.least[numbers], judged.passing
    columns = (passing.hazard, passing.distance_m, judged.clearance_m, judged.limit_m,
               judged.limit_source, keeps_limit(judged.clearance_m, judged.limit_m))  # fmt: skip
    for number, count, hazard, distance_m, clearance_m, limit_m, source, is_kept in zip(
        numbers.tolist(),
        of_pieces.infringed_count[numbers].tolist(),
        *(one[rows].tolist() for one in columns),
        strict=True,
    ):
        yield PieceLeast(
            piece=pieces[number].piece,
            hazard_index=hazard,
            distance_m=distance_m,
            clearance_m=clearance_m,
            limit_m=limit_m if source >= 0 else None,
            limit_source=LIMIT_SOURCES[source] if source >= 0 else None,
            met=is_kept if source >= 0 else None,
            infringed_count=count,
        )
