"""The turn card: one turn with its run, its window, its band, and the same turn hard over."""

from dataclasses import replace

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.coast.of_runs import Sea, window_water
from wheelover.core.errors import Fault, InvalidInput, OutOfDomain
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.manoeuvre.model import ship_model
from wheelover.core.sweep.hull import hull_shape_m
from wheelover.core.sweep.near import hulls_clearances
from wheelover.core.sweep.of_turns import legs_beside, run_from, swept_turn, window_of
from wheelover.core.sweep.strip import swept_strip, swept_width
from wheelover.core.times.settle import settle
from wheelover.core.track import Track, lay_track
from wheelover.core.turns.band import MEMBERS, band_of
from wheelover.core.turns.compare import simulated_row
from wheelover.core.turns.manoeuvres import by_rudder
from wheelover.core.turns.plan_turn import setting_of
from wheelover.core.turns.setting import TurnSetting
from wheelover.core.turns.tried import with_tried
from wheelover.core.types.chart import Chart
from wheelover.core.types.charted import Charted
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.manoeuvre import Motion, SimulatedTurn
from wheelover.core.types.route import Position, Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import HullClearance, SweptTurn
from wheelover.core.types.track import PlannedLeg, PlannedTurn, WheelOver
from wheelover.core.types.turn_card import Band, CardRun, Case, CaseFound, HardOver, TurnCard
from wheelover.core.units import m_per_s_from_kn

_BESIDE = 2
"""How many waypoints to either side of a turn are laid with it."""


def make_turn_card(
    route: Route,
    ship: ShipProfile | None,
    chart: Chart,
    conditions: Conditions,
    limits: Limits,
    waypoint_id: str,
    member_count: int = MEMBERS,
    charted: Charted | None = None,
) -> TurnCard:
    """Return the card of the turn at a waypoint.

    Parameters
    ----------
    route, ship, chart, conditions, limits
        As for a plan (core/planning.py).
    waypoint_id : str
        The waypoint.
    member_count : int
        Of how many ships the band is made: none, or above 16.
    charted : Charted or None
        What the cells say, whose dangers are among those of the chart.

    Raises
    ------
    InvalidInput
        When there is no turn at that waypoint.
    """
    route = settle(route, ship, conditions).route
    track, waypoint_index = _track_about(route, ship, conditions, waypoint_id)
    turn = next((one for one in track.turns if one.waypoint_id == waypoint_id), None)
    if turn is None:
        message = f"there is no turn at {waypoint_id!r}: a turn needs a leg on both sides"
        raise InvalidInput(message, (Fault(pointer="/waypoint_id", message=message),))
    beside = legs_beside(track.legs)[turn.waypoint_index]
    turn = replace(turn, waypoint_index=waypoint_index)
    sea = Sea(hazards=chart.hazards, limits=limits, charted=charted, coast=chart.coast)
    card = TurnCard(
        turn=turn,
        loa_m=None if ship is None else ship.loa_m,
        beam_m=None if ship is None else ship.beam_m,
        swept=_swept(turn, beside, ship, sea),
        hull={},
    )
    run = simulated_row(turn.wheel_overs)
    place = turn.planned.position
    if ship is None or run is None or run.manoeuvre is None or place is None:
        return card
    setting = setting_of(turn, beside, route.waypoints[waypoint_index], ship, conditions)
    hard_over, reason = _hard_over(setting, turn, beside, ship, sea, place)
    return replace(
        card,
        hull=_hull(turn, beside, ship, chart, limits, run.manoeuvre.motion),
        run=_run(turn, ship, run.manoeuvre, place),
        band=_band(setting, turn, ship, run.manoeuvre, member_count),
        hard_over=hard_over,
        hard_over_reason=reason,
    )


def turn_runs(
    route: Route, ship: ShipProfile | None, conditions: Conditions
) -> tuple[tuple[PlannedTurn, CardRun | None], ...]:
    """Return every turn of a route with her run through it from the planned wheel-over.

    Parameters
    ----------
    route, ship, conditions
        As for a plan (core/planning.py).

    Returns
    -------
    tuple
        Turns in sailing order; None for one that is not simulated or has no wheel-over.
    """
    with np.errstate(invalid="raise", divide="raise"):
        track = lay_track(route, ship, conditions)
    found: list[tuple[PlannedTurn, CardRun | None]] = []
    for turn in track.turns:
        row, place = simulated_row(turn.wheel_overs), turn.planned.position
        run = None
        if ship is not None and row is not None and row.manoeuvre is not None and place is not None:
            run = _run(turn, ship, row.manoeuvre, place)
        found.append((turn, run))
    return tuple(found)


def case_found(
    case: Case,
    route: Route,
    ship: ShipProfile | None,
    chart: Chart,
    conditions: Conditions,
    limits: Limits,
    charted: Charted | None = None,
) -> CaseFound:
    """Return what comes of a case: the turn as it would then be, and its window.

    Parameters
    ----------
    case : Case
        What is tried, and where.
    route, ship, chart, conditions, limits
        As for a plan (core/planning.py).
    charted : Charted or None
        As in ``make_turn_card``.
    """
    try:
        settled = settle(route, ship, conditions).route
        tried_route, tried_ship, around = with_tried(
            settled, ship, conditions, case.waypoint_id, case.tried
        )
        track, waypoint_index = _track_about(tried_route, tried_ship, around, case.waypoint_id)
    except InvalidInput as error:
        return CaseFound(case=case, reason=str(error))
    turn = next((one for one in track.turns if one.waypoint_id == case.waypoint_id), None)
    if turn is None:
        return CaseFound(case=case, reason=f"there is no turn at {case.waypoint_id!r}")
    beside = legs_beside(track.legs)[turn.waypoint_index]
    turn = replace(turn, waypoint_index=waypoint_index)
    return CaseFound(
        case=case,
        loa_m=None if tried_ship is None else tried_ship.loa_m,
        turn=turn,
        swept=_swept(
            turn,
            beside,
            tried_ship,
            Sea(hazards=chart.hazards, limits=limits, charted=charted, coast=chart.coast),
        ),
    )


def _swept(
    turn: PlannedTurn,
    beside: tuple[PlannedLeg, PlannedLeg],
    ship: ShipProfile | None,
    sea: Sea,
) -> SweptTurn:
    """Return what the hull sweeps in a turn, its window with what of its water was not checked."""
    swept = swept_turn(turn, beside, ship, sea.hazards, sea.limits)
    if ship is None or swept.window is None:
        return swept
    return replace(swept, window=window_water(swept.window, turn, beside, ship, sea))


def _track_about(
    route: Route, ship: ShipProfile | None, conditions: Conditions, waypoint_id: str
) -> tuple[Track, int]:
    """Return the track about a waypoint, with the turns beside it, and the waypoint's number.

    The turns beside it say whether it fits; what lies beyond them changes nothing of it.
    """
    index = next((n for n, one in enumerate(route.waypoints) if one.id == waypoint_id), 0)
    first = max(index - _BESIDE, 0)
    kept = list(route.waypoints[first : index + _BESIDE + 1])
    kept[0] = replace(kept[0], leg=None, gap_before=False)
    if kept[-1] is not route.waypoints[-1]:
        kept[-1] = replace(kept[-1], gap_after=False)
    with np.errstate(invalid="raise", divide="raise"):
        track = lay_track(replace(route, waypoints=tuple(kept)), ship, conditions)
    return track, index


def _hull(
    turn: PlannedTurn,
    beside: tuple[PlannedLeg, PlannedLeg],
    ship: ShipProfile,
    chart: Chart,
    limits: Limits,
    motion: Motion,
) -> dict[str, HullClearance | None]:
    """Return for each wheel-over the danger that matters most to the hull begun there."""
    places: dict[str, Position] = {
        row.method: row.position for row in turn.wheel_overs if isinstance(row, WheelOver)
    }
    if turn.planned.method == "own" and turn.planned.position is not None:
        places["own"] = turn.planned.position
    runs = [run_from(motion, place, beside) for place in places.values()]
    found = hulls_clearances(runs, ship.loa_m, ship.beam_m, chart.hazards, limits)
    return {name: one.least() for name, one in zip(places, found, strict=True)}


def _band(
    setting: TurnSetting,
    turn: PlannedTurn,
    ship: ShipProfile,
    run: SimulatedTurn,
    member_count: int,
) -> Band | None:
    """Return how sure the wheel-overs are."""
    if member_count == 0 or ship.response is None or setting.approach_speed_kn is None:
        return None
    model = ship_model(ship.response, ship.loa_m, setting.approach_speed_kn, ship.max_rudder_deg)
    distances_m: dict[str, float] = {
        row.method: row.distance_m for row in turn.wheel_overs if isinstance(row, WheelOver)
    }
    if turn.planned.method == "own" and turn.planned.distance_m is not None:
        distances_m["own"] = turn.planned.distance_m
    return band_of(setting, ship, model, run, distances_m, member_count)


def _hard_over(
    setting: TurnSetting,
    turn: PlannedTurn,
    beside: tuple[PlannedLeg, PlannedLeg],
    ship: ShipProfile,
    sea: Sea,
    place: Position,
) -> tuple[HardOver | None, str | None]:
    """Return the turn with the rudder hard over and its window, or why there is none."""
    if ship.response is None or setting.approach_speed_kn is None:
        return None, "she has no response or no speed"
    try:
        model = ship_model(
            ship.response, ship.loa_m, setting.approach_speed_kn, ship.max_rudder_deg
        )
        found = by_rudder(setting, ship, model, ship.max_rudder_deg)
    except OutOfDomain as error:
        return None, str(error)
    window, reason = window_of(found.motion, place, turn, beside, ship, sea.hazards, sea.limits)
    if window is not None:
        window = window_water(window, turn, beside, ship, sea, found.motion)
    return HardOver(turn=found, window=window, window_reason=reason), None


def _run(turn: PlannedTurn, ship: ShipProfile, found: SimulatedTurn, place: Position) -> CardRun:
    """Return her run from the planned wheel-over, with what the hull sweeps."""
    motion = found.motion
    steps_m = np.hypot(np.diff(motion.east_m), np.diff(motion.north_m))
    gone_m = np.concatenate([[0.0], np.cumsum(steps_m)])
    width = None
    if turn.arc is not None:
        width = swept_width(motion, place, turn.arc, ship.loa_m, ship.beam_m)
    return CardRun(
        helm_at=place,
        motion=motion,
        drift_deg=tuple(_drift_deg(turn, motion).tolist()),
        to_go_m=tuple((gone_m[-1] - gone_m).tolist()),
        strip=swept_strip(motion, place, hull_shape_m(ship.loa_m, ship.beam_m)),
        width=width,
    )


def _drift_deg(turn: PlannedTurn, motion: Motion) -> Floats:
    """Return the angle from her way through the water to her heading, bow to starboard positive.

    The way through the water is that over the ground less the current, between rows.
    """
    set_rad = np.radians(turn.current_set_deg or 0.0)
    drift_m_per_s = m_per_s_from_kn(turn.current_drift_kn or 0.0)
    east = np.gradient(motion.east_m, motion.time_s) - drift_m_per_s * np.sin(set_rad)
    north = np.gradient(motion.north_m, motion.time_s) - drift_m_per_s * np.cos(set_rad)
    way_deg = np.degrees(np.arctan2(east, north))
    return np.asarray(signed_change_deg(way_deg, motion.heading_deg))
