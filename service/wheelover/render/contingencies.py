"""Contingencies with the documents of their own plans, as JSON values and as features."""

import math
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

from wheelover.core.checks.leaving import turn_checks, turn_findings
from wheelover.core.types.chart import Chart
from wheelover.core.types.contingency import CheckedContingency
from wheelover.core.types.plan import Grade, Plan
from wheelover.core.types.route import Position
from wheelover.core.units import nm_from_m
from wheelover.render.lines import along_arcs, along_legs, feature, point
from wheelover.render.points import place_row
from wheelover.render.rounding import METRES, MILES, rounded

Document = dict[str, Any]

GRADES: tuple[Grade, ...] = ("must_resolve", "must_explain", "note", "not_checked")
_OF_ITS_OWN = (
    "name", "legs", "turns", "clearances", "depths", "charts", "findings", "checks", "limit_set",
    "rules", "basis", "track", "schedule",
)  # fmt: skip
"""What the document of a contingency's plan holds."""


def contingency_rows(
    plan: Plan, chart: Chart, document_of: Callable[[Plan, Chart], Document]
) -> list[Document]:
    """Return the contingencies, each with what came of its plan and that plan's own document.

    Parameters
    ----------
    plan : Plan
        The main plan.
    chart : Chart
        Its dangers, where the plan of a contingency has none of its own.
    document_of : callable
        Makes the document of a plan.
    """
    return [
        _row(
            one,
            document_of(one.plan, one.plan.chart or chart),
            _leaving(one, chart, document_of),
        )
        for one in plan.bridge.contingencies
    ]


def _leaving(
    one: CheckedContingency, chart: Chart, document_of: Callable[[Plan, Chart], Document]
) -> Document:
    """Return the turn from the planned track onto the first leg of a contingency."""
    leaving = one.leaving
    document = None
    if leaving.plan is not None and (leaving.plan.turns or leaving.on_from_m is not None):
        document = document_of(leaving.plan, leaving.plan.chart or chart)
    told = {finding.id for finding in turn_findings(one)}
    rows = [] if document is None else document["findings"]
    return {
        "begins": place_row(leaving.begins),
        "decide": place_row(leaving.decide),
        "wheel_over_m": _up(leaving.wheel_over_m),
        "late_m": _up(leaving.late_m),
        "reason": leaving.reason,
        "turn": next(iter(document["turns"]), None) if document is not None else None,
        "findings": [row for row in rows if row["id"] in told],
        "not_checked": [
            f"{row.title}: {row.not_checked}" for row in turn_checks(one) if row.not_checked
        ],
        "notes": list(leaving.notes),
    }


def _up(length_m: float | None) -> float | None:
    """Return a length in whole metres, rounded up: earlier."""
    return None if length_m is None else float(math.ceil(length_m - 1e-6))


def _row(one: CheckedContingency, document: Document, leaving: Document) -> Document:
    """Return one contingency."""
    plan, off_m = one.plan, one.off_m
    counts = Counter(finding.grade for finding in plan.findings)
    return {
        "id": one.contingency.id,
        "kind": one.contingency.kind,
        "from_id": one.contingency.from_id,
        "name": one.contingency.route.name,
        "remark": one.contingency.remark,
        "leaves": place_row(one.leaves),
        "leaving": leaving,
        "off_track_nm": rounded(None if off_m is None else nm_from_m(abs(off_m)), MILES),
        "off_track_side": None if off_m is None else ("starboard" if off_m >= 0.0 else "port"),
        "distance_nm": document["track"]["distance_nm"],
        "findings_count": {grade: counts[grade] for grade in GRADES},
        "least_clearance_m": _least_m(plan),
        "not_checked": [
            finding.message for finding in plan.findings if finding.grade == "not_checked"
        ],
        "notes": list(one.notes),
        "plan": {name: document[name] for name in _OF_ITS_OWN},
    }


def _least_m(plan: Plan) -> float | None:
    """Return the least clearance of any piece of its track, None where nothing is near."""
    least = min((one.clearance_m for one in plan.clearances.least), default=None)
    return rounded(least, METRES)


def contingency_features(plan: Plan) -> Iterator[Document]:
    """Yield the tracks of the contingencies: their legs, arcs and waypoints, and how she joins."""
    for one in plan.bridge.contingencies:
        yield from _features(one)


def _features(one: CheckedContingency) -> Iterator[Document]:
    """Yield the track of one contingency."""
    known = {
        "contingency_id": one.contingency.id,
        "kind": one.contingency.kind,
        "name": one.contingency.route.name,
    }
    legs = [leg for leg in one.plan.legs if leg.path is not None]
    lines = along_legs(
        [(leg.path, leg.track_from_m, leg.track_to_m) for leg in legs if leg.path is not None]
    )
    for leg, geometry in zip(legs, lines, strict=True):
        yield feature(
            "contingency", geometry, **known, part="leg", index=leg.index, to_id=leg.to_id
        )
    turns = [turn for turn in one.plan.turns if turn.arc is not None]
    arcs = along_arcs([turn.arc for turn in turns if turn.arc is not None])
    for turn, geometry in zip(turns, arcs, strict=True):
        yield feature(
            "contingency", geometry, **known, part="turn", index=turn.index, to_id=turn.waypoint_id
        )
    yield from _joining(one, known)
    for index, waypoint in enumerate(one.plan.route.waypoints):
        place = Position(lat_deg=waypoint.lat_deg, lon_deg=waypoint.lon_deg)
        yield feature(
            "contingency", point(place), **known, part="waypoint", index=index, to_id=waypoint.id
        )


def _joining(one: CheckedContingency, known: Document) -> Iterator[Document]:
    """Yield how she runs on along the leg, and the arc onto the first leg with its wheel-over."""
    plan, on_from_m = one.leaving.plan, one.leaving.on_from_m
    if plan is not None and on_from_m is not None and plan.legs[0].path is not None:
        leg = plan.legs[0]
        end_m = leg.track_to_m if leg.room else leg.length_m
        (geometry,) = along_legs([(plan.legs[0].path, on_from_m, end_m)])
        yield feature(
            "contingency", geometry, **known, part="leaving_leg", index=0, to_id=leg.to_id
        )
    turn = plan.turns[0] if plan is not None and plan.turns else None
    if turn is None:
        return
    first = turn.waypoint_id
    if turn.arc is not None and turn.fits:
        (geometry,) = along_arcs([turn.arc])
        yield feature("contingency", geometry, **known, part="leaving_turn", index=0, to_id=first)
    if turn.planned.position is not None:
        yield feature(
            "contingency", point(turn.planned.position), **known, part="leaving_wheel_over",
            index=0, to_id=first,
        )  # fmt: skip
