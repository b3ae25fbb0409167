"""What is kept beside the revisions of a plan: who decided, checked, signed or noted what."""

from dataclasses import dataclass, field
from typing import Any, Literal

from wheelover.core.types.people import Person

EventKind = Literal[
    "offered",
    "approved",
    "returned",
    "taken_into_use",
    "closed",
    "checked",
    "signed_off",
    "course_verified",
    "actual",
    "remark",
    "lapsed",
    "noted",
    "shore_returned",
    "shore_agreed",
    "shore_read",
    "explained",
    "explanation_answered",
    "conflict_found",
    "conflict_settled",
]

State = Literal["offered", "returned", "approved", "in_use", "closed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing recorded beside a revision. ``number`` counts the events of the plan from 1.

    ``revision`` is the revision concerned, 0 for the draft. ``body`` is what belongs to the kind.
    """

    number: int
    revision: int
    kind: str
    at_utc: str
    person: Person
    body: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a revision stands.

    ``lapses`` are what made the last approval lapse; the approval stays on record beside them.
    """

    revision: int
    state: State
    approval: Event | None = None
    lapses: tuple[Event, ...] = ()

    @property
    def approved(self) -> bool:
        """Return whether the revision counts as approved."""
        known = self.approval is not None and self.state in ("approved", "in_use")
        return known and not self.lapses
