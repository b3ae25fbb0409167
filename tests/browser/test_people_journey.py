"""Navigator, superintendent and master, each signed in at a browser of their own: from the draft to
the approval to a change that makes it lapse.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.service import zigzag
from tests.running import running
from wheelover.store import open_store
from wheelover.store.accounts import AccountData, Grant
from wheelover.usecases.accounts.manage import add_account
from wheelover.usecases.accounts.passwords import hashed

pytestmark = pytest.mark.browser

PASSWORD = "lantern gravel seven masts"  # noqa: S105  of a test
# By account: the name, the rank, and the role on the own ship.
PEOPLE = {
    "navigator": ("Ada Berg", "Second officer", "navigator"),
    "superintendent": ("Ida Falk", "Superintendent", "superintendent"),
    "master": ("Jon Holm", "Master", "master"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A service with accounts, and the pages of whoever is signed in."""

    address: str
    browser: Browser
    people: Mapping[str, tuple[str, str, str]]

    def page_of(self, name: str) -> Page:
        """Sign in at a browser of one's own and return its page."""
        context = self.browser.new_context(viewport={"width": 1400, "height": 900})
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.goto(self.address)
        page.get_by_label("Account", exact=True).fill(name)
        page.get_by_label("Password (may be pasted)").fill(PASSWORD)
        page.get_by_test_id("sign-in-form").get_by_role("button", name="Sign in").click()
        expect(page.get_by_test_id("who-name")).to_contain_text(self.people[name][0])
        return page


def add_people(url: str, people: Mapping[str, tuple[str, str, str]]) -> None:
    """Make an account of each, with a role on the own ship."""
    store = open_store(url)
    for name, (person, rank, role) in people.items():
        data = AccountData(
            person=person,
            rank=rank,
            ashore=False,
            grants=(Grant(role=role, reach="vessel", of="own"),),
        )
        row, _ = add_account(store, name, data, "test", "2026-11-26T08:00:00.000Z")
        with store.writing() as unit:
            unit.accounts.set(row.id, password_hash=hashed(PASSWORD), enrol_sha256=None)
    store.close()


@pytest.fixture
def place(browser: Browser, tmp_path: Path) -> Iterator[Place]:
    url = f"sqlite:///{tmp_path / 'people.sqlite3'}"
    add_people(url, PEOPLE)
    with running(url, WHEELOVER_ACCOUNTS="on") as address:
        yield Place(address=address, browser=browser, people=PEOPLE)


def asked(page: Page, method: str, path: str, body: Any = None) -> Any:
    """Return what the service answers to a request of this page's own session."""
    headers = {"X-Wheelover": "1", "Content-Type": "application/json"}
    answer = page.request.fetch(path, method=method, data=body, headers=headers)
    assert answer.ok, answer.text()
    return answer.json()


def test_from_draft_to_approval_to_a_change_that_makes_it_lapse(place: Place) -> None:
    navigator = place.page_of("navigator")
    made = asked(navigator, "POST", f"{place.address}/api/v1/plans", zigzag())
    plan = f"{place.address}/plans/{made['id']}"
    navigator.goto(plan)
    navigator.get_by_test_id("offer").click()
    expect(navigator.get_by_test_id("offer-as")).to_contain_text("Recorded as Ada Berg")
    navigator.get_by_test_id("offer-record").click()
    expect(navigator.get_by_test_id("plan-state")).to_contain_text("offered")

    superintendent = place.page_of("superintendent")
    superintendent.goto(f"{plan}/r/1")
    expect(superintendent.get_by_test_id("standing")).to_have_text("r1 is offered.")
    expect(superintendent.get_by_test_id("author")).to_have_text("Ada Berg, Second officer")
    revision = f"{place.address}/api/v1/plans/{made['id']}/revisions/1"
    agreed = {"kind": "agree", "words": "From shore: no comment.", "by": {"password": PASSWORD}}
    asked(superintendent, "POST", f"{revision}/shore-decisions", agreed)

    master = place.page_of("master")
    master.goto(f"{plan}/r/1")
    master.get_by_test_id("decide-approve").check()
    for field in master.locator(".reason-group textarea").all():
        field.fill("known; the watch looks out")
    master.get_by_test_id("decide-record").click()
    expect(master.get_by_test_id("error-decide-password")).to_contain_text("password")
    master.get_by_test_id("decide-password").fill(PASSWORD)
    master.get_by_test_id("decide-record").click()
    expect(master.get_by_test_id("standing")).to_have_text("r1 is approved.")
    expect(master.get_by_test_id("history")).to_contain_text("Approved r1 by Jon Holm, Master")
    assert "claimed" not in master.get_by_test_id("history").inner_text()

    navigator.reload()
    navigator.get_by_test_id("edit-Z1").click()
    navigator.get_by_test_id("edit-radius").fill("0.61")
    navigator.get_by_test_id("edit-radius").press("Tab")
    expect(navigator.get_by_test_id("plan-state")).to_contain_text("nputs changed since")
    master.reload()
    expect(master.get_by_test_id("standing")).to_contain_text("Approved for r1. Inputs changed")
    found = asked(master, "GET", f"{revision}/record")
    assert (found["counts_as_approved"], found["state"]) == (False, "approved")
    assert [one["kind"] for one in found["shore"]] == ["shore_agreed"]
    assert found["approval"]["by"]["claimed"] is False
