"""Checks of the cues of each wheel-over: one that can be used, and a second that stands alone."""

import math

from wheelover.core.aids.independent import shared
from wheelover.core.aids.ranking import LEAST_CROSSING_DEG, LEAST_RATE_DEG_PER_MIN, error_m, is_weak
from wheelover.core.checks.workings import Verdict, Workings, turn_name, turn_subject
from wheelover.core.types.cues import Cue, Rounded, TurnCues
from wheelover.core.types.plan import Finding
from wheelover.core.types.track import PlannedTurn

DAYLIGHT = "daylight is not known: "
NO_MARKS_LOADED = "no marks are loaded"

WAYS = {"bearing": "bearing", "range": "range", "index": "index line parallel to the new course"}
"""What kinds of cue are called in a sentence."""


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the cues of every turn."""
    found = {one.turn_index: one for one in workings.cues}
    return tuple(
        _verdict(turn, found[turn.index], workings)
        for turn in workings.track.turns
        if turn.index in found
    )


def _verdict(turn: PlannedTurn, cues: TurnCues, workings: Workings) -> Verdict:
    """Return what is found of the cues of one turn, and what is not known of them."""
    subject = turn_subject(turn)
    reason = cues.reason
    if reason is None and not workings.marks.marks:
        reason = NO_MARKS_LOADED
    if reason is not None:
        findings = tuple(_unknown(turn, cues))
        return Verdict(check="turn_cue", subject=subject, findings=findings, not_checked=reason)
    findings = (
        *_unknown(turn, cues),
        *_missing(turn, cues),
        *_chosen(turn, cues),
        *_outside(turn, cues, workings),
    )
    return Verdict(
        check="turn_cue", subject=subject, findings=findings, not_checked=_not_known(cues)
    )


def cue_name(cue: Cue) -> str:
    """Return what a cue is called in a sentence."""
    if cue.kind == "index":
        return f"the {WAYS['index']} through {cue.mark.name}"
    return f"the {WAYS[cue.kind]} of {cue.mark.name}"


def picked(cues: TurnCues) -> tuple[Cue | None, Cue | None]:
    """Return the first and the second cue of a turn, None where there is none."""
    return (
        None if cues.first is None else cues.rows[cues.first],
        None if cues.second is None else cues.rows[cues.second],
    )


def _unknown(turn: PlannedTurn, cues: TurnCues) -> list[Finding]:
    """Return the findings of chosen cues that no loaded mark gives, or that are chosen twice."""
    twice = cues.chosen_twice
    again = (
        f"The second cue {twice!r} chosen for the {turn_name(turn)} is the first one again, and no "
        "second. Choose another."
    )
    found = [] if twice is None else [_finding("cue_chosen_twice", turn, again, about=twice)]
    return found + [
        _finding(
            "cue_not_there",
            turn,
            f"The cue {one!r} chosen for the {turn_name(turn)} is none that a loaded mark gives "
            "there. Choose another, or load its mark.",
            about=one,
        )
        for one in cues.unknown_ids
    ]


def _missing(turn: PlannedTurn, cues: TurnCues) -> list[Finding]:
    """Return the findings of a turn without a first or a second cue."""
    first, second = picked(cues)
    if first is None and cues.unknown_ids:
        return []
    if first is None:
        best = cues.rows[0] if cues.rows else None
        why = (
            "none lies near and crosses the track"
            if best is None
            else f"{cue_name(best)}: {_why_not(best)}"
        )
        message = (
            f"Of the loaded marks none is a cue for the wheel-over of the {turn_name(turn)} "
            f"({why}). Say how the team will know."
        )
        return [_finding("cue_missing", turn, message)]
    if second is None:
        message = (
            f"For the wheel-over of the {turn_name(turn)} there is {cue_name(first)} and no second "
            "cue that does not hang on it."
        )
        return [_finding("second_cue_missing", turn, message)]
    return _hanging_together(turn, first, second)


def _hanging_together(turn: PlannedTurn, first: Cue, second: Cue) -> list[Finding]:
    """Return the finding of two cues that fail together, none where each stands alone."""
    common = shared(first, second)
    if not common:
        return []
    message = (
        f"Both cues for the wheel-over of the {turn_name(turn)}, {cue_name(first)} and "
        f"{cue_name(second)}, hang on the {' and the '.join(common)}: if that fails or is wrong, "
        "so are both."
    )
    return [_finding("cues_not_independent", turn, message, about=second.id)]


def _why_not(cue: Cue) -> str:
    """Return why a cue is not to be made out."""
    if cue.kind != "bearing":
        return cue.by_radar.why
    return f"by day {cue.by_day.why}, by night {cue.by_night.why}, by radar {cue.by_radar.why}"


def _chosen(turn: PlannedTurn, cues: TurnCues) -> list[Finding]:
    """Return the findings of the cues in use: not seen, floating, weak."""
    first, second = picked(cues)
    found: list[Finding] = []
    for cue in (first, second):
        if cue is None:
            continue
        if cue.seen == "no":
            message = (
                f"At the wheel-over of the {turn_name(turn)} {cue_name(cue)} is not to be made "
                f"out: {_why_not(cue)}."
            )
            found.append(_finding("cue_not_seen", turn, message, about=cue.id))
        elif cues.dark and cue.kind == "bearing" and cue.by_night.seen == "no":
            message = (
                f"It is dark at the wheel-over of the {turn_name(turn)}, and {cue_name(cue)} is "
                f"not to be had by eye: {cue.by_night.why}. It is left to the radar."
            )
            found.append(_finding("cue_dark", turn, message, about=cue.id))
    if first is not None and first.mark.floating:
        both = second is None or second.mark.floating
        rest = " and nothing fixed is there beside it" if both else ""
        message = (
            f"The first cue of the {turn_name(turn)}, {cue_name(first)}, floats{rest}: it may be "
            "off station."
        )
        found.append(_finding("cue_floats", turn, message, about=first.id))
    for which, cue in (("first", first), ("second", second)):
        if cue is not None and (weak := _weakness(cue)):
            message = f"The {which} cue of the {turn_name(turn)}, {cue_name(cue)}, {weak}."
            found.append(_finding("cue_weak", turn, message, about=cue.id))
    return found


def _outside(turn: PlannedTurn, cues: TurnCues, workings: Workings) -> list[Finding]:
    """Return the findings of values set, at which the helm comes outside the window.

    Where the planned wheel-over is outside itself, the check of the window says so.
    """
    swept = next((one for one in workings.swept_turns if one.turn_index == turn.index), None)
    if swept is None or swept.window is None or not swept.window.planned_inside:
        return []
    told: list[tuple[str, str | None, Rounded | None]] = [
        ("distance to go", None, cues.distance_set)
    ]
    told += [(cue_name(one), one.id, one.set_to) for one in picked(cues) if one is not None]
    return [
        _finding("cue_outside_window", turn, _set_words(turn, name, found), about=about)
        for name, about, found in told
        if found is not None and found.inside_window is False
    ]


def _set_words(turn: PlannedTurn, name: str, found: Rounded) -> str:
    """Return in a sentence that the helm comes outside the window at a value set."""
    value = f"{found.value:05.1f} degrees" if found.unit == "deg" else f"{abs(found.value):.2f} NM"
    when = "later" if found.later_m > 0.0 else "earlier"
    return (
        f"At the {turn_name(turn)} {name}, set to {value}, brings the helm "
        f"{math.ceil(abs(found.later_m))} m {when} than planned, outside the window of the "
        "wheel-over: the hull would not keep every limit. Use another cue, or plan the wheel-over "
        "where it can be set."
    )


def _weakness(cue: Cue) -> str | None:
    """Return in words why a cue is a weak one, None for one that is not."""
    said = []
    if cue.crossing_deg < LEAST_CROSSING_DEG:
        said.append(
            f"crosses the track at {cue.crossing_deg:.0f} degrees, below {LEAST_CROSSING_DEG:g}"
        )
    elif is_weak(cue):
        within_m = cue.mark.position_uncertainty_m
        place = f", its place being sure within {within_m:.0f} m only" if within_m else ""
        said.append(f"leaves the wheel-over unsure by {error_m(cue) or 0.0:.0f} m{place}")
    rate = cue.bearing_rate_deg_per_min
    if cue.kind == "bearing" and rate is not None and abs(rate) < LEAST_RATE_DEG_PER_MIN:
        said.append(f"changes by {abs(rate):.1f} degrees a minute only")
    return " and ".join(said) or None


def _not_known(cues: TurnCues) -> str | None:
    """Return why it is not known whether the cues in use can be observed, None where it is."""
    for cue in picked(cues):
        if cue is None or cue.seen != "not_known":
            continue
        if cue.kind != "bearing":
            why = cue.by_radar.why
        elif cues.dark is None and cue.by_day.seen != cue.by_night.seen:
            why = (cues.dark_reason or "daylight is not known").removeprefix(DAYLIGHT)
        else:
            why = (cue.by_night if cues.dark else cue.by_day).why
        return f"whether a cue in use can be observed is not known: {why}"
    return None


def _finding(code: str, turn: PlannedTurn, message: str, about: str | None = None) -> Finding:
    """Return one finding, to be explained."""
    return Finding(
        code=code,
        grade="must_explain",
        subject=turn_subject(turn),
        message=message,
        about=about,
    )
