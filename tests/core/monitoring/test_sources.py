"""What a plan is drawn from, and the checklists. Source of the kinds: A.893(21) 2.1, appraisal."""

from dataclasses import replace

import pytest

from tests import zoo
from wheelover.core.checks.catalogue import CATALOGUE
from wheelover.core.monitoring.checklists import CHECKLISTS
from wheelover.core.monitoring.sources import ASKED_KINDS
from wheelover.core.planning import make_plan
from wheelover.core.types.bridge import Bridge
from wheelover.core.types.checklists import Ticked
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.plan import CheckRow, Plan
from wheelover.core.types.route import LegWishes
from wheelover.core.types.sources import ConsultedSource
from wheelover.core.types.watch import LegMonitoring
from wheelover.core.utc import seconds_from_utc
from wheelover.render.document import plan_document

BEND = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]
DEPARTURE_S = seconds_from_utc("2026-11-25T12:00:00Z")
CHART = ConsultedSource(
    id="s", kind="chart", title="Gat", consulted=True, corrected_to_utc="2026-11-15T12:00:00Z"
)


def planned(
    *sources: ConsultedSource,
    ticked: tuple[Ticked, ...] = (),
    limits: Limits | None = None,
    departure_s: float | None = DEPARTURE_S,
    monitoring: LegMonitoring | None = None,
) -> Plan:
    leg = LegWishes(line="rhumb", monitoring=monitoring)
    return make_plan(
        zoo.route(BEND, leg=leg), zoo.SHIP, zoo.NO_CHART, Conditions(departure_s=departure_s),
        limits or Limits(), Bridge(sources=sources, ticked=ticked),
    )  # fmt: skip


def row(plan: Plan, check: str) -> CheckRow:
    return next(one for one in plan.checks if one.check == check)


def codes(plan: Plan) -> set[str]:
    return {one.code for one in plan.findings}


@pytest.mark.parametrize(("most_days", "old"), [(9.9, True), (10.1, False), (None, False)])
def test_age_counts_from_the_last_correction_to_departure(
    most_days: float | None, old: bool
) -> None:
    """From 15 to 25 November are ten days."""
    plan = planned(CHART, limits=Limits(sources_max_age_days=most_days))
    assert plan.bridge.sources[0].age_days == pytest.approx(10.0)
    assert ("source_old" in codes(plan)) == old
    assert any(one.input.startswith("most age") for one in plan.basis) == (most_days is not None)


def test_without_a_departure_or_a_limit_the_age_is_not_judged() -> None:
    reason = row(planned(CHART, departure_s=None), "sources").not_checked or ""
    assert "no departure is given" in reason
    assert "no limit of the age" in reason


def test_not_consulted_shows() -> None:
    assert "source_not_consulted" in codes(planned(replace(CHART, consulted=False)))
    assert "source_not_consulted" not in codes(planned(CHART))


def test_what_the_appraisal_asks_for_and_nobody_named_is_asked_for() -> None:
    everything = tuple(
        ConsultedSource(
            id=kind, kind=kind, title=kind, consulted=True, corrected_to_utc="2026-11-20T00:00:00Z"
        )
        for kind in ASKED_KINDS
    )
    whole = planned(*everything, limits=Limits(sources_max_age_days=30.0))
    assert row(whole, "sources").result == "met"
    for kind, words in ASKED_KINDS.items():
        less = [one for one in everything if one.kind != kind]
        plan = planned(*less, limits=Limits(sources_max_age_days=30.0))
        assert words in (row(plan, "sources").not_checked or ""), kind


def test_charts_are_tied_to_legs() -> None:
    plan = planned(replace(CHART, leg_to_ids=("W1", "gone")))
    assert "source_leg_unknown" in codes(plan)
    assert "no chart is named for 1 legs (W2)" in (row(plan, "sources").not_checked or "")
    undated = planned(replace(CHART, corrected_to_utc=None))
    assert "no date of the last correction: Gat" in (row(undated, "sources").not_checked or "")


def test_a_correction_after_departure_is_told() -> None:
    assert "source_dated_ahead" in codes(
        planned(replace(CHART, corrected_to_utc="2026-12-01T00:00:00Z"))
    )


def test_every_item_hangs_on_checks_that_are_due() -> None:
    known = {one.code for one in CATALOGUE}
    for items in CHECKLISTS.values():
        assert len({one.id for one in items}) == len(items)
        for one in items:
            assert set(one.checks) <= known, one.id


def ticks(state: str = "done") -> tuple[Ticked, ...]:
    return tuple(
        Ticked(list_name=name, item_id=one.id, state=state)  # type: ignore[arg-type]
        for name, items in CHECKLISTS.items()
        for one in items
    )


def test_lists_that_nobody_went_through_are_not_checked() -> None:
    plan = planned()
    reason = row(plan, "checklists").not_checked or ""
    assert "items of the appraisal" in reason
    assert "items of the plan" in reason
    assert "pilot" not in reason
    with_pilot = planned(monitoring=LegMonitoring(stage="pilotage"))
    assert "exchange with the pilot" in (row(with_pilot, "checklists").not_checked or "")
    assert row(planned(ticked=ticks()), "checklists").result == "met"


def test_what_is_said_not_to_be_done_wants_an_explanation() -> None:
    plan = planned(ticked=ticks("not_done"))
    assert row(plan, "checklists").result == "must_explain"


def test_a_tick_stands_beside_what_is_computed_and_does_not_change_it() -> None:
    plan = planned(ticked=ticks())
    document = plan_document(plan, zoo.NO_CHART)
    items = {one["id"]: one for one in document["checklists"]["planning"]}
    assert items["contingencies"]["computed"]["result"] == "not_checked"
    assert items["contingencies"]["differs"] is True
    assert items["wheel_overs"]["computed"]["met_count"] == len(plan.turns)
    assert items["wheel_overs"]["differs"] is False
    assert items["second_person"]["computed"] is None
    everything = [one for of_list in CHECKLISTS for one in document["checklists"][of_list]]
    for one in everything:
        if one["computed"] is None:
            continue
        rows = [each for each in plan.checks if each.check in one["checks"]]
        counted = sum(
            one["computed"][f"{result}_count"]
            for result in ("met", "must_explain", "must_resolve", "not_checked")
        )
        assert counted == len(rows), one["id"]
