"""In which order cues come, and why: what can be seen, what stays in place, what crosses well.

Common practice of the trade: for a large alteration a line of position parallel to the new course,
so that an error across the old track does no harm; for a small one a mark near the beam, whose
bearing changes fastest; fixed marks before floating ones [WO]_.
"""

from wheelover.core.types.cues import Cue, Seen

LARGE_CHANGE_DEG = 30.0
"""From here on an alteration is large: a line parallel to the new course crosses well."""

NEAR_PARALLEL_DEG = 10.0
NEAR_BEAM_DEG = 30.0
LEAST_CROSSING_DEG = 30.0
"""Below this a line of position crosses the track too finely to be relied on."""

LEAST_TELLING_DEG = 10.0
"""Below this it tells nothing, and is no cue."""

LEAST_RATE_DEG_PER_MIN = 1.0
"""A bearing that changes more slowly takes over half a minute for half a degree."""

MOST_ERROR_M = 92.6
"""A cue that is less sure than this along the track, 0.05 NM, is a coarse one."""

SEEN, FLOATS, WEAK = 1e8, 1e7, 1e6
PREFERRED = 1e4

_SEEN: dict[Seen, float] = {"yes": 0.0, "not_known": 1.0, "no": 2.0}


def is_large(change_deg: float) -> bool:
    """Return whether an alteration of course is a large one."""
    return abs(change_deg) >= LARGE_CHANGE_DEG


def error_m(cue: Cue) -> float | None:
    """Return how unsure the wheel-over is by the means that the cue is observed with, metres."""
    if cue.kind == "bearing" and cue.means != "radar":
        return cue.error_half_degree_m
    return cue.error_radar_m


def preference(cue: Cue, change_deg: float) -> int:
    """Return how well a kind of cue goes with an alteration, 0 the best.

    Parameters
    ----------
    cue : Cue
        The cue.
    change_deg : float
        Change of course.
    """
    if cue.kind == "range":
        return 1
    if is_large(change_deg):
        if cue.kind == "index":
            return 0
        return 0 if cue.off_parallel_deg <= NEAR_PARALLEL_DEG else 2
    if cue.kind == "index":
        return 3
    return 0 if abs(abs(cue.relative_deg) - 90.0) <= NEAR_BEAM_DEG else 2


def is_weak(cue: Cue) -> bool:
    """Return whether a cue crosses the track too finely, or is a coarse one."""
    unsure_m = error_m(cue)
    return cue.crossing_deg < LEAST_CROSSING_DEG or (unsure_m or 0.0) > MOST_ERROR_M


def rank_of(cue: Cue, change_deg: float) -> tuple[float, str]:
    """Return what cues are put in order by, the best first; the same for the same cues.

    Parameters
    ----------
    cue : Cue
        The cue.
    change_deg : float
        Change of course.
    """
    score = _SEEN[cue.seen] * SEEN + cue.mark.floating * FLOATS + is_weak(cue) * WEAK
    score += preference(cue, change_deg) * PREFERRED + min(error_m(cue) or 0.0, 9_999.0)
    return (score, cue.id)


def reasons_of(cue: Cue, change_deg: float) -> tuple[str, ...]:
    """Return in words why a cue stands where it does.

    Parameters
    ----------
    cue : Cue
        The cue.
    change_deg : float
        Change of course.
    """
    return (
        _seen_words(cue),
        _place_words(cue),
        _way_words(cue, change_deg),
        _sure_words(cue),
    )


def _seen_words(cue: Cue) -> str:
    """Return whether it can be observed when it is needed."""
    if cue.seen == "yes":
        return f"seen by {cue.means} at the wheel-over"
    at = "not to be made out at the wheel-over"
    return at if cue.seen == "no" else "whether it can be made out is not known"


def _place_words(cue: Cue) -> str:
    """Return whether it stays in its place, and how sure that is where anybody says."""
    place = "floats: it swings about its mooring and may be off station"
    if not cue.mark.floating:
        place = "fixed"
    within_m = cue.mark.position_uncertainty_m
    if within_m is None:
        return f"{place}, how sure its place is is not given"
    return f"{place}, its place sure within {within_m:.0f} m"


def _way_words(cue: Cue, change_deg: float) -> str:
    """Return how it lies to the courses."""
    large = is_large(change_deg)
    size = "large" if large else "small"
    turn = f"for a {size} alteration of {abs(change_deg):.0f} degrees"
    if cue.kind == "index":
        better = "parallel to the new course, so being off the old track does no harm"
        return f"{better}, {turn}" if large else f"crosses finely {turn}"
    if cue.kind == "range":
        return f"range circle crosses the track at {cue.crossing_deg:.0f} degrees, {turn}"
    if large and cue.off_parallel_deg <= NEAR_PARALLEL_DEG:
        lies = f"{cue.off_parallel_deg:.0f} degrees from the new course"
        return f"line of bearing {lies}, near parallel as wanted {turn}"
    if preference(cue, change_deg) == 0:
        return f"near the beam as wanted {turn}: the bearing changes fast"
    lies = "not near parallel to the new course" if large else "not near the beam"
    return f"{lies}, {turn}"


def _sure_words(cue: Cue) -> str:
    """Return how sure the wheel-over is by it."""
    crossing = f"crosses the track at {cue.crossing_deg:.0f} degrees"
    unsure_m = error_m(cue) or 0.0
    by = "half a degree" if cue.kind == "bearing" and cue.means != "radar" else "radar's own error"
    by += " and the mark's place" if cue.mark.position_uncertainty_m else ""
    fine = ", too finely" if cue.crossing_deg < LEAST_CROSSING_DEG else ""
    coarse = ", which is coarse" if unsure_m > MOST_ERROR_M else ""
    return f"{crossing}{fine}; {by} is {unsure_m:.0f} m of wheel-over{coarse}"
