"""Limits of a company or a ship by kind of water, and waivers of single rules."""

from dataclasses import dataclass
from typing import Literal, get_args

from wheelover.core.types.dangers import DangerClass, WaterKind

RuleMember = Literal[
    "min_clearance_m",
    "min_xtd_nm",
    "max_off_track_m",
    "min_to_close_s",
    "min_ukc_m",
    "min_ukc_draught_ratio",
    "min_overhead_m",
    "safety_contour_m",
    "safety_depth_m",
    "helm_late_s",
]
"""What a set may limit; each is a rule of its own for each kind of water."""

RULE_MEMBERS: tuple[RuleMember, ...] = get_args(RuleMember)

RULE_UNITS: dict[RuleMember, str | None] = {
    "min_clearance_m": "m",
    "min_xtd_nm": "NM",
    "max_off_track_m": "m",
    "min_to_close_s": "s",
    "min_ukc_m": "m",
    "min_ukc_draught_ratio": None,
    "min_overhead_m": "m",
    "safety_contour_m": "m",
    "safety_depth_m": "m",
    "helm_late_s": "s",
}

ClassMargins = tuple[tuple[DangerClass, float], ...]
"""Least clearances by class of danger, metres, each class once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterLimits:
    """What a set asks in one kind of water; what is None it does not ask.

    ``min_clearance_m`` counts for dangers whose class is not in ``min_clearance_by_class``.
    ``min_xtd_nm`` is the cross-track limit asked for on each side. The under-keel clearance asked
    for is the larger of ``min_ukc_m`` and ``min_ukc_draught_ratio`` times the draught.
    ``helm_late_s`` is how late the helm may be given with nothing in the way.
    """

    min_clearance_m: float | None = None
    min_clearance_by_class: ClassMargins = ()
    min_xtd_nm: float | None = None
    max_off_track_m: float | None = None
    min_to_close_s: float | None = None
    min_ukc_m: float | None = None
    min_ukc_draught_ratio: float | None = None
    min_overhead_m: float | None = None
    safety_contour_m: float | None = None
    safety_depth_m: float | None = None
    helm_late_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitSet:
    """Limits by kind of water. Without ``id`` and ``edition`` it was given with the plan."""

    name: str
    open: WaterLimits | None = None
    coastal: WaterLimits | None = None
    confined: WaterLimits | None = None
    id: str | None = None
    edition: int | None = None

    def water(self, kind: WaterKind) -> WaterLimits | None:
        """Return what it asks in one kind of water, None where it does not speak of it."""
        return {"open": self.open, "coastal": self.coastal, "confined": self.confined}[kind]

    @property
    def label(self) -> str:
        """Return what it is called in a sentence."""
        return self.name if self.edition is None else f"{self.name}, edition {self.edition}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule of a set. ``danger_class`` is None for one that is not of a single class."""

    water: WaterKind
    member: RuleMember
    value: float
    danger_class: DangerClass | None = None

    @property
    def id(self) -> str:
        """Return by what it is named: the kind of water, the member, and the class."""
        of_class = "" if self.danger_class is None else f"/{self.danger_class}"
        return f"{self.water}/{self.member}{of_class}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiver:
    """That one rule is not held in one place, on whose word and why.

    ``rule`` is the id of a rule, or its member alone for every kind of water and class. A subject
    is a leg, named by the waypoint it leads to, or a turn, named by its waypoint; without one the
    waiver is for all of the plan. With a ``danger_id`` it is for that danger alone.
    """

    id: str
    rule: str
    reason: str
    by_name: str
    by_rank: str | None = None
    at_utc: str | None = None
    subject_kind: Literal["leg", "turn"] | None = None
    subject_id: str | None = None
    danger_id: str | None = None

    @property
    def label(self) -> str:
        """Return by whom and why, as it stands behind what it waives."""
        rank = "" if self.by_rank is None else f", {self.by_rank}"
        when = "" if self.at_utc is None else f" at {self.at_utc}"
        return f"Waived by {self.by_name}{rank}{when}: {self.reason.rstrip('. ')}."


@dataclass(frozen=True, slots=True, kw_only=True)
class LegAsked:
    """What a leg asks of the dangers it passes, and the kind of water it leads through."""

    min_clearance_m: float | None = None
    min_clearance_by_class: ClassMargins = ()
    water: WaterKind | None = None
