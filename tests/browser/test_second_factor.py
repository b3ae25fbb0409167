"""The one-time code of an account that signs in from ashore, asked for where it decides."""

import time
from collections.abc import Iterator
from pathlib import Path

import pyotp
import pytest
from playwright.sync_api import Browser, expect

from tests.browser.service import zigzag
from tests.browser.test_people_journey import PASSWORD, PEOPLE, Place, add_people, asked
from tests.running import running
from wheelover.store import open_store
from wheelover.store.sealing import seal_of

pytestmark = pytest.mark.browser

SECRET = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"  # noqa: S105  of RFC 6238


@pytest.fixture
def place(browser: Browser, tmp_path: Path) -> Iterator[Place]:
    url = f"sqlite:///{tmp_path / 'people.sqlite3'}"
    add_people(url, PEOPLE)
    store = open_store(url)
    with store.writing() as unit:
        account = unit.accounts.named("superintendent")
        assert account is not None
        sealed = seal_of(url).close(SECRET)
        unit.accounts.set(account.id, ashore=True, factor_sealed=sealed)
    store.close()
    with running(url, WHEELOVER_ACCOUNTS="on") as address:
        yield Place(address=address, browser=browser, people=PEOPLE)


def code(steps: int = 0) -> str:
    """Return the code of now, or of a step later, which is taken too."""
    return pyotp.TOTP(SECRET).at(int(time.time()) + 30 * steps)


def test_the_code_is_asked_for_at_anothers_computer_and_at_ones_own(place: Place) -> None:
    navigator = place.page_of("navigator")
    made = asked(navigator, "POST", f"{place.address}/api/v1/plans", zigzag())
    plan = f"{place.address}/api/v1/plans/{made['id']}"
    asked(navigator, "POST", f"{plan}/revisions", {})
    navigator.goto(f"{place.address}/plans/{made['id']}/r/1")
    navigator.get_by_test_id("shore-agree").check()
    expect(navigator.get_by_test_id("shore-code")).to_be_hidden()
    navigator.get_by_test_id("shore-account").fill("superintendent")
    navigator.get_by_test_id("shore-password").fill(PASSWORD)
    navigator.get_by_test_id("shore-record").click()
    expect(navigator.get_by_test_id("error-shore-code")).to_contain_text("one-time code")
    navigator.get_by_test_id("shore-code").fill(code())
    navigator.get_by_test_id("shore-record").click()
    expect(navigator.get_by_test_id("shore-said")).to_contain_text("Ida Falk")
    expect(navigator.get_by_test_id("shore-code")).to_be_hidden()

    own = place.browser.new_context().new_page()
    own.set_default_timeout(20_000)
    own.goto(f"{place.address}/plans/{made['id']}/r/1")
    own.get_by_label("Account", exact=True).fill("superintendent")
    own.get_by_label("Password (may be pasted)").fill(PASSWORD)
    own.get_by_label("One-time code, for accounts that sign in from ashore").first.fill(code(1))
    own.get_by_test_id("sign-in-form").get_by_role("button", name="Sign in").click()
    expect(own.get_by_test_id("who-name")).to_contain_text("Ida Falk")
    own.get_by_test_id("shore-read").check()
    expect(own.get_by_test_id("shore-code")).to_be_visible()
    own.get_by_test_id("shore-password").fill(PASSWORD)
    own.get_by_test_id("shore-record").click()
    expect(own.get_by_test_id("error-shore-code")).to_contain_text("one-time code")
    own.get_by_test_id("shore-account").fill("navigator")
    expect(own.get_by_test_id("shore-code")).to_be_hidden()
