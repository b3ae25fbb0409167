"""The dangers near each leg: those that lines are sought past, and all that a line may leave out.

Lines are sought past a few dangers of each leg, but held against every danger that is listed.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.clearing_plane import Shapes, shapes_of
from wheelover.core.arrays import Bools, Floats, Ints, tied_m
from wheelover.core.geo import geodesic
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import Clearances, Piece
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import NM_M

MOST_DANGERS = 4
"""Past so many dangers of each leg, with the least left over their margin, lines are sought first.

A line may clear others beside its stretch as well.
"""

MOST_MORE = 8
"""Past so many more, with the least left of the others, lines are sought where none clears them."""

LISTED_M = 2.0 * NM_M
"""Dangers as near as this to the track are listed, whatever margin is asked of them."""

_GROUP_M = 3.0 * NM_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """A danger near a leg: about where along it, and what is left over its margin."""

    hazard: int
    along_m: float
    left_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NearLeg:
    """The dangers near a leg, those with the least left over their margin first.

    Past the ``first`` lines are sought, past ``more`` where no line clears them by then; ``others``
    are the numbers of all the rest that is listed.
    """

    first: tuple[Near, ...]
    more: tuple[Near, ...]
    others: Ints


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pairs:
    """Legs by their place and dangers near them, in columns of shape (n,).

    ``along_m`` is nan where it is that of a row of the clearances, whose number is ``row``.
    """

    leg: Ints
    hazard: Ints
    left_m: Floats
    along_m: Floats
    row: Ints

    def of(self, which: Ints) -> "_Pairs":
        """Return the rows of the given numbers."""
        return _Pairs(
            leg=self.leg[which],
            hazard=self.hazard[which],
            left_m=self.left_m[which],
            along_m=self.along_m[which],
            row=self.row[which],
        )


def near_legs(
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    clearances: Clearances,
    ids: Sequence[str],
) -> dict[int, NearLeg]:
    """Return the dangers near each leg, of its turns too, by the index of the leg.

    Parameters
    ----------
    legs, turns
        The track.
    clearances : Clearances
        The dangers near it.
    ids : sequence of str
        Those of the dangers: of two as near, or at one place along, they say which comes first.
    """
    pairs = _pairs(legs, turns, clearances)
    found = {}
    for number in np.unique(pairs.leg).tolist():
        beside = pairs.of(np.flatnonzero(pairs.leg == number))
        left_m = tied_m(beside.left_m)
        most = MOST_DANGERS + MOST_MORE
        taken = np.arange(beside.hazard.size)
        if taken.size > most:
            kth_m = np.partition(left_m, most - 1)[most - 1]
            taken = np.flatnonzero(left_m <= kth_m)
        key = {one: (float(left_m[one]), ids[int(beside.hazard[one])]) for one in taken.tolist()}
        ranked = sorted(key, key=lambda one: key[one])[:most]
        rest = np.ones(beside.hazard.size, np.bool_)
        rest[ranked] = False
        near = _placed(legs[number], beside.of(np.array(ranked, dtype=np.int64)), clearances)
        found[legs[number].index] = NearLeg(
            first=near[:MOST_DANGERS], more=near[MOST_DANGERS:], others=beside.hazard[rest]
        )
    return found


def _placed(leg: PlannedLeg, pairs: _Pairs, clearances: Clearances) -> tuple[Near, ...]:
    """Return dangers near a leg with about where along it each is."""
    along_m = pairs.along_m.copy()
    bare = np.flatnonzero(np.isnan(along_m))
    if bare.size and leg.path is not None:
        start, rows, which = leg.path.start, clearances.rows, pairs.row[bare]
        # On a rhumb line the way from its start is a little shorter than along it.
        away_m = geodesic.inverse(
            start.lat_deg, start.lon_deg, rows.nearest.lat_deg[which], rows.nearest.lon_deg[which]
        )[2]
        along_m[bare] = np.minimum(away_m, leg.length_m)
    columns = (pairs.hazard.tolist(), along_m.tolist(), pairs.left_m.tolist())
    return tuple(
        Near(hazard=hazard, along_m=at_m, left_m=left_m)
        for hazard, at_m, left_m in zip(*columns, strict=True)
    )


def _pairs(
    legs: Sequence[PlannedLeg], turns: Sequence[PlannedTurn], clearances: Clearances
) -> _Pairs:
    """Return every leg with every danger that is listed beside it or its turns, each pair once."""
    place = {leg.index: number for number, leg in enumerate(legs)}
    to_end = {leg.from_index + 1: leg for leg in legs}
    from_start = {leg.from_index: leg for leg in legs}
    waypoint = {turn.index: turn.waypoint_index for turn in turns}

    def beside(piece: Piece) -> list[tuple[int, float]]:
        if piece.kind == "leg":
            return [(place[piece.index], np.nan)]
        before, after = to_end.get(waypoint[piece.index]), from_start.get(waypoint[piece.index])
        ends = [] if before is None else [(place[before.index], before.track_to_m)]
        return ends if after is None else [*ends, (place[after.index], after.track_from_m)]

    few = [
        (number, one.hazard_index, one.clearance_m - (one.limit_m or 0.0), along_m)
        for one in clearances.near
        for number, end_m in beside(one.piece)
        for along_m in (one.along_m if one.piece.kind == "leg" else end_m,)
    ]
    rows = clearances.rows
    sides = np.full((len(rows.pieces), 2), -1, dtype=np.int64)
    ends_m = np.full((len(rows.pieces), 2), np.nan)
    for number, piece in enumerate(rows.pieces):
        for side, (leg, end_m) in enumerate(beside(piece)):
            sides[number, side], ends_m[number, side] = leg, end_m
    left_m = rows.clearance_m - np.where(rows.limit_source >= 0, rows.limit_m, 0.0)
    near = np.array(few, np.float64).reshape(-1, 4)
    every = np.arange(len(rows))
    leg_of = np.concatenate([near[:, 0].astype(np.int64), *sides[rows.piece].T])
    hazard = np.concatenate([near[:, 1].astype(np.int64), rows.hazard, rows.hazard])
    all_of = _Pairs(
        leg=leg_of,
        hazard=hazard,
        left_m=np.concatenate([near[:, 2], left_m, left_m]),
        along_m=np.concatenate([near[:, 3], *ends_m[rows.piece].T]),
        row=np.concatenate([np.full(len(near), -1, np.int64), every, every]),
    )
    # Of one pair the first with the least left counts, and those of the few come first.
    order = np.lexsort((np.arange(hazard.size), all_of.left_m, hazard, leg_of))
    kept = all_of.of(order[leg_of[order] >= 0])
    same = np.zeros(kept.leg.size, np.bool_)
    same[1:] = (kept.leg[1:] == kept.leg[:-1]) & (kept.hazard[1:] == kept.hazard[:-1])
    return kept.of(np.flatnonzero(~same))


def groups_of(near: Sequence[Near]) -> list[list[Near]]:
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
