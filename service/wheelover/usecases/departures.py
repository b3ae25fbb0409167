"""Move the departure of a plan: which gates of the tide and windows then fail, and which hold."""

from collections.abc import Sequence
from typing import Any

from wheelover.core.errors import Fault, InvalidConditions
from wheelover.core.planning import make_plan
from wheelover.core.times.departures import departed
from wheelover.render.departures import departures_document
from wheelover.usecases.kept_departures import keep, kept_of
from wheelover.usecases.plan_route import PlanInputs, inputs_sha256


def departures(
    inputs: PlanInputs,
    departures_s: Sequence[float],
    shifts_s: Sequence[float],
    *,
    pointer: str = "/plan/departure_utc",
) -> dict[str, Any]:
    """Return a plan at other times of departure, in their order, beside its own, as JSON values.

    A plan that was computed here a moment ago is only re-timed; another is computed once.

    Parameters
    ----------
    inputs : PlanInputs
        What the plan is made from.
    departures_s : sequence of float
        Departures, seconds since 1970 UTC.
    shifts_s : sequence of float
        How much later than the plan's own, earlier below zero.
    pointer : str
        Where its own departure stands in what was sent; the whole where it stands in the store.

    Raises
    ------
    InvalidConditions
        When the plan has no departure to move.
    """
    sha256 = inputs_sha256(inputs.as_given, inputs.loaded)
    kept = kept_of(sha256)
    if kept is None:
        plan = make_plan(
            inputs.route, inputs.ship, inputs.chart, inputs.conditions, inputs.limits, inputs.bridge
        )
        kept = keep(sha256, plan, inputs.ship, inputs.conditions, inputs.limits)
    base, was = kept.base, kept.was
    if was is None:
        message = "the plan has no departure to move: give departure_utc, or an ETA"
        raise InvalidConditions(message, (Fault(pointer=pointer, message=message),))
    asked = sorted([*departures_s, *(was.departure_s + shift_s for shift_s in shifts_s)])
    return departures_document(
        was,
        [departed(base, one) for one in asked],
        base.route,
        (base.legs, base.turns),
    )
