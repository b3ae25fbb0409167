"""All lines to steer by: index lines of legs and bends, clearing lines and transits."""

from collections.abc import Iterator

import numpy as np

from wheelover.core.aids.bend_index import bend_lines
from wheelover.core.aids.clearing import clearing_lines
from wheelover.core.aids.clearing_lines import MOST_RANGE_M
from wheelover.core.aids.index_lines import index_lines
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.leg_light import When
from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.aids.near_marks import near_marks
from wheelover.core.aids.room import Waters
from wheelover.core.aids.sight import Lookout, radar_range_nm
from wheelover.core.aids.transits import transit_lines
from wheelover.core.track import Track
from wheelover.core.types.aid_lines import NO_AID_LINES, AidLines, RadarSet
from wheelover.core.types.clearance import Clearances
from wheelover.core.types.route import Route
from wheelover.core.units import m_from_nm

DEFAULT_RANGE_SCALE_NM = 6.0
"""The range scale where none is given, common practice of the trade in coastal waters."""


def aid_lines(
    route: Route,
    track: Track,
    marks: MarkSet,
    lookout: Lookout,
    waters: Waters,
    clearances: Clearances,
    when: When,
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
    lookout : Lookout
        Heights of eye and antenna, range scale, visibility.
    waters : Waters
        What the room beside the track is measured in.
    clearances : Clearances
        The dangers near the track.
    when : When
        When she comes to each piece of the track.
    """
    wishes = {leg.index: route.waypoints[leg.from_index + 1].leg for leg in track.legs}
    to_index = {k: one.index_mark_ids for k, one in wishes.items() if one is not None}
    to_clear = {k: one.clearing_mark_ids for k, one in wishes.items() if one is not None}
    if not marks.marks and not any((*to_index.values(), *to_clear.values())):
        return NO_AID_LINES
    seen = seen_from(marks, lookout, when)
    near = near_marks(track.legs, marks, max(seen.scale_m, MOST_RANGE_M))
    index = index_lines(track.legs, seen, near, to_index, waters)
    charted = None if waters.on_chart is None else waters.on_chart.charted
    found = AidLines(
        radar=seen.radar,
        index=index,
        bends=bend_lines(track.turns, track.legs, seen, index),
        clearing=clearing_lines(
            (track.legs, track.turns),
            seen,
            near,
            to_clear,
            (waters.chart.hazards, clearances, waters.limits),
        ),
        transits=transit_lines(track.legs, track.turns, seen, near, charted),
    )
    named = dict.fromkeys(_named(found))
    return AidLines(
        marks=tuple(marks.marks[marks.by_id[one]] for one in named if one in marks.by_id),
        radar=found.radar,
        index=found.index,
        bends=found.bends,
        clearing=found.clearing,
        transits=found.transits,
    )


def seen_from(marks: MarkSet, lookout: Lookout, when: When) -> Seen:
    """Return marks with how far off each is above the radar's horizon.

    Parameters
    ----------
    marks : MarkSet
        The marks.
    lookout : Lookout
        From where they are looked for.
    when : When
        When she comes to each piece of the track.
    """
    antenna_m = np.nan if lookout.radar_height_m is None else lookout.radar_height_m
    scale_nm = lookout.range_scale_nm
    return Seen(
        marks=marks.marks,
        radar=RadarSet(
            range_scale_nm=DEFAULT_RANGE_SCALE_NM if scale_nm is None else scale_nm,
            is_given=scale_nm is not None,
        ),
        horizon_m=m_from_nm(radar_range_nm(antenna_m, marks.height_m)),
        fixed=~marks.floating,
        lat_deg=marks.lat_deg,
        lon_deg=marks.lon_deg,
        lookout=lookout,
        when=when,
    )


def _named(lines: AidLines) -> Iterator[str]:
    """Yield the ids of the marks that lines speak of."""
    for index in lines.index:
        yield from (one.mark_id for one in index.lines)
    for bend in lines.bends:
        yield from (one.mark_id for one in bend.objects)
    for leg in lines.clearing:
        yield from (one.mark_id for one in leg.bearings)
        yield from (one.mark_id for one in leg.ranges)
        yield from (mark for one in leg.transits for mark in (one.front_id, one.rear_id))
    for each in lines.transits:
        for one in each.transits:
            yield from (mark for mark in (one.front_id, one.rear_id) if mark is not None)
