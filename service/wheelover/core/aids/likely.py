"""The likely cues among many marks: scored all at once, in the plane about each wheel-over."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.candidates import MOST_M
from wheelover.core.aids.helms import Helm
from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.aids.radar import RADAR_RANGE_M, RADAR_RANGE_RATIO, RANGE_SCALES_NM
from wheelover.core.aids.ranking import (
    FLOATS,
    LARGE_CHANGE_DEG,
    LEAST_CROSSING_DEG,
    LEAST_TELLING_DEG,
    MOST_ERROR_M,
    NEAR_BEAM_DEG,
    NEAR_PARALLEL_DEG,
    PREFERRED,
    SEEN,
    WEAK,
)
from wheelover.core.aids.sight import (
    LEAST_ANGLE_MIN,
    Lookout,
    geographical_range_nm,
    luminous_range_nm,
    radar_range_nm,
    vertical_angle_min,
)
from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.types.cues import CueKind
from wheelover.core.units import NM_M, nm_from_m

MOST_LOOKED_AT = 300
"""So many of the nearest marks are looked at for each turn: nearer ones tell more."""

LEAST_RANGE_M = 0.1 * NM_M
"""A mark nearer than this is passed before it can be observed."""

KINDS: tuple[CueKind, ...] = ("bearing", "range", "index")

_OF_EACH_KIND = 3

_YES, _NOT_KNOWN, _NO = 0.0, 1.0, 2.0
_HALF_DEGREE_RAD = float(np.radians(0.5))


@dataclass(frozen=True, slots=True, kw_only=True)
class Likely:
    """One mark, by its number, observed in one way at one turn, by its place among the turns."""

    of: int
    mark: int
    kind: CueKind


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """Marks as seen from wheel-overs, in arrays of shape (turns, marks)."""

    mark: Ints
    there: Bools
    range_m: Floats
    relative_rad: Floats
    parallel_rad: Floats


def likely_cues(
    marks: MarkSet, helms: Sequence[Helm], dark: Sequence[bool | None], lookout: Lookout, most: int
) -> list[Likely]:
    """Return the cues that may rank first at each turn, at most so many of each, and the best of
    each kind: what stands in for another may be of a kind that ranks behind.

    Parameters
    ----------
    marks : MarkSet
        The marks, thousands perhaps.
    helms : sequence of Helm
        The turns.
    dark : sequence of bool or None
        Whether it is dark at each, None where that is not known.
    lookout : Lookout
        From where they are looked for.
    most : int
        How many for each turn.

    Notes
    -----
    Positions are taken to the plane that touches the earth at the wheel-over, within 0.001 of
    range and bearing out to 12 NM: enough to choose by. What is chosen is measured anew. Sectors
    of lights are left out here.
    """
    if not marks.marks or not helms:
        return []
    seen = _seen_from(marks, helms)
    score = _scores(marks, seen, helms, dark, lookout)
    flat = score.reshape(len(helms), -1)
    width = seen.mark.shape[1]
    best = np.argsort(flat, axis=1, kind="stable")[:, :most]
    of_kinds = np.argsort(score, axis=2, kind="stable")[:, :, :_OF_EACH_KIND]
    of_kinds = of_kinds + width * np.arange(len(KINDS))[:, None]
    first = np.concatenate([best, of_kinds.reshape(len(helms), -1)], axis=1)
    found = []
    for of, places in enumerate(first.tolist()):
        for place in dict.fromkeys(places):
            if np.isfinite(flat[of, place]):
                kind, column = divmod(place, width)
                found.append(Likely(of=of, mark=int(seen.mark[of, column]), kind=KINDS[kind]))
    return found


def _seen_from(marks: MarkSet, helms: Sequence[Helm]) -> _Seen:
    """Return the nearest marks as seen from each wheel-over."""
    lat = np.array([one.at.lat_deg for one in helms])
    lon = np.array([one.at.lon_deg for one in helms])
    near = marks.nearest(lat, lon, MOST_LOOKED_AT, MOST_M)
    there = near < len(marks.marks)
    mark = np.where(there, near, 0)
    away = marks.places_m[mark] - earth_centred_m(lat, lon)[:, None, :]
    phi, lam = np.radians(lat), np.radians(lon)
    zero = np.zeros_like(phi)
    east = np.stack([-np.sin(lam), np.cos(lam), zero], axis=-1)
    north = np.stack([-np.sin(phi) * np.cos(lam), -np.sin(phi) * np.sin(lam), np.cos(phi)], axis=-1)
    east_m = np.einsum("tkx,tx->tk", away, east)
    north_m = np.einsum("tkx,tx->tk", away, north)
    bearing_rad = np.arctan2(east_m, north_m)
    course_in = np.radians([one.course_in_deg for one in helms])[:, None]
    course_out = np.radians([one.course_out_deg for one in helms])[:, None]
    range_m = np.hypot(east_m, north_m)
    return _Seen(
        mark=mark,
        there=there & (range_m >= LEAST_RANGE_M),
        range_m=np.maximum(range_m, LEAST_RANGE_M),
        relative_rad=bearing_rad - course_in,
        parallel_rad=bearing_rad - course_out,
    )


def _scores(
    marks: MarkSet,
    seen: _Seen,
    helms: Sequence[Helm],
    dark: Sequence[bool | None],
    lookout: Lookout,
) -> Floats:
    """Return scores in an array (turns, kinds, marks), least first, infinite for no cue."""
    eye, radar = _by_eye(marks, seen, dark, lookout), _by_radar(marks, seen, lookout)
    sin, cos = np.abs(np.sin(seen.relative_rad)), np.abs(np.cos(seen.relative_rad))
    change = np.abs([one.change_deg for one in helms])[:, None]
    large = change >= LARGE_CHANGE_DEG
    turning = np.broadcast_to(np.abs(np.sin(np.radians(change))), sin.shape)
    near_parallel = np.abs(np.sin(seen.parallel_rad)) <= np.sin(np.radians(NEAR_PARALLEL_DEG))
    abeam = sin >= np.cos(np.radians(NEAR_BEAM_DEG))
    least = np.sin(np.radians(LEAST_TELLING_DEG))
    weak = np.sin(np.radians(LEAST_CROSSING_DEG))
    radar_m = _radar_m(seen.range_m, lookout)
    line_m = np.abs(np.sin(seen.parallel_rad)) * radar_m
    line_m = line_m + np.abs(np.cos(seen.parallel_rad)) * seen.range_m * 2.0 * _HALF_DEGREE_RAD
    degrees = np.where((eye != _YES) & (radar == _YES), 2.0, 1.0)
    ways = (
        (
            np.minimum(eye, radar),
            sin,
            seen.range_m * _HALF_DEGREE_RAD * degrees,
            np.where(np.where(large, near_parallel, abeam), 0.0, 2.0),
        ),
        (radar, cos, radar_m, np.ones_like(sin)),
        (radar, turning, line_m, np.broadcast_to(np.where(large, 0.0, 3.0), sin.shape)),
    )
    found = []
    for known, crossing, error_m, preferred in ways:
        telling = crossing >= least
        along_m = (error_m + marks.unsure_m[seen.mark]) / np.where(telling, crossing, 1.0)
        poor = (crossing < weak) | (along_m > MOST_ERROR_M)
        score = known * SEEN + marks.floating[seen.mark] * FLOATS + poor * WEAK
        score = score + preferred * PREFERRED + np.minimum(along_m, 9_999.0)
        found.append(np.where(seen.there & telling, score, np.inf))
    return np.stack(found, axis=1)


def _radar_m(range_m: Floats, lookout: Lookout) -> Floats:
    """Return what a radar's ranges may be wrong by, metres."""
    scales = np.array(RANGE_SCALES_NM)
    if lookout.range_scale_nm is not None:
        scale_nm = np.full_like(range_m, lookout.range_scale_nm)
    else:
        which = np.searchsorted(scales, nm_from_m(range_m), side="left")
        scale_nm = scales[np.minimum(which, scales.size - 1)]
    return np.asarray(np.maximum(RADAR_RANGE_M, RADAR_RANGE_RATIO * scale_nm * NM_M))


def _by_eye(marks: MarkSet, seen: _Seen, dark: Sequence[bool | None], lookout: Lookout) -> Floats:
    """Return whether marks are seen by eye at the planned time: yes, not known or no."""
    height_m, off_nm = marks.height_m[seen.mark], nm_from_m(seen.range_m)
    eye_m = np.nan if lookout.eye_height_m is None else lookout.eye_height_m
    over_nm = geographical_range_nm(eye_m, marks.height_m)[seen.mark]
    horizon = np.where(np.isnan(over_nm), _NOT_KNOWN, np.where(off_nm > over_nm, _NO, _YES))
    low = vertical_angle_min(height_m, seen.range_m) < LEAST_ANGLE_MIN
    shows = np.where(marks.seen_by_day[seen.mark], _YES, _NOT_KNOWN)
    shows = np.where(low & (marks.conspicuous[0][seen.mark] != 0.0), _NO, shows)
    day = np.maximum(horizon, shows)
    day = np.where(off_nm > lookout.visibility_nm, _NO, day)
    far_nm = luminous_range_nm(marks.nominal_range_nm, lookout.visibility_nm)[seen.mark]
    shines = np.where(np.isnan(far_nm), _NOT_KNOWN, np.where(off_nm > far_nm, _NO, _YES))
    night = np.where(marks.lit[seen.mark], np.maximum(horizon, shines), _NO)
    both = np.where(day == night, day, _NOT_KNOWN)
    when = np.array([np.nan if one is None else float(one) for one in dark])[:, None]
    return np.where(np.isnan(when), both, np.where(when == 1.0, night, day))


def _by_radar(marks: MarkSet, seen: _Seen, lookout: Lookout) -> Floats:
    """Return whether a radar shows marks: yes, not known or no."""
    off_nm = nm_from_m(seen.range_m)
    antenna_m = np.nan if lookout.radar_height_m is None else lookout.radar_height_m
    over_nm = radar_range_nm(antenna_m, marks.height_m)[seen.mark]
    horizon = np.where(np.isnan(over_nm), _NOT_KNOWN, np.where(off_nm > over_nm, _NO, _YES))
    said = marks.conspicuous[1][seen.mark]
    shown = np.where(np.isnan(said), _NOT_KNOWN, np.where(said == 1.0, _YES, _NO))
    found = np.maximum(horizon, shown)
    if lookout.range_scale_nm is not None:
        found = np.where(off_nm > lookout.range_scale_nm, _NO, found)
    return found
