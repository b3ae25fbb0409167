"""Where the track of a contingency leaves the planned one: after she is committed, and how."""

from dataclasses import dataclass

from wheelover.core.checks.monitoring import given_of
from wheelover.core.checks.workings import Workings
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.legs import points_along
from wheelover.core.monitoring.aborts import COMMITTING
from wheelover.core.types.contingency import CheckedContingency
from wheelover.core.types.monitoring import LegAbort, OnTrack
from wheelover.core.types.plan import CheckRow, Finding

_SAME_M = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Late:
    """She leaves where she is committed: so far after the point of no return, None of no such."""

    after_m: float | None


def late_by(workings: Workings, one: CheckedContingency) -> Late | None:
    """Return by how much she leaves after she is committed, None where she is not or not known.

    Parameters
    ----------
    workings : Workings
        The main plan, with where she is committed.
    one : CheckedContingency
        The contingency.

    Notes
    -----
    Abort positions are worked so that the plan can be given up before the narrows [Abort]_. Where
    she has room to turn round at the place of leaving she is not committed there.
    """
    leaves = one.leaves
    found = None if leaves is None else _abort_of(workings, leaves)
    if leaves is None or found is None or found.looked_to_m is None:
        return None
    if any(each.from_m <= leaves.along_m <= each.to_m + _SAME_M for each in found.room):
        return None
    if found.no_return is None:
        return Late(after_m=None) if found.committed_before else None
    if leaves.track_m is None or found.no_return.track_m is None:
        return None
    after_m = leaves.track_m - found.no_return.track_m
    return Late(after_m=after_m) if after_m > _SAME_M else None


def leaving_not_checked(workings: Workings, one: CheckedContingency) -> list[str]:
    """Return what of leaving the planned track is not checked.

    Parameters
    ----------
    workings : Workings
        The main plan.
    one : CheckedContingency
        The contingency.
    """
    name = f"of contingency {one.contingency.id}"
    leaves = one.leaves
    if leaves is None:
        return [f"{name} it is not known where it leaves the track"]
    reasons = []
    leg = workings.track.legs[leaves.leg_index]
    stage = given_of(workings, leg).stage
    if stage is None:
        reasons.append(
            f"{name} it is not known whether it leaves before she is committed: the stage of the "
            f"leg to {leg.to_id} is not given"
        )
    elif stage in COMMITTING and not _known(_abort_of(workings, leaves), leaves):
        reasons.append(
            f"{name} it is not known whether it leaves before the point of no return of the leg to "
            f"{leg.to_id}, which is not known"
        )
    return [*reasons, *_turn_not_checked(workings, one, name)]


def turn_findings(one: CheckedContingency) -> tuple[Finding, ...]:
    """Return what is found of the turn onto the first leg, and of that leg as it is joined.

    Where she runs on past where the planned track turns away, what is found of the leg she leaves
    counts with it: no leg and no turn of the planned track lies there.

    Parameters
    ----------
    one : CheckedContingency
        The contingency; what its own plan finds of its first leg is not told again.
    """
    plan = one.leaving.plan
    if plan is None:
        return ()
    told = {(finding.id, finding.grade) for finding in one.plan.findings}
    joined = {("turn", 0), ("leg", 1)} if plan.turns else set()
    run_on = set() if one.leaving.on_from_m is None else {("leg", 0)}
    return tuple(
        finding
        for finding in plan.findings
        if (of := (finding.subject.kind, finding.subject.index)) in run_on
        or (of in joined and (finding.id, finding.grade) not in told)
    )


def turn_checks(one: CheckedContingency) -> tuple[CheckRow, ...]:
    """Return the checks due of the turn, and of the leg she leaves where she runs on along it.

    Parameters
    ----------
    one : CheckedContingency
        The contingency.
    """
    plan = one.leaving.plan
    if plan is None:
        return ()
    subjects = {("turn", 0)} if one.leaving.on_from_m is None else {("turn", 0), ("leg", 0)}
    return tuple(row for row in plan.checks if (row.subject.kind, row.subject.index) in subjects)


def turn_name_of(workings: Workings, one: CheckedContingency) -> str:
    """Return what the turn from the planned track onto the first leg is called.

    Parameters
    ----------
    workings : Workings
        The main plan.
    one : CheckedContingency
        The contingency.
    """
    leaves = one.leaves
    if leaves is None:
        return "the turn onto its first leg"
    path = workings.track.legs[leaves.leg_index].path
    first = one.plan.legs[0].path if one.plan.legs else None
    name = f"the turn from the leg to {leaves.leg_to_id} onto its first leg"
    if path is None or first is None:
        return name
    _, _, course_deg = points_along(path, [leaves.along_m])
    change_deg = float(signed_change_deg(float(course_deg[0]), first.course_deg))
    side = "starboard" if change_deg >= 0.0 else "port"
    return f"{name}, {abs(change_deg):.0f} degrees to {side},"


def _abort_of(workings: Workings, leaves: OnTrack) -> LegAbort | None:
    """Return where she is committed on the leg that a contingency leaves."""
    return next((one for one in workings.bridge.aborts if one.leg_index == leaves.leg_index), None)


def _known(found: LegAbort | None, leaves: OnTrack) -> bool:
    """Return whether it can be said that she leaves before or after she is committed."""
    return found is not None and found.looked_to_m is not None and leaves.track_m is not None


def _turn_not_checked(workings: Workings, one: CheckedContingency, name: str) -> list[str]:
    """Return what of the turn onto the first leg is not checked."""
    turn, leaving = turn_name_of(workings, one), one.leaving
    rows = turn_checks(one)
    reasons = []
    if leaving.reason is not None or leaving.plan is None:
        reasons.append(f"{name} {turn} is not checked: {leaving.reason or 'it is not computed'}")
        rows = tuple(row for row in rows if row.subject.kind == "leg")
        turn = "the leg she leaves, where she runs on along it,"
    elif leaving.on_from_m is not None:
        turn = f"{turn} and the leg she leaves"
    left_out = sum(1 for row in rows if row.not_checked is not None)
    if left_out:
        reasons.append(
            f"{name}, of {turn} {left_out} of {len(rows)} checks due were not made in full"
        )
    return reasons
