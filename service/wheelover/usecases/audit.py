"""Reading the audit log, and verifying that nothing in it or beside it was altered."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from wheelover.core.errors import Damaged, NotFound, UnreadableFile, WheeloverError
from wheelover.core.review import standings
from wheelover.formats.strict_json import read_json
from wheelover.store import Store, Unit
from wheelover.store.audit import START, AuditRow, Head, chained
from wheelover.usecases.decisions import uses_of
from wheelover.usecases.kept import kept_faults

Document = dict[str, Any]


def audit_listed(
    store: Store, vessel_id: str, limit: int, before: int | None
) -> tuple[list[Document], int | None]:
    """Return a page of a vessel's log, newest first, and where the next page starts."""
    with store.reading() as unit:
        rows = unit.audit.page(vessel_id, limit + 1, before)
    more = len(rows) > limit
    items = [
        {"number": row.number, "hash": row.hash, "entry": read_json(row.entry.encode())}
        for row in rows[:limit]
    ]
    return items, rows[limit - 1].number if more else None


@dataclass(slots=True, kw_only=True)
class Verified:
    """What verifying a store found. ``faults`` name each entry or record that is not as it was."""

    heads: list[Head] = field(default_factory=list)
    entry_count: int = 0
    event_count: int = 0
    note_count: int = 0
    revision_count: int = 0
    faults: list[str] = field(default_factory=list)


def verify(store: Store, known_heads: tuple[Head, ...] = ()) -> Verified:
    """Return whether every chain, event, revision, edition and step is what its hash says.

    Parameters
    ----------
    store : Store
        What is verified.
    known_heads : tuple of Head
        Ends of chains noted elsewhere: on a printed plan, in a parcel. A chain alone does not show
        that its tail was cut off; one that no longer reaches a known head does.
    """
    found = Verified()
    with store.reading() as unit:
        entries: dict[str, list[AuditRow]] = {}
        for vessel_id in unit.audit.vessels():
            entries[vessel_id] = list(unit.audit.chain(vessel_id))
            _chain(vessel_id, entries[vessel_id], found)
        for head in known_heads:
            _known(head, entries.get(head.vessel_id, []), found)
        told = [_read(row) for rows in entries.values() for row in rows]
        for what, hold in _HOLDS.items():
            _held(what, partial(hold, unit, told, found), found)
    return found


def _held(what: str, hold: Callable[[], None], found: Verified) -> None:
    """Hold something against the log; an altered entry that hinders it makes a fault as well."""
    try:
        hold()
    except (AttributeError, KeyError, TypeError, ValueError, WheeloverError) as error:
        found.faults.append(f"{what} cannot be held against the log: {error!r}")


def _read(row: AuditRow) -> Document:
    """Return what an entry says; nothing, where it was altered into something that says nothing."""
    try:
        entry = read_json(row.entry.encode())
    except UnreadableFile:
        return {}
    return entry if isinstance(entry, dict) else {}


def _chain(vessel_id: str, rows: list[AuditRow], found: Verified) -> None:
    """Hold each entry against the one before it."""
    previous, number = START, 0
    for row in rows:
        number += 1
        if row.number != number:
            found.faults.append(f"{vessel_id}: entry {number} is missing before {row.number}")
            number = row.number
        elif chained(previous, row.entry) != row.hash:
            found.faults.append(f"{vessel_id}: entry {row.number} is not what its hash says")
        elif not _says(row):
            found.faults.append(f"{vessel_id}: entry {row.number} is told as another than it says")
        previous = row.hash
    found.entry_count += len(rows)
    if rows:
        found.heads.append(Head(vessel_id=vessel_id, number=number, hash=previous))


def _says(row: AuditRow) -> bool:
    """Return whether the columns of an entry are those that its text says."""
    entry = _read(row)
    return (entry.get("vessel_id"), entry.get("number"), entry.get("at_utc")) == (
        row.vessel_id,
        row.number,
        row.at_utc,
    )


def _known(head: Head, rows: list[AuditRow], found: Verified) -> None:
    """Hold a chain against an end that was noted elsewhere."""
    there = [row for row in rows if row.number == head.number]
    if not there:
        last = rows[-1].number if rows else 0
        found.faults.append(
            f"{head.vessel_id}: the log ends at entry {last}, it once reached {head.number}"
        )
    elif there[0].hash != head.hash:
        found.faults.append(f"{head.vessel_id}: entry {head.number} is not the one noted elsewhere")


def _events(unit: Unit, told: list[Document], found: Verified) -> None:
    """Hold every event beside a plan against its entry in the log, and the other way round."""
    wanted = {(entry["plan_id"], entry["event"]): entry for entry in told if "event" in entry}
    for plan_id, number, digest in unit.record.digests():
        found.event_count += 1
        entry = wanted.pop((plan_id, number), {})
        if not entry:
            found.faults.append(f"event {number} of {plan_id} is not in the log")
        elif entry.get("event_sha256") != digest:
            found.faults.append(f"event {number} of {plan_id} is not what the log says")
    found.faults += [
        f"event {number} of {plan_id} is in the log and not in the record"
        for plan_id, number in wanted
    ]


def _notes(unit: Unit, told: list[Document], found: Verified) -> None:
    """Hold every note of a thread against its entry in the log, and the other way round."""
    wanted = {entry["note"]: entry["note_sha256"] for entry in told if "note_sha256" in entry}
    for note_id, digest in unit.threads.digests():
        found.note_count += 1
        known = wanted.pop(note_id, None)
        if known is None:
            found.faults.append(f"note {note_id} is not in the log")
        elif known != digest:
            found.faults.append(f"note {note_id} is not what the log says")
    found.faults += [f"note {note_id} is in the log and not in the record" for note_id in wanted]


def _revisions(unit: Unit, entries: list[Document], found: Verified) -> None:
    """Hold every blob against its digest, and every revision against what was offered."""
    for sha256 in unit.blobs.damaged():
        found.faults.append(f"what is kept under {sha256} is not what its digest says")
    offered = unit.record.offered()
    before = _frozen_before(entries)
    for plan_id, number, sha256 in unit.plans.digests():
        found.revision_count += 1
        told = offered.pop((plan_id, number), None)
        if told is None:
            found.faults.append(f"revision {number} of {plan_id} was never offered")
        elif (told or before.get((plan_id, number))) != sha256:
            found.faults.append(f"revision {number} of {plan_id} is not the one that was offered")
    found.faults += [f"revision {number} of {plan_id} is gone" for plan_id, number in offered]


def _frozen_before(entries: list[Document]) -> dict[tuple[str, int], str]:
    """Return the revisions frozen before there was a log, as its first entry tells them."""
    return {
        (plan_id, number): sha256
        for entry in entries
        if entry.get("number") == 1
        for plan_id, number, sha256 in entry.get("revisions", ())
    }


def _approvals(unit: Unit, _: list[Document], found: Verified) -> None:
    """Hold what standing approvals are noted to hang on against what was approved.

    Of plans that are at home here; what another installation approved is looked after there.
    """
    noted = unit.record.uses()
    for plan_id in {plan for plan, _, _ in unit.plans.digests()}:
        row = unit.plans.get(plan_id)
        if unit.homes.of_plan(plan_id) is not None:
            continue
        for number, standing in standings(unit.record.of(plan_id)).items():
            if standing.approval is None or standing.state not in ("approved", "in_use"):
                continue
            try:
                document = read_json(unit.plans.document(unit.plans.revision(row, number)))
            except (Damaged, NotFound):  # told with the revisions
                noted.pop((plan_id, number), None)
                continue
            wanted = set(uses_of(document))
            if noted.pop((plan_id, number), set()) != wanted:
                found.faults.append(
                    f"what the approval of revision {number} of {plan_id} hangs on is not what "
                    "was approved"
                )
    found.faults += [
        f"an approval of revision {number} of {plan_id} is noted that does not stand"
        for plan_id, number in noted
    ]


def _kept(unit: Unit, told: list[Document], found: Verified) -> None:
    """Hold editions, steps and homes against the log."""
    found.faults += kept_faults(unit, told)


_HOLDS: dict[str, Callable[[Unit, list[Document], Verified], None]] = {
    "the record of plans": _events,
    "threads": _notes,
    "revisions": _revisions,
    "what approvals hang on": _approvals,
    "what is kept": _kept,
}
