"""The pilot card on paper and in the head of a route exchange file.

What a card holds: IMO resolution A.601(15), appendix 1 (from memory). ``vesselIMO``: IEC 61174
Annex S, as tests/formats/route_exchange/schema-1.2.xsd has it.
"""

import copy
from typing import Any

import pytest

from tests.formats.test_exchange_schema import faults
from tests.render.paper.plans import FROZEN, demonstration_plan, made, matter
from wheelover.api.schemas.pilot_card import ExchangeLegOut, PilotCardOut
from wheelover.formats.xml_tree import read_xml
from wheelover.render.exports import export_file
from wheelover.render.paper.paper import laid_out
from wheelover.render.paper.sheet import Text
from wheelover.usecases.plan_route import plan_route

Document = dict[str, Any]

CARD: Document = {
    "call_sign": "ZZZZ1", "imo_number": "1234567", "bulbous_bow": True,
    "chain_port_shackles_count": 12.25, "chain_starboard_shackles_count": 11.75,
    "chain_stern_shackles_count": 4.5, "engine_type": "slow diesel", "max_power_kw": 8765.0,
    "critical_from_rpm": 52.5, "critical_to_rpm": 61.5, "astern_power_ratio": 0.625,
    "ahead_to_astern_s": 437.0, "most_starts_count": 13,
    "engine_orders": [
        {"order": "half ahead", "propeller_rpm": 63.0, "pitch_ratio": 0.71, "laden_speed_kn": 9.3,
         "ballast_speed_kn": 10.1}],
    "rudder_type": "flap rudder", "hard_over_s": 27.0, "neutral_rudder_deg": 1.25,
    "thrusters": [{"place": "bow", "power_kw": 812.0}],
    "equipment": [{"item": "Anchors", "checked": False, "at_utc": "2026-11-25T12:34:00Z",
                   "remark": "port windlass slow"}],
    "defects": "No echo sounder log",
}  # fmt: skip
LOADING: Document = {
    "displacement_t": 54321.0, "draught_midships_m": 11.28, "air_draught_m": 38.4,
    "propulsion": "single_screw",
}  # fmt: skip
SAID = {
    "bulbous_bow": "yes", "chain_port_shackles_count": "12.25",
    "chain_starboard_shackles_count": "11.75", "chain_stern_shackles_count": "4.5",
    "max_power_kw": "8765 kW", "critical_from_rpm": "52.5 rpm", "critical_to_rpm": "61.5 rpm",
    "astern_power_ratio": "0.625", "ahead_to_astern_s": "437 s", "most_starts_count": "13",
    "hard_over_s": "27 s", "neutral_rudder_deg": "1.25 deg", "displacement_t": "54321 t",
    "draught_midships_m": "11.28 m", "air_draught_m": "38.4 m", "loa_m": "190 m", "beam_m": "32 m",
    "draught_fore_m": "11.2 m", "draught_aft_m": "11.4 m", "max_rudder_deg": "35 deg",
    "propulsion": "single screw",
}  # fmt: skip
"""How values of the card read, by hand; texts read as they are."""


def _request(**ship: Any) -> Document:
    """Return the demonstration's request with members of the ship another."""
    request = copy.deepcopy(demonstration_plan()[0])
    request["ship"] = {**request["ship"], **ship}
    for one in request["route"]["waypoints"][1:]:
        leg = one.setdefault("leg", {})
        leg["monitoring"] = {**(leg.get("monitoring") or {}), "stage": "pilotage",
                             "pilot": "two pilots", "tugs": "one made fast aft"}  # fmt: skip
        leg["xtd_port_nm"], leg["xtd_starboard_nm"] = 0.11, 0.13
    return request


def _printed(request: Document, result: Document) -> str:
    """Return the text of the pilot card and the exchange."""
    words = [
        one.text
        for page in laid_out(matter(request, result, FROZEN))
        if page.part == "Pilot card and exchange"
        for one in page.marks
        if isinstance(one, Text)
    ]
    return " ".join(" ".join(words).split())


def test_every_member_of_the_card_is_printed() -> None:
    request = _request(pilot_card=CARD, **LOADING)
    result = plan_route(made(request))
    text = _printed(request, result)
    card = result["pilot_card"]
    lists = {"engine_orders", "thrusters", "stopping", "equipment", "missing", "exchange"}
    assert set(card) == set(PilotCardOut.model_fields)
    for member in set(card) - lists - {"loading"}:
        assert card[member] is not None, member
        assert SAID.get(member, str(card[member])) in text, member
    for words in ("half ahead", "63 rpm", "0.71", "9.3 kn", "10.1 kn", "bow", "812 kW", "Anchors",
                  "no", "2026-11-25 12:34Z", "port windlass slow"):  # fmt: skip
        assert words in text, words
    orders = "Order Propeller Pitch ratio Speed laden Speed in ballast"
    assert f"{orders} half ahead 63 rpm 0.71 9.3 kn 10.1 kn" in text
    for one in card["stopping"]:
        assert f"{one['track_reach_m']:.0f} m" in text
    assert card["missing"] == []
    assert "NOT SAID" not in text


def test_what_nobody_said_is_left_to_be_written_and_named() -> None:
    request = _request()
    result = plan_route(made(request))
    text = _printed(request, result)
    assert len(result["pilot_card"]["missing"]) > 10
    assert f"NOT SAID {', '.join(result['pilot_card']['missing'])}" in text
    for words in ("Engine orders", "Thrusters", "Equipment checked", "Bulbous bow"):
        assert f"{words} ____________" in text
    assert "Displacement; loading ____________ t; ____________" in text


def test_what_is_agreed_on_legs_of_pilotage_is_printed() -> None:
    request = _request(pilot_card=CARD, **LOADING)
    result = plan_route(made(request))
    text = _printed(request, result)
    legs = result["pilot_card"]["exchange"]["legs"]
    assert len(legs) == len(result["legs"])
    assert set(legs[0]) == set(ExchangeLegOut.model_fields)
    assert text.count("pilot: two pilots tugs: one made fast aft") == len(legs)
    assert text.count("laden: half ahead, 9.3 kn in ballast: half ahead, 10.1 kn") == len(legs)
    assert text.count("cross-track limit: 0.11 NM port, 0.13 NM starboard") == len(legs)
    found = [one["no_return"] for one in legs if one["no_return"]]
    assert text.count("no return: ") == len(found)


def test_the_cover_names_the_ship() -> None:
    request = _request(pilot_card=CARD)
    result = plan_route(made(request))
    cover = " ".join(one.text for one in laid_out(matter(request, result, FROZEN))[0].marks
                     if isinstance(one, Text))  # fmt: skip
    assert "IMO number 1234567" in cover
    assert "Call sign ZZZZ1" in cover


@pytest.mark.parametrize("version", ["1.0", "1.2"])
def test_the_imo_number_goes_into_the_route_exchange(version: str) -> None:
    request = _request(pilot_card=CARD)
    result = plan_route(made(request))
    file = export_file("rtz", request, result, FROZEN, version=version)
    root = read_xml(file.body)
    assert root.named("routeInfo")[0].attribute("vesselIMO") == "1234567"
    assert faults(file.body, version) == []
    # The format has no place for a call sign: it stands in our own element for the plan.
    assert 'call_sign="ZZZZ1"' in file.body.decode()
    other = _request()
    file = export_file("rtz", other, plan_route(made(other)), FROZEN, version=version)
    assert read_xml(file.body).named("routeInfo")[0].attribute("vesselIMO") is None
