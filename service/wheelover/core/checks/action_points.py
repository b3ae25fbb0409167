"""Checks of action points, and of where the plan can still be given up."""

import math
from collections.abc import Iterator

from wheelover.core.checks.monitoring import given_of
from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    leg_name,
    leg_subject,
    plan_subject,
)
from wheelover.core.monitoring.aborts import COMMITTING
from wheelover.core.monitoring.stopping import LONGEST_ALLOWED_LENGTHS, LONGEST_LENGTHS
from wheelover.core.types.clearance import Piece
from wheelover.core.types.monitoring import LegAbort, OnTrack, PlacedPoint
from wheelover.core.types.plan import Finding
from wheelover.core.types.track import PlannedLeg
from wheelover.core.types.watch import PointKind
from wheelover.core.units import nm_from_m

_SAME_M = 1.0
_NAMES: dict[PointKind, str] = {"abort": "abort point", "no_return": "point of no return"}


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the action points, and on giving up the plan on every leg."""
    aborts = {one.leg_index: one for one in workings.bridge.aborts}
    return (
        _points(workings),
        *(_leg(workings, leg, aborts.get(leg.index)) for leg in workings.track.legs),
    )


def _points(workings: Workings) -> Verdict:
    """Return whether every action point stands somewhere, and those asked for are there."""
    placed = workings.bridge.points
    findings = [_nowhere(one) for one in placed if one.place is None]
    findings += [_notice(one, one.notice_at_s) for one in placed if (one.notice_at_s or 0.0) < 0.0]
    stages = {given_of(workings, leg).stage for leg in workings.track.legs}
    kinds = {one.point.kind for one in placed}
    missing = []
    if "pilotage" in stages and "pilot" not in kinds:
        missing.append("no pilot boarding point is given, and a leg is pilotage")
    if None in stages:
        missing.append(
            "the stage of some legs is not given, so it is not known what points to ask for"
        )
    untimed = [one.point.id for one in placed if one.place is not None and one.place.at_s is None]
    if untimed:
        missing.append(f"no time is known at {', '.join(untimed[:6])}")
    return Verdict(
        check="action_points",
        subject=plan_subject(),
        findings=(*findings, *_trials(workings)),
        not_checked="; ".join(missing) or None,
    )


def _nowhere(one: PlacedPoint) -> Finding:
    """Return the finding of an action point that stands nowhere."""
    return Finding(
        code="point_nowhere",
        grade="must_resolve",
        subject=plan_subject(),
        about=one.point.id,
        message=f"The action point {one.point.id} stands nowhere on the track: {one.reason}.",
    )


def _notice(one: PlacedPoint, notice_at_s: float | None) -> Finding:
    """Return the finding of a notice that falls due before she departs."""
    before_min = math.ceil(-(notice_at_s or 0.0) / 60.0 - 1e-9)
    return Finding(
        code="notice_before_departure",
        grade="must_explain",
        subject=plan_subject(),
        about=one.point.id,
        message=f"The notice of the action point {one.point.id}, {one.point.notice_min:g} min, "
        f"falls due {before_min} min before the departure: it is to be given before she sails.",
        measured=float(before_min),
        limit=0.0,
        unit="min",
    )


def _trials(workings: Workings) -> Iterator[Finding]:
    """Yield the findings of stopping trials beyond what the standard allows [MSC137]_."""
    ship = workings.ship
    if ship is None:
        return
    length_m = ship.lpp_m or ship.loa_m
    assumed = "" if ship.lpp_m else " (overall, for that between perpendiculars is not given)"
    for trial in ship.stopping:
        lengths = trial.track_reach_m / length_m
        if lengths <= LONGEST_LENGTHS:
            continue
        beyond = "it is beyond even" if lengths > LONGEST_ALLOWED_LENGTHS else "and up to"
        yield Finding(
            code="stopping_over_limit",
            grade="must_explain",
            subject=plan_subject(),
            about=f"{trial.speed_kn:g}",
            message=f"Her stopping trial from {trial.speed_kn:g} kn ran {lengths:.1f} lengths"
            f"{assumed}. MSC.137(76) 5.3.4 allows {LONGEST_LENGTHS:.0f} from full sea speed, "
            f"{beyond} the {LONGEST_ALLOWED_LENGTHS:.0f} that an Administration may allow a ship "
            "of large displacement. The number may be wrong; it is used as it stands.",
            measured=trial.track_reach_m,
            limit=LONGEST_LENGTHS * length_m,
            unit="m",
        )


def _leg(workings: Workings, leg: PlannedLeg, found: LegAbort | None) -> Verdict:
    """Return whether it is said where the plan can be given up on a leg."""
    stage = given_of(workings, leg).stage
    subject = leg_subject(leg)
    if stage is None:
        return Verdict(check="leg_abort", subject=subject, not_checked="the stage is not given")
    if stage not in COMMITTING or found is None:
        return Verdict(check="leg_abort", subject=subject)
    pieces = [Piece(kind="leg", index=leg.index)]
    pieces += [Piece(kind="turn", index=one.turn_index) for one in found.bends]
    uncovered = (coverage_unknown(workings, piece) for piece in pieces)
    reason = "; ".join(found.reasons) or next((one for one in uncovered if one), None)
    return Verdict(
        check="leg_abort",
        subject=subject,
        findings=tuple(_findings(workings, leg, found)),
        not_checked=reason,
    )


def _findings(workings: Workings, leg: PlannedLeg, found: LegAbort) -> Iterator[Finding]:
    """Yield what is to be said of giving up the plan on one leg."""
    if found.stop is not None and found.stop.extrapolated:
        yield Finding(
            code="stopping_extrapolated",
            grade="must_explain",
            subject=leg_subject(leg),
            message=f"On the {leg_name(leg)} she goes {found.stop.speed_kn:g} kn, and no stopping "
            f"trial is as fast: the run of {math.ceil(found.stop.run_m)} m is extrapolated with "
            f"the square of the speed from {found.stop.trial_speed_kn:g} kn.",
        )
    if found.committed_before:
        yield _committed(leg, found)
    if found.no_return is not None:
        yield from _compared(workings, leg, "no_return", found.no_return)
    if found.abort is not None:
        yield from _compared(workings, leg, "abort", found.abort)
    if found.no_abort is not None:
        yield Finding(
            code="abort_before_start",
            grade="must_explain",
            subject=leg_subject(leg),
            message=f"No abort point can be had for the {leg_name(leg)}: {found.no_abort}. She "
            "cannot be stopped before her point of no return from anywhere on it.",
        )


def _committed(leg: PlannedLeg, found: LegAbort) -> Finding:
    """Return the finding of a leg that begins without room to turn round."""
    lies = "the plan says what is done instead"
    if found.no_return is not None:
        lies = "the point of no return lies before it on the track"
    elif not found.reasons:
        lies = "nowhere looked at before it has she room either"
    where = f"Where the {leg_name(leg)} begins there is no"
    before = next((one for one in found.bends if one.waypoint_id == leg.from_id), None)
    if before is not None:
        where = f"Where the turn at {before.waypoint_id} that leads to it begins there is no"
    if not found.room:
        where = f"Nowhere looked at on the {leg_name(leg)} is there"
    return Finding(
        code="committed_before_leg" if found.room else "no_room_to_turn_round",
        grade="must_explain",
        subject=leg_subject(leg),
        message=f"{where} room to turn round inside the loaded dangers and the coastline: she is "
        f"committed before it, and {lies}.",
    )


def _compared(
    workings: Workings, leg: PlannedLeg, kind: PointKind, computed: OnTrack
) -> Iterator[Finding]:
    """Yield the finding where the user's point is later than the computed one, or missing."""
    given = _given_for(workings, leg, kind, computed)
    where = f"{_early_nm(computed.before_m):.2f} NM before {computed.leg_to_id}"
    if given is None or given.place is None:
        yield Finding(
            code=f"{kind}_not_given",
            grade="must_explain",
            subject=leg_subject(leg),
            message=f"No {_NAMES[kind]} is given for the {leg_name(leg)}. Computed from the loaded "
            f"dangers it lies {where}.",
        )
        return
    late_m = (given.place.track_m or 0.0) - (computed.track_m or 0.0)
    if late_m > _SAME_M:
        yield Finding(
            code=f"{kind}_late",
            grade="must_explain",
            subject=leg_subject(leg),
            about=given.point.id,
            message=f"The {_NAMES[kind]} {given.point.id} of the {leg_name(leg)} lies "
            f"{math.ceil(late_m)} m after the one computed, which is {where}.",
            measured=late_m,
            limit=0.0,
            unit="m",
        )


def _given_for(
    workings: Workings, leg: PlannedLeg, kind: PointKind, computed: OnTrack
) -> PlacedPoint | None:
    """Return the user's point of a kind that is meant for a leg: of it, else the nearest before.

    Of several the latest counts, but for those in time for a leg behind it.
    """
    placed = [
        one
        for one in workings.bridge.points
        if one.point.kind == kind and one.place is not None and one.place.track_m is not None
    ]
    own = [one for one in placed if _on(one, leg.index) or _on(one, computed.leg_index)]
    mine = [one for one in own if not _of_later(workings, leg, kind, computed, one)]
    if own:
        return max(mine or own, key=_track_m)
    end_m = computed.track_m or 0.0
    before = [one for one in placed if _track_m(one) <= end_m]
    return max(before, key=_track_m) if before and kind == "abort" else None


def _on(one: PlacedPoint, leg_index: int) -> bool:
    """Return whether a point stands on a leg."""
    return one.place is not None and one.place.leg_index == leg_index


def _track_m(one: PlacedPoint) -> float:
    """Return how far along the track a point stands."""
    return 0.0 if one.place is None else one.place.track_m or 0.0


def _of_later(
    workings: Workings, leg: PlannedLeg, kind: PointKind, computed: OnTrack, one: PlacedPoint
) -> bool:
    """Return whether a point after the computed one of a leg is in time for a leg behind it."""
    if _track_m(one) <= (computed.track_m or 0.0) + _SAME_M:
        return False
    others = [
        other.abort if kind == "abort" else other.no_return
        for other in workings.bridge.aborts
        if other.leg_index > leg.index
    ]
    return any(
        _on(one, other.leg_index) and _track_m(one) <= (other.track_m or 0.0) + _SAME_M
        for other in others
        if other is not None
    )


def _early_nm(length_m: float) -> float:
    """Return a length in miles to the hundredth, upwards: the point then comes earlier."""
    return math.ceil(nm_from_m(length_m) * 100.0 - 1e-9) / 100.0
