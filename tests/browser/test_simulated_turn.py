"""The turn as she makes it, on the page: every number is the service's, every input reaches it."""

from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.api.test_simulated import RESPONSE
from tests.browser.conftest import Watched
from tests.browser.service import Document, ask, draft, stored, zigzag
from tests.browser.test_editing import fresh, opened, type_into
from tests.browser.test_narrow import measure as measure_narrow
from tests.browser.test_turn_card import _open_card as open_card
from tests.browser.test_turn_card import _wide_turn as wide_turn

pytestmark = pytest.mark.browser

STREAM = {"set_deg": 40.0, "drift_kn": 1.5}
OWN = {**RESPONSE, "origin": "fitted"}


def _simulated(choice: Document | None = None, **ship: Any) -> Document:
    """Return a plan with one turn in a stream, for a ship whose response is her own."""
    inputs = {**wide_turn(response=OWN, **ship), "conditions": STREAM}
    if choice is not None:
        inputs["route"]["waypoints"][1]["wheel_over"] = choice
    return inputs


def _turn(server: str, plan_id: str) -> Document:
    """Return the first turn of a stored plan, as the service computes it."""
    found: Document = ask(server, "GET", f"/plans/{plan_id}/computed")["turns"][0]
    return found


def _row(turn: Document, method: str) -> Document:
    found: Document = next(one for one in turn["wheel_overs"] if one["method"] == method)
    return found


def _value(place: Locator, unit: str) -> float:
    """Return the one number of a place that is in a unit."""
    return float(place.locator(f'[data-unit="{unit}"]').get_attribute("data-value") or "nan")


def _said(page: Page, method: str) -> Locator:
    return page.get_by_test_id("methods-table").get_by_test_id(f"method-{method}")


def _assert_row_is(shown: Locator, row: Document) -> None:
    """Hold the cells of a row against the service's row: numbers, side, hand, lengths."""
    assert _value(shown, "NM") == row["distance_nm"]
    assert _value(shown, "s") == row["before_waypoint_s"]
    cell = shown.locator(".off-track")
    assert _value(cell, "m") == row["off_track_m"]
    if row["off_track_side"] is None:
        expect(cell).not_to_contain_text("side")
        return
    expect(cell).to_contain_text(row["off_track_side"])
    expect(cell).to_contain_text("stbd" if row["off_track_m"] > 0.0 else "port")
    assert _value(cell, "lengths") == row["off_track_lengths"]


def test_the_card_says_what_the_service_says(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = open_card(watched, server, _simulated({"method": "geometric"}))
    turn = _turn(server, plan_id)
    for method in ("geometric", "rule_of_thumb", "simulated"):
        _assert_row_is(_said(page, method), _row(turn, method))
    expect(_said(page, "advance_transfer")).to_contain_text("no turning table")
    run = _row(turn, "simulated")["manoeuvre"]
    lines = page.get_by_test_id("helm-orders").locator("li")
    helm, counter, midships, steady = (lines.nth(i) for i in range(4))
    expect(helm).to_contain_text(f"stbd {run['rudder_deg']:.1f} at the WOP")
    expect(counter).to_contain_text("port")
    expect(midships).to_contain_text("midships")
    for line, order in zip((counter, midships), run["orders"][1:], strict=True):
        assert _value(line, "s") == order["at_s"]
        assert _value(line, "deg T") == order["heading_deg"]
        expect(line).to_contain_text(f"heading {order['heading_deg']:03.0f}")
    assert _value(steady, "s") == run["steady_at_s"]
    assert _value(steady, "deg T") == run["heading_out_deg"]
    assert _value(steady, "kn") == run["steady_speed_kn"]
    part = page.get_by_test_id("simulated-part")
    assert _value(part, "deg/min") == run["rate_max_deg_per_min"]
    assert _value(page.get_by_test_id("planned-off-track"), "m") == turn["planned"]["off_track_m"]
    expect(part).to_contain_text("helmsman checks her as she answers")
    for unit in part.locator("[data-unit]").all():
        expect(part).to_contain_text(unit.get_attribute("data-unit") or "no unit")
    expect(page.get_by_test_id("card-not-yet")).not_to_contain_text("orders")
    watched.assert_quiet()


def test_an_own_distance_has_its_row(watched: Watched, server: str) -> None:
    """Half a mile is earlier than simulated here: she ends inside."""
    page = watched.page
    plan_id = open_card(watched, server, _simulated({"distance_nm": 0.7}))
    planned = _turn(server, plan_id)["planned"]
    assert planned["off_track_side"] == "inside"
    _assert_row_is(_said(page, "own"), planned)
    expect(page.get_by_test_id("planned-off-track")).to_contain_text("inside (stbd)")


def test_the_simulated_way_is_drawn_and_explained(watched: Watched, server: str) -> None:
    """Once on the Plot and once on the card, in a style that no other line has, in every light."""
    page = watched.page
    plan_id = opened(watched, server, stored(server, _simulated({"method": "geometric"})))
    off = page.get_by_test_id("turn-row-0").get_by_test_id("ledger-off-track")
    planned = _turn(server, plan_id)["planned"]
    assert _value(off, "m") == planned["off_track_m"]
    expect(off).to_contain_text(f"{abs(planned['off_track_m']):.0f} m {planned['off_track_side']}")
    plot = page.get_by_test_id("plot").locator("path.line-simulated")
    expect(plot).to_have_count(1)
    expect(page.get_by_test_id("plot-key")).to_contain_text("simulated way of her midships")
    dashes = "(node) => getComputedStyle(node).strokeDasharray"
    others = page.get_by_test_id("plot").locator("path[class*=line-]:not(.line-simulated)")
    styles = {one.evaluate(dashes) for one in others.all()}
    for light in ("Dusk", "Night", "Day"):
        page.get_by_test_id(f"light-{light.lower()}").click()
        assert plot.evaluate(dashes) not in styles | {"none"}
    page.get_by_test_id("turn-open-0").click()
    expect(page.get_by_test_id("simulated-way").locator("path.line-simulated")).to_have_count(1)
    expect(page.get_by_test_id("simulated-way")).to_contain_text("SIM steady")
    expect(page.get_by_test_id("card-key")).to_be_visible()
    watched.assert_quiet()


def test_a_response_is_typed_and_waits_until_it_is_whole(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, wide_turn()))
    expect(page.get_by_test_id("not-simulated-line")).to_contain_text("no response to the helm")
    expect(page.get_by_test_id("plot-key")).to_have_count(0)
    page.get_by_test_id("open-ship").click()
    type_into(page, "field-ship-response-k_per_s", "0.0741")
    missing = page.get_by_test_id("response-missing")
    expect(missing).to_contain_text("time constant T, speed they hold at")
    assert "response" not in draft(server, plan_id)["inputs"]["ship"]
    page.reload()
    fresh(page)
    page.get_by_test_id("open-ship").click()
    expect(page.get_by_test_id("field-ship-response-k_per_s")).to_have_value("0.0741")
    type_into(page, "field-ship-response-t_s", "107 s")
    expect(missing).not_to_contain_text("time constant")
    type_into(page, "field-ship-response-at_speed_kn", "12")
    expect(missing).to_have_count(0)
    page.get_by_label("Where they come from").select_option("fitted")
    page.get_by_text("Further terms of the model").click()
    type_into(page, "field-ship-response-drift_lengths", "0.45")
    fresh(page)
    kept = draft(server, plan_id)["inputs"]["ship"]["response"]
    typed = {"k_per_s": 0.0741, "t_s": 107, "at_speed_kn": 12, "drift_lengths": 0.45}
    assert kept == {**typed, "origin": "fitted"}
    page.get_by_test_id("turn-open-0").click()
    turn = _turn(server, plan_id)
    assert turn["planned"]["method"] == "simulated"
    _assert_row_is(_said(page, "simulated"), _row(turn, "simulated"))
    page.get_by_test_id("clear-response").click()
    expect(page.get_by_test_id("field-ship-response-k_per_s")).to_be_focused()
    fresh(page)
    assert "response" not in draft(server, plan_id)["inputs"]["ship"]
    expect(page.get_by_test_id("not-simulated")).to_contain_text("no response to the helm")
    watched.assert_quiet()


def test_a_wrong_number_is_said_at_its_field(watched: Watched, server: str) -> None:
    """What the page cannot read, and what the service refuses; both keep the text as typed."""
    page = watched.page
    plan_id = opened(watched, server, stored(server, _simulated()))
    page.get_by_test_id("open-ship").click()
    for text, says in (("107 kn", "does not fit"), ("0", "more than 0")):
        type_into(page, "field-ship-response-t_s", text)
        error = page.get_by_test_id("error-field-ship-response-t_s")
        expect(error).to_contain_text(says)
        field = page.get_by_test_id("field-ship-response-t_s")
        expect(field).to_have_value(text)
        expect(field).to_have_attribute("aria-invalid", "true")
        assert draft(server, plan_id)["inputs"]["ship"]["response"]["t_s"] == 107.0
    type_into(page, "field-ship-response-t_s", "90")
    expect(error).to_be_hidden()
    fresh(page)
    assert draft(server, plan_id)["inputs"]["ship"]["response"]["t_s"] == 90


def test_azimuthing_drives_have_the_reason_in_the_place_of_numbers(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, _simulated({"method": "geometric"})))
    page.get_by_test_id("open-ship").click()
    page.get_by_label("Propulsion").select_option("azimuthing")
    fresh(page)
    reason = _row(_turn(server, plan_id), "simulated")["reason"]
    assert "azimuthing" in reason
    expect(page.get_by_test_id("not-simulated-line")).to_contain_text(reason)
    expect(page.get_by_test_id("plot").locator("path.line-simulated")).to_have_count(0)
    page.get_by_test_id("turn-open-0").click()
    expect(page.get_by_test_id("not-simulated")).to_have_text(f"not computed: {reason}")
    expect(_said(page, "simulated")).to_contain_text(reason)
    expect(_said(page, "geometric").locator(".off-track")).to_have_text("not computed: no SIM")
    expect(page.get_by_test_id("simulated-way")).to_have_count(0)


def test_a_reason_of_one_turn_stands_in_its_row(watched: Watched, server: str) -> None:
    """One of four turns is planned too tight for her rudder."""
    page = watched.page
    inputs = zigzag()
    inputs["ship"] = {**inputs["ship"], "response": OWN}
    inputs["route"]["waypoints"][2].update(turn_radius_nm=0.05, wheel_over={"method": "geometric"})
    opened(watched, server, stored(server, inputs))
    expect(page.get_by_test_id("not-simulated-line")).to_have_count(0)
    expect(page.get_by_test_id("turn-row-1")).to_contain_text("SIM not computed: the turn needs")
    expect(page.get_by_test_id("turn-row-0").get_by_test_id("ledger-off-track")).to_be_visible()


def test_water_wind_thrusters_and_the_limit_are_given(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, _simulated({"method": "geometric"})))
    page.get_by_test_id("open-limits").click()
    for name, text in (
        ("limits-max_off_track_m", "0.05nm"),
        ("conditions-depth_m", "60"),
        ("conditions-wind_force_bft", "4"),
    ):
        type_into(page, f"field-{name}", text)
        fresh(page)
    page.get_by_label("Thrusters in use in the turns").select_option("false")
    fresh(page)
    inputs = draft(server, plan_id)["inputs"]
    water = {"depth_m": 60, "wind_force_bft": 4, "thrusters_in_use": False}
    assert inputs["conditions"] == {**STREAM, **water}
    assert inputs["limits"] == {"max_off_track_m": pytest.approx(92.6)}
    expect(page.get_by_test_id("findings")).to_contain_text("limit 92.6 m")
    page.get_by_label("Thrusters in use in the turns").select_option("true")
    fresh(page)
    expect(page.get_by_test_id("not-simulated-line")).to_contain_text("thrusters are in use")
    expect(page.get_by_test_id("open-limits")).to_contain_text("thrusters")
    watched.assert_quiet()


def test_a_wind_waits_until_both_its_numbers_are_there(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, _simulated()))
    page.get_by_test_id("open-limits").click()
    type_into(page, "field-conditions-wind_from_deg", "270")
    error = page.get_by_test_id("error-field-conditions-wind_kn")
    expect(error).to_contain_text("where it comes from and its speed")
    type_into(page, "field-conditions-wind_kn", "15")
    fresh(page)
    expect(error).to_be_hidden()
    conditions = draft(server, plan_id)["inputs"]["conditions"]
    assert conditions == {**STREAM, "wind_from_deg": 270, "wind_kn": 15}
    watched.assert_quiet()


@pytest.mark.parametrize("width", [320, 375, 1280])
def test_the_card_and_the_fields_fit(watched: Watched, server: str, width: int) -> None:
    page = watched.page
    page.set_viewport_size({"width": width, "height": 800})
    open_card(watched, server, _simulated({"distance_nm": 0.5}))
    measure_narrow(page)
    page.get_by_test_id("open-ship").click()
    expect(page.get_by_test_id("helm-part")).to_be_visible()
    measure_narrow(page)
    over = "(box) => box.scrollWidth - box.clientWidth"
    assert page.get_by_test_id("turn-card").locator(".table-box").first.evaluate(over) <= 1
