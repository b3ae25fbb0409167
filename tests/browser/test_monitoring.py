"""Monitoring on the page: said of one leg and of many at once, how often it wants a fix."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.service import draft
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
