"""Threads: what people say to each other about one thing of a plan."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.people import Person

AnchorKind = Literal["plan", "waypoint", "leg", "turn", "finding", "hazard", "input"]
NoteKind = Literal["note", "resolved", "reopened"]
ThreadState = Literal["open", "answered", "resolved", "reopened"]
Side = Literal["ship", "shore"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchor:
    """What a thread is about, by an id that no renumbering changes.

    Of a waypoint and its turn it is the id of the waypoint, of a leg that of the waypoint it leads
    to, of a finding or a danger its own; of an input a JSON pointer into the inputs, or the words
    of its row in the basis. That of the plan as a whole is empty.
    """

    kind: AnchorKind
    id: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One thing said, or that a thread was resolved or reopened. Never changed.

    ``number`` counts the notes of the plan from 1, as they came in here. ``revision`` is the one
    that was read, 0 the draft; ``newest_revision`` was the newest then. ``seen`` are the ids of the
    notes that the thread had where it was written: ship and shore write without each other.
    """

    id: str
    thread_id: str
    number: int
    kind: NoteKind
    revision: int
    newest_revision: int
    at_utc: str
    person: Person
    side: Side
    words: str
    seen: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """What was said about one thing. There is at least one note."""

    id: str
    plan_id: str
    anchor: Anchor
    notes: tuple[Note, ...]
