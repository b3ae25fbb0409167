"""Stored things as they are answered. Descriptions only: the answers are made elsewhere."""

from typing import Any, Literal

from pydantic import BaseModel

from wheelover.api.schemas.limit_set import LimitSetIn
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.api.schemas.plan_response import PlanResponse
from wheelover.api.schemas.ship import ShipIn


class EditionLine(BaseModel):
    """One stored thing in a list."""

    id: str
    edition: int
    name: str
    created_utc: str
    sha256: str


class HazardSetLine(EditionLine):
    """One hazard set in a list."""

    source: str | None
    item_count: int


class ShipRecord(EditionLine):
    """An edition of a ship."""

    newest_edition: int
    ship: ShipIn


class HazardSetRecord(HazardSetLine):
    """An edition of a hazard set."""

    newest_edition: int
    hazards: dict[str, Any]


class LimitSetLine(EditionLine):
    """One limit set in a list; ``item_count`` is how many rules it holds."""

    source: str | None
    item_count: int


class LimitSetRecord(LimitSetLine):
    """An edition of a limit set."""

    newest_edition: int
    limit_set: LimitSetIn


class LimitSetList(BaseModel):
    """A page of limit sets."""

    items: list[LimitSetLine]
    next_cursor: str | None


class ShipList(BaseModel):
    """A page of ships; ``next_cursor`` is null on the last one."""

    items: list[EditionLine]
    next_cursor: str | None


class HazardSetList(BaseModel):
    """A page of hazard sets."""

    items: list[HazardSetLine]
    next_cursor: str | None


class PlanState(BaseModel):
    """Where a plan stands: its newest revision, the approval on record, what is in use.

    What is stale counts, and this engine has not computed it again yet.
    """

    state: Literal["draft", "offered", "returned", "approved", "in_use", "closed"]
    approved_revision: int | None
    approval_stands: bool
    approval_stale: bool
    in_use_revision: int | None
    in_use_stands: bool
    in_use_stale: bool
    edited_since_revision: bool
    conflict: bool
    vessel_id: str


class PlanLine(PlanState):
    """One plan in a list."""

    id: str
    name: str
    edit: int
    demonstration: bool
    created_utc: str
    changed_utc: str
    waypoint_count: int
    revision_count: int


class PlanList(BaseModel):
    """A page of plans, last changed first."""

    items: list[PlanLine]
    next_cursor: str | None


class Label(BaseModel):
    """What undo or redo would do."""

    label: str


class StepLine(BaseModel):
    """One step of a draft."""

    number: int
    label: str
    at_utc: str
    current: bool


class RevisionLine(BaseModel):
    """One frozen revision in a list."""

    number: int
    created_utc: str
    sha256: str
    inputs_sha256: str
    engine_version: str


class RevisionList(BaseModel):
    """A page of revisions, newest first."""

    items: list[RevisionLine]
    next_cursor: str | None


class DraftRevision(RevisionLine):
    """One frozen revision of a plan, and where it stands."""

    state: Literal["offered", "returned", "approved", "in_use", "closed"]
    counts_as_approved: bool
    stale: bool


class DraftRecord(PlanState):
    """A plan as its draft stands."""

    id: str
    name: str
    edit: int
    demonstration: bool
    created_utc: str
    changed_utc: str
    inputs: PlanRequest
    undo: Label | None
    redo: Label | None
    steps: list[StepLine]
    revisions: list[DraftRevision]


class AmendmentMade(BaseModel):
    """What an amendment started from, and what became of what was stated at waypoints behind.

    ``carried`` counts from the position on now; ``left_behind`` belonged to waypoints behind, or to
    a leg that starts elsewhere now, and is dropped.
    """

    of_revision: int
    start_from: Literal["revision", "draft"]
    departure_utc: str | None
    carried: list[str]
    left_behind: list[str]


class AmendedDraft(DraftRecord):
    """A plan as its draft stands after it was amended under way."""

    amended: AmendmentMade


class ComputedDraft(PlanResponse):
    """The plan of a draft."""

    plan_id: str
    edit: int


class RevisionRecord(BaseModel):
    """A frozen revision: the canonical document (RFC 8785) that ``sha256`` is taken of."""

    sha256: str
    plan_id: str
    number: int
    created_utc: str
    engine_version: str
    made_with: dict[str, str]
    inputs: PlanRequest
    inputs_sha256: str
    loaded: dict[str, Any]
    result: PlanResponse
