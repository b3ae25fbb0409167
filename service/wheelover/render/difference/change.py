"""What a difference is made of: changes, their figures, and the subject of each."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

Document = dict[str, Any]
Where = tuple[Document | None, Document | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What a change is about. ``id`` is stable; an index counts from 0, None where it is not."""

    kind: str
    id: str | None = None
    index_was: int | None = None
    index_now: int | None = None


PLAN = About(kind="plan")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One member that differs: its JSON pointer (in the document that has it), both values."""

    pointer: str
    was: Any
    now: Any

    def document(self) -> Document:
        """Return it as JSON values."""
        return {"pointer": self.pointer, "was": self.was, "now": self.now}


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change, in a sentence with both values and in figures.

    ``was`` and ``now`` are what the sentence is mainly about, in ``unit``; ``figures`` is every
    member that the change speaks for. ``follows`` is the id of another change that says the same.
    """

    kind: str
    about: About
    what: str
    sentence: str
    was: Any = None
    now: Any = None
    unit: str | None = None
    figures: tuple[Figure, ...] = ()
    where: Where = (None, None)
    follows: str | None = None
    left_out_count: int = 0

    @property
    def id(self) -> str:
        """Return its stable id; a slash in a user's id is written ~1."""
        parts = (self.kind, self.about.id, self.what)
        return "/".join(escaped(part) for part in parts if part is not None)

    def after(self, cause: str) -> "Change":
        """Return this change as one that follows from another."""
        return replace(self, follows=cause)

    def document(self) -> Document:
        """Return it as JSON values."""
        about = self.about
        return {
            "id": self.id,
            "kind": self.kind,
            "subject": {
                "kind": about.kind,
                "id": about.id,
                "index_was": about.index_was,
                "index_now": about.index_now,
            },
            "what": self.what,
            "was": self.was,
            "now": self.now,
            "unit": self.unit,
            "sentence": self.sentence,
            "where": None
            if self.where == (None, None)
            else {"was": self.where[0], "now": self.where[1]},
            "follows": self.follows,
            "figures": [one.document() for one in self.figures],
            "figures_left_out_count": self.left_out_count,
        }


def escaped(part: str) -> str:
    """Return one step of a JSON pointer or an id (RFC 6901).

    Examples
    --------
    >>> escaped("a/b~c")
    'a~1b~0c'
    """
    if "~" in part or "/" in part:
        return part.replace("~", "~0").replace("/", "~1")
    return part


def pointer_to(base: str, *steps: object) -> str:
    """Return a JSON pointer with more steps."""
    return base + "".join(f"/{escaped(str(step))}" for step in steps)


def told_apart(changes: Iterable[Change]) -> list[Change]:
    """Return changes with ids that no other has; a second of one name gets its number."""
    seen: dict[str, int] = {}
    kept = []
    for one in changes:
        seen[one.id] = seen.get(one.id, 0) + 1
        again = seen[one.id]
        kept.append(one if again == 1 else replace(one, what=f"{one.what}-{again}"))
    return kept
