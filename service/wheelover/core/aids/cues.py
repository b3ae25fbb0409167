"""Cues for the wheel-over of each turn: marks observed in one way or another, ranked."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from wheelover.core.aids.helms import Helm
from wheelover.core.aids.independent import hangs_on
from wheelover.core.aids.likely import KINDS, LEAST_RANGE_M, Likely, likely_cues
from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.aids.radar import (
    RADAR_BEARING_DEG,
    RADAR_RANGE_M,
    RADAR_RANGE_RATIO,
    RANGE_SCALES_NM,
)
from wheelover.core.aids.ranking import LEAST_TELLING_DEG, rank_of, reasons_of
from wheelover.core.aids.sight import Lookout, by_day, by_night, by_radar, ranges_of
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.types.cues import Cue, CueKind, Seen, Sight
from wheelover.core.types.marks import Mark
from wheelover.core.units import MINUTE_S, NM_M, kn_from_m_per_s, nm_from_m

Means = Literal["eye", "radar"]

ROWS = 6
"""So many cues are listed for a turn, besides those chosen and the best of each other sensor."""

_LOOKED_AT = 12
_OF_ONE_MARK = 2

HALF_DEGREE = 0.5
HUNDREDTH_NM = 0.01


def ranked_cues(
    marks: MarkSet,
    helms: Sequence[Helm],
    dark: Sequence[bool | None],
    lookout: Lookout,
    wanted: Sequence[tuple[str, ...]],
) -> list[tuple[Cue, ...]]:
    """Return the cues of each turn, the best first, and behind them those asked for by name.

    Parameters
    ----------
    marks : MarkSet
        All marks.
    helms : sequence of Helm
        The turns.
    dark : sequence of bool or None
        Whether it is dark at each, None where that is not known.
    lookout : Lookout
        From where they are looked for.
    wanted : sequence of tuple of str
        The ids of cues or marks that the navigator names for each turn.
    """
    likely = likely_cues(marks, helms, dark, lookout, _LOOKED_AT)
    named = [
        Likely(of=of, mark=number, kind=kind)
        for of, ids in enumerate(wanted)
        for number in _named(marks, ids)
        for kind in KINDS
    ]
    pairs = list(dict.fromkeys([*likely, *named]))
    measured = _measured(marks, helms, pairs)
    found: list[list[Cue]] = [[] for _ in helms]
    for one, (bearing_deg, range_m) in zip(pairs, measured, strict=True):
        mark, helm = marks.marks[one.mark], helms[one.of]
        made = cue_of(mark, one.kind, helm, (bearing_deg, range_m), dark[one.of], lookout)
        if made is not None:
            found[one.of].append(made)
    return [
        _listed(cues, helm.change_deg, ids)
        for cues, helm, ids in zip(found, helms, wanted, strict=True)
    ]


def _named(marks: MarkSet, ids: tuple[str, ...]) -> list[int]:
    """Return the numbers of the marks that ids of cues or marks name."""
    found = (mark_number(marks.by_id, one) for one in ids)
    return [one for one in found if one is not None]


def mark_number(by_id: Mapping[str, int], cue_id: str) -> int | None:
    """Return the number of the mark that the id of a cue or of a mark names, None for none."""
    return by_id.get(cue_id, by_id.get(split_id(cue_id)[1]))


def split_id(cue_id: str) -> tuple[CueKind | None, str]:
    """Return the kind and the mark that an id names; without a kind it is that of a mark.

    Examples
    --------
    >>> split_id("range/head"), split_id("CELL/LNDMRK.1")
    (('range', 'head'), (None, 'CELL/LNDMRK.1'))
    """
    kind, slash, rest = cue_id.partition("/")
    for one in KINDS:
        if slash and kind == one:
            return one, rest
    return None, cue_id


def names(cue: Cue, cue_id: str) -> bool:
    """Return whether an id names a cue, or its mark."""
    return cue_id in (cue.id, cue.mark.id)


def _measured(
    marks: MarkSet, helms: Sequence[Helm], pairs: Sequence[Likely]
) -> list[tuple[float, float]]:
    """Return bearing and range of each mark from its wheel-over, on the ellipsoid."""
    if not pairs:
        return []
    at = [helms[one.of].at for one in pairs]
    to = [marks.marks[one.mark].position for one in pairs]
    bearing, _, range_m = geodesic.inverse(
        np.array([one.lat_deg for one in at]),
        np.array([one.lon_deg for one in at]),
        np.array([one.lat_deg for one in to]),
        np.array([one.lon_deg for one in to]),
    )
    return list(zip(bearing.tolist(), range_m.tolist(), strict=True))


def cue_of(
    mark: Mark,
    kind: CueKind,
    helm: Helm,
    measured: tuple[float, float],
    dark: bool | None,
    lookout: Lookout,
) -> Cue | None:
    """Return a mark observed in one way at a wheel-over; None where that tells nothing.

    Parameters
    ----------
    mark, kind, helm
        The mark, how it is observed, and the turn.
    measured : tuple of float
        Its true bearing, degrees, and its range, metres, from the wheel-over.
    dark : bool or None
        Whether it is dark then, None where that is not known.
    lookout : Lookout
        From where it is looked for.

    Notes
    -----
    In the plane about the wheel-over, with the mark at the relative bearing b and the range r: a
    bearing changes by V sin b / r [T21]_, a range by -V cos b, and the distance from a line
    parallel to the new course by V sin of the alteration. What a reading is wrong by, over the same
    factor, is how far along the track the helm comes wrong; what the mark's own place may be out
    by shifts any line of position by as much, and is added.
    """
    bearing_deg, range_m = measured
    relative_deg = float(signed_change_deg(helm.course_in_deg, bearing_deg))
    crossing_deg = _crossing_deg(kind, relative_deg, helm.change_deg)
    if crossing_deg < LEAST_TELLING_DEG or range_m < LEAST_RANGE_M:
        return None
    ranges = ranges_of(mark, bearing_deg, range_m, lookout)
    day = by_day(mark, ranges, range_m, lookout)
    night = by_night(mark, ranges, range_m, lookout)
    radar = by_radar(mark, ranges, range_m, lookout)
    seen, means = _observed(kind, _by_eye(day, night, dark), radar.seen)
    parallel_rad = math.radians(bearing_deg - helm.course_out_deg)
    scale_nm = lookout.range_scale_nm or _scale_nm(range_m)
    errors_m = _errors_m(kind, range_m, parallel_rad, crossing_deg, scale_nm)
    place_m = (mark.position_uncertainty_m or 0.0) / math.sin(math.radians(crossing_deg))
    half_m, hundredth_m, radar_m = (None if one is None else one + place_m for one in errors_m)
    speed = helm.speed_m_per_s
    rel_rad = math.radians(relative_deg)
    return Cue(
        id=f"{kind}/{mark.id}",
        kind=kind,
        mark=mark,
        bearing_deg=bearing_deg,
        relative_deg=relative_deg,
        range_m=range_m,
        index_m=range_m * math.sin(parallel_rad),
        off_parallel_deg=math.degrees(math.asin(min(1.0, abs(math.sin(parallel_rad))))),
        crossing_deg=crossing_deg,
        bearing_rate_deg_per_min=None
        if speed is None
        else math.degrees(speed * math.sin(rel_rad) / range_m) * MINUTE_S,
        range_rate_kn=None if speed is None else -kn_from_m_per_s(speed) * math.cos(rel_rad),
        error_half_degree_m=half_m,
        error_hundredth_nm_m=hundredth_m,
        error_radar_m=radar_m,
        off_line_ratio=_off_line_ratio(kind, rel_rad, helm.change_deg),
        radar_scale_nm=scale_nm,
        radar_scale_given=lookout.range_scale_nm is not None,
        ranges=ranges,
        by_day=day,
        by_night=night,
        by_radar=radar,
        seen=seen,
        means=means,
        reasons=(),
    )


def _crossing_deg(kind: CueKind, relative_deg: float, change_deg: float) -> float:
    """Return the angle between a line of position and the inbound track, 0 to 90."""
    angle_rad = math.radians(change_deg if kind == "index" else relative_deg)
    of = math.cos(angle_rad) if kind == "range" else math.sin(angle_rad)
    return math.degrees(math.asin(min(1.0, abs(of))))


def _errors_m(
    kind: CueKind, range_m: float, parallel_rad: float, crossing_deg: float, scale_nm: float
) -> tuple[float | None, float | None, float]:
    """Return how far along the track the helm comes wrong: for half a degree, for 0.01 NM, and for
    what a radar may be wrong by.
    """
    across = math.sin(math.radians(crossing_deg))
    radar_m = max(RADAR_RANGE_M, RADAR_RANGE_RATIO * scale_nm * NM_M)
    half_rad, radar_rad = math.radians(HALF_DEGREE), math.radians(RADAR_BEARING_DEG)
    if kind == "bearing":
        return range_m * half_rad / across, None, range_m * radar_rad / across
    hundredth_m = HUNDREDTH_NM * NM_M / across
    if kind == "range":
        return None, hundredth_m, radar_m / across
    along_m = range_m * abs(math.cos(parallel_rad))
    off_m = abs(math.sin(parallel_rad)) * radar_m + along_m * radar_rad
    return along_m * half_rad / across, hundredth_m, off_m / across


def _off_line_ratio(kind: CueKind, relative_rad: float, change_deg: float) -> float:
    """Return how far off the new track she ends for each metre beside the old one.

    Beside the track the cue comes earlier or later than the wheel-over line does.
    """
    if kind == "index":
        return 0.0
    turn_rad = math.radians(change_deg)
    slope = 1.0 / math.tan(relative_rad) if kind == "bearing" else -math.tan(relative_rad)
    return abs(slope * math.sin(turn_rad) - math.cos(turn_rad))


def _scale_nm(range_m: float) -> float:
    """Return the least range scale that shows a mark."""
    off_nm = nm_from_m(range_m)
    return next((one for one in RANGE_SCALES_NM if one >= off_nm), RANGE_SCALES_NM[-1])


def _by_eye(day: Sight, night: Sight, dark: bool | None) -> Seen:
    """Return whether a mark is seen by eye at the planned time."""
    if dark is not None:
        return (night if dark else day).seen
    return day.seen if day.seen == night.seen else "not_known"


def _observed(kind: CueKind, eye: Seen, radar: Seen) -> tuple[Seen, Means | None]:
    """Return whether a cue can be observed, and by what; ranges and index lines need a radar."""
    if kind == "bearing" and eye == "yes":
        return "yes", "eye"
    if radar == "yes":
        return "yes", "radar"
    codes = (radar,) if kind != "bearing" else (eye, radar)
    return ("not_known" if "not_known" in codes else "no"), None


def _listed(cues: list[Cue], change_deg: float, wanted: tuple[str, ...]) -> tuple[Cue, ...]:
    """Return the cues of a turn in order, few of each mark, with why each stands where it does."""
    asked_for = frozenset(wanted)
    ordered = sorted(cues, key=lambda one: rank_of(one, change_deg))
    of_mark: dict[str, int] = {}
    kept: set[str] = set()
    for one in ordered:
        count = of_mark.get(one.mark.id, 0)
        asked = asked_for and not asked_for.isdisjoint((one.id, one.mark.id))
        if asked or (count < _OF_ONE_MARK and len(kept) < ROWS):
            of_mark[one.mark.id] = count + 1
            kept.add(one.id)
    kept |= _other_ways([one for one in ordered if one.seen != "no"], kept)
    return tuple(
        replace(one, reasons=reasons_of(one, change_deg)) for one in ordered if one.id in kept
    )


def _other_ways(ordered: list[Cue], kept: set[str]) -> set[str]:
    """Return the best cue of each sensor that none of those kept hangs on, for a second."""
    ways = {hangs_on(one) for one in ordered if one.id in kept}
    found = set()
    for one in ordered:
        if hangs_on(one) not in ways:
            ways.add(hangs_on(one))
            found.add(one.id)
    return found
