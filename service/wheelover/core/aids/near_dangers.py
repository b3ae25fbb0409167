"""The dangers near each leg: those that lines are sought past, and all that a line may leave out.

Lines are sought past a few dangers of each leg, but held against every danger that is listed.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.clearing_plane import Shapes, shapes_of
from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import Clearances
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import NM_M

MOST_DANGERS = 4
"""Past so many dangers of each leg, with the least left over their margin, lines are sought."""

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
) -> tuple[dict[int, list[Near]], dict[int, int]]:
    """Return the dangers near each leg, of its turns too, and how many more there are of each.

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
    few = {
        index: sorted(each.values(), key=lambda one: (one.left_m, ids[one.hazard]))[:MOST_DANGERS]
        for index, each in found.items()
    }
    sides_of = {index: (to_end.get(at), from_start.get(at)) for index, at in waypoint.items()}
    more = _more(legs, sides_of, clearances, found, few)
    in_order = {
        index: sorted(each, key=lambda one: (one.along_m, ids[one.hazard]))
        for index, each in few.items()
    }
    return in_order, more


def _more(
    legs: Sequence[PlannedLeg],
    sides_of: Mapping[int, tuple[PlannedLeg | None, PlannedLeg | None]],
    clearances: Clearances,
    found: Mapping[int, Collection[int]],
    few: Mapping[int, Collection[Near]],
) -> dict[int, int]:
    """Return of each leg how many dangers are listed beside it and its turns but the few."""
    rows = clearances.rows
    place = {leg.index: number for number, leg in enumerate(legs)}
    beside = np.full((len(rows.pieces), 2), -1, dtype=np.int64)
    for number, piece in enumerate(rows.pieces):
        if piece.kind == "leg":
            beside[number, 0] = place[piece.index]
        else:
            beside[number] = [
                -1 if one is None else place[one.index] for one in sides_of[piece.index]
            ]
    leg = np.concatenate([beside[rows.piece, 0], beside[rows.piece, 1]])
    hazard = np.concatenate([rows.hazard, rows.hazard])
    near = [(place[index], one) for index, each in found.items() for one in each]
    pairs = np.concatenate([
        np.stack([leg, hazard], axis=1)[leg >= 0],
        np.array(near, dtype=np.int64).reshape(-1, 2),
    ])  # fmt: skip
    many = np.bincount(np.unique(pairs, axis=0)[:, 0], minlength=len(legs)).tolist()
    return {
        one.index: many[number] - len(few.get(one.index, ()))
        for number, one in enumerate(legs)
        if many[number]
    }


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

    shapes: Shapes
    middles_m: Floats
    reach_m: Floats

    @property
    def hazard(self) -> Ints:
        """Return the numbers of the dangers."""
        return self.shapes.hazard

    def around(self, lat_deg: float, lon_deg: float, within_m: float) -> Bools:
        """Return of which dangers some part may lie within a distance of a place."""
        away = self.middles_m - earth_centred_m(np.array([lat_deg]), np.array([lon_deg]))
        return np.asarray(np.sqrt(np.einsum("ij,ij->i", away, away)) <= self.reach_m + within_m)


def listed_of(hazards: Hazards, clearances: Clearances) -> Listed:
    """Return all dangers near the track, those of the few of each piece among them."""
    few = np.array([one.hazard_index for one in clearances.near], dtype=np.int64)
    shapes = shapes_of(hazards, np.union1d(few, clearances.rows.hazard).astype(np.int64))
    first, count = shapes.starts[:-1], np.diff(shapes.starts)
    places = earth_centred_m(shapes.lat_deg, shapes.lon_deg)
    middles = np.add.reduceat(places, first, axis=0) / count[:, None] if count.size else places
    away_m = np.linalg.norm(places - np.repeat(middles, count, axis=0), axis=1)
    return Listed(
        shapes=shapes,
        middles_m=middles,
        reach_m=np.maximum.reduceat(away_m, first) if count.size else away_m,
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
