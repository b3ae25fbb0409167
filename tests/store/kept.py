"""What tests of the store keep: a plan, a step."""

import hashlib
import random

from wheelover.store import Store
from wheelover.store.library import Contents
from wheelover.store.plans import Draft, PlanRow

NOW = "2026-11-25T14:02:11.000Z"


def draft(label: str = "Started") -> Draft:
    return Draft(name="x", waypoint_count=2, demonstration=False, label=label, inputs="{}")


def started(store: Store, plan_id: str = "plan-1") -> PlanRow:
    with store.writing() as unit:
        return unit.plans.add(plan_id, draft(), NOW)


def filled(store: Store, count: int = 3, seed: int = 7) -> None:
    """Keep plans with steps and revisions, ships and hazard sets with editions."""
    chance = random.Random(seed)  # noqa: S311  the same rows each time
    for number in range(count):
        with store.writing() as unit:
            row = unit.plans.add(f"plan-{number}", draft(), NOW)
            for step in range(3):
                row = unit.plans.edit(row, draft(f"Moved \u00c5 {step} \u2192 \U0001f6a2"), NOW)
            body = chance.randbytes(3000)
            unit.plans.freeze(row, body, hashlib.sha256(body).hexdigest(), "0.1.0", NOW)
            ship = unit.library.add("ship", Contents(name="B", body=b'{"n": %d}' % number), NOW)
            unit.library.renew("ship", ship.id, Contents(name="a\u00e9", body=b"{}"), NOW)
            unit.library.add("limit_set", Contents(name="L", body=b'{"l": %d}' % number), NOW)
            unit.library.add("hazard_set", Contents(name="Z", body=body, source="x"), NOW)
