"""Whether the marks of a transit are seen as she comes to the place where it serves."""

from collections.abc import Sequence

from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.leads import Line
from wheelover.core.aids.leg_light import dark_at, seen_by_eye, worst_of
from wheelover.core.types.cues import Seen as IsSeen
from wheelover.core.types.track import PlannedLeg

NOT_KNOWN = "not known whether its marks are seen"


def seen_at(
    places: Sequence[tuple[PlannedLeg, float]],
    lines: Sequence[tuple[Line, float]],
    seen: Seen,
) -> list[IsSeen]:
    """Return whether all marks of lines are seen; not known where they are not loaded.

    Parameters
    ----------
    places : sequence of tuple
        Legs, and how far along each line serves.
    lines : sequence of tuple
        The lines, and how far before the front mark she is there, metres.
    seen : Seen
        The marks, and from where and when they are looked for.
    """
    by_id = {one.id: one for one in seen.marks}
    found: list[IsSeen] = []
    for (line, before_m), dark in zip(lines, dark_at(seen.when, places), strict=True):
        light = frozenset(() if dark is None else (dark,))
        ends = ((line.front_id, before_m), (line.rear_id, before_m + (line.apart_m or 0.0)))
        looked = [
            seen_by_eye(by_id[mark_id], (line.bearing_deg, range_m), light, seen.lookout)
            for mark_id, range_m in ends
            if mark_id is not None
        ]
        found.append(worst_of(looked).seen if looked else "not_known")
    return found
