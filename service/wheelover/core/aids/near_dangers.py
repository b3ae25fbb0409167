"""The dangers near each leg: those that lines are sought past, and all that a line may leave out.

Lines are sought past a few dangers of each leg, but held against every danger that is listed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.clearing_plane import Shape, shapes_of
from wheelover.core.arrays import Floats, Ints
from wheelover.core.geo import geodesic
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import Clearances
from wheelover.core.types.track import LegLine, PlannedLeg, PlannedTurn
from wheelover.core.units import NM_M

MOST_DANGERS = 4
"""Past so many dangers of each leg, with the least left over their margin, lines are sought first.

A line may clear others beside its stretch as well.
"""

MOST_MORE = 8
"""Past so many more, of those that no line clears by then, they are sought after."""

LISTED_M = 2.0 * NM_M
"""Dangers as near as this to the track are listed, whatever margin is asked of them."""

_GROUP_M = 3.0 * NM_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """A danger near a leg: about where along it, and what is left over its margin."""

    hazard: int
    along_m: float
    left_m: float


def near_legs(
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    clearances: Clearances,
    ids: Sequence[str],
) -> tuple[dict[int, list[Near]], dict[int, list[Near]]]:
    """Return the few dangers nearest to each leg, of its turns too, and all others that are listed.

    Both begin with those with the least left over their margin.

    Parameters
    ----------
    legs, turns
        The track.
    clearances : Clearances
        The dangers near it.
    ids : sequence of str
        Those of the dangers: of two as near, or at one place along, they say which comes first.
    """
    to_end = {leg.from_index + 1: leg for leg in legs}
    from_start = {leg.from_index: leg for leg in legs}
    waypoint = {turn.index: turn.waypoint_index for turn in turns}
    found: dict[int, dict[int, Near]] = {}

    def add(leg_index: int, one: Near) -> None:
        before = found.setdefault(leg_index, {}).get(one.hazard)
        if before is None or one.left_m < before.left_m:
            found[leg_index][one.hazard] = one

    for row in clearances.near:
        left_m = row.clearance_m - (row.limit_m or 0.0)
        if row.piece.kind == "leg":
            add(row.piece.index, Near(hazard=row.hazard_index, along_m=row.along_m, left_m=left_m))
            continue
        at = waypoint[row.piece.index]
        for leg, at_end in ((to_end.get(at), True), (from_start.get(at), False)):
            if leg is not None:
                along_m = leg.track_to_m if at_end else leg.track_from_m
                add(leg.index, Near(hazard=row.hazard_index, along_m=along_m, left_m=left_m))
    for index, one in _listed_beside(legs, (to_end, from_start), waypoint, clearances):
        if one.hazard not in found.get(index, {}):
            add(index, one)
    ranked = {
        index: sorted(each.values(), key=lambda one: (one.left_m, ids[one.hazard]))
        for index, each in found.items()
    }
    return (
        {index: each[:MOST_DANGERS] for index, each in ranked.items()},
        {index: each[MOST_DANGERS:] for index, each in ranked.items()},
    )


def _listed_beside(
    legs: Sequence[PlannedLeg],
    beside: tuple[dict[int, PlannedLeg], dict[int, PlannedLeg]],
    waypoint: dict[int, int],
    clearances: Clearances,
) -> Iterator[tuple[int, Near]]:
    """Yield every danger that is listed, where it is nearest to the track, with its leg."""
    rows = clearances.rows
    left_m = rows.clearance_m - np.where(rows.limit_source >= 0, rows.limit_m, 0.0)
    by_index = {leg.index: leg for leg in legs}
    on_legs: list[tuple[int, LegLine]] = []
    for row, number in enumerate(rows.piece.tolist()):
        piece = rows.pieces[number]
        if piece.kind == "leg":
            path = by_index[piece.index].path
            if path is not None:
                on_legs.append((row, path))
            continue
        hazard, left = int(rows.hazard[row]), float(left_m[row])
        for legs_beside, at_end in zip(beside, (True, False), strict=True):
            leg = legs_beside.get(waypoint[piece.index])
            if leg is not None:
                along_m = leg.track_to_m if at_end else leg.track_from_m
                yield leg.index, Near(hazard=hazard, along_m=along_m, left_m=left)
    if not on_legs:
        return
    which = np.array([row for row, _ in on_legs])
    starts = np.array([(path.start.lat_deg, path.start.lon_deg) for _, path in on_legs]).T
    away_m = geodesic.inverse(
        starts[0], starts[1], rows.nearest_lat_deg[which], rows.nearest_lon_deg[which]
    )[2]
    for (row, path), along_m in zip(on_legs, away_m.tolist(), strict=True):
        index = rows.pieces[int(rows.piece[row])].index
        # On a rhumb line the way from its start is a little shorter than along it.
        near_m = min(along_m, path.length_m)
        yield index, Near(hazard=int(rows.hazard[row]), along_m=near_m, left_m=float(left_m[row]))


def groups_of(near: list[Near]) -> list[list[Near]]:
    """Return dangers in groups that lie near to one another along the leg."""
    groups: list[list[Near]] = []
    for one in near:
        if groups and one.along_m - groups[-1][0].along_m <= _GROUP_M:
            groups[-1].append(one)
        else:
            groups.append([one])
    return groups


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """All dangers near the track with their shapes, each in a ball about its middle."""

    hazard: Ints
    shapes: dict[int, Shape]
    middles_m: Floats
    reach_m: Floats

    def around(self, lat_deg: float, lon_deg: float, within_m: float) -> list[int]:
        """Return the dangers of which some part may lie within a distance of a place."""
        if self.hazard.size == 0:
            return []
        away = self.middles_m - earth_centred_m(np.array([lat_deg]), np.array([lon_deg]))
        rows = np.sqrt(np.einsum("ij,ij->i", away, away)) <= self.reach_m + within_m
        found: list[int] = self.hazard[rows].tolist()
        return found


def listed_of(hazards: Hazards, clearances: Clearances) -> Listed:
    """Return all dangers near the track, those of the few of each piece among them."""
    few = np.array([one.hazard_index for one in clearances.near], dtype=np.int64)
    rows = clearances.rows
    which = np.union1d(few, rows.hazard).astype(np.int64)
    shapes = shapes_of(hazards, which)
    middles, reach = [], []
    for one in which.tolist():
        places = earth_centred_m(shapes[one].lat_deg, shapes[one].lon_deg)
        middle = np.mean(places, axis=0)
        middles.append(middle)
        reach.append(float(np.max(np.linalg.norm(places - middle, axis=1))))
    return Listed(
        hazard=which,
        shapes=shapes,
        middles_m=np.array(middles, np.float64).reshape(-1, 3),
        reach_m=np.array(reach, np.float64),
    )


def kept_off_m(hazards: Hazards, which: Ints, asked_m: Floats) -> Floats:
    """Return what is kept off dangers: margin and uncertainty; nan where no margin is asked.

    Parameters
    ----------
    hazards : Hazards
        All dangers.
    which : ndarray of int, shape (n,)
        Those of interest.
    asked_m : ndarray, shape (n,)
        The margin asked of each, where it has none of its own.
    """
    own_m = hazards.min_clearance_m[which]
    margin_m = np.where(np.isnan(own_m), asked_m, own_m)
    return np.asarray(margin_m + hazards.position_uncertainty_m[which], np.float64)
