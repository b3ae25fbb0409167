"""The limit set of a plan as it is answered, and what became of its rules."""

from typing import Literal

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.limit_set import WaterLimitsIn
from wheelover.core.types.dangers import DangerClass, WaterKind
from wheelover.core.types.limits import RuleMember


class SubjectOut(Answer):
    """What a finding or a check is about."""

    kind: Literal["plan", "waypoint", "leg", "turn", "hazard"]
    index: int | None
    id: str | None


class WaiverByOut(Answer):
    """Who waived a rule."""

    name: str
    rank: str | None


class WaiverOut(Answer):
    """That a rule is not held in one place, on whose word and why."""

    id: str
    rule: str
    reason: str
    by: WaiverByOut
    at_utc: str | None


class LimitSetOut(Answer):
    """The limit set that the plan is held against; without id and edition it came with the plan."""

    id: str | None
    edition: int | None
    name: str
    open: WaterLimitsIn | None
    coastal: WaterLimitsIn | None
    confined: WaterLimitsIn | None


class RuleMissOut(Answer):
    """Where a rule is missed; ``measured`` is in the unit of the rule."""

    subject: SubjectOut
    hazard_id: str | None
    measured: float | None
    finding_id: str
    waiver: WaiverOut | None


class RuleOut(Answer):
    """What became of one rule of the set in the kinds of water that the legs lead through.

    ``missed`` where any miss is not waived, ``waived`` where all are, ``not_checked`` where
    something that looks for it was left out and nothing was found, ``met`` else. ``reason`` says
    what was not checked, also where something was found. ``limit`` is in ``unit``.
    """

    id: str
    set_id: str | None
    set_name: str
    set_edition: int | None
    water: WaterKind
    member: RuleMember
    danger_class: DangerClass | None
    limit: float
    unit: str | None
    result: Literal["met", "missed", "waived", "not_checked"]
    reason: str | None
    misses: list[RuleMissOut]
