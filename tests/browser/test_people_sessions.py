"""The browsers one is signed in with, on one's own page, and ending one of them."""

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import Watched
from tests.browser.test_people_page import PASSWORD, address, context, of_answers, signed_in

pytestmark = pytest.mark.browser

__all__ = ["address", "context"]


def test_a_session_left_open_elsewhere_is_ended(browser: Browser, address: str) -> None:
    here, there = (browser.new_context(viewport={"width": 1400, "height": 1000}) for _ in "ab")
    elsewhere = there.new_page()
    signed_in(elsewhere, address, "berg")
    watched = Watched(here.new_page(), address)
    page = watched.page
    signed_in(page, address, "berg")
    page.get_by_test_id("to-people").click()
    page.get_by_test_id("own-sessions-open").click()
    listed = page.get_by_test_id("own-sessions")
    expect(listed).to_contain_text("The one you are in")
    expect(listed.get_by_role("radio")).to_have_count(2)
    page.get_by_test_id("own-sessions-end-record").click()
    expect(page.get_by_test_id("own-sessions-end-refused")).to_contain_text("Choose the session")
    listed.get_by_role("radio").first.check()
    page.get_by_test_id("own-sessions-password").fill("not the one")
    page.get_by_test_id("own-sessions-end-record").click()
    expect(page.get_by_test_id("error-own-sessions-password")).to_contain_text("not right")
    assert elsewhere.request.get(f"{address}/api/v1/plans").status == 200
    page.get_by_test_id("own-sessions-password").fill(PASSWORD)
    page.get_by_test_id("own-sessions-end-record").click()
    expect(page.get_by_test_id("own-sessions-end-said")).to_have_text("1 session ended.")
    expect(listed).to_contain_text("You are signed in nowhere else.")
    expect(page.get_by_test_id("own-sessions-password")).to_have_value("")
    assert elsewhere.request.get(f"{address}/api/v1/plans").status == 401
    assert page.request.get(f"{address}/api/v1/plans").status == 200
    assert of_answers(watched.complaints, "401")
    for one in (here, there):
        one.close()
