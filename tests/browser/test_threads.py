"""Threads on a frozen revision and in a review: opened in a row, resolved, kept offline."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.recorded import offered
from tests.browser.service import ask
from tests.browser.test_frozen import opened_frozen
from tests.browser.test_narrow import measure
from tests.browser.test_review import changed, compared

pytestmark = pytest.mark.browser

SUPT = {"name": "S. Upt", "rank": "Superintendent"}


def threads(server: str, plan_id: str) -> list[dict[str, object]]:
    """Return the threads of a plan as the service has them."""
    items: list[dict[str, object]] = ask(server, "GET", f"/plans/{plan_id}/threads")["items"]
    return items


def _sign(page: Page, part: str, name: str, rank: str) -> None:
    page.locator(f"[id='{part}-name']").fill(name)
    page.locator(f"[id='{part}-rank']").fill(rank)


def test_a_turn_is_talked_about_until_it_is_resolved(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    opened_frozen(page, server, plan_id)
    page.get_by_test_id("comment-turn-Z2").click()
    expect(page.get_by_test_id("comment-about")).to_have_text("About turn 03 (Z2), on r1")
    page.get_by_test_id("comment-send").click()
    expect(page.get_by_test_id("error-comment-name")).to_be_visible()
    _sign(page, "comment", "S. Upt", "Superintendent")
    page.get_by_test_id("comment-send").click()
    expect(page.get_by_test_id("error-comment-words")).to_have_text("Words are needed.")
    page.get_by_test_id("comment-words").fill("Why R 0.50 here? <b>")
    page.get_by_test_id("comment-send").click()
    thread = page.get_by_test_id("thread")
    expect(thread).to_contain_text("turn 03, open, opened on r1")
    expect(thread.get_by_test_id("note")).to_contain_text("S. Upt, Superintendent, claimed")
    expect(thread.get_by_test_id("note")).to_contain_text("Why R 0.50 here? <b>")
    changed(server, plan_id)
    offered(server, plan_id=plan_id)
    compared(page, server, plan_id)
    expect(thread).to_contain_text("turn 04")
    expect(thread.get_by_test_id("thread-subject")).to_contain_text("subject changed since r1")
    thread.get_by_test_id("reply-open").click()
    thread.get_by_test_id("reply").fill("It was moved in r2.")
    thread.locator("[id$='-name']").fill("Ada Berg")
    thread.locator("[id$='-rank']").fill("Second officer")
    thread.get_by_test_id("reply-send").click()
    expect(thread.get_by_test_id("thread-state")).to_have_text("answered")
    expect(thread.get_by_test_id("note").last).to_contain_text("It was moved in r2.")
    thread.get_by_test_id("settle").click()
    expect(thread.get_by_test_id("thread-state")).to_have_text("resolved")
    thread.get_by_test_id("settle").click()
    expect(thread.get_by_test_id("thread-state")).to_have_text("open again")
    assert [one["state"] for one in threads(server, plan_id)] == ["reopened"]
    page.get_by_test_id("comment-leg-Z3").first.click()
    page.set_viewport_size({"width": 320, "height": 800})
    measure(page)
    watched.assert_quiet()


def test_a_note_waits_here_until_the_service_answers(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    opened_frozen(page, server, plan_id)
    expect(page.get_by_test_id("threads-count")).to_contain_text("No thread yet.")
    finding = ask(server, "GET", f"/plans/{plan_id}/revisions/1")["result"]["findings"][0]["id"]
    page.get_by_test_id(f"comment-finding-{finding}").click()
    _sign(page, "comment", "S. Upt", "Superintendent")
    page.get_by_test_id("comment-words").fill("written without a link")
    page.context.set_offline(True)
    page.get_by_test_id("comment-send").click()
    waiting = page.get_by_test_id("notes-unsent")
    expect(waiting).to_have_text("1 note kept in this browser, not sent.")
    expect(page.get_by_test_id("note-unsent")).to_contain_text("written without a link")
    assert threads(server, plan_id) == []
    page.context.set_offline(False)
    expect(page.get_by_test_id("note")).to_contain_text("written without a link")
    expect(waiting).to_be_empty()
    # The answer is lost on the way: the note is sent again, and is one note.
    lost = []

    def _lose(route: object) -> None:
        if lost:
            route.continue_()  # type: ignore[attr-defined]
            return
        lost.append(route.fetch())  # type: ignore[attr-defined]
        route.abort()  # type: ignore[attr-defined]

    page.route("**/notes", _lose)
    page.get_by_test_id("reply-open").click()
    page.get_by_test_id("reply").fill("sent twice")
    page.get_by_test_id("reply-send").click()
    expect(page.get_by_test_id("note").last).to_contain_text("sent twice")
    expect(waiting).to_be_empty()
    assert len(lost) == 1
    (thread,) = threads(server, plan_id)
    assert len(thread["notes"]) == 2  # type: ignore[arg-type]
    assert all("Failed to load" in one for one in watched.complaints)
    assert watched.dialogs == []
