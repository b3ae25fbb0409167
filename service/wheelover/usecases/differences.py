"""The difference of two revisions of a plan, or of a revision and the draft as it computes now."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from wheelover import __version__
from wheelover.core.errors import NotFound
from wheelover.render.difference import differences
from wheelover.store import Unit
from wheelover.usecases.drafts import DraftView
from wheelover.usecases.frozen import frozen_blob, frozen_document
from wheelover.usecases.gather import Gathered
from wheelover.usecases.revisions import revision_document

Document = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One of two plans that are compared. ``number`` and ``sha256`` are None of a draft."""

    document: Document
    number: int | None
    sha256: str | None
    tag: str

    @property
    def head(self) -> Document:
        """Return what it is called."""
        members = ("created_utc", "engine_version", "inputs_sha256")
        return {
            "number": self.number,
            "sha256": self.sha256,
            **{name: self.document[name] for name in members},
        }


def frozen_side(unit: Unit, plan_id: str, number: int) -> Side:
    """Return a frozen revision as one side of a comparison.

    Raises
    ------
    NotFound
        For a plan or a number that is not stored.
    """
    row = unit.plans.revision(unit.plans.get(plan_id), number)
    document = frozen_document(unit, row)
    return Side(document=document, number=number, sha256=row.sha256, tag=row.sha256[:32])


def draft_side(view: DraftView, gathered: Gathered, result: Document) -> Side:
    """Return a draft, with what it computes to now, as one side of a comparison."""
    document = revision_document(view.row.id, None, gathered, result, None)
    tag = f"draft-{view.row.edit}-{result['inputs_sha256'][:32]}"
    return Side(document=document, number=None, sha256=None, tag=tag)


def dangers_held(unit: Unit) -> Callable[[str], Document | None]:
    """Return what finds the dangers of a stored edition by their digest."""

    def held(sha256: str) -> Document | None:
        try:
            return frozen_blob(unit, sha256)
        except NotFound:
            # A revision that came from elsewhere may name an edition that is not kept here.
            return None

    return held


def difference_tag(was: Side, now: Side) -> str:
    """Return the entity tag of a difference: of both sides, and of the version that tells it."""
    return f'"{was.tag}-{now.tag}-{__version__}"'


def compared(unit: Unit, was: Side, now: Side) -> Document:
    """Return everything that differs between two sides.

    Parameters
    ----------
    unit : Unit
        Holds the hazard sets that both name.
    was, now : Side
        What is compared.
    """
    return {
        "plan_id": was.document["plan_id"],
        "was": was.head,
        "now": now.head,
        **differences(was.document, now.document, dangers_held(unit)),
    }
