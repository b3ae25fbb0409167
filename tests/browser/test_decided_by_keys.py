"""From the Desk to a recorded decision with the keyboard alone."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.recorded import offered, record

pytestmark = pytest.mark.browser


def _tab_to(page: Page, test_id: str) -> None:
    """Press Tab until an element has the focus, as somebody without a mouse does."""
    for _ in range(300):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.dataset.testid") == test_id:
            return
    raise AssertionError(f"{test_id} was never reached")


def test_a_plan_is_approved_without_a_mouse(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    page.goto(server)
    expect(page.get_by_test_id(f"waits-{plan_id}")).to_be_visible()
    _tab_to(page, f"waits-{plan_id}")
    page.keyboard.press("Enter")
    expect(page.get_by_test_id("standing")).to_have_text("r1 is offered.")
    _tab_to(page, "decide-approve")
    page.keyboard.press("Space")
    groups = page.locator(".reason-group")
    for group in range(groups.count()):
        _tab_to(page, f"reason-{groups.nth(group).get_attribute('data-code')}")
        page.keyboard.type("known")
    _tab_to(page, "decide-name")
    page.keyboard.type("Jon Holm")
    _tab_to(page, "decide-rank")
    page.keyboard.type("Master")
    _tab_to(page, "decide-record")
    page.keyboard.press("Enter")
    expect(page.get_by_test_id("standing")).to_have_text("r1 is approved.")
    expect(page.get_by_test_id("frozen-word")).to_be_focused()
    assert record(server, plan_id)["counts_as_approved"] is True
    watched.assert_quiet()
