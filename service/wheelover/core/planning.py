"""The whole computation, as a table of contents: five values in, one plan out."""

from dataclasses import replace

import numpy as np

from wheelover.core.aids.candidates import mark_set_of
from wheelover.core.aids.leg_light import When
from wheelover.core.aids.lines import aid_lines
from wheelover.core.aids.room import Waters
from wheelover.core.aids.turn_cues import cues_of_turns, lookout_of
from wheelover.core.basis.aid_lines import line_rows
from wheelover.core.basis.aids import aid_rows
from wheelover.core.basis.inputs import basis_rows
from wheelover.core.basis.on_water import charted_rows, water_rows
from wheelover.core.basis.sky import sky_rows
from wheelover.core.basis.streams import stream_rows
from wheelover.core.checks.register import run_checks
from wheelover.core.checks.rules import rule_rows
from wheelover.core.checks.workings import Workings
from wheelover.core.clearance.corridors import inside_corridors
from wheelover.core.clearance.whole import clear
from wheelover.core.coast.of_runs import Sea, with_water
from wheelover.core.coast.of_track import land_of
from wheelover.core.depth.over import not_passed_beneath
from wheelover.core.monitoring.whole import for_the_bridge
from wheelover.core.on_chart import charted_track, on_cells, wanted_for
from wheelover.core.on_water import on_water
from wheelover.core.schedule.points import sky_of
from wheelover.core.sweep.late import late_helms
from wheelover.core.sweep.of_turns import swept_legs, swept_turns
from wheelover.core.times.pieces import times_of
from wheelover.core.times.schedule import schedule_of
from wheelover.core.times.settle import settle
from wheelover.core.times.surroundings import with_surroundings
from wheelover.core.track import Track, lay_track
from wheelover.core.types.bridge import NO_BRIDGE, OF_CONTINGENCY, Bridge
from wheelover.core.types.chart import Chart
from wheelover.core.types.charted import Charted
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.clearance import Clearances, Corridors
from wheelover.core.types.coast import Land
from wheelover.core.types.plan import BasisRow, Plan
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import LateHelm, SweptLeg, SweptTurn


def make_plan(
    route: Route,
    ship: ShipProfile | None,
    chart: Chart,
    conditions: Conditions,
    limits: Limits,
    bridge: Bridge = NO_BRIDGE,
) -> Plan:
    """Return the plan of a route for a ship, checked against what was loaded.

    Parameters
    ----------
    route : Route
        Waypoints in sailing order.
    ship : ShipProfile or None
        Without a ship there are legs, arcs where a waypoint gives its radius, and clearances;
        the rest is not checked.
    chart : Chart
        The loaded dangers.
    conditions : Conditions
        Current, water and wind.
    limits : Limits
        Margins the plan is held against.
    bridge : Bridge
        What is given for the bridge team.

    Returns
    -------
    Plan
        With every finding and one row in the check register for every check that was due.
    """
    workings = _with_lines(_workings(route, ship, chart, conditions, limits, bridge))
    rows, findings = run_checks(workings)
    track, on_chart = workings.track, workings.on_chart
    return Plan(
        route=workings.route,
        legs=track.legs,
        turns=track.turns,
        clearances=workings.clearances,
        findings=findings,
        checks=rows,
        basis=_basis(workings, chart, conditions),
        track_m=track.length_m,
        swept_turns=workings.swept_turns,
        swept_legs=workings.swept_legs,
        late_helms=workings.late_helms,
        depths=workings.depths,
        land=workings.land,
        limit_set=limits.limit_set,
        times=workings.times,
        schedule=workings.schedule,
        rules=rule_rows(workings, rows, findings),
        loa_m=None if ship is None else ship.loa_m,
        chart=workings.chart,
        on_chart=on_chart,
        aid_lines=workings.aid_lines,
        marks=workings.marks.marks,
        cues=workings.cues,
        bridge=workings.bridge,
        sky=workings.sky,
        ship=ship,
        sources_max_age_days=limits.sources_max_age_days,
    )


def _basis(workings: Workings, chart: Chart, conditions: Conditions) -> tuple[BasisRow, ...]:
    """Return every input of a plan; chart and conditions are as they were given."""
    ship, limits = workings.ship, workings.limits
    track, on_chart = workings.track, workings.on_chart
    return (
        *basis_rows(
            workings.route,
            ship,
            chart,
            conditions,
            limits,
            track.turns,
            track.legs,
            workings.late_helms,
        ),
        *charted_rows(None if on_chart is None else on_chart.charted),
        *water_rows(ship, conditions, limits, workings.depths),
        *sky_rows(ship, workings.sky),
        *stream_rows(conditions),
        *aid_rows(ship, conditions, limits, workings.marks.marks, workings.cues),
        *line_rows(workings.aid_lines),
    )


def _with_lines(workings: Workings) -> Workings:
    """Return the workings with the lines to steer by."""
    waters = Waters(
        chart=workings.chart,
        on_chart=workings.on_chart,
        land=workings.land,
        limits=workings.limits,
    )
    lines = aid_lines(
        workings.route,
        workings.track,
        workings.marks,
        lookout_of(workings.ship, workings.conditions),
        waters,
        workings.clearances,
        When(times=workings.times, departure_s=workings.conditions.departure_s),
    )
    return replace(workings, aid_lines=lines)


def _workings(
    route: Route,
    ship: ShipProfile | None,
    chart: Chart,
    conditions: Conditions,
    limits: Limits,
    bridge: Bridge,
) -> Workings:
    """Return everything that is computed of a plan before it is judged."""
    with np.errstate(invalid="raise", divide="raise"):
        timing = settle(route, ship, conditions)
        route, times = timing.route, times_of(timing)
        conditions = replace(conditions, departure_s=timing.departure_s)
        track = lay_track(route, ship, conditions)
        checked, charted = on_cells(chart, wanted_for(route, ship, limits))
        on_chart = charted_track(charted, chart.hazards, track.legs, track.pieces, limits)
        clearances = clear(track.pieces, checked.hazards, limits)
    legs_swept = swept_legs(track.legs, ship, _least_m(clearances), conditions)
    depths = on_water(
        (route, ship, conditions, limits),
        (track.legs, track.turns, track.pieces),
        times,
        (chart, on_chart),
        clearances,
        legs_swept,
    )
    beside = not_passed_beneath(checked.hazards, depths.overheads)
    sea = Sea(hazards=beside, limits=limits, charted=charted, coast=chart.coast)
    corridors, turns_swept, late = _beside(track, ship, sea)
    workings = Workings(
        route=route,
        ship=ship,
        chart=checked,
        conditions=conditions,
        limits=limits,
        track=track,
        on_chart=on_chart,
        clearances=clearances,
        corridors=corridors,
        swept_turns=turns_swept,
        late_helms=late,
        swept_legs=legs_swept,
        depths=depths,
        land=_land(track, chart, legs_swept, ship),
    )
    schedule = with_surroundings(
        schedule_of(timing, track, times),
        track,
        times,
        (route, ship, conditions),
        (checked.hazards, on_chart),
    )
    timed = replace(workings, times=times, schedule=schedule)
    return _for_the_team(timed, charted, chart, bridge)


def _beside(
    track: Track, ship: ShipProfile | None, sea: Sea
) -> tuple[Corridors, tuple[SweptTurn, ...], tuple[LateHelm, ...]]:
    """Return what lies in the corridors, and what the hull comes to in turns, also if late."""
    legs, turns = track.legs, track.turns
    with np.errstate(invalid="raise", divide="raise"):
        corridors = inside_corridors(legs, sea.hazards, sea.limits)
    swept = swept_turns(turns, legs, ship, sea.hazards, sea.limits)
    late = late_helms(turns, legs, ship, sea.hazards, sea.limits, swept)
    return corridors, *with_water(turns, legs, ship, sea, swept, late)


def _for_the_team(
    workings: Workings, charted: Charted | None, chart: Chart, bridge: Bridge
) -> Workings:
    """Return the same with what the bridge team steers and watches by."""
    route, ship, limits = workings.route, workings.ship, workings.limits
    track = workings.track
    marks = mark_set_of(charted, chart.hazards, chart.marks)
    return replace(
        workings,
        marks=marks,
        cues=cues_of_turns(
            (route, ship, workings.conditions, limits),
            (track.legs, track.turns),
            workings.times,
            marks,
            workings.swept_turns,
        ),
        sky=sky_of((route, ship), (track.legs, track.turns), workings.schedule),
        bridge=for_the_bridge(
            (route, ship, workings.conditions, limits, bridge),
            track,
            (workings.chart, chart.cells, workings.on_chart),
            workings.clearances,
            workings.times,
            workings.swept_legs,
            workings.land,
            lambda its, her, then, asked: make_plan(its, her, chart, then, asked, OF_CONTINGENCY),
        ),
    )


def _land(
    track: Track, chart: Chart, legs_swept: tuple[SweptLeg, ...], ship: ShipProfile | None
) -> Land | None:
    """Return how the track lies to the coastline; None where it is not held against it."""
    if chart.coast is None:
        return None
    reach_m = {
        one.leg_index: one.half_width_m for one in legs_swept if one.half_width_m is not None
    }
    return land_of(track.pieces, track.legs, chart.coast, chart.cells, reach_m, track.turns, ship)


def _least_m(clearances: Clearances) -> dict[int, float]:
    """Return the least clearance of each leg that passes a danger, by its index."""
    return {one.piece.index: one.clearance_m for one in clearances.least if one.piece.kind == "leg"}
