"""Explanations beside the findings of draft and revision, and the master's answer."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Watched
from tests.browser.recorded import offered, renamed
from tests.browser.service import ask, draft, stored
from tests.browser.test_editing import opened
from tests.browser.test_frozen import opened_frozen

pytestmark = pytest.mark.browser

FINDING = "methods_apart/turn/Z2"


def test_a_finding_is_explained_and_the_master_answers(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = stored(server)
    opened(watched, server, plan_id)
    row = page.locator(f"[data-finding-id='{FINDING}']")
    grade = row.get_attribute("data-grade")
    row.get_by_test_id(f"explain-{FINDING}").click()
    expect(page.get_by_test_id("explain-words")).to_be_focused()
    page.get_by_test_id("explain-words").fill("The own distance is tried by hand.")
    page.get_by_test_id("explain-record").click()
    expect(page.get_by_test_id("error-explain-name")).to_be_visible()
    page.get_by_test_id("explain-name").fill("Ada Berg")
    page.get_by_test_id("explain-rank").fill("Second officer")
    renamed(server, plan_id, "meanwhile")  # the list is drawn anew around the form
    page.get_by_test_id("explain-record").click()
    said = row.get_by_test_id("explanation")
    expect(said).to_contain_text("Explained by Ada Berg, Second officer, claimed")
    expect(said).to_contain_text("tried by hand")
    expect(said.get_by_test_id("explanation-answer")).to_have_text("Master: not yet answered.")
    offered(server, plan_id=plan_id)
    opened_frozen(page, server, plan_id)
    assert row.get_attribute("data-grade") == grade
    row.get_by_test_id(f"answer-{FINDING}").click()
    page.get_by_test_id("explain-answer").select_option("not_accepted")
    page.get_by_test_id("explain-name").fill("Jon Holm")
    page.get_by_test_id("explain-rank").fill("Master")
    page.get_by_test_id("explain-record").click()
    expect(page.get_by_test_id("error-explain-words")).to_be_visible()
    page.get_by_test_id("explain-words").fill("say by whom")
    page.get_by_test_id("explain-record").click()
    answer = said.get_by_test_id("explanation-answer")
    expect(answer).to_contain_text("Master: not accepted by Jon Holm, Master, claimed")
    expect(answer).to_contain_text("say by whom")
    # With another speed the finding has other numbers than it was explained for.
    before = draft(server, plan_id)
    inputs = before["inputs"]
    inputs["route"]["waypoints"][2]["lat_deg"] -= 0.01
    ask(server, "PUT", f"/plans/{plan_id}", inputs, {"If-Match": before["_etag"]})
    offered(server, plan_id=plan_id)
    opened_frozen(page, server, plan_id, 2)
    expect(said.get_by_test_id("for-other-numbers")).to_contain_text("Written for other numbers")
    assert row.get_attribute("data-grade") == grade
    assert all("422" in one for one in watched.complaints)
