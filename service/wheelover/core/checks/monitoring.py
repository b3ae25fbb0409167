"""Checks of what the bridge team does on each leg: that it is said, and that fixes come in time."""

import math
from collections.abc import Iterator

from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    leg_name,
    leg_subject,
    plan_subject,
)
from wheelover.core.monitoring.fixing import shared
from wheelover.core.monitoring.words import METHOD_WORDS, STAGE_WORDS
from wheelover.core.types.clearance import Piece
from wheelover.core.types.dangers import WaterKind
from wheelover.core.types.monitoring import LegFixing, Reachable
from wheelover.core.types.plan import Finding
from wheelover.core.types.track import PlannedLeg
from wheelover.core.types.watch import Fixing, LegMonitoring, Stage
from wheelover.core.units import kn_from_m_per_s, nm_from_m

ASKED: tuple[tuple[str, str, tuple[Stage, ...]], ...] = (
    ("stage", "stage", ()),
    ("watch", "watch condition", ()),
    ("call_master", "when the master is called", ()),
    ("machinery", "machinery and its notice", ("berth", "pilotage", "confined")),
    ("pilot", "pilot", ("pilotage",)),
    ("tugs", "tugs", ("berth",)),
)
"""What is asked for on a leg, and in which stages; without stages in every one."""

_WATER_OF: dict[Stage, tuple[WaterKind, ...]] = {
    "berth": ("confined",),
    "pilotage": ("confined", "coastal"),
    "confined": ("confined",),
    "coastal": ("coastal",),
    "open": ("open",),
}


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on berth to berth, and on what the team does on every leg."""
    fixings = {one.leg_index: one for one in workings.bridge.fixings}
    verdicts = [_berth_to_berth(workings)]
    for leg in workings.track.legs:
        given = given_of(workings, leg)
        subject = leg_subject(leg)
        verdicts.append(
            Verdict(
                check="leg_monitoring",
                subject=subject,
                findings=tuple(_stage_and_water(workings, leg, given)),
                not_checked=_missing(given),
            )
        )
        verdicts.append(_fixing(workings, leg, given.fixing or Fixing(), fixings.get(leg.index)))
    return tuple(verdicts)


def given_of(workings: Workings, leg: PlannedLeg) -> LegMonitoring:
    """Return what is planned for the bridge team on a leg."""
    wishes = workings.route.waypoints[leg.from_index + 1].leg
    return (wishes and wishes.monitoring) or LegMonitoring()


def missing_words(given: LegMonitoring) -> tuple[str, ...]:
    """Return what is asked for on a leg and not said, in words."""
    return tuple(
        words
        for member, words, stages in ASKED
        if getattr(given, member) is None and (not stages or given.stage in stages)
    )


def _missing(given: LegMonitoring) -> str | None:
    """Return what nobody has said of a leg, None where all of it is said."""
    missing = missing_words(given)
    return f"nobody has said: {', '.join(missing)}" if missing else None


def _berth_to_berth(workings: Workings) -> Verdict:
    """Return whether the plan begins and ends at a berth [A893]_."""
    legs = workings.track.legs
    if not legs:
        reason = "no leg is laid, so nothing begins or ends"
        return Verdict(check="berth_to_berth", subject=plan_subject(), not_checked=reason)
    findings, unknown = [], []
    for leg, where in ((legs[0], "begins"), (legs[-1], "ends")):
        stage = given_of(workings, leg).stage
        if stage is None:
            unknown.append(f"the stage of the {leg_name(leg)} is not given")
        elif stage != "berth":
            findings.append(_not_at_berth(leg, where, stage))
    return Verdict(
        check="berth_to_berth",
        subject=plan_subject(),
        findings=tuple(findings),
        not_checked=" and ".join(dict.fromkeys(unknown)) or None,
    )


def _not_at_berth(leg: PlannedLeg, where: str, stage: Stage) -> Finding:
    """Return the finding of a plan that does not begin or end at a berth."""
    return Finding(
        code=f"plan_{where}_off_berth",
        grade="must_explain",
        subject=plan_subject(),
        message=f"The plan {where} on the {leg_name(leg)}, whose stage is {STAGE_WORDS[stage]}: it "
        "does not run berth to berth. What lies between it and the berth is not planned here.",
    )


def _stage_and_water(
    workings: Workings, leg: PlannedLeg, given: LegMonitoring
) -> Iterator[Finding]:
    """Yield the finding of a leg whose stage and kind of water do not go together."""
    water = leg.water or workings.limits.water
    if given.stage is None or water is None or water in _WATER_OF[given.stage]:
        return
    yield Finding(
        code="stage_and_water_differ",
        grade="must_explain",
        subject=leg_subject(leg),
        message=f"The stage of the {leg_name(leg)} is {STAGE_WORDS[given.stage]}, and its limits "
        f"are those of {water} water. One of them may be wrong.",
    )


def _fixing(workings: Workings, leg: PlannedLeg, given: Fixing, found: LegFixing | None) -> Verdict:
    """Return whether she is fixed by two independent means, and in time."""
    return Verdict(
        check="leg_fixing",
        subject=leg_subject(leg),
        findings=(*_methods(leg, given), *_interval(workings, leg, given, found)),
        not_checked=_not_in_full(workings, leg, given, found),
    )


def _not_in_full(
    workings: Workings, leg: PlannedLeg, given: Fixing, found: LegFixing | None
) -> str | None:
    """Return why fixing is not simply as it must be."""
    if given.primary is None or given.interval_min is None:
        missing = [
            words
            for value, words in (
                (given.primary, "the primary method of fixing"),
                (given.secondary, "the secondary method of fixing"),
                (given.interval_min, "the interval of fixes"),
            )
            if value is None
        ]
        return f"nobody has said: {', '.join(missing)}"
    if found is None or found.longest_s is None:
        return (found and found.reason) or "the time to the nearest danger is not known"
    if found.reached is None and given.interval_min * 60.0 > found.longest_s:
        return f"{found.notes[0]}, and she runs farther than that between two fixes"
    return coverage_unknown(workings, Piece(kind="leg", index=leg.index))


def _methods(leg: PlannedLeg, given: Fixing) -> Iterator[Finding]:
    """Yield what is wrong with the methods of a leg."""
    if given.primary is None:
        return
    if given.secondary is None:
        yield Finding(
            code="fixing_no_second",
            grade="must_explain",
            subject=leg_subject(leg),
            message=f"The {leg_name(leg)} is fixed by {METHOD_WORDS[given.primary]} alone: no "
            "secondary method is given.",
        )
        return
    both = shared(given.primary, given.secondary)
    if both:
        yield Finding(
            code="fixing_not_independent",
            grade="must_explain",
            subject=leg_subject(leg),
            message=f"On the {leg_name(leg)} {METHOD_WORDS[given.primary]} and "
            f"{METHOD_WORDS[given.secondary]} both hang on the {' and the '.join(both)}: a fault "
            "there would stand in both, and neither checks the other.",
        )


def _interval(
    workings: Workings, leg: PlannedLeg, given: Fixing, found: LegFixing | None
) -> Iterator[Finding]:
    """Yield the finding of fixes so rare that she can reach a danger between two of them."""
    if given.interval_min is None or found is None or found.longest_s is None:
        return
    interval_s = given.interval_min * 60.0
    if found.reached is None or found.toward_m_per_s is None or interval_s < found.longest_s:
        return
    reached = found.reached
    also = ""
    if reached.xtd_nm and found.from_track_s is not None and interval_s >= found.from_track_s:
        also = f"; from the track itself it is {math.floor(found.from_track_s)} s"
    yield Finding(
        code="fix_interval_long",
        grade="must_explain",
        subject=leg_subject(leg),
        about=_id(workings, reached),
        message=f"The {leg_name(leg)} is fixed every {given.interval_min:g} min. At "
        f"{kn_from_m_per_s(found.toward_m_per_s):.1f} kn over the ground she could reach "
        f"{_name(workings, reached)} in {math.floor(found.longest_s)} s: it lies "
        f"{_floor_nm(reached.clearance_m):.2f} NM from the track{_edge(reached)}{also}. She must "
        "not be able to reach a danger between two fixes (common practice of the trade). Fix more "
        "often, narrow the limit, slow down, or watch without a gap, by parallel index or transit.",
        measured=interval_s,
        limit=found.longest_s,
        unit="s",
    )


def _floor_nm(length_m: float) -> float:
    """Return a length in miles, rounded down to the hundredth."""
    return math.floor(max(nm_from_m(length_m), 0.0) * 100.0 + 1e-9) / 100.0


def _edge(reached: Reachable) -> str:
    """Return where the way to the danger is counted from."""
    if reached.xtd_nm is None:
        return "; no cross-track limit is given to its side"
    return f", and the cross-track limit takes {reached.xtd_nm:.2f} NM of that"


def _id(workings: Workings, reached: Reachable) -> str | None:
    """Return the id of the danger, None of the coastline."""
    if reached.hazard_index is None:
        return None
    return workings.chart.hazards.ids[reached.hazard_index]


def _name(workings: Workings, reached: Reachable) -> str:
    """Return what the danger is called."""
    if reached.hazard_index is None:
        return "the coastline"
    hazards = workings.chart.hazards
    return hazards.names[reached.hazard_index] or hazards.ids[reached.hazard_index]
