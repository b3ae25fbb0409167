"""The pilot card and what is agreed with the pilot, as JSON values."""

from dataclasses import asdict
from typing import Any

from wheelover.core.monitoring.card import NO_CARD, missing_of_card, nearest_order
from wheelover.core.types.pilot_card import PilotCard
from wheelover.core.types.plan import Plan
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg
from wheelover.core.types.watch import LegMonitoring
from wheelover.core.units import nm_from_m
from wheelover.render.points import place_row
from wheelover.render.rounding import METRES, MILES, OTHER, SECONDS, course, rounded

Document = dict[str, Any]

_STAGES = ("berth", "pilotage", "confined")


def pilot_card_document(plan: Plan) -> Document | None:
    """Return the pilot card of the plan's ship with the exchange; None without a ship."""
    ship = plan.ship
    if ship is None:
        return None
    card = ship.pilot_card or NO_CARD
    return {
        **_ship(ship),
        **_engine(card),
        "propulsion": ship.propulsion,
        "rudder_type": card.rudder_type,
        "max_rudder_deg": rounded(ship.max_rudder_deg, OTHER),
        "hard_over_s": rounded(card.hard_over_s, SECONDS),
        "neutral_rudder_deg": rounded(card.neutral_rudder_deg, OTHER),
        "thrusters": [
            {"place": one.place, "power_kw": rounded(one.power_kw, OTHER)} for one in card.thrusters
        ],
        "stopping": [
            {
                "engine_order": one.engine_order,
                "speed_kn": rounded(one.speed_kn, OTHER),
                "track_reach_m": rounded(one.track_reach_m, METRES),
                "time_s": rounded(one.time_s, SECONDS),
                "source": one.source,
            }
            for one in ship.stopping
        ],
        "equipment": [asdict(one) for one in card.equipment],
        "defects": card.defects,
        "missing": list(missing_of_card(ship)),
        "exchange": _exchange(plan, card),
    }


def _ship(ship: ShipProfile) -> Document:
    """Return who she is and how she lies."""
    card = ship.pilot_card or NO_CARD
    return {
        "name": ship.name,
        "call_sign": card.call_sign,
        "imo_number": card.imo_number,
        "loa_m": rounded(ship.loa_m, METRES),
        "beam_m": rounded(ship.beam_m, METRES),
        "draught_fore_m": rounded(ship.draught_fore_m, METRES),
        "draught_midships_m": rounded(ship.draught_midships_m, METRES),
        "draught_aft_m": rounded(ship.draught_aft_m, METRES),
        "air_draught_m": rounded(ship.air_draught_m, METRES),
        "displacement_t": rounded(ship.displacement_t, OTHER),
        "loading": ship.loading,
        "bulbous_bow": card.bulbous_bow,
        "chain_port_shackles_count": rounded(card.chain_port_shackles_count, OTHER),
        "chain_starboard_shackles_count": rounded(card.chain_starboard_shackles_count, OTHER),
        "chain_stern_shackles_count": rounded(card.chain_stern_shackles_count, OTHER),
    }


def _engine(card: PilotCard) -> Document:
    """Return what the card says of the engine."""
    return {
        "engine_type": card.engine_type,
        "max_power_kw": rounded(card.max_power_kw, OTHER),
        "critical_from_rpm": rounded(card.critical_from_rpm, OTHER),
        "critical_to_rpm": rounded(card.critical_to_rpm, OTHER),
        "astern_power_ratio": rounded(card.astern_power_ratio, OTHER),
        "ahead_to_astern_s": rounded(card.ahead_to_astern_s, SECONDS),
        "most_starts_count": card.most_starts_count,
        "engine_orders": [
            {
                "order": one.order,
                "propeller_rpm": rounded(one.propeller_rpm, OTHER),
                "pitch_ratio": rounded(one.pitch_ratio, OTHER),
                "laden_speed_kn": rounded(one.laden_speed_kn, OTHER),
                "ballast_speed_kn": rounded(one.ballast_speed_kn, OTHER),
            }
            for one in card.engine_orders
        ],
    }


def _exchange(plan: Plan, card: PilotCard) -> Document:
    """Return what is agreed with the pilot."""
    aborts = {one.leg_index: one for one in plan.bridge.aborts}
    legs, names = [], set()
    for leg in plan.legs:
        wishes = plan.route.waypoints[leg.from_index + 1].leg
        given = (wishes and wishes.monitoring) or LegMonitoring()
        if given.stage not in _STAGES:
            continue
        names.add(leg.to_id)
        abort = aborts.get(leg.index)
        legs.append(
            {
                **_leg(leg, card),
                "stage": given.stage,
                "pilot": given.pilot,
                "tugs": given.tugs,
                "machinery": given.machinery,
                "no_return": place_row(None if abort is None else abort.no_return),
                "abort": place_row(None if abort is None else abort.abort),
            }
        )
    points = [one for one in plan.bridge.points if one.place and one.place.leg_to_id in names]
    return {
        "legs": legs,
        "point_ids": [one.point.id for one in points],
        "contingency_ids": [
            one.contingency.id
            for one in plan.bridge.contingencies
            if one.contingency.from_id in names
        ],
    }


def _leg(leg: PlannedLeg, card: PilotCard) -> Document:
    """Return what is planned on a leg, with the engine orders nearest to its speed."""
    return {
        "to_id": leg.to_id,
        "course_deg": None if leg.path is None else course(leg.path.course_deg),
        "distance_nm": rounded(nm_from_m(leg.length_m), MILES),
        "speed_kn": rounded(leg.speed_kn, OTHER),
        "order_laden": _order(card, leg.speed_kn, "laden_speed_kn"),
        "order_ballast": _order(card, leg.speed_kn, "ballast_speed_kn"),
        "xtd_port_nm": rounded(leg.xtd_port_nm, MILES),
        "xtd_starboard_nm": rounded(leg.xtd_starboard_nm, MILES),
    }


def _order(card: PilotCard, speed_kn: float | None, member: str) -> Document | None:
    """Return the engine order nearest to a speed."""
    if speed_kn is None:
        return None
    found = nearest_order(card.engine_orders, speed_kn, member)
    return None if found is None else {"order": found[0], "speed_kn": rounded(found[1], OTHER)}
