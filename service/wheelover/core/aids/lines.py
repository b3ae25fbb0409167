"""All lines to steer by: index lines of legs and bends, clearing lines and transits."""

import numpy as np

from wheelover.core.aids.bend_index import bend_lines
from wheelover.core.aids.candidates import MarkSet
from wheelover.core.aids.clearing import clearing_lines
from wheelover.core.aids.clearing_lines import MOST_RANGE_M
from wheelover.core.aids.index_lines import index_lines
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.near_marks import near_marks
from wheelover.core.aids.room import Waters
from wheelover.core.aids.transits import transit_lines
from wheelover.core.track import Track
from wheelover.core.types.aid_lines import NO_AID_LINES, AidLines, RadarSet
from wheelover.core.types.clearance import Clearances
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile

DEFAULT_RANGE_SCALE_NM = 6.0
"""The range scale where none is given, common practice of the trade in coastal waters."""


def aid_lines(
    route: Route,
    track: Track,
    marks: MarkSet,
    ship: ShipProfile | None,
    waters: Waters,
    clearances: Clearances,
) -> AidLines:
    """Return the lines to steer by along a track; none where there is no mark.

    Parameters
    ----------
    route : Route
        Its wishes name the marks that were chosen.
    track : Track
        The planned track.
    marks : MarkSet
        What can be seen, or a radar shows.
    ship : ShipProfile or None
        Where her eyes and her radar are.
    waters : Waters
        What the room beside the track is measured in.
    clearances : Clearances
        The dangers near the track.
    """
    wishes = {leg.index: route.waypoints[leg.from_index + 1].leg for leg in track.legs}
    to_index = {k: one.index_mark_ids for k, one in wishes.items() if one is not None}
    to_clear = {k: one.clearing_mark_ids for k, one in wishes.items() if one is not None}
    if not marks.marks and not any((*to_index.values(), *to_clear.values())):
        return NO_AID_LINES
    radar = RadarSet(range_scale_nm=DEFAULT_RANGE_SCALE_NM)
    not_known = np.full(len(marks.marks), np.nan)
    seen = Seen(marks=marks.marks, radar=radar, horizon_m=not_known, sight_m=not_known)
    near = near_marks(track.legs, marks.marks, max(seen.scale_m, MOST_RANGE_M))
    index = index_lines(track.legs, seen, near, to_index, waters)
    clearing = clearing_lines(
        (track.legs, track.turns),
        seen,
        near,
        to_clear,
        (waters.chart.hazards, clearances, waters.limits),
    )
    named = {line.mark_id for leg in index for line in leg.lines}
    bends = bend_lines(track.turns, track.legs, seen, index)
    charted = None if waters.on_chart is None else waters.on_chart.charted
    transits = transit_lines(track.legs, track.turns, seen, near, charted)
    named |= {one.mark_id for turn in bends for one in turn.objects}
    named |= {one.mark_id for leg in clearing for one in leg.bearings}
    named |= {one.mark_id for leg in clearing for one in leg.ranges}
    return AidLines(
        marks=tuple(one for one in marks.marks if one.id in named),
        radar=radar,
        index=index,
        bends=bends,
        clearing=clearing,
        transits=transits,
    )
