"""Clearance of the whole planned track from point dangers.

Legs alone would not do: where an arc is nearest, a check of the legs is too kind in about half
the cases and too strict in the rest. Every piece is looked at, every distance is a geodesic.
"""

from collections import Counter
from collections.abc import Iterator

import numpy as np

from wheelover.core.clearance.of_arcs import passing_arc
from wheelover.core.clearance.of_legs import passing_leg
from wheelover.core.clearance.passing import (
    LEAST_SEARCH_M,
    ON_TRACK_M,
    Passing,
    SearchIndex,
    TrackPiece,
    search_index,
)
from wheelover.core.types.chart import PointHazards
from wheelover.core.types.plan import (
    Clearance,
    Clearances,
    Infringement,
    LimitSource,
    PieceLeast,
)
from wheelover.core.types.route import Position


def clear(
    pieces: tuple[TrackPiece, ...], hazards: PointHazards, plan_limit_m: float | None
) -> Clearances:
    """Return how near the track comes to each danger, and where it is too near.

    Parameters
    ----------
    pieces : tuple of TrackPiece
        The planned track in sailing order.
    hazards : PointHazards
        The dangers.
    plan_limit_m : float or None
        Clearance asked for where neither the danger nor the leg has a limit of its own.

    Notes
    -----
    Shortest geodesic distance on WGS84; error below 1e-6 m within 10 NM and below 1e-4 m at
    100 NM (tests/core/test_clearance.py).
    """
    if hazards.count == 0 or not pieces:
        return Clearances()
    index = search_index(pieces, hazards, plan_limit_m)
    passings = [_passing(piece, hazards, index) for piece in pieces]
    nearest = _nearest_of_all(passings, hazards.count)
    rows = [
        _clearance(pieces[number], passings[number], row, hazards, plan_limit_m)
        for number, row in nearest
    ]
    listed = [row for row in rows if row.distance_m <= _listing_m(row, hazards)]
    listed.sort(key=lambda row: (row.distance_m, row.hazard_index))
    infringements = tuple(_infringements(pieces, passings, hazards, plan_limit_m))
    return Clearances(
        rows=tuple(listed),
        infringements=infringements,
        least=tuple(_least(pieces, passings, infringements, hazards, plan_limit_m)),
    )


def limit_on_piece(
    hazards: PointHazards, hazard_index: int, piece: TrackPiece, plan_limit_m: float | None
) -> tuple[float | None, LimitSource | None]:
    """Return the limit that counts: the danger's own, else the leg's, else the plan's."""
    own_m = float(hazards.min_clearance_m[hazard_index])
    if not np.isnan(own_m):
        return own_m, "hazard"
    if piece.limit_m is not None:
        return piece.limit_m, "leg"
    return (plan_limit_m, "plan") if plan_limit_m is not None else (None, None)


def keeps_limit(clearance_m: float, limit_m: float) -> bool:
    """Return whether a clearance is outside a limit.

    On the limit is not outside it, and an undefined clearance is outside nothing.
    """
    return clearance_m > limit_m


def _listing_m(row: Clearance, hazards: PointHazards) -> float:
    """Return the distance within which a danger gets a row."""
    uncertainty_m = float(hazards.position_uncertainty_m[row.hazard_index])
    return max((row.limit_m or 0.0) + uncertainty_m, LEAST_SEARCH_M)


def _passing(piece: TrackPiece, hazards: PointHazards, index: SearchIndex) -> Passing:
    """Return the nearest points of one piece to the dangers near it."""
    if piece.arc is not None:
        return passing_arc(piece.arc, hazards, index)
    if piece.leg is None:
        raise AssertionError("a piece of the track is either a leg or an arc")
    return passing_leg(piece, piece.leg, hazards, index)


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
    hazards: PointHazards,
    plan_limit_m: float | None,
) -> Clearance:
    """Return the row of one danger at its nearest piece."""
    hazard = int(passing.hazard[row])
    distance_m = float(passing.distance_m[row])
    if distance_m < ON_TRACK_M:
        distance_m = 0.0
    clearance_m = distance_m - float(hazards.position_uncertainty_m[hazard])
    limit_m, source = limit_on_piece(hazards, hazard, piece, plan_limit_m)
    return Clearance(
        hazard_index=hazard,
        hazard_id=hazards.ids[hazard],
        distance_m=distance_m,
        clearance_m=clearance_m,
        nearest=Position(lat_deg=float(passing.lat_deg[row]), lon_deg=float(passing.lon_deg[row])),
        hazard_point=Position(
            lat_deg=float(hazards.lat_deg[hazard]), lon_deg=float(hazards.lon_deg[hazard])
        ),
        piece=piece.piece,
        side=passing.side[row],
        limit_m=limit_m,
        limit_source=source,
        met=None if limit_m is None else keeps_limit(clearance_m, limit_m),
    )


def _infringements(
    pieces: tuple[TrackPiece, ...],
    passings: list[Passing],
    hazards: PointHazards,
    plan_limit_m: float | None,
) -> Iterator[Infringement]:
    """Yield every danger and piece where the limit that counts there is not kept."""
    for piece, passing in zip(pieces, passings, strict=True):
        clearance_m = passing.distance_m - hazards.position_uncertainty_m[passing.hazard]
        for row in np.argsort(passing.hazard, kind="stable"):
            hazard = int(passing.hazard[row])
            limit_m, source = limit_on_piece(hazards, hazard, piece, plan_limit_m)
            if limit_m is None or source is None:
                continue
            if not keeps_limit(float(clearance_m[row]), limit_m):
                yield Infringement(
                    hazard_index=hazard,
                    piece=piece.piece,
                    clearance_m=float(clearance_m[row]),
                    limit_m=limit_m,
                    limit_source=source,
                )


def _least(
    pieces: tuple[TrackPiece, ...],
    passings: list[Passing],
    infringements: tuple[Infringement, ...],
    hazards: PointHazards,
    plan_limit_m: float | None,
) -> Iterator[PieceLeast]:
    """Yield the danger with the least clearance from each piece that has one near."""
    infringed = Counter(one.piece for one in infringements)
    for piece, passing in zip(pieces, passings, strict=True):
        if passing.hazard.size == 0:
            continue
        clearance_m = passing.distance_m - hazards.position_uncertainty_m[passing.hazard]
        row = int(np.argmin(clearance_m))
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
