"""The difference of two revisions, as it is answered."""

from typing import Any, Literal

from wheelover.api.schemas.answer import Answer, PositionOut


class SideOut(Answer):
    """What is compared: a revision, or the draft, which has neither number nor digest."""

    number: int | None
    sha256: str | None
    created_utc: str | None
    engine_version: str
    inputs_sha256: str


class ChangeSubjectOut(Answer):
    """What a change is about: ``id`` is stable, an index counts from 0 and is null where it has
    none. The id of a leg is that of the waypoint it leads to, of a turn that of its waypoint.
    """

    kind: str
    id: str | None
    index_was: int | None
    index_now: int | None


class FigureOut(Answer):
    """One member that differs, by its JSON pointer (RFC 6901) in the revision that has it."""

    pointer: str
    was: Any
    now: Any


class WhereOut(Answer):
    """Where it lies, in both."""

    was: PositionOut | None
    now: PositionOut | None


ChangeKind = Literal[
    "engine",
    "route",
    "waypoint",
    "leg",
    "turn",
    "danger",
    "hazards",
    "ship",
    "limits",
    "conditions",
    "input",
    "bridge",
    "finding",
    "case",
    "alternative",
    "basis",
    "check",
    "clearance",
    "caution",
    "record",
    "drawing",
]


class ChangeOut(Answer):
    """One change: a sentence with both values, and every member it speaks for.

    ``follows`` is the id of another change that says the same or brings it along: fold it there.
    """

    id: str
    kind: ChangeKind
    subject: ChangeSubjectOut
    what: str
    was: Any
    now: Any
    unit: str | None
    sentence: str
    where: WhereOut | None
    follows: str | None
    figures: list[FigureOut]
    figures_left_out_count: int


class UnchangedOut(Answer):
    """How many rows of each kind are in both and the same."""

    waypoint: int
    leg: int
    turn: int
    finding: int
    clearance: int
    check: int
    basis: int
    hazard: int


class DifferenceOut(Answer):
    """Everything that differs, in sailing order, and how much does not.

    ``layers`` is GeoJSON: tracks with ``revision`` was or now and ``changed``, arrows (``moved``)
    with a ``label``, and ``hazard_change``. An earlier track is drawn where it differs.
    """

    plan_id: str
    was: SideOut
    now: SideOut
    same_inputs: bool
    changes: list[ChangeOut]
    unchanged: UnchangedOut
    layers: dict[str, Any]
