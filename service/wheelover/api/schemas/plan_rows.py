"""Rows of the answer to a plan request that stand by themselves."""

from typing import Literal

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.rules_out import SubjectOut


class CheckOut(Answer):
    """One row of the check register."""

    check: str
    title: str
    subject: SubjectOut
    result: Literal["met", "must_explain", "must_resolve", "not_checked"]
    reason: str | None


class ChecksOut(Answer):
    """Every check that was due, and what came of it."""

    expected_count: int
    done_count: int
    rows: list[CheckOut]


class BasisOut(Answer):
    """One input, with the word for where it came from."""

    input: str
    value: float | str
    unit: str | None
    source: Literal["you", "file", "ship", "set", "default"]
    note: str | None


class TrackOut(Answer):
    """The planned track; its length is null where turns overlap, for there is none."""

    distance_nm: float | None


class CautionOut(Answer):
    """A caution."""

    id: str
    text: str


class AlternativeLegOut(Answer):
    """A leg of an alternative, waypoint to waypoint."""

    from_id: str
    to_id: str
    line: str
    course_deg: float | None
    distance_nm: float


class AlternativeOut(Answer):
    """A route that could be sailed instead: laid, not checked."""

    id: str
    name: str
    remark: str | None
    distance_nm: float | None
    legs: list[AlternativeLegOut]
    not_checked: str


class FindingsCountOut(Answer):
    """How many findings there are of each grade."""

    must_resolve: int
    must_explain: int
    note: int
    not_checked: int
