"""Compasses, harmonic constants and needs of daylight on the page: kept, and what they give."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.charted_waters import stored
from tests.browser.conftest import Watched
from tests.browser.service import SHIP, ask, draft
from tests.browser.test_editing import fresh

pytestmark = pytest.mark.browser


def _open(watched: Watched, server: str, plan_id: str, panel: str) -> Page:
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    page.get_by_test_id(f"open-{panel}").click()
    return page


def _type(page: Page, test_id: str, text: str) -> None:
    page.get_by_test_id(test_id).fill(text)
    page.get_by_test_id(test_id).press("Tab")


def test_card_and_gyro_error_make_courses_by_compass(watched: Watched, server: str) -> None:
    plan_id = stored(server, ship=SHIP, departure_utc="2026-11-25T14:02:00Z")
    page = _open(watched, server, plan_id, "ship")
    expect(page.get_by_test_id("compass-0")).to_contain_text("not computed")
    _type(page, "deviation-card", "000 1.5 E\n900 2 W")
    expect(page.get_by_test_id("error-deviation-card")).to_contain_text("Line 2")
    lines = [f"{heading:03d} 1.5 {'W' if heading > 180 else 'E'}" for heading in range(0, 360, 45)]
    _type(page, "deviation-card", "\n".join(lines))
    _type(page, "field-ship-gyro_error_deg", "-0.5")
    expect(page.get_by_test_id("compass-0")).not_to_contain_text("not computed")
    fresh(page)
    ship = draft(server, plan_id)["inputs"]["ship"]
    assert len(ship["deviation_card"]["rows"]) == 8
    assert ship["deviation_card"]["rows"][5] == {"heading_deg": 225, "deviation_deg": -1.5}
    assert ship["gyro_error_deg"] == -0.5
    courses = ask(server, "GET", f"/plans/{plan_id}/computed")["legs"][0]["courses"]
    for name, member in (("magnetic", "magnetic_deg"), ("compass", "compass_deg"),
                         ("gyro", "gyro_deg"), ("variation", "variation_deg")):  # fmt: skip
        value = page.get_by_test_id(f"{name}-0").locator("[data-value]").first
        assert float(value.get_attribute("data-value") or "nan") == courses[member]
    watched.assert_quiet()


def test_a_need_of_daylight_missed_is_a_finding(watched: Watched, server: str) -> None:
    plan_id = stored(server, ship=SHIP, departure_utc="2026-11-25T22:02:00Z")
    page = _open(watched, server, plan_id, "daylight")
    page.get_by_test_id("need-at").select_option(index=2)
    page.get_by_test_id("need-take").click()
    expect(page.get_by_test_id("error-need-reason")).to_have_text("A reason is needed.")
    page.get_by_test_id("need-reason").fill("The mark is not lit")
    page.get_by_test_id("need-take").click()
    expect(page.get_by_test_id("need-0")).to_contain_text("wheel-over of WPT")
    fresh(page)
    (need,) = draft(server, plan_id)["inputs"]["daylight_needs"]
    assert need["part"] == "wheel_over"
    expect(page.get_by_test_id("findings")).to_contain_text("The mark is not lit")
    light = page.get_by_test_id(f"light-{need['waypoint_id']}-wheel_over")
    rows = ask(server, "GET", f"/plans/{plan_id}/computed")["schedule"]["sun"]
    found = next(
        one for one in rows
        if (one["waypoint_id"], one["part"]) == (need["waypoint_id"], "wheel_over")
    )  # fmt: skip
    expect(light.locator("[data-light]")).to_have_attribute("data-light", found["light"])
    page.get_by_test_id("need-drop-0").click()
    expect(page.get_by_test_id("findings")).not_to_contain_text("The mark is not lit")
    watched.assert_quiet()


def test_harmonic_constants_are_typed_and_changed(watched: Watched, server: str) -> None:
    plan_id = stored(server, ship=SHIP, departure_utc="2026-11-25T14:02:00Z")
    page = _open(watched, server, plan_id, "depth")
    page.get_by_test_id("tide-station").fill("Zoo roads")
    page.get_by_test_id("tide-given").select_option("harmonics")
    expect(page.get_by_test_id("tide-heights")).to_be_hidden()
    page.get_by_test_id("tide-constituents").fill("M2 1.52 141.3\nS2")
    page.get_by_test_id("tide-take").click()
    expect(page.get_by_test_id("error-tide-constituents")).to_contain_text("Line 2")
    expect(page.get_by_test_id("error-tide-mean")).to_contain_text("mean level")
    page.get_by_test_id("tide-constituents").fill("M2 1.52 141.3\nS2 0.5 180")
    page.get_by_test_id("tide-mean").fill("2.4")
    page.get_by_test_id("tide-latitude").fill("47.1")
    page.get_by_test_id("tide-take").click()
    expect(page.get_by_test_id("tide-0")).to_contain_text("2 constituents, mean level 2.4 m")
    fresh(page)
    (tide,) = draft(server, plan_id)["inputs"]["conditions"]["tides"]
    assert tide["harmonics"]["constituents"][0] == {
        "name": "M2", "amplitude_m": 1.52, "phase_deg": 141.3,
    }  # fmt: skip
    page.get_by_test_id("tide-change-0").click()
    expect(page.get_by_test_id("tide-constituents")).to_have_value("M2 1.52 141.3\nS2 0.5 180")
    page.get_by_test_id("tide-mean").fill("2.6")
    page.get_by_test_id("tide-take").click()
    expect(page.get_by_test_id("tide-0")).to_contain_text("mean level 2.6 m")
    watched.assert_quiet()
