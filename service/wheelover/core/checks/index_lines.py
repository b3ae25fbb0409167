"""The check of the index lines of each leg: an object, the whole leg served, and room to steer."""

import math

from wheelover.core.aids.index_limits import contradicts
from wheelover.core.aids.radar import RADAR_RANGE_M, RADAR_RANGE_RATIO
from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    leg_name,
    leg_subject,
)
from wheelover.core.types.aid_lines import IndexLimit, IndexLine, LegIndex, RadarSet, SideRoom
from wheelover.core.types.clearance import Piece
from wheelover.core.types.marks import Mark
from wheelover.core.types.plan import Finding
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import m_from_nm, nm_from_m

_NEEDED = ("coastal", "confined")


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the index lines of every leg."""
    by_leg = {one.leg_index: one for one in workings.aid_lines.index}
    return tuple(_of_leg(workings, leg, by_leg.get(leg.index)) for leg in workings.track.legs)


def _of_leg(workings: Workings, leg: PlannedLeg, index: LegIndex | None) -> Verdict:
    """Return the verdict on one leg."""
    subject = leg_subject(leg)
    if index is None:
        reason = "no marks are given or charted"
        return Verdict(check="leg_index", subject=subject, not_checked=reason)
    if index.reason is not None:
        return Verdict(check="leg_index", subject=subject, not_checked=index.reason)
    marks = {one.id: one for one in workings.marks.marks}
    water = leg.water or workings.limits.water
    needed = water in _NEEDED
    found = [_not_usable(leg, one.mark_id, one.reason) for one in index.not_usable]
    if not index.in_use and needed:
        found.append(_none(leg, str(water)))
    elif needed:
        found += _gaps(leg, index)
        found += _floating(leg, index, marks)
    for line in index.in_use:
        found += _tight(workings, leg, line, marks)
    return Verdict(
        check="leg_index",
        subject=subject,
        findings=tuple(found),
        not_checked=_not_in_full(workings, leg, index, water),
    )


def _not_in_full(
    workings: Workings, leg: PlannedLeg, index: LegIndex, water: str | None
) -> str | None:
    """Return what of the index lines of a leg is not known."""
    if not index.in_use and water is None:
        return "no index object serves the leg, and in what kind of water it leads is not given"
    if not index.in_use:
        return "no index object serves the leg" if water in _NEEDED else None
    unknown = {one.room.reason for line in index.in_use for one in line.limits}
    unknown.discard(None)
    if unknown:
        return f"a limit is not known: {sorted(str(one) for one in unknown)[0]}"
    return coverage_unknown(workings, Piece(kind="leg", index=leg.index))


def _none(leg: PlannedLeg, water: str) -> Finding:
    """Return the finding of a leg near the coast without an object to index on."""
    return Finding(
        code="index_no_object",
        grade="must_explain",
        subject=leg_subject(leg),
        message=f"No mark serves as a parallel index along the {leg_name(leg)}, in {water} water. "
        "Say how the track is watched there, or give a mark.",
    )


def _not_usable(leg: PlannedLeg, mark_id: str, reason: str) -> Finding:
    """Return the finding of a chosen mark that gives no line."""
    return Finding(
        code="index_choice_not_usable",
        grade="must_explain",
        subject=leg_subject(leg),
        about=mark_id,
        message=f"The index object {mark_id} chosen for the {leg_name(leg)} gives no line: "
        f"{reason}.",
    )


def _gaps(leg: PlannedLeg, index: LegIndex) -> list[Finding]:
    """Return the finding of stretches that no object serves."""
    if not index.not_served:
        return []
    total_m = sum(one.to_m - one.from_m for one in index.not_served)
    named = ", ".join(
        f"{nm_from_m(one.from_m):.2f} to {nm_from_m(one.to_m):.2f}" for one in index.not_served[:4]
    )
    return [
        Finding(
            code="index_not_served",
            grade="must_explain",
            subject=leg_subject(leg),
            message=f"No index object serves {nm_from_m(total_m):.2f} NM of the {leg_name(leg)}: "
            f"{named} NM from {leg.from_id}.",
            measured=nm_from_m(total_m),
            limit=0.0,
            unit="NM",
        )
    ]


def _floating(leg: PlannedLeg, index: LegIndex, marks: dict[str, Mark]) -> list[Finding]:
    """Return the findings of floating marks that alone serve a stretch."""
    return [
        Finding(
            code="index_floating",
            grade="must_explain",
            subject=leg_subject(leg),
            about=line.mark_id,
            message=f"The {leg_name(leg)} is indexed on {marks[line.mark_id].name}, a floating "
            "mark, which may be off its place. No fixed mark was taken there.",
        )
        for line in index.in_use
        if marks[line.mark_id].floating
    ]


def _tight(
    workings: Workings, leg: PlannedLeg, line: IndexLine, marks: dict[str, Mark]
) -> list[Finding]:
    """Return the findings of limits that cannot be kept, with no room, or less than radar errs."""
    radar = workings.aid_lines.radar
    if radar is None:
        return []
    error_m = max(RADAR_RANGE_M, RADAR_RANGE_RATIO * m_from_nm(radar.range_scale_nm))
    unsure_m = line.uncertain_m + line.varies_m
    found = []
    for limit in line.limits:
        room = limit.room
        if room.room_m is None:
            continue
        beyond = contradicts(line, limit)
        if room.room_m - unsure_m >= error_m and not beyond:
            continue
        what, danger = _bounded_by(workings, room)
        none_left = room.room_m <= 0.0
        said = f"to {room.side} of it lies {what}, and {_said(line, limit, radar, error_m)}"
        found.append(
            Finding(
                code=f"index_limit_{room.side}",
                grade="must_resolve" if none_left else "must_explain",
                subject=leg_subject(leg),
                about=line.mark_id if danger is None else f"{line.mark_id} {danger}",
                message=f"Index on {marks[line.mark_id].name} along the {leg_name(leg)}: {said}.",
                measured=room.room_m,
                limit=error_m + unsure_m,
                unit="m",
            )
        )
    return found


def _bounded_by(workings: Workings, room: SideRoom) -> tuple[str, str | None]:
    """Return what bounds the room on one side in words, and the id of the danger if it is one."""
    hazards = workings.chart.hazards
    if room.hazard_index is not None:
        danger = hazards.ids[room.hazard_index]
        return hazards.names[room.hazard_index] or danger, danger
    words = {"cross_track": "the cross-track limit", "coast": "the coast"}
    return words.get(str(room.source), "what was looked at"), None


def _said(line: IndexLine, limit: IndexLimit, radar: RadarSet, error_m: float) -> str:
    """Return what is wrong with the room that a limit leaves."""
    room_m = limit.room.room_m or 0.0
    if room_m <= 0.0:
        return "the line itself does not keep the margin"
    unsure_m = line.uncertain_m + line.varies_m
    unsure = (
        f" and the {math.ceil(unsure_m)} m that the object's place is unsure or its range varies"
        if unsure_m >= 0.5
        else ""
    )
    left = (
        f"only {math.floor(room_m)} m are left to it, less than the {math.ceil(error_m)} m that a "
        f"radar may be wrong on the {radar.range_scale_nm:g} NM scale{unsure}"
    )
    if not contradicts(line, limit):
        return left
    value = (
        "no range is left" if limit.range_nm is None else f"{limit.word} {limit.range_nm:.2f} NM"
    )
    return f"{left}: set to {line.set_nm:.2f} NM she is beyond its limit, {value}"
