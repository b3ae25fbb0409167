"""Signing in on the page: a first password, who is signed in, a locked session, signing out.

With a real service over loopback, and the shore office's provider beside it.
"""

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import IO

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.access.test_outside import FOLDER, PEOPLE, SECRET
from tests.browser.conftest import Watched, done_by_page
from tests.running import free_port, wait_until_up

pytestmark = pytest.mark.browser

PASSWORD = "lantern gravel seven masts"  # noqa: S105  of a test


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("accounts")


@pytest.fixture(scope="module")
def port() -> int:
    return free_port()


@pytest.fixture(scope="module")
def issuer(port: int) -> Iterator[str | None]:
    """Start the provider where its packages are installed; CI has them."""
    if shutil.which("node") is None or not (FOLDER / "node_modules").is_dir():
        assert os.environ.get("CI") != "true", "the packages of tests/outside_provider are missing"
        yield None
        return
    back = f"http://127.0.0.1:{port}/api/v1/sign-in/outside/return"
    command = ["node", "provider.mjs", back, SECRET, json.dumps(PEOPLE)]
    with subprocess.Popen(
        command, cwd=FOLDER, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        assert process.stdout is not None
        yield next(line.strip() for line in process.stdout if line.startswith("http://127"))
        process.terminate()


@pytest.fixture(scope="module")
def service(folder: Path, port: int, issuer: str | None) -> Iterator[tuple[str, str]]:
    """Start the service with accounts; give its address and the first administrator's code."""
    (folder / "secret").write_text(SECRET)
    environment = {
        **os.environ,
        "WHEELOVER_ACCOUNTS": "on",
        "WHEELOVER_DATABASE": f"sqlite:///{folder / 'a.sqlite3'}",
        "WHEELOVER_OUTSIDE_ISSUER": issuer or "",
        "WHEELOVER_OUTSIDE_CLIENT_ID": "wheelover",
        "WHEELOVER_OUTSIDE_CLIENT_SECRET_FILE": str(folder / "secret"),
        "WHEELOVER_OUTSIDE_ADDRESS": f"http://127.0.0.1:{port}",
    }
    command = [sys.executable, "-m", "wheelover", "serve", "--port", str(port), "--demonstration"]
    with subprocess.Popen(
        command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    ) as process:
        address = f"http://127.0.0.1:{port}"
        try:
            wait_until_up(address, process)
            assert process.stdout is not None
            yield address, _code(process.stdout)
        finally:
            process.terminate()
            process.wait(timeout=30)


def _code(told: IO[bytes]) -> str:
    """Return the code that the service prints at its first start."""
    for line in told:
        found = re.search(r"code ([A-Z2-9-]{27})", line.decode())
        if found:
            return found[1]
    raise AssertionError("no code was printed")


@pytest.fixture
def there(browser: Browser, service: tuple[str, str]) -> Iterator[Watched]:
    context = browser.new_context(viewport={"width": 1400, "height": 900})
    page = context.new_page()
    page.set_default_timeout(15_000)
    watched = Watched(page, service[0])
    yield watched
    context.close()


def account(folder: Path, *words: str) -> str:
    """Run ``wheelover account`` on the service's database and return what it prints."""
    environment = {**os.environ, "WHEELOVER_DATABASE": f"sqlite:///{folder / 'a.sqlite3'}"}
    command = [sys.executable, "-m", "wheelover", "account", *words]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    return done.stdout


def sign_in(page: Page, name: str, password: str = PASSWORD) -> None:
    page.get_by_label("Account", exact=True).fill(name)
    page.get_by_label("Password (may be pasted)").fill(password)
    page.get_by_test_id("sign-in-form").get_by_role("button", name="Sign in").click()


def enrol(page: Page, name: str, code: str) -> None:
    page.get_by_test_id("to-enrolment").click()
    page.get_by_label("Account", exact=True).fill(name)
    page.get_by_label("Code you were given").fill(code)
    page.get_by_label("New password").fill(PASSWORD)
    page.get_by_role("button", name="Set the password").click()
    expect(page.get_by_test_id("sign-in-form")).to_be_visible()


def test_a_navigator_signs_in_works_and_signs_out(
    there: Watched, service: tuple[str, str], folder: Path
) -> None:
    page, (address, _) = there.page, service
    made = account(
        folder, "add", "berg", "--person", "A. Berg", "--rank", "2/O",
        "--grant", "navigator:vessel:own",
    )  # fmt: skip
    page.goto(f"{address}/plans/demonstration")
    expect(page.get_by_test_id("sign-in-form")).to_be_visible()
    expect(page.get_by_test_id("desk")).to_be_hidden()
    expect(page.get_by_test_id("work")).to_be_hidden()
    expect(page.get_by_test_id("link-open")).to_have_count(0)
    sign_in(page, "berg", "not the right one")
    expect(page.get_by_test_id("problem")).to_contain_text("not right")
    expect(page.get_by_label("Account", exact=True)).to_have_value("berg")
    enrol(page, "berg", made.split("code ")[1].split()[0])
    sign_in(page, "berg")
    expect(page.get_by_test_id("who-name")).to_have_text("A. Berg, 2/O")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    expect(page.get_by_test_id("sign-in")).to_be_hidden()
    assert page.evaluate("document.cookie") == "", "out of reach of scripts"
    page.reload()
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    page.get_by_test_id("sign-out").click()
    expect(page.get_by_test_id("sign-in-form")).to_be_visible()
    page.goto(f"{address}/plans/demonstration")
    expect(page.get_by_test_id("sign-in-form")).to_be_visible()
    assert there.foreign == []
    assert there.dialogs == []
    # The browser itself reports the refused sign-in; nothing else may be complained of.
    assert [one for one in there.complaints if "401" not in one] == []


def test_a_locked_session_keeps_the_view_and_goes_on_with_the_password(
    there: Watched, service: tuple[str, str], folder: Path
) -> None:
    page, (address, _) = there.page, service
    made = account(
        folder, "add", "dahl", "--person", "C. Dahl", "--rank", "3/O",
        "--grant", "navigator:vessel:own",
    )  # fmt: skip
    page.goto(address)
    enrol(page, "dahl", made.split("code ")[1].split()[0])
    sign_in(page, "dahl")
    expect(page.get_by_test_id("who-name")).to_be_visible()
    page.get_by_test_id("plan-row-demonstration").get_by_role("link").click()
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    _leave_alone(folder)
    page.keyboard.press("Escape")
    done_by_page(page, "panels/who.js", "lookSession")
    expect(page.get_by_test_id("unlock-form")).to_be_visible()
    expect(page.get_by_test_id("locked-word")).to_be_visible()
    expect(page.get_by_test_id("work")).to_be_visible()
    page.get_by_label("Password of dahl").fill(PASSWORD)
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_test_id("unlock-form")).to_have_count(0)
    expect(page.get_by_test_id("locked-word")).to_have_count(0)


def _leave_alone(folder: Path) -> None:
    """Set back when sessions were last used, as if nothing had been done since."""
    from wheelover.store import open_store  # noqa: PLC0415
    from wheelover.store.account_tables import session  # noqa: PLC0415

    store = open_store(f"sqlite:///{folder / 'a.sqlite3'}")
    with store._one_writer, store._writer.begin() as connection:
        connection.execute(session.update().values(used_utc="2026-01-01T00:00:00.000Z"))
    store.close()


def test_the_shore_office_signs_in_by_its_provider(
    browser: Browser, service: tuple[str, str], folder: Path, issuer: str | None
) -> None:
    """A real browser goes there and back: what it carries between the sites is what is tested."""
    if issuer is None:
        pytest.skip("the packages of tests/outside_provider are not installed; npm ci")
    address, code = service
    context = browser.new_context()
    page = context.new_page()
    page.set_default_timeout(15_000)
    page.goto(address)
    enrol(page, "administrator", code)
    sign_in(page, "administrator")
    expect(page.get_by_test_id("who-name")).to_have_text("Administrator, Administrator")
    made = page.evaluate(
        """async () => {
          const body = { account: "supt", person: "S. Upt", rank: "Superintendent", ashore: true,
            outside: { email: "s.upt@office.example" },
            grants: ["superintendent", "navigator"].map(
              (role) => ({ role, reach: "vessel", of: "own" })) };
          const answer = await fetch("/api/v1/accounts", {
            method: "POST", body: JSON.stringify(body),
            headers: { "X-Wheelover": "1", "Content-Type": "application/json" } });
          return answer.status;
        }"""
    )
    assert made == 201
    page.get_by_test_id("sign-out").click()
    page.get_by_test_id("outside").click()
    _asked_by_the_provider(page)
    expect(page.get_by_test_id("who-name")).to_have_text("S. Upt, Superintendent")
    expect(page.get_by_test_id("plan-row-demonstration")).to_be_visible()
    assert page.url == f"{address}/"
    _signs_in_anew_and_is_where_it_was(page, address)
    context.close()


_OFFERED = """async () => {
  const headers = { "X-Wheelover": "1", "Content-Type": "application/json" };
  const send = (place, body) =>
    fetch(place, { method: "POST", body: JSON.stringify(body), headers });
  const place = (name, lat_deg) => ({ id: name, lat_deg, lon_deg: -30 });
  const waypoints = [place("A", 47), place("B", 47.1), place("C", 47.2)];
  const made = await (await send("/api/v1/plans", { route: { name: "Zoo", waypoints } })).json();
  const offered = await send(`/api/v1/plans/${made.id}/revisions`, {});
  if (offered.status !== 201) throw new Error(await offered.text());
  return `/plans/${made.id}/r/1`;
}"""


def _asked_by_the_provider(page: Page, *, first: bool = True) -> None:
    """Answer the provider's own pages as S. Upt does."""
    page.get_by_placeholder("Enter any login").fill("sub-upt")
    page.get_by_placeholder("and password").fill("anything")
    page.get_by_role("button", name="Sign-in").click()
    if first:
        page.get_by_role("button", name="Continue").click()


def _signs_in_anew_and_is_where_it_was(page: Page, address: str) -> None:
    """To a plan that was asked for, and to a frozen revision that is being checked."""
    page.get_by_test_id("sign-out").click()
    expect(page.get_by_test_id("sign-in-form")).to_be_visible()
    page.goto(f"{address}/plans/demonstration")
    page.get_by_test_id("outside").click()  # the provider remembers, and asks nothing
    expect(page.get_by_test_id("who-name")).to_have_text("S. Upt, Superintendent")
    page.wait_for_url(f"{address}/plans/demonstration")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    place = page.evaluate(_OFFERED)
    page.clock.set_fixed_time(datetime.now(UTC) + timedelta(minutes=6))
    page.goto(f"{address}{place}")
    page.get_by_test_id("check-open").click()
    page.get_by_test_id("check-again").click()
    _asked_by_the_provider(page, first=False)
    page.wait_for_url(f"{address}{place}")
    expect(page.get_by_test_id("standing")).to_have_text("r1 is offered.")
    assert page.evaluate("document.cookie") == "", "out of reach of scripts"
