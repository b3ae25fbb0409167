"""Plan a route: compute the plan and give it as one document that names its inputs."""

from dataclasses import dataclass
from typing import Any

from wheelover import __version__
from wheelover.core.planning import make_plan
from wheelover.core.track import lay_track
from wheelover.core.turn_card import case_found
from wheelover.core.types.alternative import Alternative
from wheelover.core.types.bridge import NO_BRIDGE, Bridge
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.turn_card import Case
from wheelover.render.alternatives import alternative_document, alternative_features
from wheelover.render.document import plan_document
from wheelover.render.hull_outline import hull_features
from wheelover.render.layers import layers
from wheelover.render.times import utc
from wheelover.render.turn_card import case_document
from wheelover.render.voyage import voyage_document
from wheelover.usecases.canonical import sha256_of
from wheelover.usecases.clock_times import with_clock
from wheelover.usecases.kept_departures import keep


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanInputs:
    """The five values a plan is made from, and the JSON they were read from.

    ``as_given`` is what the digest is taken of: every member of the request, so that nothing
    that could change the plan can change unseen. ``loaded`` names the stored ship and hazard sets
    it points at, with their digests.
    """

    route: Route
    ship: ShipProfile | None
    chart: Chart
    conditions: Conditions
    limits: Limits
    as_given: dict[str, Any]
    loaded: dict[str, Any] | None = None
    demonstration: bool = False
    cases: tuple[Case, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    bridge: Bridge = NO_BRIDGE


def plan_route(inputs: PlanInputs) -> dict[str, Any]:
    """Return the plan of a route as one JSON document; nothing is stored."""
    plan = make_plan(
        inputs.route, inputs.ship, inputs.chart, inputs.conditions, inputs.limits, inputs.bridge
    )
    marks: dict[str, Any] = {
        "demonstration": inputs.demonstration,
        "inputs_sha256": inputs_sha256(inputs.as_given, inputs.loaded),
        "engine_version": __version__,
    }
    keep(marks["inputs_sha256"], plan, inputs.ship, inputs.conditions, inputs.limits)
    chart = plan.chart or inputs.chart
    laid = [(one, lay_track(one.route, None, inputs.conditions)) for one in inputs.alternatives]
    drawn = layers(plan, chart, marks)
    drawn["features"] += hull_features(plan, inputs.ship)
    drawn["features"] += [row for one, track in laid for row in alternative_features(one, track)]
    document = plan_document(plan, chart)
    with_clock(document, _departure_utc(plan, inputs))
    return {
        **document,
        "cases": [_case(case, inputs, plan, chart) for case in inputs.cases],
        "alternatives": [alternative_document(one, track) for one, track in laid],
        "voyage": voyage_document(inputs.as_given.get("voyage")),
        "layers": drawn,
        **marks,
    }


def _departure_utc(plan: Plan, inputs: PlanInputs) -> str | None:
    """Return when she leaves: as it was given, else as it was counted back from an ETA."""
    return inputs.as_given.get("departure_utc") or utc(plan.schedule.departure_s)


def _case(case: Case, inputs: PlanInputs, plan: Plan, chart: Chart) -> dict[str, Any]:
    """Return a kept case as it is computed with the plan's inputs."""
    charted = None if plan.on_chart is None else plan.on_chart.charted
    found = case_found(
        case, inputs.route, inputs.ship, chart, inputs.conditions, inputs.limits, charted
    )
    return case_document(found, chart)


def inputs_sha256(as_given: dict[str, Any], loaded: dict[str, Any] | None = None) -> str:
    """Return the digest of the inputs, what they point at and the engine, over canonical JSON."""
    pointed_at = {} if loaded is None else {"loaded": loaded}
    return sha256_of({"engine_version": __version__, "inputs": as_given, **pointed_at})
