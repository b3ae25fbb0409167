"""One thing that is not what it was when a revision was frozen."""

from dataclasses import dataclass
from typing import Any

Document = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that is not what it was.

    ``id`` names the cause and, behind @, what it is now: a reason that was written for one
    difference does not answer another of the same cause. ``counts`` says whether an approval lapses
    by it; what does not count is only noted.
    """

    id: str
    cause: str
    words: str
    counts: bool = True

    @property
    def base(self) -> str:
        """Return the cause without what it is now."""
        return base_of(self.id)

    def body(self) -> Document:
        """Return it as an event keeps it."""
        return {"id": self.id, "cause": self.cause, "words": self.words}


def base_of(change_id: str) -> str:
    """Return the id of a change without what it is now.

    Examples
    --------
    >>> base_of("changed/ship/ship-1@3")
    'changed/ship/ship-1'
    """
    return change_id.rpartition("@")[0] or change_id
