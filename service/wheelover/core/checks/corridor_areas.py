"""What is said of charted areas that reach into a corridor though the leg keeps out of them."""

from collections.abc import Iterator, Set

from wheelover.core.charted.attributes import codes_of
from wheelover.core.charted.classes import CLASSES
from wheelover.core.checks.workings import leg_name, leg_subject
from wheelover.core.types.charted import AreaBeside, ChartedTrack
from wheelover.core.types.plan import Finding, Grade
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import nm_from_m

NO_ENTRY = frozenset({7, 14})
"""Codes of RESTRN: entry prohibited, and area to be avoided [S57A]_."""

_KEPT_OUT_OF = frozenset({"TSEZNE", "TSELNE", "ISTZNE"})
_LANES = frozenset({"TSSLPT", "TSSCRS", "TSSRON"})


def in_corridor(on_chart: ChartedTrack, leg: PlannedLeg, entered: Set[int]) -> Iterator[Finding]:
    """Yield a finding for each area that reaches into the cross-track limits of a leg.

    Parameters
    ----------
    on_chart : ChartedTrack
        What the cells say of the track.
    leg : PlannedLeg
        The leg.
    entered : set of int
        Areas that the leg itself enters, which are told by that.
    """
    for one in on_chart.beside:
        if one.leg_index == leg.index and one.area not in entered:
            grade = _grade(on_chart, one.area)
            if grade is not None:
                yield _finding(on_chart, leg, one, grade)


def _grade(on_chart: ChartedTrack, area: int) -> Grade | None:
    """Return how grave it is, None for areas that ask nothing of a ship beside them."""
    areas = on_chart.charted.areas
    name = areas.object_classes[area]
    if codes_of(areas.attributes[area], "RESTRN") & NO_ENTRY or name in _KEPT_OUT_OF:
        return "must_explain"
    if areas.hazards.classes[area] == "restricted":
        return "must_explain"
    if name in _LANES or CLASSES[name].special:
        return "note"
    return None


def _finding(on_chart: ChartedTrack, leg: PlannedLeg, one: AreaBeside, grade: Grade) -> Finding:
    """Return the finding of one area."""
    hazards = on_chart.charted.areas.hazards
    name = hazards.names[one.area] or hazards.ids[one.area]
    limit_nm, distance_nm = nm_from_m(one.limit_m), nm_from_m(one.distance_m)
    message = (
        f"The cross-track limit of {leg_name(leg)} to {one.side}, {limit_nm:.3f} NM, reaches into "
        f"{name}, {distance_nm:.3f} NM from the leg: inside the limit the ship could enter it "
        "without an alarm."
    )
    return Finding(
        code=f"corridor_in_area_{one.side}",
        grade=grade,
        subject=leg_subject(leg),
        about=hazards.ids[one.area],
        message=message,
        measured=distance_nm,
        limit=limit_nm,
        unit="NM",
    )
