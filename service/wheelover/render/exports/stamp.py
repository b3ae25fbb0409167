"""What every export says of itself: which plan it is, its cautions, and what was not checked."""

from collections import Counter
from dataclasses import dataclass
from typing import Any

Document = dict[str, Any]

HIGH_LATITUDE_DEG = 70.0
"""Above about this latitude paths differ between systems (IEC 61174 Annex S, note 1)."""

LONG_LEG_NM = 600.0
"""Over this length too; the figure is ours, the standard says very long."""

_GRADES = {
    "must_resolve": "must be resolved",
    "must_explain": "must be explained",
    "note": "notes",
    "not_checked": "not checked",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ExportFile:
    """A file to be given out. ``warnings`` are for whoever asked for it."""

    name: str
    media_type: str
    body: bytes
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """Which plan an export is of. Without a revision number it is a draft.

    ``standing`` says of a revision where it stands, who approved it and with which reasons.
    """

    plan_id: str | None = None
    revision: int | None = None
    sha256: str | None = None
    created_utc: str | None = None
    demonstration: bool = False
    standing: tuple[str, ...] = ()

    @property
    def status(self) -> str:
        """Return the word at the head of every export."""
        state = "DRAFT" if self.revision is None else f"REVISION {self.revision}"
        return f"DEMONSTRATION, {state}" if self.demonstration else state


@dataclass(frozen=True, slots=True, kw_only=True)
class Remarks:
    """The words of one export."""

    status: str
    identity: str
    standing: tuple[str, ...]
    cautions: tuple[str, ...]
    exchange: tuple[str, ...]
    not_checked: tuple[str, ...]
    findings: str

    def lines(self) -> tuple[str, ...]:
        """Return all of it, one text for each matter."""
        count = len(self.not_checked)
        head = f"NOT CHECKED: {count} findings" if count else "NOT CHECKED: none is reported"
        return (
            f"{self.status}. {self.identity}",
            *self.standing,
            *self.cautions,
            *self.exchange,
            f"Findings: {self.findings}",
            head,
            *self.not_checked,
        )


def remarks(inputs: Document, result: Document, stamp: Stamp) -> Remarks:
    """Return the words of an export."""
    rows = result.get("findings") or []
    counts = Counter(row["grade"] for row in rows)
    checks = result.get("checks") or {}
    register = ""
    if "expected_count" in checks:
        register = f"; {checks['done_count']} of {checks['expected_count']} checks due were made"
    return Remarks(
        status=stamp.status,
        identity=_identity(result, stamp),
        standing=stamp.standing,
        cautions=tuple(row["text"] for row in result["cautions"]),
        exchange=_exchange(inputs, result),
        not_checked=tuple(row["message"] for row in rows if row["grade"] == "not_checked"),
        findings=", ".join(f"{counts[grade]} {words}" for grade, words in _GRADES.items())
        + register,
    )


def _identity(result: Document, stamp: Stamp) -> str:
    """Return which plan, revision, engine and inputs this is of."""
    parts = [
        f"Plan {stamp.plan_id}" if stamp.plan_id else "A plan that is not stored",
        f"revision {stamp.revision}" if stamp.revision is not None else "no revision",
        f"sha256 {stamp.sha256}" if stamp.sha256 else None,
        f"made {stamp.created_utc}" if stamp.created_utc else None,
        f"wheelover {result['engine_version']}",
        f"inputs sha256 {result['inputs_sha256']}",
    ]
    invented = " Ship, route and dangers are invented." if stamp.demonstration else ""
    return ", ".join(part for part in parts if part) + f".{invented}"


def _exchange(inputs: Document, result: Document) -> tuple[str, ...]:
    """Return what is said of taking the route to another system."""
    high = [
        one["id"] for one in inputs["route"]["waypoints"] if abs(one["lat_deg"]) > HIGH_LATITUDE_DEG
    ]
    long_legs = [
        f"{leg['from_id']} to {leg['to_id']} ({leg['distance_nm']:.0f} NM)"
        for leg in result["legs"]
        if (leg["distance_nm"] or 0.0) > LONG_LEG_NM
    ]
    said = [
        "The receiving system must check this route against its own charts before it is used "
        "(IEC 61174 Annex S, note 2)."
    ]
    if high:
        said.append(
            f"Latitude over {HIGH_LATITUDE_DEG:.0f} at {few(high)}: the path drawn there may "
            "differ between systems. Consider more waypoints."
        )
    if long_legs:
        said.append(
            f"Legs over {LONG_LEG_NM:.0f} NM: {few(long_legs)}; the path drawn may differ between "
            "systems. Consider more waypoints."
        )
    return tuple(said)


def few(names: list[str], most: int = 20) -> str:
    """Return names in one text, the first of them when they are many."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more
