"""The basis of a plan: its inputs, each with the word for where it came from."""

from collections import Counter
from typing import Literal

import numpy as np

from wheelover.core.swing import CHAIN_DEPTHS_COUNT, UNKNOWN_DEPTH_SWING_M, assumed
from wheelover.core.turns.compare import simulated_row
from wheelover.core.turns.windage import why_not_applied
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.plan import BasisRow
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import LateHelm
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import m_per_s_from_kn


def basis_rows(
    route: Route,
    ship: ShipProfile | None,
    chart: Chart,
    conditions: Conditions,
    limits: Limits,
    turns: tuple[PlannedTurn, ...],
    legs: tuple[PlannedLeg, ...] = (),
    late: tuple[LateHelm, ...] = (),
) -> tuple[BasisRow, ...]:
    """Return every input that the plan hangs on, with the word for where it came from.

    A default used on many legs or turns is one row. Parameters are the inputs of the plan and its
    turns and legs, which know what was chosen for them.
    """
    rows = [
        BasisRow(input="waypoints", value=float(len(route.waypoints)), unit=None, source="you"),
        *_lines(route),
        *_ship_rows(ship),
        *_method_rows(turns),
    ]
    rows += _danger_rows(chart)
    if limits.min_clearance_m is not None:
        rows.append(
            BasisRow(
                input="least clearance of the plan",
                value=limits.min_clearance_m,
                unit="m",
                source="you",
            )
        )
    if limits.sources_max_age_days is not None:
        rows.append(
            BasisRow(
                input="most age of charts and publications",
                value=limits.sources_max_age_days,
                unit="days",
                source="you",
            )
        )
    rows += _limit_set(limits, legs)
    rows += _lateness(limits, late)
    rows += _current_rows(conditions, turns)
    return (*rows, *_wind_rows(ship, conditions, turns))


def _current_rows(conditions: Conditions, turns: tuple[PlannedTurn, ...]) -> tuple[BasisRow, ...]:
    """Return the current of the plan, and whether anything was computed with it."""
    if conditions.drift_kn is None or conditions.set_deg is None:
        return ()
    value = f"sets {conditions.set_deg:03.0f} T, {conditions.drift_kn:g} kn"
    run = any(
        simulated_row(turn.wheel_overs) is not None and turn.current_source == "plan"
        for turn in turns
    )
    note = "applied to simulated turns only" if run else "not applied: no turn is simulated"
    return (BasisRow(input="current", value=value, unit=None, source="you", note=note),)


def _danger_rows(chart: Chart) -> list[BasisRow]:
    """Return the dangers, and what is assumed of their positions."""
    rows: list[BasisRow] = []
    if chart.loaded:
        count = float(chart.hazards.count)
        note = "; ".join(chart.sources) or None
        rows.append(BasisRow(input="dangers", value=count, unit=None, source="set", note=note))
    rows += _coast_rows(chart)
    swung = int(np.sum(assumed(chart.hazards)))
    if swung:
        rows.append(
            BasisRow(
                input="swing of floating marks",
                value=f"{CHAIN_DEPTHS_COUNT:g} depths, {UNKNOWN_DEPTH_SWING_M:g} m where unknown",
                unit=None,
                source="default",
                note=f"{swung} marks give no uncertainty of position; common practice, assumed",
            )
        )
    unstated = int(np.sum(~chart.hazards.uncertainty_given)) - swung
    if unstated:
        rows.append(
            BasisRow(
                input="position uncertainty of dangers",
                value=0.0,
                unit="m",
                source="default",
                note=f"{unstated} dangers give none, so none is taken off",
            )
        )
    return rows


def _limit_set(limits: Limits, legs: tuple[PlannedLeg, ...]) -> tuple[BasisRow, ...]:
    """Return the limit set, and what is assumed of the waters that legs lead through."""
    if limits.limit_set is None:
        return ()
    rows = [BasisRow(input="limit set", value=limits.limit_set.label, unit=None, source="set")]
    silent = sum(1 for leg in legs if leg.water is None)
    if silent and limits.water is not None:
        note = f"{silent} legs say nothing of their water"
        rows.append(
            BasisRow(input="kind of water", value=limits.water, unit=None, source="you", note=note)
        )
    elif silent:
        note = f"{silent} legs, and the plan, say nothing of their water"
        value = "the strictest limits of all waters"
        rows.append(
            BasisRow(input="kind of water", value=value, unit=None, source="default", note=note)
        )
    return tuple(rows)


def _coast_rows(chart: Chart) -> tuple[BasisRow, ...]:
    """Return the coastline that the track is held against, if it is."""
    if chart.coast is None:
        return ()
    note = "open data, not official, of no stated accuracy; outside the coverage of cells only"
    value = chart.coast.version
    return (BasisRow(input="coastline", value=value, unit=None, source="set", note=note),)


def _lateness(limits: Limits, late: tuple[LateHelm, ...]) -> tuple[BasisRow, ...]:
    """Return how late the helm is taken to be."""
    silent = [one for one in late if one.assumed]
    if not late:
        return ()
    if not silent:
        lateness = {one.late_s for one in late}
        source: Literal["you", "set"] = "you" if lateness == {limits.helm_late_s} else "set"
        value: float | str = lateness.pop() if len(lateness) == 1 else "by kind of water"
        return (BasisRow(input="lateness of the helm", value=value, unit="s", source=source),)
    note = f"{len(silent)} turns for which nobody says how late to look"
    return (
        BasisRow(
            input="lateness of the helm", value=silent[0].late_s, unit="s", source="default",
            note=note,
        ),
    )  # fmt: skip


def _wind_rows(
    ship: ShipProfile | None, conditions: Conditions, turns: tuple[PlannedTurn, ...]
) -> tuple[BasisRow, ...]:
    """Return the wind, and whether it is applied."""
    if conditions.wind_kn is None or conditions.wind_from_deg is None:
        return ()
    reason = why_not_applied(ship, conditions)
    note = "not applied: no turn is simulated"
    if reason is not None:
        note = reason.removeprefix("the wind is ")
    elif any(simulated_row(turn.wheel_overs) is not None for turn in turns):
        note = "applied to simulated turns only, as leeway and weather helm"
    value = f"from {conditions.wind_from_deg:03.0f} T, {conditions.wind_kn:g} kn"
    return (BasisRow(input="wind", value=value, unit=None, source="you", note=note),)


def _lines(route: Route) -> tuple[BasisRow, ...]:
    """Return the default line of legs that say nothing of it."""
    silent = sum(
        1
        for waypoint in route.waypoints[1:]
        if not waypoint.gap_before and (waypoint.leg is None or waypoint.leg.line is None)
    )
    if silent == 0:
        return ()
    note = f"{silent} legs say nothing of their line"
    return (
        BasisRow(input="line of the legs", value="rhumb", unit=None, source="default", note=note),
    )


def _ship_rows(ship: ShipProfile | None) -> tuple[BasisRow, ...]:
    """Return the ship's data in use, and what is assumed of her."""
    if ship is None:
        return ()
    given: tuple[tuple[str, float | None, str | None], ...] = (
        ("length overall", ship.loa_m, "m"),
        ("beam", ship.beam_m, "m"),
        ("speed", ship.speed_kn, "kn"),
        ("turn radius", ship.turn_radius_nm, "NM"),
        ("least turn radius", ship.min_turn_radius_nm, "NM"),
        ("largest rate of turn", ship.max_rate_of_turn_deg_per_min, "deg/min"),
        ("speed in the turn over approach speed", ship.turn_speed_ratio, None),
        ("lateral windage", ship.lateral_windage_m2, "m2"),
        ("centre of windage from the bow", ship.windage_centre_from_bow_m, "m"),
        ("reach", ship.reach_m, "m"),
        ("reach", ship.reach_lengths, "lengths"),
        ("reach", ship.reach_s, "s"),
    )
    rows = [
        BasisRow(input=f"{name} of {ship.name}", value=value, unit=unit, source="ship")
        for name, value, unit in given
        if value is not None
    ]
    if ship.reach_m is None and ship.reach_lengths is None and ship.reach_s is None:
        rows.append(
            BasisRow(
                input=f"reach of {ship.name}",
                value=ship.loa_m,
                unit="m",
                source="default",
                note="one length overall, assumed and not measured",
            )
        )
    if ship.turn_speed_ratio is None:
        rows.append(
            BasisRow(
                input=f"speed in the turn over approach speed of {ship.name}",
                value=1.0,
                unit=None,
                source="default",
                note="no loss of speed in the turn, assumed and not measured",
            )
        )
    return (*rows, *_centre_rows(ship), *_response_rows(ship))


def _centre_rows(ship: ShipProfile) -> tuple[BasisRow, ...]:
    """Return where the centre of windage is assumed, of a ship whose windage alone is given."""
    if ship.lateral_windage_m2 is None or ship.windage_centre_from_bow_m is not None:
        return ()
    return (
        BasisRow(
            input=f"centre of windage of {ship.name} from the bow",
            value=0.5 * ship.loa_m,
            unit="m",
            source="default",
            note="midships, assumed and not measured",
        ),
    )


_ORIGIN_WORDS = {
    "recorded": "from her own records",
    "fitted": "fitted to her trials",
    "estimated": "estimated from her dimensions",
    None: "where it comes from is not said",
}


def _response_rows(ship: ShipProfile) -> tuple[BasisRow, ...]:
    """Return how she answers the helm, in ship lengths, and where that comes from."""
    response = ship.response
    if response is None:
        return ()
    per_length_s = ship.loa_m / m_per_s_from_kn(response.at_speed_kn)
    value = (
        f"K' {response.k_per_s * per_length_s:.2f}, T' {response.t_s / per_length_s:.2f} "
        f"at {response.at_speed_kn:g} kn"
    )
    return (
        BasisRow(
            input=f"response of {ship.name} to the helm",
            value=value,
            unit=None,
            source="ship",
            note=_ORIGIN_WORDS[response.origin],
        ),
    )


def _method_rows(turns: tuple[PlannedTurn, ...]) -> tuple[BasisRow, ...]:
    """Return the default method of the turns for which nobody chose one."""
    silent = Counter(turn.planned.method for turn in turns if turn.planned.source == "default")
    return tuple(
        BasisRow(
            input="method of the planned wheel-over",
            value=method,
            unit=None,
            source="default",
            note=f"{count} turns for which nobody chose one",
        )
        for method, count in sorted(silent.items())
    )
