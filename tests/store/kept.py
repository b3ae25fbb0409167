"""What tests of the store keep: a plan, a step."""

from wheelover.store import Store
from wheelover.store.plans import Draft, PlanRow

NOW = "2026-11-25T14:02:11.000Z"


def draft(label: str = "Started") -> Draft:
    return Draft(name="x", waypoint_count=2, demonstration=False, label=label, inputs="{}")


def started(store: Store, plan_id: str = "plan-1") -> PlanRow:
    with store.writing() as unit:
        return unit.plans.add(plan_id, draft(), NOW)
