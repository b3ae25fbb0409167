"""Checks of courses by compass on every leg, and of daylight where somebody needs it."""

from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    leg_name,
    leg_subject,
    plan_subject,
)
from wheelover.core.schedule.points import need_met, row_of
from wheelover.core.schedule.variation import BLACKOUT_NT, CAUTION_NT
from wheelover.core.types.compass import LegCourses
from wheelover.core.types.plan import Finding, Subject
from wheelover.core.types.sky import LIGHT_WORDS, Above, DaylightNeed, SunRow
from wheelover.core.types.track import PlannedLeg
from wheelover.core.utc import utc_from_seconds

NO_NEED = (
    "nobody has said where daylight is needed, so day and night are shown at each waypoint and "
    "wheel-over and not judged"
)
_PART_WORDS = {"waypoint": "waypoint", "wheel_over": "wheel-over"}


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on courses by compass, and on the needs of daylight."""
    courses = {one.leg_index: one for one in workings.sky.courses}
    on_legs = [
        _on_leg(leg, courses[leg.index]) for leg in workings.track.legs if leg.index in courses
    ]
    return (*on_legs, _daylight(workings))


def _on_leg(leg: PlannedLeg, found: LegCourses) -> Verdict:
    """Return the verdict on the courses of a leg by compass."""
    return Verdict(
        check="leg_compass",
        subject=leg_subject(leg),
        findings=_weak_field(leg, found.weakest_nt),
        not_checked="; ".join(found.not_known) or None,
    )


def _weak_field(leg: PlannedLeg, weakest_nt: float | None) -> tuple[Finding, ...]:
    """Return the finding of a leg on which a magnetic compass hardly holds its direction."""
    if weakest_nt is None or weakest_nt >= CAUTION_NT:
        return ()
    blackout = weakest_nt < BLACKOUT_NT
    limit_nt = BLACKOUT_NT if blackout else CAUTION_NT
    where = "the blackout zone" if blackout else "the zone of caution"
    remedy = (
        "a magnetic compass is unreliable there, and no course is given by it"
        if blackout
        else "a magnetic compass may err by much there"
    )
    return (
        Finding(
            code="compass_blackout" if blackout else "compass_caution",
            grade="must_explain",
            subject=leg_subject(leg),
            message=f"On {leg_name(leg)} the horizontal magnetic field falls to "
            f"{weakest_nt:.0f} nT, below {limit_nt:.0f} nT: it lies in {where}, and {remedy}.",
            measured=weakest_nt,
            limit=limit_nt,
            unit="nT",
        ),
    )


def _daylight(workings: Workings) -> Verdict:
    """Return the verdict on all needs of daylight."""
    needs = workings.limits.daylight_needs
    findings: list[Finding] = []
    not_known: list[str] = [] if needs else [NO_NEED]
    notes = {one.waypoint_index: one.note for one in workings.schedule.rows}
    for need in needs:
        row = row_of(workings.sky.sun, need)
        what = f"the {_PART_WORDS[need.part]} of {need.waypoint_id}"
        if row is None:
            not_known.append(f"{what}: no wheel-over is planned there")
        elif row.day is None:
            not_known.append(f"{what}: when she is there is not known, {row.reason}")
        else:
            missed = _missed(need, row, what)
            findings += missed
            note = notes.get(row.point.waypoint_index)
            if note is not None and not missed:
                not_known.append(f"{what}: {note}, and the light is that of the time so found")
    return Verdict(
        check="daylight",
        subject=plan_subject(),
        findings=tuple(findings),
        not_checked="; ".join(not_known) or None,
    )


def _missed(need: DaylightNeed, row: SunRow, what: str) -> list[Finding]:
    """Return the finding of a need of daylight that is not met."""
    if row.day is None or row.at_s is None:
        return []
    result = need_met(row.day.light)
    if result == "met":
        return []
    return [
        Finding(
            code=f"daylight_at_{need.part}",
            grade="must_explain" if result == "twilight" else "must_resolve",
            subject=Subject(
                kind="waypoint", index=row.point.waypoint_index, id=row.point.waypoint_id
            ),
            message=f"She is at {what} at {utc_from_seconds(row.at_s)}: it is "
            f"{LIGHT_WORDS[row.day.light]} then, and daylight is needed: "
            f"{need.reason.rstrip('. ')}. "
            f"{_sun_words(row.day.up)}",
        )
    ]


def _sun_words(up: Above) -> str:
    """Return when the sun is up on that day."""
    if up.lasting is not None:
        always = up.lasting == "always"
        return "The sun does not set that day." if always else "The sun does not rise that day."
    rise, setting = (
        "none" if one is None else utc_from_seconds(one) for one in (up.from_s, up.to_s)
    )
    return f"Sunrise there {rise}, sunset {setting}."
