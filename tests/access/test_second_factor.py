"""A decision of an account that signs in from ashore needs its code, as its sign-in does."""

from typing import Any

import pyotp
import pytest

from tests.access.people import PASSWORD, Browser, House, grant
from tests.access.test_decisions import decide, offered
from wheelover.usecases.accounts.second_factor import PERIOD_S
from wheelover.usecases.accounts.times import epoch_s

SECRET = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"


@pytest.fixture
def office(house: House) -> House:
    """Give a navigator, a reader, and a superintendent and a master who sign in from ashore."""
    house.account("berg", grant("navigator", "own"), person="A. Berg")
    house.account("looks", grant("reader", "own"))
    seal = house.app.state.door.seal
    for name, role in (("sup2", "superintendent"), ("lund", "master")):
        made = house.account(name, grant(role, "own"), person=f"P. {name}", ashore=True)
        with house.store.writing() as unit:
            unit.accounts.set(made, factor_sealed=seal.close(SECRET))
    return house


def code_of(house: House) -> str:
    """Return a code that was not used yet."""
    house.clock.pass_by(PERIOD_S)
    return pyotp.TOTP(SECRET).at(int(epoch_s(house.clock())))


def agreed(browser: Browser, place: str, by: Any) -> Any:
    return browser.post(f"{place}/shore-decisions", {"kind": "agree", "by": by})


def test_in_anothers_session_the_code_is_needed(office: House) -> None:
    """And no answer says, before all is right, whether the account has one or the password is."""
    place = offered(office.signed_in("berg", "10.0.0.2"))
    reader = office.signed_in("looks")
    by = {"account": "sup2", "password": PASSWORD}
    refused = agreed(reader, place, by)
    assert refused.status_code == 401, refused.text
    assert refused.json()["errors"][0]["pointer"] == "/by/code"
    for other in ({**by, "password": "wrong"}, {**by, "account": "nobody"}):
        answer = agreed(reader, place, other)
        assert (answer.status_code, answer.json()) == (401, refused.json())
    wrong = agreed(reader, place, {**by, "code": "000000"})
    assert wrong.status_code == 401
    assert wrong.json()["errors"][0]["pointer"] == "/by/code"
    office.clock.pass_by(60)
    code = code_of(office)
    made = agreed(reader, place, {**by, "code": code})
    assert made.status_code == 201, made.text
    assert made.json()["shore"][0]["by"]["name"] == "P. sup2"
    assert agreed(reader, place, {**by, "code": code}).status_code == 401, "played again"


def test_in_ones_own_session_too_and_it_is_said_at_once(office: House) -> None:
    place = offered(office.signed_in("berg", "10.0.0.2"))
    master = office.browser("203.0.113.5")
    code = code_of(office)
    assert master.sign_in("lund", one_time_code=code).status_code == 200
    assert master.get("/session").json()["signed_in"]["needs_code"] is True
    for _ in range(8):
        without = decide(master, place, {"password": PASSWORD})
        assert without.status_code == 422, "not counted: nothing was looked at"
        assert without.json()["errors"][0]["pointer"] == "/by/code"
    same = decide(master, place, {"password": PASSWORD, "code": code})
    assert same.status_code == 401
    assert "good once" in same.json()["errors"][0]["message"]
    made = decide(master, place, {"password": PASSWORD, "code": code_of(office)})
    assert made.status_code == 201, made.text


def test_an_account_on_board_needs_none(office: House) -> None:
    office.account("dahl", grant("navigator", "own"))
    navigator = office.signed_in("berg")
    assert navigator.get("/session").json()["signed_in"]["needs_code"] is False
    place = offered(navigator)
    by = {"account": "dahl", "password": PASSWORD}
    assert navigator.post(f"{place}/checks", {"by": by}).status_code == 201


def test_guessing_codes_with_a_known_password_is_slowed(office: House) -> None:
    place = offered(office.signed_in("berg", "10.0.0.2"))
    reader = office.signed_in("looks")
    by = {"account": "sup2", "password": PASSWORD}
    statuses = [
        agreed(reader, place, {**by, "code": f"{number:06}"}).status_code for number in range(7)
    ]
    assert statuses == [401] * 4 + [429] * 3
