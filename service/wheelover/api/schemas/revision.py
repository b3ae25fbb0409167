"""What the document of a frozen revision must be, where it comes from elsewhere.

It may have been made by another version of this program, so of the result only that is asked which
the record, the review and the audit of a revision read in every version.
"""

from typing import Any

from pydantic import BaseModel, ConfigDict

from wheelover.api.body import as_model
from wheelover.api.schemas.plan_request import PlanRequest


class _Known(BaseModel):
    """Members that are read; others may stand beside them."""

    model_config = ConfigDict(strict=True, extra="ignore")


class _Finding(_Known):
    id: str
    grade: str
    message: str
    measured: float | None
    limit: float | None
    unit: str | None


class _Leg(_Known):
    from_id: str
    to_id: str
    course_deg: float | None


class _Result(_Known):
    findings: list[_Finding]
    legs: list[_Leg]


class _Pinned(_Known):
    id: str
    edition: int
    sha256: str


class _Loaded(_Known):
    hazard_sets: list[_Pinned]
    ship: _Pinned | None = None
    limit_set: _Pinned | None = None


class _Document(_Known):
    inputs: dict[str, Any]
    result: _Result
    loaded: _Loaded
    made_with: dict[str, str]


def check_revision(document: dict[str, Any]) -> None:
    """Refuse a document whose inputs are no plan request, or whose result cannot be shown.

    Raises
    ------
    InvalidInput
        Naming the member.
    """
    as_model(as_model(document, _Document).inputs, PlanRequest)
