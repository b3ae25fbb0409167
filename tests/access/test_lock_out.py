"""Whoever guesses, also at the very computer of the bridge, holds up nobody who was there before.

One address stands for all of a ship here, as behind one gateway: the owner's session and browser
have an allowance of their own, and wrong passwords in it count there.
"""

import httpx
import pytest

from tests.access.people import PASSWORD, SECOND_PASSWORD, Browser, House, grant
from tests.access.test_decisions import decide, offered

SHARED = "10.0.0.1"
COOKIE = "wheelover-browser"


@pytest.fixture
def bridge(house: House) -> House:
    house.account("berg", grant("navigator", "own"), person="A. Berg", rank="2/O")
    house.account("lund", grant("master", "own"), person="M. Lund", rank="Master")
    return house


def guess_on(house: House, browser: Browser, count: int, name: str = "lund") -> list[int]:
    """Guess a password every 0.15 s and return what was answered."""
    statuses = []
    for number in range(count):
        statuses.append(browser.sign_in(name, f"wrong password {number}").status_code)
        house.clock.pass_by(0.15)
    return statuses


def without_session(browser: Browser) -> Browser:
    """Return the same browser after its session: only what makes it known is left."""
    left = Browser(browser.app, browser.address, browser.base)
    left.cookies.set(COOKIE, browser.cookies[COOKIE])
    return left


def test_guessing_at_the_same_address_holds_up_no_session_and_no_known_browser(
    bridge: House,
) -> None:
    place = offered(bridge.signed_in("berg", "10.0.0.2"))
    master = bridge.signed_in("lund", SHARED)
    guesser = bridge.browser(SHARED)
    refused = 0
    for _ in range(6):  # 90 s of guessing, the right password all along
        refused += guess_on(bridge, guesser, 100).count(429)
        assert without_session(master).sign_in("lund").status_code == 200
        master = bridge_again(master)
    assert refused > 500, "the guesser himself waits"
    assert guesser.sign_in("lund").status_code == 429, "without session and browser it must wait"
    assert decide(master, place, {"password": PASSWORD}).status_code == 201


def bridge_again(browser: Browser) -> Browser:
    """Sign in anew in a browser, whose cookies are other ones from then on."""
    before = browser.cookies[COOKIE]
    assert browser.sign_in("lund").status_code == 200
    assert browser.cookies[COOKIE] != before, "rotated"
    return browser


def test_a_decision_in_a_live_session_needs_no_known_browser(bridge: House) -> None:
    place = offered(bridge.signed_in("berg", "10.0.0.2"))
    master = bridge.signed_in("lund", SHARED)
    kept = master.cookies["wheelover"]
    master.cookies = httpx.Cookies({"wheelover": kept})
    guess_on(bridge, bridge.browser(SHARED), 20)
    assert decide(master, place, {"password": PASSWORD}).status_code == 201


def test_the_master_decides_at_a_shared_browser_under_guessing(bridge: House) -> None:
    """Under the navigator's session, in a browser where the master has decided before."""
    navigator = bridge.signed_in("berg", SHARED)
    by = {"account": "lund", "password": PASSWORD}
    assert decide(navigator, offered(navigator), by).status_code == 201
    guess_on(bridge, bridge.browser(SHARED), 20)
    place = offered(navigator)
    assert decide(navigator, place, by).status_code == 201
    assert navigator.sign_in("berg").status_code == 200, "rotated by another's sign-in"
    guess_on(bridge, bridge.browser(SHARED), 20)
    assert decide(navigator, offered(navigator), by).status_code == 201


def test_a_locked_session_goes_on_under_guessing(bridge: House) -> None:
    master = bridge.signed_in("lund", SHARED)
    bridge.clock.pass_by(15 * 60)
    guess_on(bridge, bridge.browser(SHARED), 20)
    before = master.cookies[COOKIE]
    assert master.post("/session/unlock", {"password": PASSWORD}).status_code == 204
    assert master.cookies[COOKIE] != before


def test_wrong_ones_in_the_allowance_count_there(bridge: House) -> None:
    place = offered(bridge.signed_in("berg", "10.0.0.2"))
    master = bridge.signed_in("lund", SHARED)
    in_session = [decide(master, place, {"password": f"wrong {n}"}).status_code for n in range(6)]
    assert in_session == [401] * 4 + [429] * 2
    known = without_session(master)
    assert guess_on(bridge, known, 6) == [401] * 4 + [429] * 2
    bridge.clock.pass_by(60)
    looked_at = 0
    for _ in range(600):
        looked_at += known.sign_in("lund", "wrong password").status_code == 401
        bridge.clock.pass_by(0.5)
    assert 4 <= looked_at <= 10, "a known browser is no way to guess faster"


def test_whoever_signs_in_as_himself_gains_no_tries_of_others(bridge: House) -> None:
    """The cookie is another one then; what was wrong in this browser goes with it."""
    shared = bridge.signed_in("lund", SHARED)
    looked_at = []
    for _ in range(5):
        assert shared.sign_in("berg").status_code == 200
        looked_at += guess_on(bridge, shared, 4)
    assert looked_at.count(401) == 4


@pytest.mark.parametrize("what", ["made up", "of another", "old", "of the session", "after reset"])
def test_what_is_no_known_browser_of_the_account_shares_the_address(
    bridge: House, what: str
) -> None:
    master, other = bridge.signed_in("lund", SHARED), bridge.signed_in("berg", SHARED)
    old = master.cookies[COOKIE]
    master = bridge_again(master)
    token = {
        "made up": "x" * 43,
        "of another": other.cookies[COOKIE],
        "old": old,
        "of the session": master.cookies["wheelover"],
        "after reset": master.cookies[COOKIE],
    }[what]
    if what == "after reset":
        admin = bridge.administrator()
        with bridge.store.reading() as unit:
            account = unit.accounts.named("lund")
        assert account is not None
        made = admin.post(f"/accounts/{account.id}/reset")
        assert made.status_code == 200, made.text
        code = made.json()["enrolment"]["code"]
        body = {"account": "lund", "code": code, "password": SECOND_PASSWORD}
        assert admin.post("/session/enrolment", body).status_code == 200
    guess_on(bridge, bridge.browser(SHARED), 20)
    browser = bridge.browser(SHARED)
    browser.cookies.set(COOKIE, token)
    right = SECOND_PASSWORD if what == "after reset" else PASSWORD
    assert browser.sign_in("lund", right).status_code == 429


def test_a_known_browser_opens_nothing_and_is_kept_as_a_digest(bridge: House) -> None:
    master = bridge.signed_in("lund", SHARED)
    known = without_session(master)
    token = known.cookies[COOKIE]
    assert len(token) >= 43, "256 bits"
    assert known.get("/plans").status_code == 401
    assert known.get("/session").json()["signed_in"] is None
    thief = bridge.browser(SHARED)
    thief.cookies.set("wheelover", token)
    thief.cookies.set("wheelover-outside", token)
    assert thief.get("/plans").status_code == 401
    keyed = thief.get("/plans", headers={"Authorization": f"Bearer {token}"})
    assert keyed.status_code == 401
    with bridge.store.reading() as unit:
        rows = unit.tries._connection.exec_driver_sql("SELECT address FROM known_address").all()
    assert any(row.address.startswith("browser ") for row in rows)
    assert not any(token in row.address for row in rows)


def test_signing_out_keeps_the_browser_known(bridge: House) -> None:
    master = bridge.signed_in("lund", SHARED)
    assert master.send("DELETE", "/api/v1/session").status_code == 204
    guess_on(bridge, bridge.browser(SHARED), 20)
    assert master.sign_in("lund").status_code == 200


def test_a_browser_is_forgotten_after_ninety_days(bridge: House) -> None:
    known = without_session(bridge.signed_in("lund", SHARED))
    bridge.clock.pass_by(90 * 24 * 3600 + 1)
    guess_on(bridge, bridge.browser(SHARED), 20)
    assert known.sign_in("lund").status_code == 429
