"""The pilot card. Source of its members: A.601(15), appendix 1, from memory."""

from dataclasses import replace
from typing import Any

from tests import zoo
from wheelover.core.monitoring.card import ASKED, ASKED_OF_SHIP, missing_of_card, nearest_order
from wheelover.core.types.pilot_card import CardOrder, CheckedItem, PilotCard
from wheelover.core.types.plan import CheckRow, Plan
from wheelover.core.types.route import LegWishes
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.watch import LegMonitoring, Stage
from wheelover.render.pilot_card import pilot_card_document

NORTH = [(47.0, -30.0), (47.3, -30.0)]
ORDERS = (
    CardOrder(order="full astern", laden_speed_kn=-7.0),
    CardOrder(order="half ahead", propeller_rpm=60.0, laden_speed_kn=9.0, ballast_speed_kn=10.0),
    CardOrder(order="full ahead", propeller_rpm=85.0, laden_speed_kn=12.5, ballast_speed_kn=13.5),
)
WHOLE = PilotCard(
    call_sign="ZZZZ1", imo_number="1234567", bulbous_bow=False, chain_port_shackles_count=12.0,
    chain_starboard_shackles_count=12.0, engine_type="diesel", max_power_kw=9000.0,
    astern_power_ratio=0.6, ahead_to_astern_s=45.0, engine_orders=ORDERS, rudder_type="balanced",
    hard_over_s=24.0, equipment=(CheckedItem(item="Anchors", checked=True),),
)  # fmt: skip
SHIP = replace(zoo.SHIP, pilot_card=WHOLE, displacement_t=40_000.0, air_draught_m=45.0)


def planned(ship: ShipProfile | None, stage: Stage | None = "pilotage") -> Plan:
    leg = LegWishes(line="rhumb", monitoring=LegMonitoring(stage=stage))
    return zoo.plan(zoo.route(NORTH, leg=leg), ship=ship)


def row(plan: Plan) -> CheckRow:
    return next(one for one in plan.checks if one.check == "pilot_card")


def test_a_whole_card_lacks_nothing_and_each_member_is_asked_for() -> None:
    assert missing_of_card(SHIP) == ()
    assert row(planned(SHIP)).result == "met"
    for member, words in ASKED:
        empty: dict[str, Any] = {member: () if isinstance(getattr(WHOLE, member), tuple) else None}
        ship = replace(SHIP, pilot_card=replace(WHOLE, **empty))
        assert missing_of_card(ship) == (words,)
        assert words in (row(planned(ship)).not_checked or "")
    for member, words in ASKED_OF_SHIP:
        without: dict[str, Any] = {member: None}
        assert missing_of_card(replace(SHIP, **without)) == (words,)


def test_it_is_asked_for_where_a_leg_is_pilotage_or_nobody_says() -> None:
    assert row(planned(zoo.SHIP, "open")).result == "met"
    assert row(planned(zoo.SHIP, None)).result == "not_checked"
    assert row(planned(None)).not_checked == "no ship is given"


def test_what_is_not_checked_and_what_is_broken_wants_words() -> None:
    card = replace(
        WHOLE, equipment=(CheckedItem(item="Whistle", checked=False),), defects="Port radar"
    )
    found = {one.code: one for one in planned(replace(SHIP, pilot_card=card)).findings}
    assert "Whistle" in found["equipment_not_checked"].message
    assert "Port radar" in found["ship_defects"].message


def test_the_order_nearest_to_a_planned_speed_is_named() -> None:
    assert nearest_order(ORDERS, 10.0, "laden_speed_kn") == ("half ahead", 9.0)
    assert nearest_order(ORDERS, 12.5, "ballast_speed_kn") == ("full ahead", 13.5)
    assert nearest_order((), 10.0, "laden_speed_kn") is None


def test_the_exchange_holds_the_legs_that_the_pilot_is_aboard_for() -> None:
    document = pilot_card_document(planned(SHIP))
    assert document is not None
    (leg,) = document["exchange"]["legs"]
    assert (leg["stage"], leg["order_laden"]["order"]) == ("pilotage", "full ahead")
    assert document["missing"] == []
    at_sea = pilot_card_document(planned(SHIP, "open"))
    assert at_sea is not None
    assert at_sea["exchange"]["legs"] == []
    assert pilot_card_document(planned(None)) is None
