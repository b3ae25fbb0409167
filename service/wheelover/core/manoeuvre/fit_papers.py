"""Ship papers in, responses out: one for each loading and depth that the papers have trials of."""

from collections.abc import Iterator
from dataclasses import replace
from typing import TypeAlias

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.estimate_response import ESTIMATE_SCATTER_RATIO, estimated_trials
from wheelover.core.manoeuvre.fit import Evidence, fit, response_of
from wheelover.core.manoeuvre.fit_limits import (
    DEEP_RATIO,
    band_ratio_of,
    has_trials,
    mean_draught_m,
    refusals,
    untold,
)
from wheelover.core.manoeuvre.fit_numbers import trials_of
from wheelover.core.manoeuvre.fit_own_turns import OwnTurns, require_turns
from wheelover.core.manoeuvre.fit_report import comparisons_of, contradictions, side_statement
from wheelover.core.manoeuvre.fit_standard import standard_checks
from wheelover.core.types.fitted import FittedResponse, Origin, Statement, Uncertain
from wheelover.core.types.ship import Response
from wheelover.core.types.trials import (
    CircleTrial,
    CourseChange,
    InitialTurning,
    OwnTurn,
    ShipPapers,
    TrialSet,
    TrialShip,
    WantedUse,
    ZigZagTrial,
)

_Trial: TypeAlias = CircleTrial | ZigZagTrial | InitialTurning | CourseChange | OwnTurn

_ESTIMATED = Statement(
    code="estimated",
    message="no trials of her own are given: the response is estimated from main dimensions by "
    "regression; of ships whose model is published it missed advance by up to 10 %, tactical "
    "diameter by up to 20 % and times by up to 16 %; overshoots came out 3 to 70 % too small",
)


def fitted_responses(papers: ShipPapers) -> tuple[FittedResponse, ...]:
    """Return the responses that papers give, in their order.

    Parameters
    ----------
    papers : ShipPapers
        Sets of trials, each of one loading. Trials that name another depth than their set make a
        response of their own. That of a set without trials is estimated from main dimensions.

    Returns
    -------
    tuple of FittedResponse
        At least one. Where there is no response, a statement says why.

    Raises
    ------
    OutOfDomain
        When a recorded turn is too long, or no ship comes near the numbers.
    """
    ship, wanted = papers.ship, papers.wanted
    if not papers.sets:
        return (_estimated(ship, _loading_of(ship, wanted), wanted),)
    return tuple(
        _fitted(ship, part, wanted) if has_trials(part) else _estimated(ship, part, wanted)
        for one in papers.sets
        for part in (by_depth(one) if has_trials(one) else (one,))
    )


def by_depth(trial_set: TrialSet) -> Iterator[TrialSet]:
    """Yield a set for each depth that its trials were made in, the set's own depth first.

    Recorded turns and stops stay with the depth they name, or that of the set.
    """
    depths = [trial_set.depth_m, *sorted(_named_depths(trial_set) - {trial_set.depth_m})]
    for depth_m in depths:

        def here(one: _Trial, depth_m: float | None = depth_m) -> bool:
            return (trial_set.depth_m if one.depth_m is None else one.depth_m) == depth_m

        part = replace(
            trial_set,
            depth_m=depth_m,
            circles=tuple(filter(here, trial_set.circles)),
            zig_zags=tuple(filter(here, trial_set.zig_zags)),
            initial_turnings=tuple(filter(here, trial_set.initial_turnings)),
            course_changes=tuple(filter(here, trial_set.course_changes)),
            own_turns=tuple(filter(here, trial_set.own_turns)),
            stoppings=trial_set.stoppings if depth_m == trial_set.depth_m else (),
        )
        if has_trials(part):
            yield part


def _named_depths(trial_set: TrialSet) -> set[float]:
    """Return the depths that trials name themselves."""
    trials: tuple[_Trial, ...] = (
        *trial_set.circles,
        *trial_set.zig_zags,
        *trial_set.initial_turnings,
        *trial_set.course_changes,
        *trial_set.own_turns,
    )
    return {one.depth_m for one in trials if one.depth_m is not None}


def _fitted(ship: TrialShip, trial_set: TrialSet, wanted: WantedUse) -> FittedResponse:
    """Return the response of one set of trials."""
    origin: Origin = "recorded" if trial_set.own_turns else "fitted"
    statements = tuple(refusals(ship, trial_set, wanted))
    if any(one.refuses for one in statements):
        return _without_response(trial_set, origin, statements, ship)
    evidence = _evidence(ship, trial_set)
    uncertain = fit(evidence, band_ratio=band_ratio_of(ship, trial_set, wanted))
    rows = comparisons_of(evidence.trials, evidence.own_turns, uncertain)
    return FittedResponse(
        loading=trial_set.loading,
        draught_m=mean_draught_m(trial_set),
        depth_m=trial_set.depth_m,
        origin=origin,
        source=trial_set.source or "trials of the ship's papers",
        response=_told_of(uncertain, origin, trial_set),
        uncertain=uncertain,
        comparisons=rows,
        checks=standard_checks(ship, trial_set, uncertain),
        statements=(
            *statements,
            *contradictions(evidence.trials, rows),
            *side_statement(rows),
            *untold(ship, trial_set, wanted),
        ),
    )


def _told_of(uncertain: Uncertain, origin: Origin, trial_set: TrialSet) -> Response:
    """Return fitted values as a response that says where it comes from and how sure it is."""
    depth_m, draught_m = trial_set.depth_m, mean_draught_m(trial_set)
    shallow = depth_m is not None and depth_m <= DEEP_RATIO * draught_m
    return replace(
        response_of(uncertain),
        origin=origin,
        at_depth_m=depth_m if shallow else None,
        covariance=uncertain.covariance,
    )


def _without_response(
    trial_set: TrialSet, origin: Origin, statements: tuple[Statement, ...], ship: TrialShip
) -> FittedResponse:
    """Return what is left where a response is refused: the reasons, and the numbers' limits."""
    return FittedResponse(
        loading=trial_set.loading,
        draught_m=mean_draught_m(trial_set),
        depth_m=trial_set.depth_m,
        origin=origin,
        source=trial_set.source or "no response",
        response=None,
        uncertain=None,
        checks=standard_checks(ship, trial_set, None),
        statements=statements,
    )


def _evidence(ship: TrialShip, trial_set: TrialSet) -> Evidence:
    """Return a set as evidence, at the speed of its hardest turn."""
    require_turns(trial_set.own_turns, ship.loa_m)
    trials = trials_of(ship, trial_set)
    hardest = max(trials.numbers, key=lambda one: one.rudder_deg, default=None)
    if hardest is None and not trial_set.own_turns:
        raise OutOfDomain(f"the trials of {trial_set.loading!r} give no number to be fitted to")
    speed_kn = hardest.speed_kn if hardest else trial_set.own_turns[0].speed_kn
    return Evidence(
        trials=trials,
        own_turns=OwnTurns(length_m=ship.loa_m, ahead_m=trials.ahead_m, turns=trial_set.own_turns),
        at_speed_kn=speed_kn,
    )


def _estimated(ship: TrialShip, given: TrialSet | None, wanted: WantedUse) -> FittedResponse:
    """Return the response estimated from main dimensions, or why there is none."""
    if given is None:
        missing = Statement(
            code="dimensions_missing",
            message="an estimate needs draught_fore_m and draught_aft_m of the ship",
            refuses=True,
        )
        none = TrialSet(loading="estimated", draught_fore_m=0.0, draught_aft_m=0.0)
        return _without_response(none, "estimated", (missing,), ship)
    statements = tuple(refusals(ship, given, wanted))
    if any(one.refuses for one in statements):
        return _without_response(given, "estimated", statements, ship)
    try:
        circles = estimated_trials(ship, mean_draught_m(given))
    except OutOfDomain as error:
        unlike = Statement(code="no_estimate", message=str(error), refuses=True)
        return _without_response(given, "estimated", (*statements, unlike), ship)
    evidence = _evidence(ship, circles)
    uncertain = fit(
        evidence,
        scatter_ratio=ESTIMATE_SCATTER_RATIO,
        band_ratio=band_ratio_of(ship, given, wanted),
    )
    return FittedResponse(
        loading=given.loading,
        draught_m=mean_draught_m(given),
        depth_m=given.depth_m,
        origin="estimated",
        source=circles.source or "",
        response=_told_of(uncertain, "estimated", given),
        uncertain=uncertain,
        comparisons=comparisons_of(evidence.trials, evidence.own_turns, uncertain),
        checks=(
            *standard_checks(ship, given, None),
            *standard_checks(ship, replace(circles, circles=()), uncertain),
        ),
        statements=(_ESTIMATED, *statements, *untold(ship, given, wanted)),
    )


def _loading_of(ship: TrialShip, wanted: WantedUse) -> TrialSet | None:
    """Return the loading that an estimate is made for, None where no draught is known."""
    if ship.draught_fore_m is not None and ship.draught_aft_m is not None:
        fore_m, aft_m = ship.draught_fore_m, ship.draught_aft_m
    elif wanted.draught_m is not None:
        fore_m = aft_m = wanted.draught_m
    else:
        return None
    return TrialSet(loading="estimated", draught_fore_m=fore_m, draught_aft_m=aft_m)
