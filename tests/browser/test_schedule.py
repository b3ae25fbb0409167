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
