"""Checks of each leg: that it has a course, and room between the turns at its ends."""

import math

from wheelover.core.checks.workings import Verdict, Workings, leg_name, leg_subject
from wheelover.core.turns.room import LegRoom
from wheelover.core.types.plan import Finding
from wheelover.core.types.route import Waypoint
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import m_from_nm, nm_from_m

SHORT_LEG_M = 1.0
RHUMB_LAT_DEG = 85.0
GEODESIC_M = m_from_nm(10_700.0)
"""Beyond this the ends are nearly on opposite sides of the earth and the shortest way jumps."""


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the line and the room of every leg."""
    verdicts = []
    for leg, room in zip(workings.track.legs, workings.track.rooms, strict=True):
        ends = workings.route.waypoints[leg.from_index : leg.from_index + 2]
        verdicts.append(
            Verdict(check="leg_line", subject=leg_subject(leg), findings=_line_findings(leg, ends))
        )
        verdicts.append(_room(leg, room))
    return tuple(verdicts)


def _line_findings(leg: PlannedLeg, ends: tuple[Waypoint, ...]) -> tuple[Finding, ...]:
    """Return what is wrong with the line of a leg."""
    if leg.path is None:
        return (_no_length(leg),)
    found = (_very_short(leg), _near_pole(leg, ends), _antipodal(leg))
    return tuple(finding for finding in found if finding is not None)


def _no_length(leg: PlannedLeg) -> Finding:
    """Return the finding of a waypoint that stands twice."""
    return Finding(
        code="leg_no_length",
        grade="must_resolve",
        subject=leg_subject(leg),
        message=f"Waypoints {leg.from_id} and {leg.to_id} are one and the same place. "
        "The leg has no course; nothing is computed through it.",
        measured=0.0,
        unit="m",
    )


def _very_short(leg: PlannedLeg) -> Finding | None:
    """Return the finding of a leg so short that its course means little."""
    if leg.length_m >= SHORT_LEG_M:
        return None
    return Finding(
        code="leg_very_short",
        grade="must_explain",
        subject=leg_subject(leg),
        message=f"Waypoints {leg.from_id} and {leg.to_id} lie {leg.length_m:.2f} m apart. "
        "A course between them means little; one of them may be a doubled row.",
        measured=leg.length_m,
        limit=SHORT_LEG_M,
        unit="m",
    )


def _near_pole(leg: PlannedLeg, ends: tuple[Waypoint, ...]) -> Finding | None:
    """Return the finding of a rhumb line so near a pole that it winds about it."""
    lat_deg = max(abs(end.lat_deg) for end in ends)
    if leg.line != "rhumb" or lat_deg <= RHUMB_LAT_DEG:
        return None
    return Finding(
        code="rhumb_near_pole",
        grade="must_resolve",
        subject=leg_subject(leg),
        message=f"The {leg_name(leg)} is a rhumb line reaching latitude {lat_deg:.1f}; "
        f"above {RHUMB_LAT_DEG:.0f} it winds about the pole. Plan it as a geodesic.",
        measured=lat_deg,
        limit=RHUMB_LAT_DEG,
        unit="deg",
    )


def _antipodal(leg: PlannedLeg) -> Finding | None:
    """Return the finding of a geodesic whose ends lie nearly on opposite sides of the earth."""
    if leg.line != "geodesic" or leg.length_m <= GEODESIC_M:
        return None
    return Finding(
        code="geodesic_antipodal",
        grade="must_resolve",
        subject=leg_subject(leg),
        message=f"The {leg_name(leg)} is {nm_from_m(leg.length_m):.0f} NM: its ends lie nearly on "
        "opposite sides of the earth, where the shortest way is not one way. Split it.",
        measured=nm_from_m(leg.length_m),
        limit=nm_from_m(GEODESIC_M),
        unit="NM",
    )


def _room(leg: PlannedLeg, room: LegRoom) -> Verdict:
    """Return whether the turns at both ends, and the next wheel-over, fit on the leg."""
    subject = leg_subject(leg)
    if leg.path is None:
        return Verdict(check="leg_room", subject=subject, not_checked="the leg has no length")
    if room.overlap_m is not None:
        message = (
            f"The turns at both ends of {leg_name(leg)} overlap: they take "
            f"{nm_from_m(room.tangents_m):.3f} NM of a leg of {nm_from_m(room.length_m):.3f} NM, "
            f"{math.ceil(room.overlap_m)} m too much. No track exists there."
        )
        found = Finding(
            code="turns_overlap",
            grade="must_resolve",
            subject=subject,
            message=message,
            measured=room.tangents_m,
            limit=room.length_m,
            unit="m",
        )
    elif room.missing_m is not None:
        message = (
            f"The {leg_name(leg)} is {math.ceil(room.missing_m)} m too short: the wheel-over at "
            f"{leg.to_id} comes before the turn at {leg.from_id} is finished or the leg has begun."
        )
        found = Finding(
            code="leg_too_short",
            grade="must_resolve",
            subject=subject,
            message=message,
            measured=room.helm_m,
            limit=room.length_m,
            unit="m",
        )
    else:
        return Verdict(check="leg_room", subject=subject, not_checked=room.unknown)
    return Verdict(check="leg_room", subject=subject, findings=(found,), not_checked=room.unknown)
