"""The terms of one sum of water under the keel, each with its value, its source and its reason."""

from dataclasses import dataclass

from wheelover.core.charted.accuracy import stated
from wheelover.core.depth.case import Case
from wheelover.core.depth.cautious import down_m, up_m
from wheelover.core.depth.ship_data import Allowance, Lean
from wheelover.core.depth.squat import FULL_BLOCK_RATIO
from wheelover.core.types.depth import End, SquatRow, Term, TermName, TermSource

_SAME_M = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is the same for every piece of a passage."""

    block_ratio: float | None
    wind: Lean
    waves: Allowance
    gm_m: float | None
    bg_m: float | None
    bg_reason: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was computed for one piece, before it is put in words; None where not known."""

    survey_m: float
    squats: tuple[SquatRow, ...]
    squat_m: float | None
    turn_heel_deg: float
    turn_heel_m: float
    wind_heel_m: float


def terms_of(case: Case, known: Known, found: Found) -> tuple[Term, ...]:
    """Return every term of a sum, in the order in which it is added.

    Parameters
    ----------
    case : Case
        The piece of track.
    known : Known
        Of the passage.
    found : Found
        What was computed for it.
    """
    under, afloat = case.under, case.afloat
    depth_m = under.depth_m or 0.0
    rows = [
        Term(
            name="charted_depth",
            value_m=float(down_m(depth_m)),
            source=under.source,
            reason=under.what or "",
        ),
        _tide(case),
        Term(
            name="draught",
            value_m=-float(up_m(afloat.deepest_m)),
            source=afloat.source,
            reason=f"{critical_end(case, known.block_ratio)}, {afloat.reason}",
        ),
        Term(
            name="density",
            value_m=-float(up_m(afloat.change_m)),
            source=afloat.change_source,
            reason=afloat.change_reason,
        ),
        _off("survey", found.survey_m, "computed", survey_words(case)),
        _squat(case, known, found),
    ]
    if case.piece.kind == "turn":
        rows.append(_turn_heel(case, known, found))
    wind_m = None if known.wind.heel_deg is None else found.wind_heel_m
    rows.append(_off("wind_heel", wind_m, known.wind.source, known.wind.reason))
    rows.append(_off("waves", known.waves.value_m, known.waves.source, known.waves.reason))
    return tuple(rows)


def left_out_of(case: Case, terms: tuple[Term, ...]) -> tuple[str, ...]:
    """Return what of a sum is not known, in words.

    Parameters
    ----------
    case : Case
        The piece of track.
    terms : tuple of Term
        Its terms.
    """
    said = [
        f"{WORDS[term.name]} not known ({term.reason})" for term in terms if term.value_m is None
    ]
    if case.under.catzoc is None:
        said.append("survey quality not known, and the allowance taken is the least it may be")
    elif not stated(case.under.catzoc):
        said.append(
            f"survey quality {case.under.catzoc}, of which nobody states the accuracy: the "
            "allowance taken is the least it may be"
        )
    if case.under.reason is not None:
        said.append(case.under.reason)
    return tuple(said)


WORDS: dict[TermName, str] = {
    "charted_depth": "charted depth",
    "tide": "height of tide",
    "draught": "draught",
    "density": "density of the water",
    "survey": "survey allowance",
    "squat": "squat",
    "turn_heel": "heel in the turn",
    "wind_heel": "heel to the wind",
    "waves": "wave allowance",
    "clearance_height": "clearance under the object",
    "datum": "level that the clearance counts from",
    "air_draught": "air draught",
    "draught_rise": "rise by a lighter draught",
    "electrical": "electrical distance",
}
"""What terms are called in a sentence."""


def critical_end(case: Case, block_ratio: float | None) -> End:
    """Return where she is deepest; on an even keel the end that she squats by.

    Parameters
    ----------
    case : Case
        With her draughts.
    block_ratio : float or None
        Her block coefficient.
    """
    ends = case.afloat.ends
    deepest = max(ends, key=lambda end: ends[end])
    if deepest == "midships" or abs(ends["fore"] - ends["aft"]) >= _SAME_M:
        return deepest
    return "aft" if block_ratio is not None and block_ratio < FULL_BLOCK_RATIO else "fore"


def survey_words(case: Case) -> str:
    """Return how the survey allowance of a piece is made.

    Parameters
    ----------
    case : Case
        With the survey quality of its depth.
    """
    zone = case.under.catzoc
    if not stated(zone):
        what = "survey quality not known" if zone is None else f"zone of confidence {zone}"
        return f"{what}: that of zone C, the least it may be"
    return f"accuracy of depths in zone of confidence {zone}"


def _off(name: TermName, value_m: float | None, source: TermSource, reason: str) -> Term:
    """Return a term that is taken off."""
    value_m = None if value_m is None else -float(up_m(value_m))
    return Term(name=name, value_m=value_m, source=source, reason=reason)


def _tide(case: Case) -> Term:
    """Return the term of the tide."""
    height = case.height
    value_m = None if height.least_m is None else float(down_m(height.least_m))
    return Term(name="tide", value_m=value_m, source=height.source, reason=height.reason)


def _squat(case: Case, known: Known, found: Found) -> Term:
    """Return the term of squat: the larger of the formulas that apply."""
    if found.squat_m is not None:
        used = next(row for row in found.squats if row.used)
        beyond = "" if used.in_range else ", outside the range it is made for"
        reason = f"the larger of {len(found.squats)} formulas, {used.formula}{beyond}"
        return _off("squat", found.squat_m, "computed", reason)
    if known.block_ratio is None:
        reason = "neither block coefficient nor displacement is given"
    elif case.speed_kn is None:
        reason = "no speed is given"
    elif case.height.least_m is None:
        reason = "without the height of tide the depth of water is not known"
    else:
        reason = "at and above the critical speed no formula holds"
    return _off("squat", None, "computed", reason)


def _turn_heel(case: Case, known: Known, found: Found) -> Term:
    """Return the term of the heel in a turn."""
    if known.gm_m is None or known.bg_m is None:
        reason = known.bg_reason if known.gm_m is not None else "GM is not given"
        return _off("turn_heel", None, "computed", reason)
    if case.radius_m is None or case.speed_kn is None:
        what = "radius" if case.radius_m is None else "speed"
        return _off("turn_heel", None, "computed", f"the turn has no {what}")
    reason = (
        f"{found.turn_heel_deg:.2f} deg outward at {case.speed_kn:g} kn on {case.radius_m:.0f} m, "
        f"{case.radius_reason}; {known.bg_reason}, GM {known.gm_m:g} m"
    )
    return _off("turn_heel", found.turn_heel_m, "computed", reason)
