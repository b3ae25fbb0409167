"""Checks of routeing measures, restricted areas and areas with special conditions along the legs.

Angles to a traffic lane are judged by rule 10 [COLREG10]_. The rule gives no degrees: where a
course counts as along, across or against the flow is a common practice of the trade, and said so.
"""

from collections.abc import Iterator

import numpy as np
import shapely

from wheelover.core.charted.attributes import codes_of, number_of, text_of
from wheelover.core.charted.classes import CLASSES
from wheelover.core.checks.corridor_areas import NO_ENTRY, in_corridor
from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    leg_name,
    leg_subject,
)
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.types.charted import AreaPassed, ChartedTrack, Listed
from wheelover.core.types.clearance import Infringement, Piece
from wheelover.core.types.plan import Finding, Grade
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import nm_from_m

ALONG_DEG = 45.0
"""Up to this angle from the flow a course goes along the lane, and within it of the reverse against
it; between them it crosses."""

SQUARE_DEG = 20.0
"""A crossing this near to right angles needs no words."""

_TWO_WAY = 4
_TOLD_LENGTH = 200
_LANES = frozenset({"TSSLPT"})
_RECOMMENDED = frozenset({"DWRTPT", "RCTLPT", "FAIRWY"})
_SEPARATION = frozenset({"TSEZNE", "TSELNE"})
_PRACTICE = "Rule 10 gives no degrees; these are a practice of the trade."


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on what areas and routeing measures each leg passes."""
    on_chart = workings.on_chart
    return tuple(
        Verdict(
            check="leg_routeing",
            subject=leg_subject(leg),
            findings=() if on_chart is None else tuple(_of_leg(workings, on_chart, leg)),
            not_checked=_not_in_full(workings, leg),
        )
        for leg in workings.track.legs
    )


def _not_in_full(workings: Workings, leg: PlannedLeg) -> str | None:
    """Return why areas were not looked for along all of a leg."""
    on_chart = workings.on_chart
    if on_chart is None:
        return "no chart cells are loaded, so there are no areas to check against"
    if leg.path is None:
        return "the leg has no length"
    reason = coverage_unknown(workings, Piece(kind="leg", index=leg.index))
    areas = on_chart.charted.areas
    silent = sorted(
        {
            areas.hazards.names[one.area] or areas.hazards.ids[one.area]
            for one in on_chart.passed
            if one.leg_index == leg.index
            and areas.object_classes[one.area] in _LANES
            and number_of(areas.attributes[one.area], "ORIENT") is None
        }
    )
    flow = f"the direction of flow is not charted for {', '.join(silent)}" if silent else None
    return "; ".join(one for one in (reason, flow) if one) or None


def _of_leg(workings: Workings, on_chart: ChartedTrack, leg: PlannedLeg) -> Iterator[Finding]:
    """Yield what is found of one leg: openings, areas it enters, areas nearer than is asked."""
    for under in on_chart.under:
        if under.leg_index == leg.index and workings.ship is not None:
            yield from _too_narrow(on_chart.charted.overhead, leg, under, workings.ship.beam_m)
    entered = set()
    for passed in on_chart.passed:
        if passed.leg_index == leg.index:
            entered.add(passed.area)
            yield from _entered(on_chart.charted.areas, leg, passed)
    piece = Piece(kind="leg", index=leg.index)
    for one in on_chart.near_areas.infringements:
        if one.piece == piece and one.hazard_index not in entered and one.limit_source is not None:
            yield _too_near(on_chart.charted.areas, leg, one)
    yield from in_corridor(on_chart, leg, entered)


def _too_narrow(
    overhead: Listed, leg: PlannedLeg, under: AreaPassed, beam_m: float
) -> Iterator[Finding]:
    """Yield the finding of an opening no wider than the ship, where its width is charted."""
    wide_m = number_of(overhead.attributes[under.area], "HORCLR")
    if wide_m is None or wide_m > beam_m:
        return
    words = f"Its charted width is {wide_m:g} m; the beam is {beam_m:g} m."
    yield _finding(
        "opening_too_narrow",
        "must_resolve",
        overhead,
        leg,
        under,
        words,
        measured=wide_m,
        limit=beam_m,
        unit="m",
    )


def _entered(areas: Listed, leg: PlannedLeg, passed: AreaPassed) -> Iterator[Finding]:
    """Yield what is to be said of an area that a leg enters."""
    name = areas.object_classes[passed.area]
    if name in _LANES | _RECOMMENDED:
        yield from _in_lane(areas, leg, passed)
    elif name in _SEPARATION:
        yield _separation(areas, leg, passed)
    elif name == "ISTZNE":
        words = (
            "An inshore traffic zone is not for a ship that can use the lane of the scheme beside "
            "it (rule 10(d))."
        )
        yield _finding("inshore_zone", "must_explain", areas, leg, passed, words)
    elif areas.hazards.classes[passed.area] in {"restricted", "special"}:
        yield _special(areas, leg, passed)
    elif name in {"PRCARE", "TSSCRS", "TSSRON"}:
        yield _finding("routeing_entered", "note", areas, leg, passed, "Extra care is due there.")


def _special(areas: Listed, leg: PlannedLeg, passed: AreaPassed) -> Finding:
    """Return the finding of a restricted area or one with special conditions."""
    attributes = areas.attributes[passed.area]
    barred = codes_of(attributes, "RESTRN") & NO_ENTRY
    if barred:
        words = (
            "It is charted as an area to be avoided." if 14 in barred else "Entry is prohibited."
        )
        return _finding("area_not_to_enter", "must_resolve", areas, leg, passed, words)
    restricted = areas.hazards.classes[passed.area] == "restricted"
    code = "restricted_entered" if restricted else "special_entered"
    listed = CLASSES[areas.object_classes[passed.area]].special
    grade: Grade = "must_explain" if listed or restricted else "note"
    words = "Read what the chart and the sailing directions say of it."
    told = text_of(attributes, "INFORM")
    if told is not None:
        words += f' The chart says: "{told[:_TOLD_LENGTH]}".'
    return _finding(code, grade, areas, leg, passed, words)


def _in_lane(areas: Listed, leg: PlannedLeg, passed: AreaPassed) -> Iterator[Finding]:
    """Yield what is to be said of a leg in a lane with a direction of flow."""
    attributes = areas.attributes[passed.area]
    flow_deg = number_of(attributes, "ORIENT")
    if flow_deg is None or _TWO_WAY in codes_of(attributes, "TRAFIC"):
        return
    off_deg = _off_deg(flow_deg, passed)
    lane = areas.object_classes[passed.area] in _LANES
    if off_deg >= 180.0 - ALONG_DEG:
        words = f"The flow there goes {flow_deg:.0f} T, {off_deg:.0f} degrees from the course."
        grade: Grade = "must_resolve" if lane else "must_explain"
        code = "against_flow" if lane else "against_recommended"
        rule = " Rule 10(b) asks to go with it." if lane else ""
        yield _finding(
            code, grade, areas, leg, passed, words + rule, measured=off_deg, limit=ALONG_DEG
        )
    elif lane and off_deg > ALONG_DEG:
        grade = "note" if abs(off_deg - 90.0) <= SQUARE_DEG else "must_explain"
        words = (
            f"It crosses the flow, {flow_deg:.0f} T, at {off_deg:.0f} degrees; rule 10(c) asks for "
            f"a heading as nearly as practicable at right angles, here within {SQUARE_DEG:.0f} "
            f"degrees. {_PRACTICE}"
        )
        yield _finding(
            "lane_crossed", grade, areas, leg, passed, words, measured=off_deg, limit=90.0
        )


def _separation(areas: Listed, leg: PlannedLeg, passed: AreaPassed) -> Finding:
    """Return the finding of a leg that meets a separation zone or line: how squarely it crosses."""
    flow_deg = _nearest_flow_deg(areas, passed.area)
    if flow_deg is None:
        words = "No lane with a direction is charted beside it to judge the angle by (rule 10)."
        return _finding("separation_entered", "must_explain", areas, leg, passed, words)
    off_deg = _off_deg(flow_deg, passed)
    across_deg = min(off_deg, 180.0 - off_deg)
    words = (
        f"The lanes beside it run {flow_deg:.0f} T; the course crosses them at {across_deg:.0f} "
        f"degrees."
    )
    if across_deg >= 90.0 - SQUARE_DEG:
        return _finding(
            *("separation_crossed", "note", areas, leg, passed, words),
            measured=across_deg,
            limit=90.0,
        )
    if across_deg >= ALONG_DEG:
        words += f" Rule 10(c) asks for nearly right angles. {_PRACTICE}"
        return _finding(
            *("separation_crossed", "must_explain", areas, leg, passed, words),
            measured=across_deg,
            limit=90.0,
        )
    words += " Rule 10(e) keeps ships that do not cross out of it."
    return _finding(
        *("separation_entered", "must_resolve", areas, leg, passed, words),
        measured=across_deg,
        limit=90.0,
    )


def _nearest_flow_deg(areas: Listed, area: int) -> float | None:
    """Return the direction of the lane nearest to a separation zone."""
    lanes = [
        (row, flow_deg)
        for row, name in enumerate(areas.object_classes)
        if name in _LANES and (flow_deg := number_of(areas.attributes[row], "ORIENT")) is not None
    ]
    if not lanes:
        return None
    rows = np.array([row for row, _ in lanes])
    away_deg = shapely.distance(areas.geometries[area], areas.geometries[rows])
    return lanes[int(np.argmin(away_deg))][1]


def _off_deg(flow_deg: float, passed: AreaPassed) -> float:
    """Return the larger angle between a direction and the course where a leg enters and leaves."""
    courses = np.array([passed.course_in_deg, passed.course_out_deg])
    return float(np.max(np.abs(signed_change_deg(np.full(2, flow_deg), courses))))


def _too_near(areas: Listed, leg: PlannedLeg, one: Infringement) -> Finding:
    """Return the finding of an area that lies nearer than is asked for its class."""
    hazards = areas.hazards
    name = hazards.names[one.hazard_index] or hazards.ids[one.hazard_index]
    message = (
        f"The {leg_name(leg)} passes {name} at {nm_from_m(max(one.clearance_m, 0.0)):.2f} NM; "
        f"{nm_from_m(one.limit_m):.2f} NM is asked for {hazards.classes[one.hazard_index]} areas."
    )
    return Finding(
        code="area_near",
        grade="must_explain",
        subject=leg_subject(leg),
        about=hazards.ids[one.hazard_index],
        message=message,
        measured=one.clearance_m,
        limit=one.limit_m,
        unit="m",
    )


def _finding(
    code: str,
    grade: Grade,
    areas: Listed,
    leg: PlannedLeg,
    passed: AreaPassed,
    words: str,
    *,
    measured: float | None = None,
    limit: float | None = None,
    unit: str = "deg",
) -> Finding:
    """Return the finding of an area that a leg enters, with where it does."""
    hazards = areas.hazards
    name = hazards.names[passed.area] or hazards.ids[passed.area]
    from_nm, to_nm = nm_from_m(passed.enters_m), nm_from_m(passed.leaves_m)
    if passed.leaves_m - passed.enters_m < 1.0:
        where = f"crosses {name} {from_nm:.2f} NM along it"
    else:
        where = f"leads through {name} from {from_nm:.2f} to {to_nm:.2f} NM along it"
    return Finding(
        code=code,
        grade=grade,
        subject=leg_subject(leg),
        about=hazards.ids[passed.area],
        message=f"The {leg_name(leg)} {where}. {words}",
        measured=measured,
        limit=limit,
        unit=None if measured is None else unit,
    )
