"""Frozen revisions: a plan's inputs and result as one canonical document under its digest."""

from dataclasses import asdict, dataclass
from typing import Any

from wheelover import __version__
from wheelover.core.errors import Stale
from wheelover.core.types.people import NOBODY, Person
from wheelover.formats.strict_json import read_json
from wheelover.store import Store
from wheelover.store.plans import RevisionRow
from wheelover.usecases.canonical import canonical
from wheelover.usecases.drafts import DraftView, require_draft
from wheelover.usecases.engine import made_with
from wheelover.usecases.gather import Gathered

Document = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """A frozen revision and the bytes its digest is taken of."""

    plan_id: str
    row: RevisionRow
    body: bytes

    @property
    def document(self) -> Document:
        """Return the frozen document: inputs, what they pointed at, and the result."""
        document: Document = read_json(self.body)
        return document

    @property
    def tag(self) -> str:
        """Return its entity tag, which is its digest."""
        return f'"{self.row.sha256}"'


def freeze(
    store: Store,
    draft: DraftView,
    gathered: Gathered,
    result: Document,
    tags: tuple[str, ...] | None,
    now_utc: str,
    person: Person = NOBODY,
    words: str | None = None,
) -> Revision:
    """Freeze a draft with its result, and offer it to the master.

    Parameters
    ----------
    store : Store
        Where it is kept.
    draft : DraftView
        The draft that ``result`` was computed from.
    gathered : Gathered
        Its inputs and the stored ship and hazard sets they point at.
    result : dict
        The plan as one JSON document.
    tags : tuple of str or None
        What the sender last saw of the draft, if it said.
    now_utc : str
        The time, RFC 3339.
    person : Person
        Who made the plan and offers it.
    words : str or None
        What the author says with it.

    Raises
    ------
    Stale
        When the draft is not what was computed, or not what the sender saw.
    """
    require_draft(draft, tags)
    with store.writing() as unit:
        row = unit.plans.get(draft.row.id)
        if row.edit != draft.row.edit:
            raise Stale(
                "The draft was changed while it was computed. Nothing was frozen; try again.",
                subject=("draft", row.id),
                held_by=row.pen_name,
            )
        document = revision_document(row.id, row.revision + 1, gathered, result, now_utc)
        body = canonical(document)
        kept = unit.plans.freeze(row, body, result["inputs_sha256"], __version__, now_utc)
        offer: Document = {
            "sha256": kept.sha256,
            "inputs_sha256": kept.inputs_sha256,
            "words": words or "",
        }
        if editors := unit.plans.editors(row):
            offer["editors"] = [asdict(one) for one in editors]
        unit.record.add(row, kept.number, "offered", person, offer, now_utc)
    return Revision(plan_id=row.id, row=kept, body=body)


def revision_document(
    plan_id: str, number: int | None, gathered: Gathered, result: Document, now_utc: str | None
) -> Document:
    """Return inputs and result as a revision holds them; of a draft without number and time."""
    return {
        "plan_id": plan_id,
        "number": number,
        "created_utc": now_utc,
        "engine_version": __version__,
        "made_with": made_with(),
        "inputs": gathered.inputs,
        "loaded": {**gathered.digests, **_ship(gathered), **_limit_set(gathered)},
        "inputs_sha256": result["inputs_sha256"],
        "result": result,
    }


def _ship(gathered: Gathered) -> Document:
    """Return the ship with everything that is known of her; hazard sets stand by their digest."""
    if gathered.ship is None:
        return {}
    return {"ship": {**gathered.digests["ship"], "ship": gathered.ship.contents}}


def _limit_set(gathered: Gathered) -> Document:
    """Return the limit set with all that it asks."""
    if gathered.limit_set is None:
        return {}
    named = gathered.digests["limit_set"]
    return {"limit_set": {**named, "limits": gathered.limit_set.contents}}


def revision_of(store: Store, plan_id: str, number: int) -> Revision:
    """Return a frozen revision, after its bytes have been held against its digest.

    Raises
    ------
    NotFound
        For a plan or a number that is not stored.
    Damaged
        When the bytes are not what the digest says.
    """
    with store.reading() as unit:
        plan = unit.plans.get(plan_id)
        row = unit.plans.revision(plan, number)
        return Revision(plan_id=plan_id, row=row, body=unit.plans.document(row))


def revisions_listed(
    store: Store, plan_id: str, limit: int, before: int | None
) -> tuple[list[RevisionRow], int | None]:
    """Return a page of a plan's revisions, newest first, and where the next page starts."""
    with store.reading() as unit:
        rows = unit.plans.revisions(unit.plans.get(plan_id), limit + 1, before)
    more = len(rows) > limit
    return rows[:limit], rows[limit - 1].number if more else None


def revision_bytes(revision: Revision) -> bytes:
    """Return a revision as JSON text: the frozen document with its digest before it."""
    return f'{{"sha256":"{revision.row.sha256}",'.encode() + revision.body[1:]
