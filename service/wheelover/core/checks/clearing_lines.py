"""The check of the clearing lines of each leg: marks chosen that lead past nothing."""

from wheelover.core.checks.workings import Verdict, Workings, leg_name, leg_subject
from wheelover.core.types.aid_lines import LegClearing
from wheelover.core.types.plan import Finding
from wheelover.core.types.track import PlannedLeg


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the clearing lines of every leg."""
    by_leg = {one.leg_index: one for one in workings.aid_lines.clearing}
    return tuple(_of_leg(workings, leg, by_leg.get(leg.index)) for leg in workings.track.legs)


def _of_leg(workings: Workings, leg: PlannedLeg, clearing: LegClearing | None) -> Verdict:
    """Return the verdict on one leg: what no line clears is not checked, never a fault."""
    subject = leg_subject(leg)
    found = () if clearing is None else _choices(leg, clearing)
    reason = _not_in_full(workings, clearing)
    return Verdict(check="leg_clearing", subject=subject, findings=found, not_checked=reason)


def _not_in_full(workings: Workings, clearing: LegClearing | None) -> str | None:
    """Return what of the clearing lines of a leg is not known, None where each danger has one."""
    if not workings.chart.loaded:
        return "no dangers are loaded"
    if not workings.marks.marks:
        return "no marks are given or charted"
    if clearing is None:
        return "no loaded danger is near the leg"
    if clearing.reason is not None:
        return clearing.reason
    return "; ".join(_unknown(clearing)) or None


def _unknown(clearing: LegClearing) -> list[str]:
    """Return what is not known of the lines of a leg, each in words."""
    told = []
    if clearing.none_for:
        told.append(f"no mark leads past {len(clearing.none_for)} of the dangers near the leg")
    if clearing.left_out_count:
        more = _counted(clearing.left_out_count, "more danger")
        told.append(f"past {more} near the leg no line was sought")
    uncleared = {other for one in clearing.bearings for other in one.not_cleared}
    uncleared |= {other for one in clearing.ranges for other in one.not_cleared}
    uncleared |= {other for one in clearing.transits for other in one.not_cleared}
    if uncleared:
        lie = "lies" if len(uncleared) == 1 else "lie"
        some = _counted(len(uncleared), "danger")
        told.append(f"{some} {lie} on the clear side of a line beside its stretch")
    by_eye = {one.sight for one in clearing.bearings} | {one.sight for one in clearing.transits}
    if "not_known" in by_eye:
        told.append("whether a mark is seen then is not known: a height, its light or the time")
    if any(one.sight == "not_known" for one in clearing.ranges):
        told.append("whether the radar shows a mark is not known")
    return told


def _counted(count: int, one: str) -> str:
    """Return how many of something, in words."""
    return f"{count} {one}" if count == 1 else f"{count} {one}s"


def _choices(leg: PlannedLeg, clearing: LegClearing) -> tuple[Finding, ...]:
    """Return the findings of chosen marks that lead past no danger."""
    return tuple(
        Finding(
            code="clearing_choice_not_usable",
            grade="must_explain",
            subject=leg_subject(leg),
            about=one.mark_id,
            message=f"The clearing mark {one.mark_id} chosen for the {leg_name(leg)} gives no "
            f"line: {one.reason}.",
        )
        for one in clearing.not_usable
    )
