"""The check of restricted, special and routeing areas that only the arc of a turn meets."""

from wheelover.core.charted.attributes import codes_of
from wheelover.core.checks.workings import Verdict, Workings, coverage_unknown, turn_subject
from wheelover.core.types.charted import Listed
from wheelover.core.types.clearance import Infringement, Piece
from wheelover.core.types.plan import Finding, Grade
from wheelover.core.types.track import PlannedTurn

_CLOSED = frozenset({7, 14})
"""Values of RESTRN that keep a ship out: entry prohibited, area to be avoided [S57A]_."""


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the areas of every turn."""
    return tuple(_of_turn(workings, turn) for turn in workings.track.turns)


def _of_turn(workings: Workings, turn: PlannedTurn) -> Verdict:
    """Return the verdict on the areas that one arc meets and no leg beside it enters."""
    subject = turn_subject(turn)
    on_chart = workings.on_chart
    reason = None
    if on_chart is None:
        reason = "no chart cells are loaded, so there are no areas to check against"
    elif turn.arc is None or not turn.fits:
        reason = "the ship cannot follow its arc"
    if reason is not None or on_chart is None:
        return Verdict(check="turn_routeing", subject=subject, not_checked=reason)
    piece = Piece(kind="turn", index=turn.index)
    beside = {turn.waypoint_index - 1, turn.waypoint_index}
    legs = {one.index for one in workings.track.legs if one.from_index in beside}
    entered = {one.area for one in on_chart.passed if one.leg_index in legs}
    met = [
        one
        for one in on_chart.near_areas.infringements
        if one.piece == piece and one.hazard_index not in entered
    ]
    return Verdict(
        check="turn_routeing",
        subject=subject,
        findings=tuple(_finding(on_chart.charted.areas, turn, one) for one in met),
        not_checked=coverage_unknown(workings, piece),
    )


def _finding(areas: Listed, turn: PlannedTurn, one: Infringement) -> Finding:
    """Return the finding of an area that the arc meets, or passes nearer than is asked."""
    name = areas.hazards.names[one.hazard_index] or areas.hazards.ids[one.hazard_index]
    closed = bool(_CLOSED & codes_of(areas.attributes[one.hazard_index], "RESTRN"))
    grade: Grade = "must_resolve" if closed and one.crossed else "must_explain"
    how = "leads through" if one.crossed else f"passes {max(one.clearance_m, 0.0):.0f} m from"
    words = " Entry is prohibited there, or it is to be avoided." if closed else ""
    return Finding(
        code="area_in_turn",
        grade=grade,
        subject=turn_subject(turn),
        about=areas.hazards.ids[one.hazard_index],
        message=(
            f"The turn at {turn.waypoint_id} {how} {name}, which no leg beside it enters.{words}"
        ),
        measured=one.clearance_m,
        limit=one.limit_m,
        unit="m",
    )
