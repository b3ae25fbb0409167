"""A frozen revision at its own address: all that the draft shows, and nothing of it to change."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched, box_of
from tests.browser.recorded import offered, renamed
from tests.browser.service import ask, draft
from tests.browser.test_editing import fresh

pytestmark = pytest.mark.browser


def opened_frozen(page: Page, server: str, plan_id: str, number: int = 1) -> None:
    """Open a frozen revision and wait until it is on show."""
    page.goto(f"{server}/plans/{plan_id}/r/{number}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "frozen")


def test_a_revision_is_shown_as_it_was_frozen(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    renamed(server, plan_id, "of the draft alone")
    opened_frozen(page, server, plan_id)
    digest = draft(server, plan_id)["revisions"][0]["sha256"]
    word = page.get_by_test_id("frozen-word")
    expect(word).to_contain_text("Revision r1, frozen ")
    expect(word).to_contain_text(f"Z, sha256 {digest[:8]}")
    expect(word).to_contain_text("State: offered")
    frozen = ask(server, "GET", f"/plans/{plan_id}/revisions/1")
    expect(page.get_by_test_id("ledger")).not_to_contain_text("of the draft alone")
    expect(page.get_by_test_id("leg-row-0")).to_contain_text("000")
    assert page.get_by_test_id("finding").count() == len(frozen["result"]["findings"])
    expect(page.get_by_test_id("checks-done")).to_contain_text("checks done")
    expect(page.get_by_test_id("basis-details")).to_be_visible()
    expect(page.locator("#plot path.line-track").first).to_be_attached()
    expect(page.get_by_test_id("draft-word")).to_be_hidden()
    watched.assert_quiet()


def test_nothing_of_it_can_be_changed(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    before = draft(server, plan_id)
    opened_frozen(page, server, plan_id)
    for name in ("edit-Z1", "undo", "offer", "open-route"):
        assert page.get_by_test_id(name).is_hidden() or page.get_by_test_id(name).count() == 0
    page.get_by_test_id("wp-row-Z1").click()
    for key in ("m", "ArrowRight", "Enter", "n", "Delete", "F2"):
        page.keyboard.press(key)
    page.keyboard.press("Control+z")
    plate = box_of(page.locator("#plot [data-plot-item='waypoint-1']").first)
    page.mouse.move(plate["x"] + 5, plate["y"] + 5)
    page.mouse.down()
    page.mouse.move(plate["x"] + 90, plate["y"] + 60, steps=5)
    page.mouse.up()
    assert page.locator(".moving-strip").count() == 0
    assert draft(server, plan_id) == before
    watched.assert_quiet()


def test_its_turn_cards_have_addresses_and_hold_what_was_frozen(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = "demonstration"
    revisions = draft(server, plan_id)["revisions"]
    number = revisions[0]["number"] if revisions else 1
    if not revisions:
        offered(server, plan_id=plan_id)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(f"{server}/plans/{plan_id}/r/{number}/turns/WP02")
    expect(page.get_by_test_id("turn-card-title")).to_contain_text("WP02")
    window = page.get_by_test_id("window-part")
    frozen = ask(server, "GET", f"/plans/{plan_id}/revisions/{number}")
    turn = next(one for one in frozen["result"]["turns"] if one["waypoint_id"] == "WP02")
    opens = turn["hull"]["window"]["earliest"]["distance_nm"] * 10
    expect(window).to_contain_text(f"{opens:.2f}")
    expect(page.get_by_test_id("run-part")).to_contain_text("not part of the frozen revision")
    expect(page.get_by_test_id("window-hard-over")).to_contain_text("not part of the frozen")
    assert page.locator("[data-fields]").count() == 0
    assert not any("/turns/card" in one for one in asked)
    page.get_by_test_id("card-next").click()
    expect(page.get_by_test_id("turn-card-title")).to_contain_text("WP03")
    assert page.url.endswith(f"/r/{number}/turns/WP03")
    page.reload()
    expect(page.get_by_test_id("turn-card-title")).to_contain_text("WP03")
    page.get_by_test_id("card-close").click()
    expect(page.get_by_test_id("frozen-word")).to_be_visible()
    assert page.url.endswith(f"/plans/{plan_id}/r/{number}")
    watched.assert_quiet()


def test_lists_lead_to_it_and_it_leads_to_the_draft(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    page.goto(server)
    page.get_by_test_id(f"newest-{plan_id}").click()
    expect(page.get_by_test_id("frozen-word")).to_be_visible()
    page.get_by_test_id("to-draft").click()
    fresh(page)
    assert page.url == f"{server}/plans/{plan_id}"
    page.get_by_test_id("open-files").click()
    row = page.get_by_test_id("revision-1")
    expect(row).to_contain_text("offered")
    row.get_by_role("link", name="r1", exact=True).click()
    expect(page.get_by_test_id("frozen-word")).to_be_visible()
    page.go_back()
    fresh(page)
    expect(page.get_by_test_id("frozen-word")).to_have_count(0)
    watched.assert_quiet()


def test_a_revision_that_is_not_there_is_said_to_be_so(watched: Watched, server: str) -> None:
    plan_id = offered(server)
    watched.page.goto(f"{server}/plans/{plan_id}/r/7")
    expect(watched.page.get_by_test_id("problem")).to_contain_text("r7 of this plan was not opened")
    expect(watched.page.get_by_test_id("record")).to_be_hidden()
