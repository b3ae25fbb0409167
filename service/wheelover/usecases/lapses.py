"""Letting approvals lapse in the transaction that changes what they hang on."""

from collections.abc import Sequence
from functools import partial
from typing import Any

from wheelover.core.review import standings
from wheelover.core.types.people import Person
from wheelover.core.types.record import Standing
from wheelover.store import Unit
from wheelover.store.charts import ChartEdition
from wheelover.store.library import Edition, Kind
from wheelover.store.plans import PlanRow
from wheelover.usecases.canonical import sha256_of
from wheelover.usecases.change import Change, base_of
from wheelover.usecases.changes import chart_changes, edition_change, inputs_id
from wheelover.usecases.frozen import frozen_document
from wheelover.usecases.reach import reach_of

Document = dict[str, Any]


def document_of(unit: Unit, row: PlanRow, revision: int) -> Document:
    """Return a frozen revision as JSON values."""
    return frozen_document(unit, unit.plans.revision(row, revision))


def lapse_by_edit(
    unit: Unit, row: PlanRow, label: str, inputs_sha256: str, person: Person, now_utc: str
) -> None:
    """Let the approvals of a plan lapse whose inputs the draft has left.

    A step that leads back to the very inputs of an approved revision differs in nothing from it.

    Parameters
    ----------
    unit : Unit
        In which the draft is changed.
    row : PlanRow
        The plan.
    label : str
        What was changed, in words.
    inputs_sha256 : str
        Of the draft as it is now.
    person : Person
        Who changed them.
    now_utc : str
        The time, RFC 3339.
    """
    change = Change(id=inputs_id(inputs_sha256), cause="inputs", words=label)
    for standing in standings(unit.record.of(row.id)).values():
        if _approved(standing) and inputs_sha256 != _inputs_sha256(unit, row, standing.revision):
            lapse(unit, row, standing, change, person, now_utc)


def _inputs_sha256(unit: Unit, row: PlanRow, revision: int) -> str:
    """Return the digest of the inputs of a frozen revision, as a draft has it of its own."""
    return sha256_of(document_of(unit, row, revision)["inputs"])


def _approved(standing: Standing) -> bool:
    """Return whether there is an approval that can lapse."""
    return standing.approval is not None and standing.state in ("approved", "in_use")


def lapse(
    unit: Unit, row: PlanRow, standing: Standing, change: Change, person: Person, now_utc: str
) -> None:
    """Record that an approval lapsed, once for each cause; without an approval nothing."""
    if not _approved(standing):
        return
    if change.base in [base_of(str(one.body.get("id"))) for one in standing.lapses]:
        return
    unit.record.add(row, standing.revision, "lapsed", person, change.body(), now_utc)


def lapse_by_edition(unit: Unit, kind: Kind, after: Edition, person: Person, now_utc: str) -> None:
    """Let the approvals lapse that a new edition of a ship, hazard set or limit set touches.

    One that touches none of a plan's search boxes is noted beside its revision. This is done in
    the transaction that keeps the edition: nobody sees the new one with an old approval.

    Parameters
    ----------
    unit : Unit
        In which the edition is kept.
    kind : {"ship", "hazard_set", "limit_set"}
        What it is an edition of.
    after : Edition
        The new edition.
    person : Person
        Who made it.
    now_utc : str
        The time, RFC 3339.
    """
    for plan_id, revision, edition in unit.record.hanging_on(kind, after.id):
        row = unit.plans.get(plan_id)
        used = unit.library.get(kind, after.id, edition)
        bodies = unit.library.body(used), unit.library.body(after)
        change = edition_change(
            kind, used, after, bodies, partial(document_of, unit, row, revision)
        )
        if change is None:
            continue
        _record(unit, row, revision, change, person, now_utc)


def lapse_by_charts(
    unit: Unit, cells: Sequence[ChartEdition], person: Person, now_utc: str
) -> None:
    """Let the approvals lapse that chart cells touch: renewed, new, or taken out of use.

    Those that use a cell are looked at, and all that have it within their reach: those that use
    other charts and those that use none, for they were approved without what it charts. What
    changes nothing where a track looks for dangers is noted. Of each plan the revision is read
    once, however many cells there are.

    Parameters
    ----------
    unit : Unit
        In which the editions are kept, or the cells withdrawn.
    cells : sequence of ChartEdition
        The newest edition of each.
    person : Person
        Who did it.
    now_utc : str
        The time, RFC 3339.
    """
    owners = {one.id: unit.charts.vessel_of(one.id) for one in cells}
    using = {
        (plan, at, one.id)
        for one in cells
        for plan, at, _ in unit.record.hanging_on("chart_cell", one.id)
    }
    for plan_id, revision in unit.record.hanging():
        row = unit.plans.get(plan_id)
        known = [one for one in cells if (plan_id, revision, one.id) in using]
        others = [one for one in cells if one not in known and one.withdrawn_utc is None]
        known, others = (
            [one for one in some if owners[one.id] in (None, row.vessel_id)]
            for some in (known, others)
        )
        if not known and not others:
            continue
        document = document_of(unit, row, revision)
        events = unit.record.of(plan_id)
        touched = reach_of(document).touched_of(others) if others else []
        for one in (*known, *touched):
            change = chart_changes(unit, document, one, events)
            if change is not None:
                _record(unit, row, revision, change, person, now_utc)


def _record(
    unit: Unit, row: PlanRow, revision: int, change: Change, person: Person, now_utc: str
) -> None:
    """Record that an approval lapsed by a change, or that there was one that touches nothing."""
    if change.counts:
        standing = standings(unit.record.of(row.id))[revision]
        lapse(unit, row, standing, change, person, now_utc)
    else:
        unit.record.add(row, revision, "noted", person, change.body(), now_utc)
