"""Objects to index on: which marks are looked at beside which leg, and what each is good for.

What is asked of an object is common practice of the trade, from memory: it shall be fixed,
radar-conspicuous, inside the range scale in use, and no farther ahead or astern than half of that,
for there a small error of the heading line shifts the echo a long way.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.leg_light import When
from wheelover.core.aids.near_marks import NearMarks
from wheelover.core.aids.sight import Lookout
from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import signed_change_deg, sin_cos_deg
from wheelover.core.legs import Feet, feet_on_leg, in_columns, points_along
from wheelover.core.types.aid_lines import RadarSet
from wheelover.core.types.marks import Mark
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import NM_M, m_from_nm

LEAST_RANGE_M = 0.1 * NM_M
"""Nearer than this the echo runs into the heading line and the clutter around her."""

ALONG_RATIO = 0.5
"""An object serves no farther ahead or astern of abeam than this part of the range scale."""

_FEW_PER_PART = 2
_WELL_OFF_M = 0.3 * NM_M
_LEAST_STRETCH_M = 1.0
_ROUGH_M = 0.5 * NM_M

NOT_LOOKED_AT = -1
CHOSEN = -2
"""What stands for a rank where a mark is not looked at, or was chosen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """The marks of a plan, and from how far each may be seen, metres, of shape (n,).

    ``horizon_m`` is over the horizon to the radar, nan where a height is not known. By eye they are
    looked for from ``lookout``, and at the times of ``when``. ``fixed`` says which do not float.
    """

    marks: Sequence[Mark]
    radar: RadarSet
    horizon_m: Floats
    fixed: Bools
    lat_deg: Floats
    lon_deg: Floats
    lookout: Lookout
    when: When

    @property
    def scale_m(self) -> float:
        """Return the range scale in use."""
        return m_from_nm(self.radar.range_scale_nm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Pairs of a leg and a mark, measured: ``serves_m`` has shape (p, 2)."""

    leg: Ints
    mark: Ints
    rank: Ints
    feet: Feet
    serves_m: Floats
    varies_m: Floats
    change_deg: Floats
    bearing_deg: Floats


def rank_of(mark: Mark) -> int | None:
    """Return how good a mark is to index on, 0 the best; None where radar does not show it."""
    if mark.radar_conspicuous is False:
        return None
    if mark.floating:
        return 2
    return 0 if mark.radar_conspicuous else 1


def measured(
    legs: Sequence[PlannedLeg],
    seen: Seen,
    near: NearMarks,
    chosen: Mapping[int, tuple[str, ...]],
) -> Measured | None:
    """Return all pairs of legs and marks that are looked at, measured; None without any."""
    near = near.rows(_may_serve(legs, near, seen, chosen))
    rank = _ranks(legs, near, seen, chosen)
    rows = _few(near, rank, seen.scale_m)
    if rows.size == 0:
        return None
    near, rank = near.rows(rows), rank[rows]
    lines = in_columns([legs[one].path for one in near.leg.tolist()])
    lat, lon = seen.lat_deg[near.mark], seen.lon_deg[near.mark]
    feet = feet_on_leg(lines, near.along_m - _ROUGH_M, near.along_m + _ROUGH_M, lat, lon)
    horizon_m = seen.horizon_m[near.mark]
    most_m = np.where(np.isnan(horizon_m), seen.scale_m, np.minimum(horizon_m, seen.scale_m))
    half_m = np.sqrt(np.maximum(most_m**2 - feet.distance_m**2, 0.0))
    half_m = np.minimum(half_m, ALONG_RATIO * seen.scale_m)
    ends_m = np.array([(legs[one].track_from_m, legs[one].track_to_m) for one in near.leg.tolist()])
    serves_m = np.stack([feet.along_m - half_m, feet.along_m + half_m], axis=1)
    serves_m = np.clip(serves_m, ends_m[:, :1], ends_m[:, 1:])
    _, _, abeam_deg = points_along(lines, feet.along_m)
    end_lat, end_lon, end_deg = points_along(lines, serves_m.T)
    azimuth_deg, _, away_m = geodesic.inverse(end_lat, end_lon, lat, lon)
    across_m = away_m * sin_cos_deg(azimuth_deg - abeam_deg)[0]
    varies_m = np.max(np.abs(np.abs(across_m) - feet.distance_m), axis=0)
    return Measured(
        leg=near.leg,
        mark=near.mark,
        rank=rank,
        feet=feet,
        serves_m=serves_m,
        varies_m=varies_m,
        change_deg=signed_change_deg(end_deg[0], end_deg[1]),
        bearing_deg=abeam_deg,
    )


def _may_serve(
    legs: Sequence[PlannedLeg],
    near: NearMarks,
    seen: Seen,
    chosen: Mapping[int, tuple[str, ...]],
) -> Ints:
    """Return the pairs where the mark may be of use on the leg, and all of legs with a choice."""
    reach_m = ALONG_RATIO * seen.scale_m + _ROUGH_M
    ends_m = np.array([(leg.track_from_m, leg.track_to_m) for leg in legs]).reshape(-1, 2)
    asked = np.array([bool(chosen.get(leg.index)) for leg in legs], np.bool_)
    beside = near.along_m > ends_m[near.leg, 0] - reach_m
    beside &= near.along_m < ends_m[near.leg, 1] + reach_m
    inside = np.abs(near.across_m) < seen.scale_m + _ROUGH_M
    return np.flatnonzero(inside & (beside | asked[near.leg]))


def _ranks(
    legs: Sequence[PlannedLeg], near: NearMarks, seen: Seen, chosen: Mapping[int, tuple[str, ...]]
) -> Ints:
    """Return how good each pair is, -1 where it is not looked at."""
    by_mark = np.array([NOT_LOOKED_AT if (one := rank_of(m)) is None else one for m in seen.marks])
    rank = by_mark[near.mark]
    for number, leg in enumerate(legs):
        wanted = set(chosen.get(leg.index, ()))
        if wanted:
            rows = np.flatnonzero(near.leg == number)
            ours = [seen.marks[one].id in wanted for one in near.mark[rows].tolist()]
            rank[rows] = np.where(ours, CHOSEN, rank[rows])
    return rank


def _few(near: NearMarks, rank: Ints, scale_m: float) -> Ints:
    """Return the pairs to measure: the chosen, and of each stretch of a leg a few of each rank.

    Those well off the heading line come first, and of these the nearer.
    """
    across_m = np.abs(near.across_m)
    part = np.floor(near.along_m / (ALONG_RATIO * scale_m / 2.0))
    close = across_m < _WELL_OFF_M
    order = np.lexsort((near.mark, across_m, close, rank, part, near.leg))
    new = np.append(
        True,
        (np.diff(near.leg[order]) != 0)
        | (np.diff(part[order]) != 0.0)
        | (np.diff(rank[order]) != 0),
    )[: order.size]
    first = np.maximum.accumulate(np.where(new, np.arange(order.size), 0))
    place = np.arange(order.size) - first
    kept = ((place < _FEW_PER_PART) & (rank[order] >= 0)) | (rank[order] == CHOSEN)
    return np.sort(order[kept])


def why_not(found: Measured, row: int, seen: Seen) -> str | None:
    """Return why a pair gives no line, None where it does."""
    range_m = float(found.feet.distance_m[row])
    if range_m < LEAST_RANGE_M:
        return f"it lies {range_m / NM_M:.2f} NM off the leg, too near the heading line"
    if range_m >= seen.scale_m:
        return f"it lies outside the range scale of {seen.radar.range_scale_nm:g} NM"
    if found.serves_m[row, 1] - found.serves_m[row, 0] <= _LEAST_STRETCH_M:
        return "it is nowhere on the leg inside the range scale and near enough to abeam"
    return None
