"""The schedule on the page: departure, ETA and window typed, times and speeds read."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.charted_waters import stored
from tests.browser.conftest import Watched
from tests.browser.service import ask, draft
from tests.browser.test_editing import fresh

pytestmark = pytest.mark.browser


def _type(page: Page, test_id: str, text: str) -> None:
    page.get_by_test_id(test_id).fill(text)
    page.get_by_test_id(test_id).press("Tab")


def test_an_eta_and_a_window_are_typed_and_the_speeds_that_make_them_read(
    watched: Watched, server: str
) -> None:
    plan_id = stored(server)
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    expect(page.get_by_test_id("schedule-lead")).to_contain_text("No departure is given")
    page.get_by_test_id("open-schedule").click()
    _type(page, "schedule-departure", "2026-11-25 14:02")
    expect(page.get_by_test_id("schedule-lead")).to_contain_text("Departs 2026-11-25 14:02Z")
    fresh(page)
    last = draft(server, plan_id)["inputs"]["route"]["waypoints"][-1]["id"]
    computed = ask(server, "POST", "/plan", draft(server, plan_id)["inputs"])
    eta = computed["schedule"]["arrival_utc"]
    expect(page.get_by_test_id(f"eta-{last}").locator("[data-utc]")).to_have_attribute(
        "data-utc", eta
    )
    expect(page.get_by_test_id(f"eta-{last}")).to_contain_text("computed")
    # A day later than she would be there: slower, and the window is closed by then.
    later = f"2026-11-26{eta[10:16].replace('T', ' ')}"
    page.get_by_test_id(f"edit-{last}").click()
    _type(page, "edit-eta_utc", "tomorrow")
    expect(page.get_by_test_id("edit-eta_utc-error")).to_contain_text("Write a time in UTC")
    _type(page, "edit-eta_utc", later)
    expect(page.get_by_test_id(f"eta-{last}")).to_contain_text("given")
    expect(page.get_by_test_id("speed-0")).to_contain_text("computed from ETA")
    _type(page, "edit-arrive_to_utc", "2026-11-26 00:30")
    expect(page.get_by_test_id(f"window-{last}")).to_contain_text("LATE by")
    expect(page.get_by_test_id("findings")).to_contain_text("The window of arrival at")
    fresh(page)
    found = ask(server, "POST", "/plan", draft(server, plan_id)["inputs"])["schedule"]
    shown = page.get_by_test_id("speed-0").locator("[data-value]").get_attribute("data-value")
    assert float(shown or "nan") == found["legs"][0]["speed_kn"]
    assert found["windows"][0]["result"] == "late"
    assert found["arrival_utc"] == f"{later.replace(' ', 'T')}:00Z"


def test_a_stream_is_typed_by_time_and_what_is_steered_in_it_read(
    watched: Watched, server: str
) -> None:
    plan_id = stored(server)
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    page.get_by_test_id("open-schedule").click()
    _type(page, "schedule-departure", "2026-11-25 14:00")
    page.get_by_test_id("stream-station").fill("Gat bank")
    page.get_by_test_id("stream-rows").fill("2026-11-25 12:00 090 2.0\n25 November, slack")
    page.get_by_test_id("stream-take").click()
    expect(page.get_by_test_id("error-stream-rows")).to_contain_text("Line 2 is not a UTC time")
    page.get_by_test_id("stream-rows").fill("2026-11-25 12:00 090 2.0\n2026-11-27 12:00 090 2.0")
    page.get_by_test_id("stream-take").click()
    expect(page.get_by_test_id("stream-0")).to_contain_text("Gat bank, 2 times")
    expect(page.get_by_test_id("leg-stream-0")).to_contain_text("table Gat bank")
    fresh(page)
    inputs = draft(server, plan_id)["inputs"]
    leg = ask(server, "POST", "/plan", inputs)["schedule"]["legs"][0]
    shown = page.get_by_test_id("steer-0").locator("[data-value]").get_attribute("data-value")
    assert float(shown or "nan") == leg["steer_deg"]
    assert leg["steer_deg"] != leg["course_deg"]
    page.get_by_test_id("stream-drop-0").click()
    expect(page.get_by_test_id("panel-schedule")).to_contain_text("No table of streams")


def test_consumption_zones_and_areas_are_typed_and_read(watched: Watched, server: str) -> None:
    plan_id = stored(server)
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    expect(page.get_by_test_id("fuel-lead")).to_contain_text("her consumption is not given")
    page.get_by_test_id("open-ship").click()
    _type(page, "consumption", "10 20 VLSFO\nfast 40")
    expect(page.get_by_test_id("error-consumption")).to_contain_text("Line 2 is not a speed")
    _type(page, "consumption", "1 20 VLSFO\n30 40 VLSFO")
    expect(page.get_by_test_id("fuel-lead")).to_contain_text("VLSFO")
    expect(page.get_by_test_id("fuel-lead")).to_contain_text("in all")
    page.get_by_test_id("open-schedule").click()
    _type(page, "schedule-departure", "2026-11-25 14:00")
    _type(page, "zones", "02 -5.5")
    fresh(page)
    found = ask(server, "POST", "/plan", draft(server, plan_id)["inputs"])["schedule"]
    row = next(one for one in found["rows"] if one["zone_source"] == "given")
    shown = page.get_by_test_id(f"eta-{row['waypoint_id']}")
    expect(shown).to_contain_text("ZD -5.5, given")
    expect(shown.locator("[data-zone-time]")).to_have_attribute("data-zone-time", row["eta_zone"])
    total = page.get_by_test_id("fuel-lead").locator("[data-value]").get_attribute("data-value")
    assert float(total or "nan") == found["fuel"]["fuels"][0]["total_t"]


def test_the_departure_is_moved_by_five_hours_and_was_and_now_are_read(
    watched: Watched, server: str
) -> None:
    plan_id = stored(server)
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    last = draft(server, plan_id)["inputs"]["route"]["waypoints"][-1]["id"]
    page.get_by_test_id("departures-text").fill("+5")
    page.get_by_test_id("departures-compare").click()
    expect(page.get_by_test_id("error-departures-text")).to_contain_text("no departure to move")
    page.get_by_test_id("open-schedule").click()
    _type(page, "schedule-departure", "2026-11-25 14:00")
    page.get_by_test_id(f"edit-{last}").click()
    _type(page, "edit-arrive_to_utc", "2026-11-26 00:00")
    expect(page.get_by_test_id(f"window-{last}")).to_contain_text("met")
    fresh(page)
    page.get_by_test_id("departures-text").fill("five hours")
    page.get_by_test_id("departures-compare").click()
    expect(page.get_by_test_id("error-departures-text")).to_contain_text("hours with a sign")
    page.get_by_test_id("departures-text").fill("+5, 2026-11-26 09:00")
    page.get_by_test_id("departures-compare").click()
    expect(page.get_by_test_id("departed-1")).to_have_attribute("data-utc", "2026-11-25T19:00:00Z")
    expect(page.get_by_test_id("departed-2")).to_have_attribute("data-utc", "2026-11-26T09:00:00Z")
    late = page.get_by_test_id("moved-window-0-2")
    expect(late).to_have_attribute("data-outcome", "late")
    expect(late).to_contain_text("was: met")
    expect(page.get_by_test_id("departures")).to_contain_text("not simulated again")
    asked = {"plan": draft(server, plan_id)["inputs"], "shifts_s": [18_000.0]}
    found = ask(server, "POST", "/plan/departures", asked)["moved"][0]
    shown = page.get_by_test_id("moved-arrival-1").locator("[data-utc]")
    expect(shown).to_have_attribute("data-utc", found["arrival_utc"])
    _type(page, "schedule-departure", "2026-11-25 15:00")
    expect(page.get_by_test_id("departures")).to_contain_text("The plan has changed since")
