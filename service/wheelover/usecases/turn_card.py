"""The turn card: one turn of a plan, as planned or tried otherwise; nothing is stored."""

from dataclasses import replace
from typing import Any

from wheelover.core.on_chart import on_cells, wanted_for
from wheelover.core.turn_card import make_turn_card
from wheelover.core.turns.tried import with_tried
from wheelover.core.types.turn_card import Tried
from wheelover.render.turn_card import turn_card_document
from wheelover.usecases.plan_route import PlanInputs


def turn_card(
    inputs: PlanInputs, waypoint_id: str, tried: Tried | None, member_count: int
) -> dict[str, Any]:
    """Return the card of one turn as JSON values.

    Parameters
    ----------
    inputs : PlanInputs
        What the plan is made from.
    waypoint_id : str
        The waypoint of the turn.
    tried : Tried or None
        What is tried in that turn instead; the plan stays as it is.
    member_count : int
        Of how many ships the band is made, none for no band.

    Raises
    ------
    InvalidInput
        When there is no turn at that waypoint, or what is tried cannot be.
    """
    if tried is not None:
        route, ship, conditions = with_tried(
            inputs.route, inputs.ship, inputs.conditions, waypoint_id, tried
        )
        inputs = replace(inputs, route=route, ship=ship, conditions=conditions)
    wanted = wanted_for(inputs.route, inputs.ship, inputs.limits)
    chart, charted = on_cells(inputs.chart, wanted)
    card = make_turn_card(
        inputs.route,
        inputs.ship,
        chart,
        inputs.conditions,
        inputs.limits,
        waypoint_id,
        member_count,
        charted,
    )
    return {**turn_card_document(card, chart), "tried": tried is not None}
