"""Amending a plan under way: from a position, to a waypoint, with the reason."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.recorded import decide, offered, renamed
from tests.browser.service import draft, ids_of, stored, zigzag
from tests.browser.test_editing import fresh, opened
from tests.browser.test_frozen import opened_frozen

pytestmark = pytest.mark.browser


def _amend(page: Page, position: str, reason: str) -> None:
    page.get_by_test_id("amend-position").fill(position)
    page.get_by_test_id("amend-next").select_option("Z3")
    page.get_by_test_id("amend-reason").fill(reason)
    page.get_by_test_id("amend-record").click()


def test_a_plan_is_amended_from_where_she_is(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    decide(server, plan_id, "approve")
    opened(watched, server, plan_id)
    page.get_by_test_id("amend").click()
    expect(page.get_by_test_id("amend-record")).to_have_text("Amend r1 from here")
    _amend(page, "47 61.2 N 29 50 W", "a fishing fleet")
    expect(page.get_by_test_id("error-amend-position")).to_be_visible()
    assert draft(server, plan_id)["edit"] == 1
    _amend(page, "47 08.5 N, 029 51.25 W", "")
    expect(page.get_by_test_id("error-amend-reason")).to_contain_text("needs its reason")
    _amend(page, "47 08.5 N, 029 51.25 W", "a fishing fleet")
    expect(page.get_by_test_id("amendment-words")).to_have_text("Amendment of r1: a fishing fleet")
    fresh(page)
    expect(page.get_by_test_id("amend-strip")).to_be_hidden()
    assert ids_of(server, plan_id) == ["AMEND-1", "Z3", "Z4", "Z5"]
    start = draft(server, plan_id)["inputs"]["route"]["waypoints"][0]
    assert (round(start["lat_deg"], 6), round(start["lon_deg"], 6)) == (47.141667, -29.854167)
    expect(page.get_by_test_id("plan-state")).to_contain_text("inputs changed since")
    expect(page.get_by_test_id("last-step")).to_contain_text("Amended under way: a fishing fleet")
    expect(page.get_by_text("Left behind: waypoints Z0, Z1, Z2.")).to_be_visible()
    offered(server, plan_id=plan_id)
    page.reload()
    fresh(page)
    expect(page.get_by_test_id("amendment-words")).to_have_count(0)
    opened_frozen(page, server, plan_id, 2)
    expect(page.get_by_test_id("amendment-words")).to_have_text("Amendment of r1: a fishing fleet")
    opened_frozen(page, server, plan_id, 1)
    expect(page.get_by_test_id("amendment-words")).to_have_count(0)
    assert all("422" in one for one in watched.complaints)


def test_the_position_is_taken_from_the_plot_and_the_pilot_named(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = offered(server)
    decide(server, plan_id, "approve")
    opened(watched, server, plan_id)
    page.get_by_test_id("amend").click()
    page.get_by_test_id("amend-pick").click()
    expect(page.get_by_test_id("amend-picking")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_test_id("amend-picking")).to_have_count(0)
    page.get_by_test_id("amend-pick").click()
    page.locator("#plot").click(position={"x": 260, "y": 200})
    field = page.get_by_test_id("amend-position")
    expect(field).not_to_have_value("")
    expect(field).to_be_focused()
    text = field.input_value()
    page.get_by_test_id("amend-next").select_option("Z4")
    page.get_by_test_id("amend-kind").select_option("pilot")
    page.get_by_test_id("amend-reason").fill("berth is not clear")
    page.get_by_test_id("amend-record").click()
    words = page.get_by_test_id("amendment-words")
    expect(words).to_have_text("Amendment of r1 by the pilot's intentions: berth is not clear")
    fresh(page)
    expect(page.get_by_test_id("wp-row-AMEND-1")).to_contain_text(text.split(" ")[0])
    assert len(ids_of(server, plan_id)) == 3
    page.get_by_test_id("undo").click()
    fresh(page)
    expect(words).to_have_count(0)
    assert len(ids_of(server, plan_id)) == 6
    watched.assert_quiet()


def test_the_time_is_asked_and_what_is_amended_chosen(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server, {**zigzag(), "departure_utc": "2026-11-25T08:00:00Z"})
    decide(server, plan_id, "approve")
    decide(server, plan_id, "take_into_use")
    opened(watched, server, plan_id)
    page.get_by_test_id("amend").click()
    expect(page.get_by_test_id("amend-from")).to_be_hidden()
    expect(page.get_by_test_id("amend-at")).to_have_value(
        re.compile(r"^20\d\d-\d\d-\d\d \d\d:\d\d$")
    )
    page.get_by_test_id("amend-at").fill("noon")
    _amend(page, "47 08.5 N, 029 51.25 W", "a fishing fleet")
    expect(page.get_by_test_id("error-amend-at")).to_contain_text("Write a time in UTC")
    page.get_by_test_id("amend-leave").click()
    renamed(server, plan_id, "Gat")
    opened(watched, server, plan_id)
    page.get_by_test_id("amend").click()
    page.get_by_test_id("amend-at").fill("2026-11-25 12:00")
    _amend(page, "47 08.5 N, 029 51.25 W", "a fishing fleet")
    expect(page.get_by_test_id("error-amend-from")).to_contain_text("Choose what is amended")
    page.get_by_test_id("amend-from").select_option("revision")
    page.get_by_test_id("amend-record").click()
    expect(page.get_by_test_id("amend-strip")).to_be_hidden()
    fresh(page)
    inputs = draft(server, plan_id)["inputs"]
    assert inputs["departure_utc"] == "2026-11-25T12:00:00Z"
    assert ids_of(server, plan_id) == ["AMEND-1", "Z3", "Z4", "Z5"]
    watched.assert_quiet()


def test_a_plan_that_is_not_sailed_is_not_amended(watched: Watched, server: str) -> None:
    opened(watched, server, stored(server))
    expect(watched.page.get_by_test_id("amend")).to_have_count(0)
    opened(watched, server, offered(server))
    expect(watched.page.get_by_test_id("amend")).to_have_count(0)
