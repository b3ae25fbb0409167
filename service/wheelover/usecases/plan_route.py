"""Plan a route: compute the plan and give it as one document that names its inputs."""

from dataclasses import dataclass
from typing import Any

from wheelover import __version__
from wheelover.core.planning import make_plan
from wheelover.core.turn_card import case_found
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.turn_card import Case
from wheelover.render.document import plan_document
from wheelover.render.layers import layers
from wheelover.render.turn_card import case_document
from wheelover.usecases.canonical import sha256_of


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


def plan_route(inputs: PlanInputs) -> dict[str, Any]:
    """Return the plan of a route as one JSON document; nothing is stored."""
    plan = make_plan(inputs.route, inputs.ship, inputs.chart, inputs.conditions, inputs.limits)
    marks = {
        "demonstration": inputs.demonstration,
        "inputs_sha256": inputs_sha256(inputs.as_given, inputs.loaded),
        "engine_version": __version__,
    }
    return {
        **plan_document(plan, inputs.chart),
        "cases": [
            case_document(
                case_found(
                    case,
                    inputs.route,
                    inputs.ship,
                    inputs.chart,
                    inputs.conditions,
                    inputs.limits,
                ),
                inputs.chart,
            )
            for case in inputs.cases
        ],
        "layers": layers(plan, inputs.chart, marks),
        **marks,
    }


def inputs_sha256(as_given: dict[str, Any], loaded: dict[str, Any] | None = None) -> str:
    """Return the digest of the inputs, what they point at and the engine, over canonical JSON."""
    pointed_at = {} if loaded is None else {"loaded": loaded}
    return sha256_of({"engine_version": __version__, "inputs": as_given, **pointed_at})
