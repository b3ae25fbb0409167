"""Clearance of the whole planned track from dangers that are points, lines and areas.

Legs alone would not do: where an arc is nearest, a check of the legs is too kind in about half
the cases and too strict in the rest. Every piece is looked at, every distance is a geodesic.
"""

from collections import Counter
from collections.abc import Iterator

import numpy as np

from wheelover.core.clearance.index import Surroundings, search_wide_m, surroundings_of
from wheelover.core.clearance.limits import (
    held_to_worst,
    infringements_of,
    keeps_limit,
    limit_on_piece,
    not_said_met,
    worst_of_each,
)
from wheelover.core.clearance.of_pieces import passing_piece
from wheelover.core.clearance.passing import (
    LEAST_SEARCH_M,
    NO_PASSING,
    Passing,
    TrackPiece,
)
from wheelover.core.errors import OutOfDomain
from wheelover.core.types.chart import Hazards
from wheelover.core.types.plan import (
    Clearance,
    Clearances,
    Infringement,
    PieceLeast,
)
from wheelover.core.types.route import Position


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
    measured = [_passing_or_none(piece, around) for piece in pieces]
    passings = [NO_PASSING if one is None else one for one in measured]
    infringements = tuple(infringements_of(pieces, passings, hazards, plan_limit_m))
    worst = worst_of_each(infringements)
    rows = [
        _clearance(pieces[number], passings[number], row, hazards, plan_limit_m)
        for number, row in _nearest_of_all(passings, hazards.count)
    ]
    whole = all(one is not None for one in measured)
    listed = [
        held_to_worst(row if whole else not_said_met(row), worst.get(row.hazard_index))
        for row in rows
        if row.hazard_index in worst or row.distance_m <= _listing_m(row, hazards)
    ]
    listed.sort(key=lambda row: (row.distance_m, row.hazard_index))
    return Clearances(
        rows=tuple(listed),
        infringements=infringements,
        least=tuple(_least(pieces, passings, infringements, hazards, plan_limit_m)),
        unmeasured=tuple(
            piece.piece for piece, one in zip(pieces, measured, strict=True) if one is None
        ),
    )


def _listing_m(row: Clearance, hazards: Hazards) -> float:
    """Return the distance within which a danger gets a row."""
    uncertainty_m = float(hazards.position_uncertainty_m[row.hazard_index])
    return max((row.limit_m or 0.0) + uncertainty_m, LEAST_SEARCH_M)


def _passing_or_none(piece: TrackPiece, around: Surroundings) -> Passing | None:
    """Return the nearest points of one piece, None where they cannot be found.

    A leg that winds about a pole may curve too sharply; the rest of the track is measured all the
    same, and the register says that this piece is not.
    """
    try:
        return passing_piece(piece, around)
    except OutOfDomain:
        return None


def _nearest_of_all(passings: list[Passing], count: int) -> list[tuple[int, int]]:
    """Return (piece number, row in its passing) of the nearest piece of each danger.

    Between pieces that are equally near to a micrometre the one sailed first is taken.
    """
    best_m = np.full(count, np.inf)
    where: dict[int, tuple[int, int]] = {}
    for number, passing in enumerate(passings):
        for row in np.flatnonzero(passing.distance_m < best_m[passing.hazard] - 1e-6):
            hazard = int(passing.hazard[row])
            best_m[hazard] = passing.distance_m[row]
            where[hazard] = (number, int(row))
    return [where[hazard] for hazard in sorted(where)]


def _clearance(
    piece: TrackPiece,
    passing: Passing,
    row: int,
    hazards: Hazards,
    plan_limit_m: float | None,
) -> Clearance:
    """Return the row of one danger at its nearest piece."""
    hazard = int(passing.hazard[row])
    distance_m = float(passing.distance_m[row])
    clearance_m = distance_m - float(hazards.position_uncertainty_m[hazard])
    limit_m, source = limit_on_piece(hazards, hazard, piece, plan_limit_m)
    return Clearance(
        hazard_index=hazard,
        hazard_id=hazards.ids[hazard],
        distance_m=distance_m,
        clearance_m=clearance_m,
        nearest=Position(lat_deg=float(passing.lat_deg[row]), lon_deg=float(passing.lon_deg[row])),
        hazard_point=Position(
            lat_deg=float(passing.danger_lat_deg[row]), lon_deg=float(passing.danger_lon_deg[row])
        ),
        piece=piece.piece,
        side=passing.side[row],
        limit_m=limit_m,
        limit_source=source,
        limit_piece=None if limit_m is None else piece.piece,
        met=None if limit_m is None else keeps_limit(clearance_m, limit_m),
    )


def _least(
    pieces: tuple[TrackPiece, ...],
    passings: list[Passing],
    infringements: tuple[Infringement, ...],
    hazards: Hazards,
    plan_limit_m: float | None,
) -> Iterator[PieceLeast]:
    """Yield the danger with the least margin, or clearance, from each piece that has one near."""
    infringed = Counter(one.piece for one in infringements)
    for piece, passing in zip(pieces, passings, strict=True):
        if passing.hazard.size == 0:
            continue
        clearance_m = passing.distance_m - hazards.position_uncertainty_m[passing.hazard]
        limits = [
            limit_on_piece(hazards, int(one), piece, plan_limit_m)[0] for one in passing.hazard
        ]
        # Where a limit is given the smallest margin counts, else the smallest clearance.
        margins_m = clearance_m - np.array([0.0 if m is None else m for m in limits])
        row = int(np.argmin(margins_m))
        hazard = int(passing.hazard[row])
        limit_m, source = limit_on_piece(hazards, hazard, piece, plan_limit_m)
        least_m = float(clearance_m[row])
        yield PieceLeast(
            piece=piece.piece,
            hazard_index=hazard,
            distance_m=float(passing.distance_m[row]),
            clearance_m=least_m,
            limit_m=limit_m,
            limit_source=source,
            met=None if limit_m is None else keeps_limit(least_m, limit_m),
            infringed_count=infringed[piece.piece],
        )
