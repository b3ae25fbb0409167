"""Under-keel clearance of each leg and turn as an open sum."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from wheelover.core.arrays import Bools, Floats
from wheelover.core.charted.accuracy import depth_allowance_m
from wheelover.core.depth.case import Case, Passage, cases_of
from wheelover.core.depth.cautious import up_m
from wheelover.core.depth.columns import (
    MOST_SPEED_KN,
    Pieces,
    limiting_speed_kn,
    net_ukc_m,
    running,
    static_ukc_m,
    tide_needed_m,
    turn_heel_deg,
)
from wheelover.core.depth.formulas import FORMULAS, ranges, squats_m
from wheelover.core.depth.heel import deeper_by_heel_m
from wheelover.core.depth.policy import Policy, missed_of, policy_words, required_ukc_m, strictest
from wheelover.core.depth.ship_data import (
    gravity_above_buoyancy_m,
    hull_of,
    wave_allowance,
    wind_heel,
)
from wheelover.core.depth.squat import FULL_BLOCK_RATIO, critical_speed_kn, froude_depth_ratio
from wheelover.core.depth.terms import Found, Known, critical_end, left_out_of, terms_of
from wheelover.core.schedule.tide import times_of_at_least
from wheelover.core.types.clearance import Piece
from wheelover.core.types.depth import DepthSum, DepthUnder, Span, SquatRow


@dataclass(frozen=True, slots=True, kw_only=True)
class _Solved:
    """What was computed for n pieces, in columns of shape (n,); squats and ranges (k, n).

    nan stands where something is not known.
    """

    squats_m: Floats
    in_range: Bools
    static_m: Floats
    net_m: Floats
    required_m: Floats
    needed_m: Floats
    limiting_kn: Floats
    turn_heel_deg: Floats
    froude_ratio: Floats
    critical_kn: Floats
    blockage_ratio: Floats


def depth_sums(passage: Passage, under: Mapping[Piece, DepthUnder]) -> tuple[DepthSum, ...]:
    """Return the sum of water under the keel for each leg and turn of which a depth is known.

    Parameters
    ----------
    passage : Passage
        The track with the ship and conditions.
    under : mapping of Piece to DepthUnder
        The least depth charted under each leg and turn.
    """
    cases = cases_of(passage, under)
    if not cases:
        return ()
    known = _known(passage)
    pieces = _columns(cases, passage, known)
    solved = _solve(cases, pieces)
    return tuple(_sum(case, known, pieces, solved, index) for index, case in enumerate(cases))


def _known(passage: Passage) -> Known:
    """Return what is the same for every piece."""
    ship = passage.ship
    hull = hull_of(ship)
    bg_m, words = gravity_above_buoyancy_m(ship)
    return Known(
        block_ratio=hull.block_ratio,
        wind=wind_heel(ship, passage.conditions),
        waves=wave_allowance(passage.conditions),
        gm_m=ship.gm_m,
        bg_m=bg_m,
        bg_reason=words,
        notes=hull.notes,
    )


def _nan(value: float | None) -> float:
    """Return a number, nan where there is none."""
    return np.nan if value is None else value


def _columns(cases: tuple[Case, ...], passage: Passage, known: Known) -> Pieces:
    """Return the pieces in columns; what is not known takes nothing off."""
    count, hull = len(cases), hull_of(passage.ship)
    heeled_m = deeper_by_heel_m(hull.beam_m, known.wind.heel_deg or 0.0)
    stable = known.gm_m is not None and known.bg_m is not None
    afloat = [case.afloat for case in cases]
    return Pieces(
        depth_m=np.array([case.under.depth_m or 0.0 for case in cases]),
        survey_m=np.array(
            [
                float(depth_allowance_m(case.under.catzoc, case.under.depth_m or 0.0)[0])
                for case in cases
            ]
        ),
        draught_m=np.array([up_m(one.deepest_m) + up_m(one.change_m) for one in afloat]),
        wave_m=np.full(count, known.waves.value_m or 0.0),
        wind_m=np.full(count, float(heeled_m[0])),
        block_ratio=np.full(count, _nan(known.block_ratio)),
        lpp_m=np.full(count, hull.lpp_m),
        beam_m=np.full(count, hull.beam_m),
        width_m=np.array([_nan(case.width_m) for case in cases]),
        radius_m=np.array([_nan(case.radius_m) if stable else np.nan for case in cases]),
        bg_m=np.full(count, known.bg_m or 0.0),
        gm_m=np.full(count, known.gm_m or 1.0),
    )


def _required_m(case: Case) -> float:
    """Return what is required under the keel, rounded up; nan where nothing is."""
    required_m = required_ukc_m(_policy(case), _draught_m(case))
    return np.nan if required_m is None else float(up_m(required_m))


def _policy(case: Case) -> Policy:
    """Return the rule that requires the most."""
    return strictest(case.policies, _draught_m(case))


def _draught_m(case: Case) -> float:
    """Return the deepest draught that a policy counts from."""
    return case.afloat.deepest_m + case.afloat.change_m


def _solve(cases: tuple[Case, ...], pieces: Pieces) -> _Solved:
    """Return what is computed for the pieces."""
    tide = np.array([_nan(case.height.least_m) for case in cases])
    speed = np.array([_nan(case.speed_kn) for case in cases])
    required = np.array([_required_m(case) for case in cases])
    over = running(pieces, tide, speed)
    # What is not known is nan in every column, and no comparison with it holds.
    with np.errstate(invalid="ignore"):
        return _Solved(
            squats_m=squats_m(over),
            in_range=ranges(over),
            static_m=static_ukc_m(pieces, tide),
            net_m=net_ukc_m(pieces, tide, speed),
            required_m=required,
            needed_m=tide_needed_m(pieces, speed, required),
            limiting_kn=limiting_speed_kn(pieces, tide, required),
            turn_heel_deg=turn_heel_deg(pieces, speed),
            froude_ratio=froude_depth_ratio(speed, over.depth_m),
            critical_kn=critical_speed_kn(over.depth_m),
            blockage_ratio=over.blockage_ratio,
        )


def _none(value: float) -> float | None:
    """Return a number, None where it is not known or without bound."""
    return float(value) if np.isfinite(value) else None


def _sum(case: Case, known: Known, pieces: Pieces, solved: _Solved, index: int) -> DepthSum:
    """Return the sum of one piece."""
    rows = _squat_rows(solved, index)
    heel_deg = _none(solved.turn_heel_deg[index]) or 0.0
    found = Found(
        survey_m=float(pieces.survey_m[index]),
        squats=rows,
        squat_m=next((row.squat_m for row in rows if row.used), None),
        turn_heel_deg=heel_deg,
        turn_heel_m=float(deeper_by_heel_m(pieces.beam_m[index], heel_deg)[0]),
        wind_heel_m=float(pieces.wind_m[index]),
    )
    terms = terms_of(case, known, found)
    left_out = left_out_of(case, terms)
    static_m, net_m = _none(solved.static_m[index]), _none(solved.net_m[index])
    required_m = _none(solved.required_m[index])
    computable = case.height.least_m is not None and known.block_ratio is not None
    limiting_kn, why = _limiting(solved, index, computable)
    needed_m = _none(solved.needed_m[index])
    made = DepthSum(
        piece=case.piece,
        terms=terms,
        squats=rows,
        static_ukc_m=static_m,
        dynamic_ukc_m=_with_allowance_m(net_m, found.survey_m),
        net_ukc_m=net_m,
        met=_met(static_m, net_m, required_m, bool(left_out)),
        turn_heel_deg=heel_deg if pieces.radius_m[index] > 0.0 and case.speed_kn else None,
        wind_heel_deg=known.wind.heel_deg,
        tide_needed_m=needed_m,
        limiting_speed_kn=limiting_kn,
        limiting_speed_reason=why,
        passing=case.passing,
        windows=_windows(case, needed_m),
        left_out=left_out,
        notes=known.notes,
    )
    made = _with_rule(made, case, required_m)
    return _with_flow(_with_draughts(made, case, known), case, solved, index)


def _with_rule(made: DepthSum, case: Case, required_m: float | None) -> DepthSum:
    """Return a sum with what is required, whose rule that is, and which rules are missed."""
    if required_m is None:
        return made
    left_m = made.static_ukc_m if made.net_ukc_m is None else made.net_ukc_m
    missed: tuple[bool, tuple[str, ...]] = (False, ())
    if left_m is not None:
        missed = missed_of(case.policies, _draught_m(case), left_m)
    return replace(
        made,
        required_ukc_m=required_m,
        required_by=policy_words(_policy(case), _draught_m(case)),
        missed_rules=missed[1],
        own_missed=missed[0],
    )


def _with_allowance_m(net_m: float | None, survey_m: float) -> float | None:
    """Return what is left under the keel before the survey allowance is taken off."""
    return None if net_m is None else round(net_m + float(up_m(survey_m)), 2)


def _with_draughts(made: DepthSum, case: Case, known: Known) -> DepthSum:
    """Return a sum with her draughts in the water there, and the end that is critical."""
    afloat, change_m = case.afloat, case.afloat.change_m
    midships_m = afloat.midships_m
    return replace(
        made,
        draught_fore_m=float(up_m(afloat.fore_m + change_m)),
        draught_aft_m=float(up_m(afloat.aft_m + change_m)),
        draught_midships_m=None if midships_m is None else float(up_m(midships_m + change_m)),
        critical_end=critical_end(case, known.block_ratio),
        squats_by=_squats_by(known.block_ratio),
    )


def _with_flow(made: DepthSum, case: Case, solved: _Solved, index: int) -> DepthSum:
    """Return a sum with the speed and what it means in this depth and width of water."""
    if case.height.least_m is None:
        return replace(made, speed_kn=case.speed_kn)
    blockage = None if case.width_m is None else float(solved.blockage_ratio[index])
    return replace(
        made,
        speed_kn=case.speed_kn,
        froude_depth_ratio=_none(solved.froude_ratio[index]),
        critical_speed_kn=float(solved.critical_kn[index]),
        blockage_ratio=blockage,
    )


def _squat_rows(solved: _Solved, index: int) -> tuple[SquatRow, ...]:
    """Return what each formula that applies says of one piece; the larger is used."""
    found_m = solved.squats_m[:, index]
    if bool(np.isnan(found_m).all()):
        return ()
    most = int(np.nanargmax(found_m))
    bounded = bool(np.isfinite(found_m[most]))
    return tuple(
        SquatRow(
            formula=formula.name,
            squat_m=float(up_m(found_m[row])) if np.isfinite(found_m[row]) else None,
            in_range=bool(solved.in_range[row, index]),
            range=formula.range,
            used=bounded and row == most,
        )
        for row, formula in enumerate(FORMULAS)
        if not np.isnan(found_m[row])
    )


def _squats_by(block_ratio: float | None) -> Literal["bow", "stern", "both"] | None:
    """Return which end a ship on an even keel squats by."""
    if block_ratio is None:
        return None
    if block_ratio == FULL_BLOCK_RATIO:
        return "both"
    return "bow" if block_ratio > FULL_BLOCK_RATIO else "stern"


def _met(
    static_m: float | None,
    net_m: float | None,
    required_m: float | None,
    left_out: bool,
) -> bool | None:
    """Return whether the clearance required is there, None where that is not known.

    What is not known could only take more off: too little without it is too little with it.
    """
    least_m = static_m if net_m is None else net_m
    if least_m is None:
        return None
    if least_m <= 0.0 or (required_m is not None and least_m < required_m):
        return False
    return None if required_m is None or net_m is None or left_out else True


def _limiting(solved: _Solved, index: int, known: bool) -> tuple[float | None, str | None]:
    """Return the limiting speed of a piece, or why there is none."""
    found_kn = float(solved.limiting_kn[index])
    if np.isfinite(found_kn):
        return found_kn, None
    if not known:
        return None, "squat or the depth of water is not known"
    if np.isnan(solved.required_m[index]):
        return None, "no under-keel clearance is required"
    if np.isinf(found_kn):
        return None, f"met at every speed looked at, up to {MOST_SPEED_KN:g} kn"
    return None, "not met even at rest"


def _windows(case: Case, needed_m: float | None) -> tuple[Span, ...] | None:
    """Return when the tide is high enough, None where that is not known."""
    tides = [one for one in case.tides if one is not None]
    if needed_m is None or not tides or len(tides) < len(case.tides):
        return None
    passing = None if case.passing is None else (case.passing.from_s, case.passing.to_s)
    found = [times_of_at_least(one, needed_m, passing) for one in tides]
    known = [one for one in found if one is not None]
    if len(known) < len(found):
        return None
    return tuple(Span(from_s=from_s, to_s=to_s) for from_s, to_s in _in_all(known))


def _in_all(times: Sequence[Sequence[tuple[float, float]]]) -> list[tuple[float, float]]:
    """Return the times that lie in every one of several lists of times."""
    common = list(times[0])
    for others in times[1:]:
        both = [(max(a, c), min(b, d)) for a, b in common for c, d in others]
        common = [one for one in both if one[0] <= one[1]]
    return common
