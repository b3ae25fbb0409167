"""Depth sums and limit sets on the page: typed, used, opened, waived, undone."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.charted_waters import stored
from tests.browser.conftest import Watched
from tests.browser.service import SHIP, ask, draft
from tests.browser.test_editing import fresh

pytestmark = pytest.mark.browser

ROCK = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-29.99, 47.05]},
            "properties": {"id": "rk", "kind": "rock", "name": "A rock"},
        }
    ],
}


def _open(watched: Watched, server: str, plan_id: str, panel: str) -> Page:
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    page.get_by_test_id(f"open-{panel}").click()
    return page


def _type(page: Page, test_id: str, text: str) -> None:
    page.get_by_test_id(test_id).fill(text)
    page.get_by_test_id(test_id).press("Tab")


def _leg(server: str, plan_id: str, index: int) -> dict[str, Any]:
    found: dict[str, Any] = draft(server, plan_id)["inputs"]["route"]["waypoints"][index]
    return dict(found.get("leg") or {})


def test_a_sum_is_opened_term_by_term(watched: Watched, server: str) -> None:
    plan_id = stored(server, ship={**SHIP, "block_coefficient": 0.8})
    page = _open(watched, server, plan_id, "depth")
    _type(page, "leg-charted_depth_m-Z1", "14")
    page.get_by_test_id("leg-catzoc-Z1").select_option("B")
    _type(page, "field-limits-min_ukc_m", "1.5")
    _type(page, "field-conditions-tide_m", "0.8")
    _type(page, "field-conditions-wave_allowance_m", "0.3")
    page.get_by_test_id("sum-open-leg-0").click()
    detail = page.get_by_test_id("sum-detail")
    expect(detail.locator('[data-term="charted_depth"]')).to_contain_text("+14.000")
    expect(detail.locator('[data-term="charted_depth"]')).to_contain_text("you")
    expect(detail.locator('[data-term="tide"]')).to_contain_text("+0.800")
    expect(detail).to_contain_text("Barrass")
    expect(detail.locator('[data-term="squat"]')).to_be_visible()
    fresh(page)
    keel = ask(server, "GET", f"/plans/{plan_id}/computed")["depths"]["keel"][0]
    terms = detail.locator("[data-term] [data-value]")
    values = terms.evaluate_all("all => all.map(one => Number(one.dataset.value))")
    assert values == [one["value_m"] for one in keel["terms"] if one["value_m"] is not None]
    fresh(page)
    assert _leg(server, plan_id, 1) == {"charted_depth_m": 14, "catzoc": "B"}
    page.get_by_test_id("undo").click()
    expect(page.get_by_test_id("field-conditions-wave_allowance_m")).to_have_value("")
    watched.assert_quiet()


def test_a_text_that_is_no_depth_stays_where_it_was_typed(watched: Watched, server: str) -> None:
    plan_id = stored(server)
    page = _open(watched, server, plan_id, "depth")
    _type(page, "leg-charted_depth_m-Z2", "deep")
    _type(page, "leg-charted_depth_m-Z3", "11")
    expect(page.get_by_test_id("error-leg-charted_depth_m-Z2")).to_have_text(
        "This is not a number."
    )
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    expect(page.get_by_test_id("leg-charted_depth_m-Z2")).to_have_value("deep")
    fresh(page)
    assert _leg(server, plan_id, 2) == {}
    _type(page, "leg-charted_depth_m-Z1", "99999")
    expect(page.get_by_test_id("error-leg-charted_depth_m-Z1")).to_be_visible()
    expect(page.get_by_test_id("leg-charted_depth_m-Z1")).to_have_value("99999")


def test_tides_and_draughts_are_steps(watched: Watched, server: str) -> None:
    plan_id = stored(server)
    page = _open(watched, server, plan_id, "depth")
    _type(page, "departure", "2026-11-25 12:00")
    page.get_by_test_id("tide-station").fill("Stell")
    page.get_by_test_id("tide-heights").fill("2026-11-25 11:00 0.5\nnoon 3.2")
    page.get_by_test_id("tide-take").click()
    expect(page.get_by_test_id("error-tide-heights")).to_contain_text("Line 2")
    expect(page.get_by_test_id("tide-station")).to_have_value("Stell")
    page.get_by_test_id("tide-heights").fill("2026-11-25 11:00 0.5\n2026-11-25T17:10Z 3.2m")
    page.get_by_test_id("tide-take").click()
    expect(page.get_by_test_id("tide-0")).to_contain_text("Stell, 2 heights")
    page.get_by_test_id("draught-from").select_option("Z2")
    page.get_by_test_id("draught-fore").fill("9")
    page.get_by_test_id("draught-aft").fill("9.4")
    page.get_by_test_id("draught-reason").fill("discharged at the roads")
    page.get_by_test_id("draught-take").click()
    expect(page.get_by_test_id("draught-0")).to_contain_text("from WPT 03")
    expect(page.get_by_test_id("saved")).to_contain_text("Saved")
    inputs = draft(server, plan_id)["inputs"]
    assert inputs["departure_utc"] == "2026-11-25T12:00:00Z"
    assert [one["height_m"] for one in inputs["conditions"]["tides"][0]["heights"]] == [0.5, 3.2]
    assert inputs["draughts"][0]["draught_aft_m"] == 9.4
    page.get_by_test_id("tide-change-0").click()
    expect(page.get_by_test_id("tide-heights")).to_have_value(
        "2026-11-25 11:00 0.5\n2026-11-25 17:10 3.2"
    )
    page.get_by_test_id("tide-drop-0").click()
    expect(page.get_by_test_id("tide-0")).to_have_count(0)
    page.get_by_test_id("undo").click()
    expect(page.get_by_test_id("tide-0")).to_be_visible()
    watched.assert_quiet()


def test_a_limit_set_is_written_and_a_miss_is_waived(watched: Watched, server: str) -> None:
    plan_id = stored(server, hazards=ROCK)
    page = _open(watched, server, plan_id, "limits")
    page.get_by_test_id("limit-editor").locator("summary").first.click()
    page.get_by_test_id("limit-name").fill("Invented company")
    page.get_by_test_id("limit-coastal-min_clearance_m").fill("1852")
    page.get_by_test_id("limit-coastal-min_ukc_m").fill("much")
    page.get_by_test_id("limit-store").click()
    expect(page.get_by_test_id("error-limit-coastal-min_ukc_m")).to_be_visible()
    page.get_by_test_id("limit-coastal-min_ukc_m").fill("")
    page.get_by_test_id("limit-store").click()
    expect(page.get_by_test_id("limit-set-used")).to_contain_text("Invented company, edition 1")
    page.get_by_test_id("leg-water-Z1").select_option("coastal")
    rule = page.get_by_test_id("rule-coastal/min_clearance_m")
    expect(rule).to_have_attribute("data-result", "missed")
    expect(rule).to_contain_text("A rock")
    rule.locator("[data-testid^=waive-]").first.click()
    page.get_by_test_id("waiver-take").click()
    expect(page.get_by_test_id("error-waiver-reason")).to_be_visible()
    page.get_by_test_id("waiver-reason").fill("The pilot knows it")
    page.get_by_test_id("waiver-name").fill("R. Holm")
    page.get_by_test_id("waiver-rank").fill("master")
    page.get_by_test_id("waiver-take").click()
    expect(page.get_by_test_id("waiver-0")).to_contain_text("R. Holm, master")
    expect(rule.get_by_test_id("rule-miss").first).to_contain_text("waived by R. Holm")
    expect(page.get_by_test_id("last-step")).to_contain_text("Waived")
    fresh(page)
    waiver = draft(server, plan_id)["inputs"]["waivers"][0]
    assert waiver["rule"] == "coastal/min_clearance_m"
    assert waiver["danger_id"] == "rk"
    page.get_by_test_id("undo").click()
    expect(page.get_by_test_id("waivers")).to_have_count(0)
    watched.assert_quiet()


def test_a_newer_edition_of_a_limit_set_is_offered(watched: Watched, server: str) -> None:
    kept = ask(
        server, "POST", "/limit-sets", {"name": "Two editions", "open": {"min_clearance_m": 500}}
    )
    plan_id = stored(server, limit_set_id=kept["id"], limit_set_edition=1)
    ask(
        server,
        "PUT",
        f"/limit-sets/{kept['id']}",
        {"name": "Two editions", "open": {"min_clearance_m": 900}},
        {"If-Match": kept["_etag"]},
    )
    page = _open(watched, server, plan_id, "limits")
    page.get_by_test_id("limit-set-newest").click()
    expect(page.get_by_test_id("limit-set-used")).to_contain_text("edition 2 of 2")
    fresh(page)
    assert draft(server, plan_id)["inputs"]["limit_set_edition"] == 2
    page.get_by_test_id("limit-set-leave").click()
    expect(page.get_by_test_id("limit-set-used")).to_contain_text("No limit set counts")
    watched.assert_quiet()


def test_the_land_check_is_switched(watched: Watched, server: str) -> None:
    plan_id = stored(server)
    page = _open(watched, server, plan_id, "charts")
    page.get_by_test_id("check-land-on").check()
    expect(page.get_by_test_id("coast-index")).to_be_visible()
    expect(page.get_by_test_id("coast-index")).to_have_attribute(
        "data-state", "ready", timeout=120_000
    )
    fresh(page)
    assert draft(server, plan_id)["inputs"]["check_land"] is True
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh", timeout=60_000)
    page.get_by_test_id("land-rows").locator("summary").click()
    expect(page.get_by_test_id("land-rows")).to_contain_text("leg 01-02")
    page.get_by_test_id("undo").click()
    expect(page.get_by_test_id("check-land-unsaid")).to_be_checked()
    watched.assert_quiet()


def test_a_canal_is_answered_for(watched: Watched, server: str) -> None:
    """Across the isthmus at Suez (a real place): the coastline closes it."""
    corners = [(31.30, 32.32), (31.05, 32.31), (30.60, 32.32)]
    waypoints = [
        {"id": f"K{i}", "lat_deg": lat, "lon_deg": lon} for i, (lat, lon) in enumerate(corners)
    ]
    route = {"name": "Canal", "waypoints": waypoints}
    plan_id = ask(server, "POST", "/plans", {"route": route, "ship": SHIP, "check_land": True})[
        "id"
    ]
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh", timeout=120_000)
    page.get_by_test_id("open-charts").click()
    page.get_by_test_id("canal-say-K2").click()
    page.get_by_test_id("canal-reason").fill("Suez Canal, with pilot")
    page.get_by_test_id("canal-name").fill("A. Berg")
    page.get_by_test_id("canal-rank").fill("master")
    # Half a stretch the page knows for itself; one that ends before it begins the service refuses.
    page.get_by_test_id("canal-from_nm").fill("2.5")
    page.get_by_test_id("canal-take").click()
    expect(page.get_by_test_id("error-canal-to_nm")).to_contain_text("Both bounds")
    for to_nm, words in (("12,5", "with a point"), ("2", "above from_nm"), ("23000", "22000")):
        page.get_by_test_id("canal-to_nm").fill(to_nm)
        page.get_by_test_id("canal-take").click()
        expect(page.get_by_test_id("error-canal-to_nm")).to_contain_text(words)
        expect(page.get_by_test_id("canal-to_nm")).to_have_value(to_nm)
        expect(page.get_by_test_id("canal-reason")).to_have_value("Suez Canal, with pilot")
    assert "canal" not in _leg(server, plan_id, 2)
    # The browser itself complains of answers that refuse: these two, and nothing else.
    assert ["422" in one for one in watched.complaints] == [True, True]
    watched.complaints.clear()
    page.get_by_test_id("canal-to_nm").fill("20 NM")
    page.get_by_test_id("canal-take").click()
    expect(page.get_by_test_id("canal-K2")).to_contain_text("A. Berg, master")
    expect(page.get_by_test_id("canal-K2")).to_contain_text("from 2.50 to 20.00 NM of the leg")
    fresh(page)
    canal = _leg(server, plan_id, 2)["canal"]
    assert canal["reason"] == "Suez Canal, with pilot"
    assert (canal["from_nm"], canal["to_nm"]) == (2.5, 20.0)
    page.get_by_test_id("canal-drop-K2").click()
    expect(page.get_by_test_id("canal-say-K2")).to_be_visible()
    watched.assert_quiet()
