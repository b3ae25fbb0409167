"""Accounts, vessels and keys on the page of an administrator, and everybody's own account."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.conftest import Watched, done_by_page, hold_on
from tests.browser.test_narrow import measure
from tests.running import running
from wheelover.store import open_store
from wheelover.store.accounts import AccountData, Grant
from wheelover.usecases.accounts.manage import add_account
from wheelover.usecases.accounts.passwords import hashed
from wheelover.usecases.parcels import identity

pytestmark = pytest.mark.browser

PASSWORD = "lantern gravel seven masts"  # noqa: S105  of a test
OTHER = "quiet harbour nine bollards"
MADE_UTC = "2026-11-26T08:00:00.000Z"
PEOPLE = {
    "chief": ("Eva Lund", "Marine administrator", Grant(role="administrator", reach="all")),
    "second": ("Ola Moe", "Deputy", Grant(role="administrator", reach="all")),
    "berg": ("Ada Berg", "Second officer", Grant(role="navigator", reach="vessel", of="own")),
}


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """Start a service with two administrators and a navigator, each with a password."""
    url = f"sqlite:///{tmp_path / 'people.sqlite3'}"
    store = open_store(url)
    for name, (person, rank, grant) in PEOPLE.items():
        data = AccountData(person=person, rank=rank, ashore=False, grants=(grant,))
        row, _ = add_account(store, name, data, "test", MADE_UTC)
        with store.writing() as unit:
            unit.accounts.set(row.id, password_hash=hashed(PASSWORD), enrol_sha256=None)
    store.close()
    with running(url, WHEELOVER_ACCOUNTS="on") as started:
        yield started


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context(viewport={"width": 1400, "height": 1000})
    yield made
    made.close()


@pytest.fixture
def admin(context: BrowserContext, address: str) -> Watched:
    """Sign an administrator in and go to the accounts."""
    watched = Watched(context.new_page(), address)
    signed_in(watched.page, address, "chief")
    watched.page.get_by_test_id("to-people").click()
    expect(watched.page.locator("#people-title")).to_be_focused()
    return watched


def signed_in(page: Page, address: str, name: str, password: str = PASSWORD) -> None:
    page.set_default_timeout(20_000)
    page.goto(address)
    page.get_by_label("Account", exact=True).fill(name)
    page.get_by_label("Password (may be pasted)").fill(password)
    page.get_by_test_id("sign-in-form").get_by_role("button", name="Sign in").click()
    expect(page.get_by_test_id("who-name")).to_be_visible()


def asked(page: Page, address: str, method: str, path: str, body: Any = None) -> Any:
    """Return what the service answers to this page's own session."""
    headers = {"X-Wheelover": "1", "Content-Type": "application/json"}
    if method == "PUT":
        headers["If-Match"] = page.request.get(f"{address}/api/v1{path}").headers["etag"]
    answer = page.request.fetch(
        f"{address}/api/v1{path}", method=method, data=body, headers=headers
    )
    assert answer.ok, answer.text()
    return answer.json()


def account(page: Page, address: str, name: str) -> Any:
    """Return an account as it is stored."""
    return next(
        one for one in asked(page, address, "GET", "/accounts")["items"] if one["account"] == name
    )


def of_answers(complaints: list[str], *statuses: str) -> bool:
    """Return whether the browser complained of nothing but answers that a test asked for."""
    return all(any(status in one for status in statuses) for one in complaints)


def test_an_account_is_added_its_code_shown_once_and_its_owner_signs_in(
    admin: Watched, address: str, browser: Browser
) -> None:
    page = admin.page
    expect(page.get_by_test_id("accounts-count")).to_have_text(
        "3 accounts; 0 disabled, 0 without a password yet."
    )
    page.get_by_test_id("account-add").press("Enter")
    page.get_by_test_id("account-new-record").click()
    expect(page.get_by_test_id("error-account-new-name")).to_have_text(
        "The sign-in name is needed."
    )
    expect(page.get_by_test_id("account-new-name")).to_be_focused()
    page.get_by_test_id("account-new-name").fill("j h")
    page.get_by_test_id("account-new-person").fill("Jon Holm")
    page.get_by_test_id("account-new-rank").fill("Master")
    page.get_by_test_id("account-new-grant-add").press("Enter")
    role = page.get_by_test_id("account-new-grant-1-role")
    expect(role).to_be_focused()
    role.select_option("master")
    page.get_by_test_id("account-new-record").click()
    expect(page.get_by_test_id("error-account-new-grant-1-of")).to_be_visible()
    page.get_by_test_id("account-new-grant-1-of").select_option("vessel:own")
    page.get_by_test_id("account-new-record").click()
    # What the service refuses stands under its field, and nothing that was typed is gone.
    expect(page.get_by_test_id("error-account-new-name")).to_contain_text("3 to 64 letters")
    expect(page.get_by_test_id("account-new-name")).to_be_focused()
    expect(page.get_by_test_id("account-new-person")).to_have_value("Jon Holm")
    expect(role).to_have_value("master")
    page.get_by_test_id("account-new-name").fill("holm")
    page.get_by_test_id("account-new-record").click()
    shown = page.get_by_test_id("code")
    expect(shown).to_be_focused()
    code = shown.input_value()
    assert re.fullmatch(r"([A-Z2-9]{6}-){3}[A-Z2-9]{6}", code)
    expect(page.get_by_test_id("grants-holm")).to_have_text("master on Own ship.")
    expect(page.get_by_test_id("standing-holm")).to_have_text("waits for a password")
    expect(page.get_by_test_id("account-new-person")).to_have_value("")
    page.get_by_test_id("code-put-away").click()
    expect(shown).to_have_count(0)
    assert code not in page.content()
    stored = account(page, address, "holm")
    assert stored["grants"] == [{"role": "master", "reach": "vessel", "of": "own"}]
    assert of_answers(admin.complaints, "422")
    assert admin.foreign == []
    assert admin.dialogs == []
    theirs = browser.new_context().new_page()
    enrolled(theirs, address, "holm", code)
    signed_in(theirs, address, "holm")
    expect(theirs.get_by_test_id("who-name")).to_have_text("Jon Holm, Master")
    expect(theirs.get_by_test_id("to-people")).to_have_text("Your account")
    theirs.context.close()


def enrolled(page: Page, address: str, name: str, code: str) -> None:
    """Set the password of an account by its code."""
    page.goto(address)
    page.get_by_test_id("to-enrolment").click()
    page.get_by_label("Account", exact=True).fill(name)
    page.get_by_label("Code you were given").fill(code)
    page.get_by_label("New password").fill(PASSWORD)
    page.get_by_role("button", name="Set the password").click()
    expect(page.get_by_test_id("sign-in-form")).to_be_visible()


def test_roles_change_and_what_others_changed_meanwhile_is_said(
    admin: Watched, address: str
) -> None:
    page = admin.page
    asked(page, address, "POST", "/vessels", {"name": "MV Zoo", "fleet": "North"})
    page.reload()
    page.get_by_test_id("account-open-berg").click()
    role = page.get_by_test_id("account-berg-grant-1-role")
    expect(role).to_have_value("navigator")
    page.get_by_test_id("account-berg-grant-add").click()
    page.get_by_test_id("account-berg-grant-2-role").select_option("reader")
    page.get_by_test_id("account-berg-grant-2-of").select_option("fleet:North")
    page.get_by_test_id("account-berg-record").click()
    expect(page.get_by_test_id("account-berg-said")).to_have_text(
        "Stored: Ada Berg, Second officer."
    )
    expect(page.get_by_test_id("grants-berg")).to_have_text(
        "navigator on Own ship and reader on fleet North."
    )
    stored = account(page, address, "berg")
    change = {key: stored[key] for key in ("person", "ashore", "disabled", "grants")}
    page.get_by_test_id("account-berg-person").fill("Ada Berg-Lie")
    asked(page, address, "PUT", f"/accounts/{stored['id']}", {**change, "rank": "Chief officer"})
    page.get_by_test_id("account-berg-record").click()
    expect(page.get_by_test_id("account-meanwhile")).to_contain_text("Ada Berg, Chief officer")
    expect(page.get_by_test_id("account-berg-person")).to_have_value("Ada Berg-Lie")
    assert account(page, address, "berg")["person"] == "Ada Berg", "nothing is overwritten unsaid"
    page.get_by_test_id("account-berg-rank").fill("Chief officer")
    page.get_by_test_id("account-berg-record").click()
    expect(page.get_by_test_id("account-berg-said")).to_contain_text("Ada Berg-Lie, Chief officer")
    assert account(page, address, "berg")["rank"] == "Chief officer"
    # An administrator has no other role; the service's words stand under the roles.
    page.get_by_test_id("account-berg-grant-1-role").select_option("administrator")
    expect(page.get_by_test_id("account-berg-grant-1-of")).to_have_value("all:")
    page.get_by_test_id("account-berg-record").click()
    expect(page.get_by_test_id("account-berg-grants-refused")).to_contain_text("no other role")
    assert of_answers(admin.complaints, "412", "422")


def test_an_account_is_disabled_enabled_and_reset(
    admin: Watched, address: str, browser: Browser
) -> None:
    page = admin.page
    theirs = browser.new_context().new_page()
    signed_in(theirs, address, "berg")
    page.get_by_test_id("account-open-berg").click()
    page.get_by_test_id("account-berg-rank").fill("First officer, not stored yet")
    page.get_by_test_id("switch-berg").press("Enter")
    expect(page.get_by_test_id("standing-berg")).to_have_text("disabled")
    expect(page.get_by_test_id("account-berg-rank")).to_have_value("First officer, not stored yet")
    expect(page.get_by_test_id("account-meanwhile")).to_be_hidden()
    assert account(page, address, "berg")["rank"] == "Second officer"
    theirs.reload()
    expect(theirs.get_by_test_id("sign-in-form")).to_be_visible()
    theirs.context.close()
    page.get_by_test_id("switch-berg").press("Enter")
    expect(page.get_by_test_id("standing-berg")).to_have_text("may sign in")
    reset = page.get_by_test_id("reset-berg")
    reset.click()
    expect(reset).to_contain_text("a new code is needed")
    assert account(page, address, "berg")["ready"], "the first press only says what it does"
    reset.click()
    expect(page.get_by_test_id("code")).to_be_focused()
    expect(page.get_by_test_id("standing-berg")).to_have_text("waits for a password")
    assert not account(page, address, "berg")["ready"]
    # One's own can be neither here: the code would be lost with the view.
    page.get_by_test_id("account-open-chief").click()
    expect(page.get_by_test_id("account-chief-record")).to_be_visible()
    expect(page.get_by_test_id("switch-chief")).to_have_count(0)
    expect(page.get_by_test_id("reset-chief")).to_have_count(0)
    assert admin.complaints == []


def test_vessels_are_added_and_renamed(admin: Watched, address: str) -> None:
    page = admin.page
    page.get_by_test_id("vessel-add").click()
    page.get_by_test_id("vessel-new-record").click()
    expect(page.get_by_test_id("error-vessel-new-name")).to_have_text(
        "The name of the vessel is needed."
    )
    page.get_by_test_id("vessel-new-name").fill("MV <b>Zoo</b>")
    page.get_by_test_id("vessel-new-fleet").fill("North")
    page.get_by_test_id("vessel-new-record").click()
    row = page.get_by_test_id("vessels").locator("li", has_text="MV <b>Zoo</b>")
    expect(row).to_contain_text("fleet North")
    row.locator("summary").click()
    row.get_by_label("Name", exact=True).fill("MV Ark")
    row.get_by_label("Fleet", exact=True).fill("x" * 201)
    row.get_by_role("button", name="Store name and fleet").click()
    expect(row.locator("[data-testid$='-fleet'][aria-invalid='true']")).to_be_focused()
    expect(row.get_by_label("Name", exact=True)).to_have_value("MV Ark")
    row.get_by_label("Fleet", exact=True).fill("South")
    row.get_by_role("button", name="Store name and fleet").click()
    renamed = page.get_by_test_id("vessels").locator("li", has_text="MV Ark")
    expect(renamed).to_contain_text("fleet South")
    names = {one["name"]: one["fleet"] for one in asked(page, address, "GET", "/vessels")["items"]}
    assert names["MV Ark"] == "South"
    # Roles may be given on her and her fleet at once.
    page.get_by_test_id("account-add").click()
    page.get_by_test_id("account-new-grant-add").click()
    options = page.get_by_test_id("account-new-grant-1-of").locator("option").all_inner_texts()
    assert "vessel MV Ark, of South" in options
    assert "fleet South" in options


def test_the_plans_of_another_installation_belong_to_the_vessel_that_is_chosen(
    admin: Watched, address: str, tmp_path: Path
) -> None:
    page = admin.page
    vessel = asked(page, address, "POST", "/vessels", {"name": "MV Ark", "fleet": "South"})
    other = open_store(f"sqlite:///{tmp_path / 'other.sqlite3'}")
    card = identity.identity_document(
        identity.name_identity(other, "Zoo office", "shore", MADE_UTC)
    )
    other.close()
    page.get_by_test_id("pair-open").click()
    choice = page.get_by_test_id("pair-vessel")
    expect(choice).to_contain_text("MV Ark, of South")
    expect(choice.locator("option").first).to_have_text("this ship herself")
    choice.select_option(vessel["id"])
    page.get_by_test_id("pair-card").fill(json.dumps(card))
    page.get_by_test_id("pair-fingerprint").fill("0" * 40)
    page.get_by_test_id("pair-record").click()
    expect(page.get_by_test_id("error-pair-fingerprint")).to_be_visible()
    expect(choice).to_have_value(vessel["id"])
    page.get_by_test_id("pair-fingerprint").fill(card["fingerprint"])
    page.get_by_test_id("pair-record").click()
    expect(page.get_by_test_id("peer-state")).to_have_text("paired")
    peers = asked(page, address, "GET", "/peers")["items"]
    assert [(one["name"], one["vessel_id"]) for one in peers] == [("Zoo office", vessel["id"])]


def test_keys_of_other_systems_are_made_used_and_ended(admin: Watched, address: str) -> None:
    page = admin.page
    expect(page.get_by_test_id("keys-none")).to_contain_text("No key was made yet")
    page.get_by_test_id("key-add").click()
    page.get_by_test_id("key-name").fill("Weather desk")
    page.get_by_test_id("key-days").fill("400")
    page.get_by_test_id("key-new-record").click()
    expect(page.get_by_test_id("error-key-days")).to_contain_text("1 to 365")
    expect(page.get_by_test_id("error-key-scopes")).to_have_text(re.compile("Choose at least one"))
    expect(page.get_by_test_id("error-key-of")).to_be_visible()
    page.get_by_test_id("key-days").fill("30")
    page.get_by_test_id("key-scope-read").check()
    page.get_by_test_id("key-of").select_option("vessel:own")
    page.get_by_test_id("key-new-record").click()
    key = page.get_by_test_id("key").input_value()
    assert re.fullmatch(r"wo_[0-9a-f]{16}_[0-9a-f]{64}", key)
    bearer = {"Authorization": f"Bearer {key}"}
    stranger = page.context.browser.new_context()
    assert stranger.request.get(f"{address}/api/v1/plans", headers=bearer).status == 200
    page.get_by_test_id("key-put-away").click()
    assert key not in page.content()
    row = page.get_by_test_id("keys").locator("li")
    expect(row).to_contain_text("Weather desk, read, on Own ship")
    end = row.get_by_role("button", name="End Weather desk")
    end.click()
    row.get_by_role("button", name="Leave it").click()
    expect(end).to_be_focused()
    end.press("Enter")
    row.get_by_role("button", name="End it").press("Enter")
    expect(row).to_contain_text("ended ")
    assert stranger.request.get(f"{address}/api/v1/plans", headers=bearer).status == 401
    stranger.close()
    admin.assert_quiet()


def test_ones_own_password_is_changed(context: BrowserContext, address: str) -> None:
    watched = Watched(context.new_page(), address)
    page = watched.page
    signed_in(page, address, "berg")
    page.get_by_test_id("to-people").click()
    people = page.get_by_test_id("people")
    expect(people.get_by_test_id("own-roles")).to_have_text("Your roles: navigator on Own ship.")
    expect(people.get_by_test_id("accounts")).to_have_count(0)
    people.get_by_test_id("own-password-open").click()
    present, new, again = (
        people.get_by_test_id(f"own-{one}") for one in ("present", "next", "again")
    )
    assert {one.get_attribute("type") for one in (present, new, again)} == {"password"}
    record = people.get_by_test_id("own-password-record")
    for field, text in ((present, "not the one"), (new, OTHER), (again, "something else")):
        field.fill(text)
    record.click()
    expect(page.get_by_test_id("error-own-again")).to_contain_text("not the same")
    again.fill(OTHER)
    record.click()
    expect(page.get_by_test_id("error-own-present")).to_contain_text("not right")
    present.fill(PASSWORD)
    new.fill("short")
    again.fill("short")
    record.click()
    expect(page.get_by_test_id("error-own-next")).to_contain_text("12 characters")
    new.fill(OTHER)
    again.fill(OTHER)
    record.click()
    expect(people.get_by_test_id("own-password-said")).to_contain_text("new password is set")
    expect(present).to_have_value("")
    page.get_by_test_id("sign-out").click()
    expect(page.get_by_test_id("sign-in-form")).to_be_visible()
    signed_in(page, address, "berg", OTHER)
    assert of_answers(watched.complaints, "401", "422")
    assert watched.foreign == []


def test_lists_that_do_not_come_say_so_and_typed_text_stays(admin: Watched, address: str) -> None:
    page = admin.page
    page.get_by_test_id("account-add").click()
    page.get_by_test_id("account-new-name").fill("holm")
    hold_on(page)
    page.route("**/api/v1/accounts*", lambda route: route.fulfill(status=503, body="{}"))
    page.get_by_test_id("account-new-person").fill("Jon Holm")
    page.get_by_test_id("account-new-rank").fill("Master")
    page.get_by_test_id("account-new-record").click()
    expect(page.get_by_test_id("account-new-refused")).to_contain_text("No reason was given")
    done_by_page(page, "people/api.js", "readAccounts")
    people = page.get_by_test_id("people")
    expect(people.get_by_test_id("problem")).to_contain_text("The accounts were not listed")
    expect(people.get_by_test_id("grants-berg")).to_be_visible()
    expect(page.get_by_test_id("account-new-name")).to_have_value("holm")
    page.unroute("**/api/v1/accounts*")
    people.get_by_test_id("retry").click()
    expect(people.get_by_test_id("problem")).to_have_count(0)
    page.get_by_test_id("account-new-record").click()
    expect(page.get_by_test_id("code")).to_be_visible()
    # A session that is looked at anew, or a list that comes, draws nothing away.
    page.get_by_test_id("account-new-name").fill("half a na")
    done_by_page(page, "panels/who.js", "lookSession")
    done_by_page(page, "people/api.js", "readVessels")
    expect(page.get_by_test_id("account-new-name")).to_have_value("half a na")
    expect(page.get_by_test_id("account-new-name")).to_be_focused()
    assert account(page, address, "holm")["person"] == "Jon Holm"


def test_every_form_at_320_px_and_its_words(admin: Watched) -> None:
    page = admin.page
    page.set_viewport_size({"width": 320, "height": 800})
    expect(page.get_by_test_id("grants-berg")).to_be_attached()
    for one in page.get_by_test_id("people").locator("summary").all():
        one.click()
    page.get_by_test_id("account-new-grant-add").click()
    page.get_by_test_id("reset-berg").click()
    expect(page.get_by_test_id("account-berg-grant-1-role")).to_be_visible()
    measure(page)
    text = page.locator("body").inner_text()
    assert not re.search(r"\b(safe|safely|unsafe|all clear|passed|OK)\b", text, re.I)
    unnamed = """(host) => [...host.querySelectorAll("input, select, textarea")]
        .filter((one) => !one.hidden && one.labels.length === 0).map((one) => one.outerHTML)"""
    assert page.get_by_test_id("people").evaluate(unnamed) == []
    ids = page.locator("[id]").evaluate_all("all => all.map((one) => one.id)")
    assert len(ids) == len(set(ids))
