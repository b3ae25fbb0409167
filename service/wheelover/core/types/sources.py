"""Charts and publications consulted for a plan."""

from dataclasses import dataclass
from typing import Literal, get_args

SourceKind = Literal[
    "chart",
    "notices",
    "radio_warnings",
    "sailing_directions",
    "light_list",
    "radio_list",
    "tide_tables",
    "stream_tables",
    "weather",
    "routeing",
    "reporting",
    "pilotage",
    "port_information",
    "company_rules",
    "other",
]
"""What a plan is drawn from, as the appraisal lists it."""

SOURCE_KINDS: tuple[SourceKind, ...] = get_args(SourceKind)


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsultedSource:
    """One chart or publication; without ``leg_to_ids`` it is for the whole passage.

    ``corrected_to_utc`` is the date that it is corrected to, and ``consulted`` whether somebody
    says that it was.
    """

    id: str
    kind: SourceKind
    title: str
    consulted: bool
    number: str | None = None
    edition: str | None = None
    corrected_to_utc: str | None = None
    leg_to_ids: tuple[str, ...] = ()
    remark: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceFound:
    """A source with its age at departure, and the legs it is for that the route has."""

    source: ConsultedSource
    age_days: float | None = None
    unknown_legs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CellSource:
    """A chart cell that the plan is checked against, and the legs that it covers any of."""

    name: str
    edition: int
    update: int
    issued: str | None
    leg_to_ids: tuple[str, ...]
    lacking: str | None = None
