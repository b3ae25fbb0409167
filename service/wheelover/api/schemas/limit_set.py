"""Limit sets of a request, and waivers of their rules."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from wheelover.api.schemas.strict import ClearanceLimit, Label, Strict, Word
from wheelover.api.schemas.utc import UtcTime
from wheelover.core.types.dangers import DangerClass
from wheelover.core.types.limits import RULE_MEMBERS, ClassMargins, LimitSet, Waiver, WaterLimits
from wheelover.usecases.gather import Loaded

Depth = Annotated[float, Field(gt=0.0, le=1000.0, description="Metres")]
Margin = Annotated[float, Field(ge=0.0, le=1000.0, description="Metres")]
OffTrack = Annotated[float, Field(gt=0.0, le=100_000.0, description="Metres")]
Seconds = Annotated[float, Field(ge=0.0, le=3600.0, description="Seconds")]
HelmLate = Annotated[float, Field(gt=0.0, le=600.0, description="Seconds")]
ClassMarginsIn = Annotated[
    dict[DangerClass, ClearanceLimit],
    Field(description="Least clearance in metres by class of danger"),
]


def class_margins(given: dict[DangerClass, float] | None) -> ClassMargins:
    """Return margins by class as the core takes them, in one order whatever the order given."""
    return tuple(sorted((given or {}).items()))


class WaterLimitsIn(Strict):
    """What is asked in one kind of water. What is left out is not asked.

    ``min_clearance_m`` counts for dangers whose class is not named in ``min_clearance_by_class``.
    The under-keel clearance asked for is the larger of ``min_ukc_m`` and of the share
    ``min_ukc_draught_ratio`` of the draught. ``helm_late_s`` is how late the helm may be with
    nothing in the way.
    """

    min_clearance_m: ClearanceLimit | None = None
    min_clearance_by_class: ClassMarginsIn | None = None
    min_xtd_nm: Annotated[float, Field(ge=0.0, le=100.0, description="Nautical miles")] | None = (
        None
    )
    max_off_track_m: OffTrack | None = None
    min_to_close_s: Seconds | None = None
    min_ukc_m: Margin | None = None
    min_ukc_draught_ratio: Annotated[float, Field(ge=0.0, le=1.0)] | None = None
    min_overhead_m: Margin | None = None
    safety_contour_m: Depth | None = None
    safety_depth_m: Depth | None = None
    helm_late_s: HelmLate | None = None

    def to_core(self) -> WaterLimits:
        """Return them as the core takes them."""
        plain = self.model_dump(exclude={"min_clearance_by_class"})
        return WaterLimits(
            **plain, min_clearance_by_class=class_margins(self.min_clearance_by_class)
        )


class LimitSetIn(Strict):
    """Limits of a company or a ship for open, coastal and confined water, at least one of them."""

    name: Word
    source: Label | None = None
    open: WaterLimitsIn | None = None
    coastal: WaterLimitsIn | None = None
    confined: WaterLimitsIn | None = None

    @model_validator(mode="after")
    def _some_water(self) -> "LimitSetIn":
        """Refuse a set that asks nothing: it would look obeyed whatever the plan."""
        given = (self.open, self.coastal, self.confined)
        if not any(one is not None and one.model_dump(exclude_none=True) for one in given):
            raise ValueError("a limit set needs a limit in at least one kind of water")
        return self

    @property
    def rule_count(self) -> int:
        """Return how many rules it holds."""
        given = [one for one in (self.open, self.coastal, self.confined) if one is not None]
        single = sum(getattr(one, name) is not None for one in given for name in RULE_MEMBERS)
        return single + sum(len(one.min_clearance_by_class or {}) for one in given)

    def to_core(self, stored: Loaded | None = None) -> LimitSet:
        """Return it as the core takes it, with the edition it is where it is stored."""
        waters = {
            kind: None if one is None else one.to_core()
            for kind, one in (
                ("open", self.open),
                ("coastal", self.coastal),
                ("confined", self.confined),
            )
        }
        edition = None if stored is None else stored.edition
        return LimitSet(
            name=self.name,
            id=None if edition is None else edition.id,
            edition=None if edition is None else edition.edition,
            **waters,
        )


class WaiverByIn(Strict):
    """Who waives a rule."""

    name: Annotated[str, Field(min_length=1, max_length=120, pattern=r"\S")]
    rank: Annotated[str, Field(min_length=1, max_length=60, pattern=r"\S")] | None = None


class WaiverSubjectIn(Strict):
    """Where a rule is waived: a leg by the waypoint it leads to, a turn by its waypoint."""

    kind: Literal["leg", "turn"]
    id: Word


class WaiverIn(Strict):
    """That one rule of the limit set is not held in one place, on whose word and why.

    ``rule`` is the id of a rule as the answer lists it, like ``coastal/min_clearance_m/wreck``, or
    its member alone, like ``min_clearance_m``, for every kind of water and class. Without a subject
    it is waived on all of the plan, with a ``danger_id`` for that danger alone.
    """

    id: Word | None = None
    rule: Word
    subject: WaiverSubjectIn | None = None
    danger_id: Word | None = None
    reason: Annotated[str, Field(min_length=1, max_length=2000)]
    by: WaiverByIn
    at_utc: UtcTime | None = None

    def to_core(self, index: int) -> Waiver:
        """Return it as the core takes it; one without an id is called by its place."""
        return Waiver(
            id=self.id or f"waiver-{index + 1}",
            rule=self.rule,
            reason=self.reason,
            by_name=self.by.name,
            by_rank=self.by.rank,
            at_utc=self.at_utc,
            subject_kind=None if self.subject is None else self.subject.kind,
            subject_id=None if self.subject is None else self.subject.id,
            danger_id=self.danger_id,
        )
