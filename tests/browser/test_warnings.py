"""Navigational warnings as text, and tables of dangers: read, shown beside the text, then taken."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.charted_waters import stored
from tests.browser.conftest import Watched
from tests.browser.service import ask, draft
from tests.browser.test_editing import fresh

pytestmark = pytest.mark.browser

TEXT = """NAVAREA II 123/26
1. DERELICT ADRIFT IN 47-05.0N 029-59.0W AT 251200 UTC NOV 26.
2. ALSO SEEN NEAR 47-06.0N 029-58.0W.
3. CANCEL THIS MSG 302359 UTC NOV 36."""
LATER = """NAVAREA II 130/26
1. CANCEL NAVAREA II 123/26."""
TABLE = "name,latitude,longitude\nStump,47-05.0N,029-58.0W\nNowhere,47-65.0N,029-58.0W\n"


def _open(watched: Watched, server: str, plan_id: str) -> Page:
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    page.get_by_test_id("open-dangers").click()
    return page


def _read(page: Page, text: str) -> None:
    page.get_by_test_id("warning-text").fill(text)
    page.get_by_test_id("warning-read").click()


def test_a_warning_is_read_taken_and_cancelled(watched: Watched, server: str) -> None:
    plan_id = stored(server)
    page = _open(watched, server, plan_id)
    _read(page, TEXT)
    message = page.get_by_test_id("warning-message-0")
    expect(message.locator("mark")).to_have_count(2)
    expect(message.locator("mark").first).to_contain_text("47-05.0N 029-59.0W")
    fresh(page)
    assert "hazards" not in draft(server, plan_id)["inputs"]
    page.get_by_test_id("warning-0-points").check()
    choice = message.get_by_label(re.compile("Position 2"))
    choice.select_option("out")
    expect(page.get_by_test_id("warning-take-0")).to_contain_text("Take 1 danger")
    page.get_by_test_id("warning-take-0").click()
    expect(page.get_by_test_id("warnings-held")).to_contain_text("NAVAREA II 123/26, 1 danger")
    expect(page.locator('[data-danger="NAVAREA II 123/26 1"]')).to_be_visible()
    fresh(page)
    (feature,) = draft(server, plan_id)["inputs"]["hazards"]["features"]
    assert feature["properties"]["warning"]["number"] == "NAVAREA II 123/26"
    _read(page, LATER)
    page.get_by_test_id("warning-cancel-NAVAREA II 123/26").click()
    expect(page.get_by_test_id("warnings-held")).to_have_count(0)
    fresh(page)
    assert "hazards" not in draft(server, plan_id)["inputs"]
    page.get_by_test_id("undo").click()
    expect(page.get_by_test_id("warnings-held")).to_be_visible()
    watched.assert_quiet()


def test_a_table_of_dangers_is_reported_before_it_is_kept(watched: Watched, server: str) -> None:
    plan_id = stored(server)
    page = _open(watched, server, plan_id)
    page.get_by_test_id("dangers-file").set_input_files(
        {"name": "stumps.csv", "mimeType": "text/csv", "buffer": TABLE.encode()}
    )
    expect(page.get_by_test_id("danger-line-3")).to_contain_text("NOT UNDERSTOOD")
    assert not [
        one for one in ask(server, "GET", "/hazard-sets")["items"] if one["name"] == "stumps"
    ]
    page.get_by_test_id("danger-table-store").click()
    expect(page.get_by_test_id("dangers-loaded")).to_contain_text("stumps, edition 1")
    expect(page.locator("[data-danger]").first).to_contain_text("Stump")
    watched.assert_quiet()
