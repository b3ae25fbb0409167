"""The fields of a waypoint: a text is taken, kept beside its reason, or put back."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Watched
from tests.browser.service import draft, place_of, stored
from tests.browser.test_editing import fresh, opened, steps, type_into

pytestmark = pytest.mark.browser


def test_escape_shows_the_stored_value(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-radius", "0.6")
    fresh(page)
    page.get_by_test_id("edit-radius").fill("0.9")
    page.get_by_test_id("edit-radius").press("Escape")
    expect(page.get_by_test_id("edit-radius")).to_have_value("0.6")
    page.get_by_test_id("edit-radius").press("Tab")
    type_into(page, "edit-name", "after")
    fresh(page)
    found = draft(server, plan_id)["inputs"]["route"]["waypoints"][1]
    assert (found["turn_radius_nm"], found["name"]) == (0.6, "after")
    assert len(steps(server, plan_id)) == 3


def test_the_earlier_position_may_be_typed_back(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    field = page.get_by_test_id("edit-position")
    before = field.input_value()
    type_into(page, "edit-position", "47-06.500N 030-00.000W")
    expect(page.get_by_test_id("wp-row-Z1")).to_contain_text("47-06.500N")
    fresh(page)
    type_into(page, "edit-position", before)
    expect(page.get_by_test_id("wp-row-Z1")).to_contain_text(before)
    fresh(page)
    assert place_of(server, plan_id, "Z1") == (47.1, -30.0)


def test_a_refused_text_stays_with_its_waypoint(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server)
    page.get_by_test_id("edit-Z2").click()
    type_into(page, "edit-radius", "99999")
    expect(page.get_by_test_id("edit-radius-error")).to_be_visible()
    expect(page.get_by_test_id("edit-radius")).to_have_value("99999")
    page.get_by_test_id("edit-close").click()
    expect(page.get_by_test_id("wp-row-Z2")).to_be_focused()
    expect(page.get_by_test_id("edit-Z2")).to_have_text("edit: 1 value not taken")
    page.get_by_test_id("edit-Z1").click()
    expect(page.get_by_test_id("edit-radius-error")).to_be_hidden()
    page.get_by_test_id("edit-Z2").click()
    page.get_by_test_id("edit-radius").press("Escape")
    expect(page.get_by_test_id("edit-radius")).to_have_value("")
    expect(page.get_by_test_id("edit-Z2")).to_have_text("edit")


def test_an_own_distance_waits_for_its_number(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    page.get_by_test_id("edit-wheel-over").select_option("own")
    type_into(page, "edit-name", "stored meanwhile")
    fresh(page)
    expect(page.get_by_test_id("edit-wheel-over")).to_have_value("own")
    type_into(page, "edit-own", "0.45")
    fresh(page)
    found = draft(server, plan_id)["inputs"]["route"]["waypoints"][1]
    assert found["wheel_over"] == {"distance_nm": 0.45}


def test_a_text_left_behind_is_said_on_the_row(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-offset", "090 0")
    expect(page.get_by_test_id("edit-offset-error")).to_contain_text("no distance")
    page.get_by_test_id("edit-close").click()
    expect(page.get_by_test_id("edit-Z1")).to_have_text("edit: 1 value not taken")
    assert steps(server, plan_id) == ["Started"]
    opened(watched, server, stored(server))
    expect(page.get_by_test_id("edit-Z1")).to_have_text("edit")


def test_the_focus_stays_near_a_waypoint_that_is_removed(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server)
    row = page.get_by_test_id("wp-row-Z2")
    row.click(position={"x": 200, "y": 8})
    row.focus()
    page.keyboard.press("Delete")
    expect(page.get_by_test_id("last-step")).to_contain_text("Removed WPT 03")
    fresh(page)
    expect(page.get_by_test_id("wp-row-Z3")).to_be_focused()
    page.get_by_test_id("edit-Z3").click()
    page.get_by_test_id("edit-remove").click()
    expect(page.get_by_test_id("last-step")).to_contain_text("Removed WPT 03")
    fresh(page)
    expect(page.get_by_test_id("wp-row-Z4")).to_be_focused()
