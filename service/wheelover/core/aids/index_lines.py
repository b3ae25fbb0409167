"""Parallel index lines: which objects to index on along each leg, and the limits of their ranges.

The echo of a fixed object moves along a line parallel to the leg, as far from her as the object is
from the leg's line.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from wheelover.core.aids.careful import nearest_nm
from wheelover.core.aids.hand_over import Serves, in_turn
from wheelover.core.aids.index_limits import beside_m, limited
from wheelover.core.aids.index_objects import CHOSEN, Measured, Seen, measured, why_not
from wheelover.core.aids.near_marks import NearMarks
from wheelover.core.aids.room import LegStretch, Waters, rooms_of
from wheelover.core.types.aid_lines import IndexLine, IndexUse, LegIndex, NotUsable
from wheelover.core.types.marks import Mark
from wheelover.core.types.track import PlannedLeg, Side

HEADING_ERROR_DEG = 1.0
"""The error of the heading line whose effect is told."""

MOST_OFFERED = 6

NOT_GIVEN = "How unsure its place is, is not given: the limits count nothing for it."


def index_lines(
    legs: Sequence[PlannedLeg],
    seen: Seen,
    near: NearMarks,
    chosen: Mapping[int, tuple[str, ...]],
    waters: Waters,
) -> tuple[LegIndex, ...]:
    """Return the index lines of every leg, with their limits.

    Where marks are chosen for a leg those alone are used; else fixed marks that radar shows are
    proposed, then fixed ones of which that is not said, and floating ones last.

    Parameters
    ----------
    legs : sequence of PlannedLeg
        The legs.
    seen : Seen
        The marks and the radar.
    near : NearMarks
        Which marks lie near which leg, those inside the range scale at least.
    chosen : mapping of int to tuple of str
        The marks that were chosen for legs, by the index of the leg.
    waters : Waters
        What the room beside the legs is measured in.

    Notes
    -----
    The range is the geodesic distance from the leg's line on WGS84 to 1e-6 m
    (``legs.feet_on_leg``); held against another library in tests/core/aids/test_index_lines.py.
    """
    found = measured(legs, seen, near, chosen)
    made = [_of_leg(number, leg, seen, chosen, found) for number, leg in enumerate(legs)]
    return _with_limits(legs, made, waters)


def _of_leg(
    number: int,
    leg: PlannedLeg,
    seen: Seen,
    chosen: Mapping[int, tuple[str, ...]],
    found: Measured | None,
) -> LegIndex:
    """Return the lines of one leg, without their limits."""
    wanted = chosen.get(leg.index, ())
    if leg.path is None or not leg.room:
        return LegIndex(leg_index=leg.index, reason="no track leads along the leg")
    rows = np.empty(0, np.int64) if found is None else np.flatnonzero(found.leg == number)
    usable = [
        one for one in rows.tolist() if found is not None and why_not(found, one, seen) is None
    ]
    serves = [
        Serves(
            number=one,
            rank=max(int(found.rank[one]), 0),
            from_m=float(found.serves_m[one, 0]),
            to_m=float(found.serves_m[one, 1]),
            range_m=float(found.feet.distance_m[one]),
        )
        for one in usable
        if found is not None and (not wanted or found.rank[one] == CHOSEN)
    ]
    used, gaps = in_turn(serves, leg.track_from_m, leg.track_to_m)
    in_use = [one.number for one in used]
    besides = [one.number for one in serves if wanted and one.number not in in_use]
    offered = [one for one in usable if one not in in_use and one not in besides]
    lines: list[IndexLine] = []
    if found is not None:
        use: IndexUse = "chosen" if wanted else "proposed"
        lines = _handed_over([_line(found, one, leg, seen, use) for one in in_use])
        lines += [_line(found, one, leg, seen, "chosen") for one in besides]
        order = sorted(offered, key=lambda one: (int(found.rank[one]), found.feet.distance_m[one]))
        lines += [_line(found, one, leg, seen, "offered") for one in order[:MOST_OFFERED]]
    return LegIndex(
        leg_index=leg.index,
        lines=tuple(lines),
        not_served=tuple(gaps),
        not_usable=_not_usable(number, wanted, seen, found),
        left_out_count=max(len(offered) - MOST_OFFERED, 0),
    )


def _not_usable(
    number: int, wanted: tuple[str, ...], seen: Seen, found: Measured | None
) -> tuple[NotUsable, ...]:
    """Return the chosen marks that give no line, with the reason of each."""
    if not wanted:
        return ()
    known = {mark.id for mark in seen.marks}
    rows = {}
    if found is not None:
        ours = np.flatnonzero(found.leg == number).tolist()
        rows = {seen.marks[int(found.mark[one])].id: one for one in ours}
    out = []
    for one in wanted:
        reason: str | None = None
        if one not in known:
            reason = "no mark of this id is loaded"
        elif one not in rows or found is None:
            reason = f"it lies outside the range scale of {seen.radar.range_scale_nm:g} NM"
        else:
            reason = why_not(found, rows[one], seen)
        if reason is not None:
            out.append(NotUsable(mark_id=one, reason=reason))
    return tuple(out)


def _line(found: Measured, row: int, leg: PlannedLeg, seen: Seen, use: IndexUse) -> IndexLine:
    """Return the line of one pair."""
    mark = seen.marks[int(found.mark[row])]
    range_m = float(found.feet.distance_m[row])
    from_m, to_m = found.serves_m[row].tolist()
    abeam_m = float(found.feet.along_m[row])
    set_nm = nearest_nm(range_m)
    side: Side = "starboard" if found.feet.bearing_off_deg[row] >= 0.0 else "port"
    farthest_m = max(abs(from_m - abeam_m), abs(to_m - abeam_m))
    return IndexLine(
        leg_index=leg.index,
        mark_id=mark.id,
        use=use,
        side=side,
        range_m=range_m,
        set_nm=set_nm,
        set_off_m=beside_m(side, range_m, set_nm),
        abeam_m=abeam_m,
        line_bearing_deg=float(found.bearing_deg[row]),
        serves_from_m=from_m,
        serves_to_m=to_m,
        varies_m=float(found.varies_m[row]),
        course_change_deg=float(found.change_deg[row]),
        heading_error_m=farthest_m * float(np.tan(np.radians(HEADING_ERROR_DEG))),
        uncertain_m=mark.position_uncertainty_m or 0.0,
        notes=_notes(mark, seen, int(found.mark[row])),
    )


def _notes(mark: Mark, seen: Seen, number: int) -> tuple[str, ...]:
    """Return what must be said of an object."""
    notes = []
    if mark.floating:
        notes.append("A floating mark: it swings and may be off its place. Use a fixed one if any.")
    if mark.radar_conspicuous is None:
        notes.append("Whether radar shows it well is not said.")
    elif not mark.radar_conspicuous:
        notes.append("Charted as not conspicuous on radar.")
    if mark.position_uncertainty_m is None:
        notes.append(NOT_GIVEN)
    if np.isnan(seen.horizon_m[number]):
        notes.append("The radar horizon is not applied: a height is not known.")
    return tuple(notes)


def _handed_over(lines: list[IndexLine]) -> list[IndexLine]:
    """Return lines in use, each with the stretch it is used on and the next it hands over to.

    The change comes in the middle of where both serve, so that each is checked by the other.
    """
    out = []
    from_m = lines[0].serves_from_m if lines else 0.0
    for number, one in enumerate(lines):
        start_m = max(from_m, one.serves_from_m)
        following = lines[number + 1] if number + 1 < len(lines) else None
        if following is None or following.serves_from_m > one.serves_to_m:
            used = replace(one, use_from_m=start_m, use_to_m=one.serves_to_m)
            from_m = one.serves_to_m
        else:
            both_m = (max(following.serves_from_m, start_m), one.serves_to_m)
            both_m = (min(both_m), max(both_m))
            from_m = (both_m[0] + both_m[1]) / 2.0
            used = replace(
                one,
                use_from_m=start_m,
                use_to_m=from_m,
                hand_over_to_id=following.mark_id,
                hand_over_from_m=both_m[0],
                hand_over_to_m=both_m[1],
            )
        out.append(used)
    return out


def _with_limits(
    legs: Sequence[PlannedLeg], made: list[LegIndex], waters: Waters
) -> tuple[LegIndex, ...]:
    """Return the lines with the limits of those in use, and with the places of their ends."""
    flat = [
        (leg, number, one)
        for leg, each in zip(legs, made, strict=True)
        for number, one in enumerate(each.lines)
    ]
    in_use = [(leg, number, one) for leg, number, one in flat if one.use != "offered"]
    stretches = [LegStretch(leg=leg, from_m=one.serves_from_m, to_m=one.serves_to_m)
                 for leg, _, one in in_use]  # fmt: skip
    rooms = rooms_of(stretches, waters)
    done: dict[tuple[int, int], IndexLine] = {}
    for (leg, number, one), both in zip(in_use, rooms, strict=True):
        done[leg.index, number] = limited(one, both)
    return tuple(
        replace(
            each,
            lines=tuple(
                done.get((each.leg_index, number), one) for number, one in enumerate(each.lines)
            ),
        )
        for each in made
    )
