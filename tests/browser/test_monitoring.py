"""Monitoring on the page: said of one leg and of many at once, how often it wants a fix."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.service import SHIP, ask, draft, stored, zigzag
from tests.browser.test_editing import fresh, opened, steps

pytestmark = pytest.mark.browser


def _many(page: Page, what: str, value: str) -> None:
    page.get_by_test_id("monitoring-many-what").select_option(what)
    typed = page.get_by_test_id("monitoring-many-text")
    if typed.is_visible():
        typed.fill(value)
    else:
        page.get_by_test_id("monitoring-many-choice").select_option(value)
    page.get_by_test_id("monitoring-many-take").click()
    fresh(page)


def test_monitoring_is_said_for_one_leg_and_for_many(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("open-monitoring").click()
    page.get_by_test_id("leg-stage-Z1").select_option("pilotage")
    fresh(page)
    _many(page, "primary", "gnss")
    _many(page, "secondary", "radar_ranges")
    _many(page, "interval_min", "6")
    legs = [
        one["leg"]["monitoring"]
        for one in draft(server, plan_id)["inputs"]["route"]["waypoints"][1:]
    ]
    assert {one["fixing"]["interval_min"] for one in legs} == {6.0}
    assert legs[0]["stage"] == "pilotage"
    assert steps(server, plan_id)[-1] == "5 legs interval of fixes: 6 min"
    expect(page.get_by_test_id("leg-interval_min-Z3")).to_have_value("6")
    row = page.get_by_test_id("fixing-0")
    expect(row).to_contain_text("pilot")
    expect(row).to_contain_text("not computed: no dangers are loaded")
    page.get_by_test_id("monitoring-many-what").select_option("interval_min")
    page.get_by_test_id("monitoring-many-text").fill("six")
    page.get_by_test_id("monitoring-many-take").click()
    expect(page.get_by_test_id("error-monitoring-many-text")).to_contain_text("not a number")
    page.get_by_test_id("undo").click()
    fresh(page)
    expect(page.get_by_test_id("leg-interval_min-Z3")).to_have_value("")
    watched.assert_quiet()


def _channel() -> dict[str, Any]:
    """Return a plan whose first leg ends between walls of rocks, with the papers to abort by."""
    rocks = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-30.0 + side, 47.06 + 0.001 * step]},
            "properties": {"id": f"w{side}-{step}", "kind": "rock"},
        }
        for step in range(40)
        for side in (-0.004, 0.004)
    ]
    inputs = zigzag()
    inputs["route"]["waypoints"][1]["leg"] = {"monitoring": {"stage": "confined"}}
    table = {
        "rudder_deg": 35.0, "speed_kn": 14.0, "tactical_diameter_m": 700.0,
        "rows": [{"heading_change_deg": 90.0, "advance_m": 650.0, "transfer_m": 300.0}],
    }  # fmt: skip
    stopping = [{"speed_kn": 14.0, "track_reach_m": 2000.0, "time_s": 480.0}]
    inputs["ship"] = {**SHIP, "turn_tables": [table], "stopping": stopping}
    inputs["hazards"] = {"type": "FeatureCollection", "features": rocks}
    return inputs


def test_points_are_typed_offered_and_taken(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = stored(server, _channel())
    page.goto(f"{server}/plans/{plan_id}")
    fresh(page)
    page.get_by_test_id("open-monitoring").click()
    expect(page.get_by_test_id("points-none")).to_be_visible()
    page.get_by_test_id("point-kind").select_option("report")
    page.get_by_test_id("point-take").click()
    expect(page.get_by_test_id("point-refused")).to_contain_text("Give either")
    page.get_by_test_id("point-leg").select_option("Z1")
    page.get_by_test_id("point-before").fill("2.5")
    page.get_by_test_id("point-channel").fill("VHF 12")
    page.get_by_test_id("point-take").click()
    fresh(page)
    expect(page.get_by_test_id("point-row-report-1")).to_contain_text("2.50")
    page.get_by_test_id("point-position").fill("47-10 N")
    page.get_by_test_id("point-take").click()
    expect(page.get_by_test_id("error-point-position")).to_be_visible()
    page.get_by_test_id("point-position").fill("")
    (answer,) = [
        one["monitoring"]["abort"]
        for one in ask(server, "GET", f"/plans/{plan_id}/computed")["legs"]
        if one["monitoring"]["abort"]
    ]
    assert answer["abort"]["before_nm"] > answer["no_return"]["before_nm"]
    page.get_by_test_id("point-offer-abort-Z1").click()
    fresh(page)
    points = draft(server, plan_id)["inputs"]["points"]
    assert [one["kind"] for one in points] == ["report", "abort"]
    assert points[1]["before_nm"] >= answer["abort"]["before_nm"]
    assert steps(server, plan_id)[-1] == "Action point added: abort abort-1"
    found = page.get_by_test_id("findings")
    expect(found).to_contain_text("No point of no return is given")
    expect(found).not_to_contain_text("No abort point is given")
    page.get_by_test_id("point-drop-report-1").click()
    fresh(page)
    expect(page.get_by_test_id("point-row-report-1")).to_have_count(0)
    page.get_by_test_id("undo").click()
    fresh(page)
    expect(page.get_by_test_id("point-row-report-1")).to_be_visible()
    assert all("422" in one for one in watched.complaints)


def test_a_contingency_is_typed_checked_and_undone(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = stored(server, _channel())
    page.goto(f"{server}/plans/{plan_id}")
    fresh(page)
    page.get_by_test_id("open-contingencies").click()
    expect(page.get_by_test_id("contingencies-none")).to_be_visible()
    page.get_by_test_id("contingency-name").fill("Invented roads")
    page.get_by_test_id("contingency-from").select_option("Z1")
    page.get_by_test_id("contingency-lines").fill("47-01.800N 030-00.000W\n47-04.000N 99")
    page.get_by_test_id("contingency-take").click()
    expect(page.get_by_test_id("error-contingency-lines")).to_contain_text("Line 2")
    lines = "47-01.800N 030-00.000W\n47-03.960N 029-59.760W"
    page.get_by_test_id("contingency-lines").fill(lines)
    page.get_by_test_id("contingency-take").click()
    row = page.get_by_test_id("contingency-anchorage-1")
    expect(row).to_be_visible()
    fresh(page)
    (one,) = ask(server, "GET", f"/plans/{plan_id}/computed")["contingencies"]
    assert one["findings_count"]["must_resolve"] >= 1
    expect(row.locator('[data-grade-count="must_resolve"]')).to_have_attribute(
        "data-value", str(one["findings_count"]["must_resolve"])
    )
    expect(row).to_contain_text("Must resolve")
    expect(page.get_by_test_id("findings")).to_contain_text("Of the contingency anchorage")
    told = page.get_by_test_id("contingency-leaving-anchorage-1")
    wheel_over_m = one["leaving"]["wheel_over_m"]
    assert wheel_over_m > 0.0
    expect(told.locator('[data-unit="m"]').first).to_have_attribute(
        "data-value", f"{wheel_over_m:g}"
    )
    expect(told).to_contain_text("to starboard, wheel-over")
    assert steps(server, plan_id)[-1] == "Contingency added: anchorage 'Invented roads'"
    page.get_by_test_id("contingency-change-anchorage-1").click()
    page.get_by_test_id("contingency-remark").fill("12 m, mud")
    page.get_by_test_id("contingency-take").click()
    expect(row).to_contain_text("12 m, mud")
    fresh(page)
    (kept,) = draft(server, plan_id)["inputs"]["contingencies"]
    assert (kept["remark"], len(kept["route"]["waypoints"])) == ("12 m, mud", 2)
    page.get_by_test_id("contingency-drop-anchorage-1").click()
    fresh(page)
    expect(page.get_by_test_id("contingencies-none")).to_be_visible()
    page.get_by_test_id("undo").click()
    fresh(page)
    expect(row).to_be_visible()
    assert all("422" in one for one in watched.complaints)


def test_without_dangers_a_contingency_has_no_clearance_that_was_looked_at(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    inputs = draft(server, plan_id)["inputs"]
    assert "hazards" not in inputs
    page.get_by_test_id("open-contingencies").click()
    page.get_by_test_id("contingency-name").fill("Invented roads")
    page.get_by_test_id("contingency-from").select_option("Z1")
    page.get_by_test_id("contingency-lines").fill("47-01.800N 030-00.000W\n47-03.960N 029-59.760W")
    page.get_by_test_id("contingency-take").click()
    fresh(page)
    row = page.get_by_test_id("contingency-anchorage-1")
    expect(row).to_contain_text("least clearance not checked: no dangers are loaded")
    turn = page.get_by_test_id("contingency-leaving-anchorage-1")
    expect(turn).to_contain_text("Least clearance in it not checked: no dangers are loaded")
    expect(row).not_to_contain_text("is near")
    watched.assert_quiet()


def test_sources_and_checklists_show_what_is_open(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = stored(server, {**_channel(), "departure_utc": "2026-11-25T14:02:00Z"})
    page.goto(f"{server}/plans/{plan_id}")
    fresh(page)
    page.get_by_test_id("open-sources").click()
    expect(page.get_by_test_id("sources-missing")).to_contain_text("list of lights")
    page.get_by_test_id("source-kind").select_option("light_list")
    page.get_by_test_id("source-title").fill("Invented lights")
    page.get_by_test_id("source-corrected").fill("20 Nov")
    page.get_by_test_id("source-take").click()
    expect(page.get_by_test_id("error-source-corrected")).to_be_visible()
    page.get_by_test_id("source-corrected").fill("2026-10-01")
    page.get_by_test_id("source-legs").fill("01-03")
    page.get_by_test_id("source-take").click()
    fresh(page)
    row = page.get_by_test_id("source-row-source-1")
    expect(row).to_contain_text("NOT CONSULTED")
    expect(row).to_contain_text("01-03")
    expect(page.get_by_test_id("findings")).to_contain_text("Not consulted: Invented lights")
    page.get_by_test_id("field-limits-sources_max_age_days").fill("14")
    page.get_by_test_id("field-limits-sources_max_age_days").press("Tab")
    fresh(page)
    expect(page.get_by_test_id("findings")).to_contain_text("the limit is 14 days")
    page.get_by_test_id("source-consulted-source-1").click()
    fresh(page)
    expect(row).to_have_attribute("data-consulted", "true")
    page.get_by_test_id("checklist-planning").locator("summary").first.click()
    item = page.get_by_test_id("item-planning-wheel_overs")
    expect(item.locator("[data-result]")).to_have_attribute("data-result", "met")
    page.get_by_test_id("tick-planning-contingencies").select_option("done")
    fresh(page)
    page.get_by_test_id("tick-planning-contingencies-who").fill("2/O")
    page.get_by_test_id("tick-planning-contingencies-who").press("Tab")
    fresh(page)
    (tick,) = draft(server, plan_id)["inputs"]["checklists"]["planning"].values()
    assert (tick["state"], tick["who"]) == ("done", "2/O")
    # Ticked, and no contingency is given: what is computed stands beside it.
    differing = page.get_by_test_id("item-planning-contingencies")
    expect(differing).to_have_attribute("data-differs", "true")
    assert steps(server, plan_id)[-1] == "Checklist planning, contingencies: done"
    page.get_by_test_id("undo").click()
    page.get_by_test_id("undo").click()
    fresh(page)
    assert "checklists" not in draft(server, plan_id)["inputs"]
    watched.assert_quiet()


def test_the_pilot_card_is_kept_with_the_ship(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = stored(server)
    page.goto(f"{server}/plans/{plan_id}")
    fresh(page)
    page.get_by_test_id("open-ship").click()
    page.get_by_test_id("pilot-card").locator("summary").click()
    page.get_by_test_id("field-ship-pilot_card-call_sign").fill("ZZZZ1")
    page.get_by_test_id("field-ship-pilot_card-call_sign").press("Tab")
    fresh(page)
    page.get_by_test_id("card-stopping").fill("full ahead; 14.5; far")
    page.get_by_test_id("card-stopping").press("Tab")
    expect(page.get_by_test_id("error-card-stopping")).to_contain_text("Line 1")
    page.get_by_test_id("card-stopping").fill("full ahead; 14.5; 2400; 540; trial")
    page.get_by_test_id("card-stopping").press("Tab")
    fresh(page)
    page.get_by_test_id("card-orders").fill("half ahead; 60; ; 9\nfull ahead; 85; ; 12.5; 13")
    page.get_by_test_id("card-orders").press("Tab")
    fresh(page)
    page.get_by_test_id("card-equipment").fill("Anchors; not checked; windlass under repair")
    page.get_by_test_id("card-equipment").press("Tab")
    fresh(page)
    ship = draft(server, plan_id)["inputs"]["ship"]
    assert ship["stopping"] == [
        {"engine_order": "full ahead", "speed_kn": 14.5, "track_reach_m": 2400.0, "time_s": 540.0,
         "source": "trial"}
    ]  # fmt: skip
    card = ship["pilot_card"]
    assert card["call_sign"] == "ZZZZ1"
    assert [one.get("laden_speed_kn") for one in card["engine_orders"]] == [9.0, 12.5]
    assert card["equipment"][0]["checked"] is False
    expect(page.get_by_test_id("findings")).to_contain_text("Said not to be checked: Anchors")
    page.reload()
    fresh(page)
    page.get_by_test_id("open-ship").click()
    page.get_by_test_id("pilot-card").locator("summary").click()
    expect(page.get_by_test_id("card-orders")).to_have_value(
        "half ahead; 60; ; 9\nfull ahead; 85; ; 12.5; 13"
    )
    watched.assert_quiet()
