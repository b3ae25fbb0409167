"""One's own sessions are listed, and one or all others are ended, with the password typed again.

ASVS 5.0, 7.5.2: users can view and, having authenticated again with at least one factor, end any or
all of their active sessions.
"""

import pytest

from tests.access.people import PASSWORD, Browser, House, grant


def listed(browser: Browser) -> list[dict[str, object]]:
    answer = browser.get("/session/all")
    assert answer.status_code == 200, answer.text
    return list(answer.json()["items"])


def end(browser: Browser, session_id: object, password: str | None = PASSWORD) -> int:
    body = {"session_id": session_id} | ({} if password is None else {"password": password})
    return browser.post("/session/end", body).status_code


@pytest.fixture
def berg(house: House) -> list[Browser]:
    """Give three browsers in which one account is signed in, a minute apart."""
    house.account("berg", grant("navigator", "own"))
    found = []
    for number in range(3):
        found.append(house.signed_in("berg", f"10.0.0.{number + 1}"))
        house.clock.pass_by(60.0)
    return found


def test_they_are_listed_and_nothing_in_the_list_opens_one(
    house: House, berg: list[Browser]
) -> None:
    house.account("dahl", grant("navigator", "own"))
    house.signed_in("dahl", "10.0.0.7")
    items = listed(berg[0])
    assert [one["this"] for one in items] == [False, False, True]
    started = [str(one["started_utc"]) for one in items]
    assert started == sorted(started, reverse=True)
    with house.store.reading() as unit:
        account = unit.accounts.named("berg")
        assert account is not None
        kept = unit.sessions.of_account(account.id, "")
    told = str(items)
    for row in kept:
        assert row.token_sha256 not in told
    for browser in berg:
        for value in browser.cookies.values():
            assert value not in told
    stranger = house.browser()
    stranger.cookies.set(next(iter(berg[0].cookies)), str(items[0]["id"]), domain="127.0.0.1")
    assert stranger.get("/plans").status_code == 401


def test_one_is_ended_and_the_others_go_on(house: House, berg: list[Browser]) -> None:
    newest, middle, own = listed(berg[0])
    assert end(berg[0], middle["id"], "wrong") == 401
    assert end(berg[0], middle["id"], None) == 401
    assert berg[1].get("/plans").status_code == 200
    assert end(berg[0], middle["id"]) == 200
    assert [one.get("/plans").status_code for one in berg] == [200, 401, 200]
    assert end(berg[0], middle["id"]) == 404, "it has ended"
    assert end(berg[0], own["id"]) == 409, "that is signing out"
    assert [one["id"] for one in listed(berg[0])] == [newest["id"], own["id"]]
    log = house.administrator().get("/audit?vessel_id=accounts").json()["items"]
    ended = [one["entry"] for one in log if one["entry"]["what"] == "session.ended"]
    assert [one["by"] for one in ended] == ["another session"]


def test_all_others_are_ended_at_once(berg: list[Browser]) -> None:
    answer = berg[2].post("/session/end", {"session_id": "others", "password": PASSWORD})
    assert answer.json() == {"ended_count": 2}
    assert [one.get("/plans").status_code for one in berg] == [401, 401, 200]
    answer = berg[2].post("/session/end", {"session_id": "others", "password": PASSWORD})
    assert answer.json() == {"ended_count": 0}


def test_nobody_ends_anothers(house: House, berg: list[Browser]) -> None:
    house.account("dahl", grant("master", "own"))
    dahl = house.signed_in("dahl", "10.0.0.7")
    (own,) = listed(dahl)
    assert end(berg[0], own["id"]) == 404
    assert dahl.get("/plans").status_code == 200


def test_a_browser_left_alone_turns_nobody_out(house: House, berg: list[Browser]) -> None:
    other = listed(berg[0])[0]
    house.clock.pass_by(16 * 60.0)
    answer = berg[0].post("/session/end", {"session_id": other["id"], "password": PASSWORD})
    assert (answer.status_code, answer.json()["type"]) == (401, "/problems/session-locked")
    assert [one["locked"] for one in listed(berg[0])] == [True, True, True]


def test_one_that_has_ended_by_itself_is_not_listed(house: House, berg: list[Browser]) -> None:
    house.clock.pass_by(12 * 3600.0 - 150.0)
    assert [one["this"] for one in listed(berg[2])] == [True, False]


@pytest.mark.parametrize("session_id", ["session-1", "", 3, None, "all", "session-" + "g" * 20])
def test_what_names_no_session_is_refused(berg: list[Browser], session_id: object) -> None:
    answer = berg[0].post("/session/end", {"session_id": session_id, "password": PASSWORD})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/session_id"


def test_without_accounts_there_are_none(monkeypatch: pytest.MonkeyPatch) -> None:
    house = House(monkeypatch, None, ACCOUNTS="off")
    assert house.browser().get("/session/all").status_code == 409
