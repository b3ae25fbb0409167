"""One journey on two installations: offered on board, reviewed ashore, approved, lapsed."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.api.keeping import hazards
from tests.browser.conftest import Watched
from tests.browser.service import ask, stored, zigzag
from tests.browser.test_editing import opened
from tests.browser.test_frozen import opened_frozen

# Fixtures are found where they are used by their names.
from tests.browser.test_parcels import both_paired, carried, pages, ship, shore  # noqa: F401
from tests.browser.test_review import changed, compared

pytestmark = pytest.mark.browser

NEAR, FAR = (47.1, -29.97), (-60.0, 100.0)


def _offer(watched: Watched, address: str, plan_id: str, number: int) -> None:
    """Offer the draft on the page."""
    page = watched.page
    opened(watched, address, plan_id)
    page.get_by_test_id("offer").click()
    page.get_by_test_id("offer-name").fill("Ada Berg")
    page.get_by_test_id("offer-rank").fill("Second officer")
    page.get_by_test_id("offer-record").click()
    expect(page.get_by_test_id("offered")).to_contain_text(f"r{number} is frozen and offered")


def _review(page: Page, shore_address: str, plan_id: str) -> None:
    """Step through what differs, comment on the turn, and agree."""
    compared(page, shore_address, plan_id)
    page.get_by_test_id("change-next").click()
    page.keyboard.press("]")
    expect(page.get_by_test_id("change-at")).to_contain_text("change 2 of ")
    page.locator("[data-change-id='waypoint/Z2/position']").get_by_role("button").click()
    page.get_by_test_id("comment-name").fill("S. Lund")
    page.get_by_test_id("comment-rank").fill("Superintendent")
    page.get_by_test_id("comment-words").fill("Is the bank marked on the south side?")
    page.get_by_test_id("comment-send").click()
    note = page.get_by_test_id("note")
    expect(note).to_contain_text("S. Lund, Superintendent, claimed, ashore")
    expect(note.get_by_test_id("note-sync")).to_have_text("on this side only")
    opened_frozen(page, shore_address, plan_id, 2)
    page.get_by_test_id("shore-agree").check()
    page.get_by_test_id("shore-name").fill("S. Lund")
    page.get_by_test_id("shore-rank").fill("Superintendent")
    page.get_by_test_id("shore-words").fill("agreed, with one question")
    page.get_by_test_id("shore-record").click()
    expect(page.get_by_test_id("shore-said")).to_contain_text("Agreed ashore with r2")


def _approve(page: Page) -> None:
    """Approve r2 as the master, with a reason for every cause."""
    page.get_by_test_id("decide-approve").check()
    for field in page.locator(".reason-group textarea").all():
        field.fill("known; the watch looks out")
    page.get_by_test_id("decide-name").fill("Jon Holm")
    page.get_by_test_id("decide-rank").fill("Master")
    page.get_by_test_id("decide-record").click()
    expect(page.get_by_test_id("standing")).to_have_text("r2 is approved.")


def test_from_offer_to_review_to_approval_to_lapse(
    pages: tuple[Watched, Watched],  # noqa: F811
    ship: str,  # noqa: F811
    shore: str,  # noqa: F811
    tmp_path: Path,
) -> None:
    on_board, ashore = pages[0].page, pages[1].page
    kept = ask(ship, "POST", "/hazard-sets", {"name": "Gat", "hazards": hazards(NEAR, FAR)})
    plan_id = stored(ship, {**zigzag(), "hazard_set_ids": [kept["id"]]})
    _offer(pages[0], ship, plan_id, 1)
    changed(ship, plan_id)
    _offer(pages[0], ship, plan_id, 2)
    both_paired(pages, ship, shore)
    carried(on_board, ashore, tmp_path, plan_id)
    _review(ashore, shore, plan_id)
    # Back on board: the question, the agreement, and where each of them is.
    ashore.goto(shore)
    on_board.goto(ship)
    carried(ashore, on_board, tmp_path)
    opened_frozen(on_board, ship, plan_id, 2)
    expect(on_board.get_by_test_id("thread")).to_contain_text("Is the bank marked")
    expect(on_board.get_by_test_id("shore-said")).to_contain_text("agreed, with one question")
    expect(on_board.get_by_test_id("revision-sync")).to_contain_text("received ")
    _approve(on_board)
    expect(on_board.get_by_test_id("shore-master")).to_contain_text("Approved r2 by Jon Holm")
    # A new edition of the hazard set, with a danger beside the track.
    more = {"name": "Gat", "hazards": hazards(NEAR, FAR, (47.12, -29.81))}
    tag = {"If-Match": ask(ship, "GET", f"/hazard-sets/{kept['id']}")["_etag"]}
    ask(ship, "PUT", f"/hazard-sets/{kept['id']}", more, tag)
    opened_frozen(on_board, ship, plan_id, 2)
    standing = on_board.get_by_test_id("standing")
    expect(standing).to_contain_text("Approved for r2. Inputs changed since:")
    expect(standing).to_contain_text("does not count as approved")
    for one in pages:
        one.assert_quiet()
