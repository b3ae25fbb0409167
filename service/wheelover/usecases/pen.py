"""The pen: the right to edit a draft, one holder at a time.

Without accounts there is nobody else, and it does not matter.
"""

from dataclasses import asdict
from typing import Any

from wheelover.core.errors import Conflict, PenHeld
from wheelover.core.types.people import Person
from wheelover.store import Store, Unit
from wheelover.store.pens import asked_of
from wheelover.store.plans import PlanRow
from wheelover.usecases.people import Actor

MOST_ASKING = 20


def require_pen(unit: Unit, row: PlanRow, actor: Actor, now_utc: str) -> None:
    """Refuse an edit of a draft whose pen another account holds; the first edit takes a free one.

    Raises
    ------
    PenHeld
        Naming who holds it and since when.
    """
    if actor.person.account_id is None:
        return
    require_free(row, actor.person)
    if row.pen_account is None:
        _give(unit, row, actor.person, now_utc, "plan.pen_taken")


def require_free(row: PlanRow, person: Person) -> None:
    """Refuse when another account holds the pen."""
    if person.account_id is None or row.pen_account in (None, person.account_id):
        return
    raise PenHeld(
        f"{row.pen_name} has held the pen of this plan since {row.pen_since_utc}. Ask for it, or "
        "take it over; that is recorded."
    )


def take_pen(store: Store, plan_id: str, actor: Actor, now_utc: str) -> PlanRow:
    """Take the pen, from whoever holds it. Taking it over is recorded in the audit log."""
    with store.writing() as unit:
        row = unit.plans.get(plan_id)
        person = actor.person
        if person.account_id is not None and row.pen_account != person.account_id:
            free = row.pen_account is None
            _give(unit, row, person, now_utc, "plan.pen_taken" if free else "plan.pen_taken_over")
        return unit.plans.get(plan_id)


def ask_for_pen(store: Store, plan_id: str, note: str, actor: Actor, now_utc: str) -> PlanRow:
    """Leave a note for whoever holds the pen.

    Raises
    ------
    Conflict
        When nobody else holds it, or too many wait already.
    """
    with store.writing() as unit:
        row = unit.plans.get(plan_id)
        if row.pen_account in (None, actor.person.account_id):
            raise Conflict("Nobody else holds the pen of this plan: take it.")
        asked = asked_of(row)
        if len(asked) >= MOST_ASKING:
            raise Conflict("Too many wait for this pen already.")
        line = {"name": actor.person.name, "note": note, "at_utc": now_utc}
        unit.pens.ask(row, [*asked, line])
        return unit.plans.get(plan_id)


def lay_down_pen(store: Store, plan_id: str, actor: Actor, now_utc: str) -> PlanRow:
    """Lay the pen down.

    Raises
    ------
    PenHeld
        When somebody else holds it.
    """
    with store.writing() as unit:
        row = unit.plans.get(plan_id)
        require_free(row, actor.person)
        if row.pen_account is not None:
            unit.pens.lay_down(row)
            _note(unit, row, "plan.pen_laid_down", actor.person, now_utc)
        return unit.plans.get(plan_id)


def pen_document(row: PlanRow, actor: Actor) -> dict[str, Any]:
    """Return who holds the pen of a draft, as told to somebody."""
    alone = actor.person.account_id is None
    return {
        "held_by": row.pen_name,
        "since_utc": row.pen_since_utc,
        "yours": alone or row.pen_account == actor.person.account_id,
        "asked": [f"{one['name']}: {one['note']}" for one in asked_of(row)],
    }


def _give(unit: Unit, row: PlanRow, person: Person, now_utc: str, what: str) -> None:
    """Give the pen to somebody, and write it into the audit log."""
    unit.pens.give(row, str(person.account_id), str(person.name), now_utc)
    _note(unit, row, what, person, now_utc)


def _note(unit: Unit, row: PlanRow, what: str, person: Person, now_utc: str) -> None:
    """Write what was done with the pen into the audit log."""
    entry = {"what": what, "plan_id": row.id, "from": row.pen_name, "by": asdict(person)}
    unit.audit.add(row.vessel_id, entry, now_utc)
