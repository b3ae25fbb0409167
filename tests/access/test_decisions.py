"""Who decides is a person of an account: the password typed again, also on a shared computer."""

from typing import Any

import pytest

from tests.access.people import PASSWORD, SECOND_PASSWORD, Browser, House, grant
from tests.api.conftest import send
from tests.reasons import reasons_for
from wheelover.api import create_app
from wheelover.api.examples import EXAMPLES


@pytest.fixture
def bridge(house: House) -> House:
    """Give a ship with a navigator, a second one and a master, and a plan offered by the first."""
    house.account("berg", grant("navigator", "own"), person="A. Berg", rank="2/O")
    house.account("dahl", grant("navigator", "own"), person="C. Dahl", rank="3/O")
    house.account("lund", grant("master", "own"), person="M. Lund", rank="Master")
    house.account("elsewhere", grant("master", house.vessel("Other", "")), person="X. Else")
    return house


def offered(browser: Browser) -> str:
    plan = browser.post("/plans", EXAMPLES["PlanRequest"]).json()["id"]
    assert browser.post(f"/plans/{plan}/revisions").status_code == 201
    return f"/plans/{plan}/revisions/1"


def decide(browser: Browser, place: str, by: Any = None) -> Any:
    open_items = browser.get(f"{place}/record").json()["open_items"]
    body = {"kind": "approve", "reasons": reasons_for(open_items, "seen")}
    tag = {"If-Match": browser.get(place).headers["etag"]}
    more = {} if by is None else {"by": by}
    return browser.post(f"{place}/decisions", {**body, **more}, headers=tag)


def test_the_author_is_the_account_that_is_signed_in(bridge: House) -> None:
    browser = bridge.signed_in("berg")
    record = browser.get(f"{offered(browser)}/record").json()
    author = record["author"]
    assert (author["name"], author["rank"], author["claimed"]) == ("A. Berg", "2/O", False)
    assert author["account_id"].startswith("account-")


def test_the_master_decides_with_the_password_typed_again(bridge: House) -> None:
    place = offered(bridge.signed_in("berg"))
    master = bridge.signed_in("lund", "10.0.0.2")
    assert decide(master, place).json()["errors"][0]["pointer"] == "/by/password"
    assert decide(master, place, {"password": "wrong"}).status_code == 401
    assert decide(master, place, {"name": "M. Lund", "rank": "Master"}).status_code == 422
    made = decide(master, place, {"password": PASSWORD})
    assert made.status_code == 201, made.text
    approval = made.json()["approval"]
    assert approval["by"] == {
        "name": "M. Lund",
        "rank": "Master",
        "account_id": approval["by"]["account_id"],
        "claimed": False,
    }


def test_on_a_shared_computer_the_master_decides_whoever_is_signed_in(bridge: House) -> None:
    """The navigator's sign-in and password decide nothing, the master's do."""
    navigator = bridge.signed_in("berg")
    place = offered(navigator)
    for by in (None, {"password": PASSWORD}, {"account": "elsewhere", "password": PASSWORD}):
        refused = decide(navigator, place, by)
        assert refused.status_code == 403, refused.text
        assert "master" in refused.json()["detail"]
    made = decide(navigator, place, {"account": "lund", "password": PASSWORD})
    assert made.status_code == 201
    assert made.json()["approval"]["by"]["name"] == "M. Lund"
    assert navigator.get("/session").json()["signed_in"]["account"] == "berg"


def test_a_second_person_checks_at_the_authors_computer(bridge: House) -> None:
    """ASVS 2.3.5: another account with its own password and role; the author cannot."""
    navigator = bridge.signed_in("berg")
    place = offered(navigator)
    own = navigator.post(f"{place}/checks", {"by": {"password": PASSWORD}})
    assert own.status_code == 403
    for by, status in (
        ({"account": "dahl", "password": "wrong"}, 401),
        ({"account": "nobody", "password": PASSWORD}, 401),
        ({"account": "elsewhere", "password": PASSWORD}, 403),
        ({"account": "dahl", "password": PASSWORD}, 201),
    ):
        answer = navigator.post(f"{place}/checks", {"by": by})
        assert answer.status_code == status, (by, answer.text)
    (check,) = answer.json()["checks"]
    assert (check["by"]["name"], check["by"]["claimed"]) == ("C. Dahl", False)


def test_guessing_a_masters_password_in_a_decision_is_slowed_too(bridge: House) -> None:
    master = bridge.signed_in("lund")
    place = offered(bridge.signed_in("berg", "10.0.0.2"))
    statuses = [decide(master, place, {"password": f"wrong {n}"}).status_code for n in range(8)]
    assert statuses == [401] * 4 + [429] * 4
    bridge.clock.pass_by(60)
    assert decide(master, place, {"password": PASSWORD}).status_code == 201


def test_a_disabled_account_decides_nothing(bridge: House) -> None:
    navigator = bridge.signed_in("berg")
    place = offered(navigator)
    with bridge.store.writing() as unit:
        dahl = unit.accounts.named("dahl")
        assert dahl is not None
        unit.accounts.set(dahl.id, disabled=True)
    by = {"account": "dahl", "password": PASSWORD}
    assert navigator.post(f"{place}/checks", {"by": by}).status_code == 401


def test_without_accounts_a_password_is_no_name() -> None:
    app = create_app()
    plan = send(app, "POST", "/api/v1/plans", json=EXAMPLES["PlanRequest"]).json()["id"]
    place = f"/api/v1/plans/{plan}/revisions"
    refused = send(app, "POST", place, json={"by": {"password": SECOND_PASSWORD}})
    assert refused.status_code == 422
    assert SECOND_PASSWORD not in refused.text
    named = send(app, "POST", place, json={"by": {"name": "A. Berg", "rank": "2/O"}})
    assert named.status_code == 201


def test_a_line_of_the_log_is_the_signed_in_persons(bridge: House) -> None:
    master = bridge.signed_in("lund")
    place = offered(bridge.signed_in("berg", "10.0.0.2"))
    assert decide(master, place, {"password": PASSWORD}).status_code == 201
    tag = {"If-Match": master.get(place).headers["etag"]}
    use = {"kind": "take_into_use", "by": {"password": PASSWORD}}
    assert master.post(f"{place}/decisions", use, headers=tag).status_code == 201
    line = master.post(f"{place}/log", {"words": "Pilot on board"})
    assert line.status_code == 201, line.text
    assert line.json()["log"][0]["by"]["name"] == "M. Lund"


def test_the_pen(bridge: House) -> None:
    berg, dahl = bridge.signed_in("berg"), bridge.signed_in("dahl", "10.0.0.2")
    made = berg.post("/plans", EXAMPLES["PlanRequest"])
    place = f"/plans/{made.json()['id']}"
    assert dahl.get(f"{place}/pen").json()["held_by"] is None

    def edit(browser: Browser, metres: float) -> Any:
        draft = browser.get(place)
        inputs = {**draft.json()["inputs"], "limits": {"min_clearance_m": metres}}
        headers = {"If-Match": draft.headers["etag"]}
        return browser.send("PUT", f"/api/v1{place}", json=inputs, headers=headers)

    assert edit(berg, 100.0).status_code == 200, "the first edit takes a free pen"
    pen = dahl.get(f"{place}/pen").json()
    assert (pen["held_by"], pen["yours"]) == ("A. Berg", False)
    bridge.clock.pass_by(60)
    refused = edit(dahl, 200.0)
    assert refused.status_code == 409
    assert refused.json()["type"] == "/problems/pen-held"
    assert "A. Berg" in refused.json()["detail"]
    assert pen["since_utc"] in refused.json()["detail"]
    tag = {"If-Match": dahl.get(place).headers["etag"]}
    assert dahl.post(f"{place}/undo", headers=tag).status_code == 409
    assert dahl.post(f"{place}/revisions").json()["type"] == "/problems/pen-held"
    assert dahl.send("DELETE", f"/api/v1{place}/pen").status_code == 409
    assert dahl.post(f"{place}/pen", {"ask": "leg 2, please"}).status_code == 200
    assert berg.get(f"{place}/pen").json()["asked"] == ["C. Dahl: leg 2, please"]
    assert berg.send("DELETE", f"/api/v1{place}/pen").json()["held_by"] is None
    assert edit(dahl, 200.0).status_code == 200
    assert berg.post(f"{place}/pen", {"take": True}).json()["yours"] is True
    assert edit(dahl, 300.0).status_code == 409
    assert edit(berg, 300.0).status_code == 200
    log = berg.get("/audit").json()["items"]
    over = [one["entry"] for one in log if one["entry"]["what"] == "plan.pen_taken_over"]
    assert [(one["from"], one["by"]["name"]) for one in over] == [("C. Dahl", "A. Berg")]
    for wrong in ({}, {"take": False}, {"take": True, "ask": "both"}):
        assert berg.post(f"{place}/pen", wrong).status_code == 422


def test_of_two_who_edit_at_once_one_takes_the_pen(bridge: House) -> None:
    import concurrent.futures  # noqa: PLC0415

    browsers = [bridge.signed_in("berg"), bridge.signed_in("dahl", "10.0.0.2")]
    made = browsers[0].post("/plans", EXAMPLES["PlanRequest"])
    place = f"/api/v1/plans/{made.json()['id']}"

    def edit(number: int) -> int:
        inputs = {**made.json()["inputs"], "limits": {"min_clearance_m": 100.0 + number}}
        headers = {"If-Match": made.headers["etag"]}
        return browsers[number].send("PUT", place, json=inputs, headers=headers).status_code

    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        statuses = sorted(pool.map(edit, range(2)))
    assert statuses[0] == 200
    assert statuses[1] in (409, 412)


def _edit(browser: Browser, plan: str, metres: float) -> None:
    """Change the draft of a plan and let the pen go."""
    draft = browser.get(plan)
    inputs = {**draft.json()["inputs"], "limits": {"min_clearance_m": metres}}
    headers = {"If-Match": draft.headers["etag"]}
    edited = browser.send("PUT", f"/api/v1{plan}", json=inputs, headers=headers)
    assert edited.status_code == 200, edited.text
    assert browser.send("DELETE", f"/api/v1{plan}/pen").status_code == 200


def test_who_changed_the_draft_is_no_second_person(bridge: House) -> None:
    """Whoever made, edited or took back a step since the last revision is not the second person."""
    berg, dahl = bridge.signed_in("berg"), bridge.signed_in("dahl", "10.0.0.2")
    plan = f"/plans/{berg.post('/plans', EXAMPLES['PlanRequest']).json()['id']}"
    _edit(dahl, plan, 150.0)
    tag = {"If-Match": berg.get(plan).headers["etag"]}
    assert berg.post(f"{plan}/undo", headers=tag).status_code == 200
    assert berg.send("DELETE", f"/api/v1{plan}/pen").status_code == 200
    master = bridge.signed_in("lund", "10.0.0.3")
    assert master.post(f"{plan}/revisions").status_code == 201
    for account in ("berg", "dahl", "lund"):
        by = {"account": account, "password": PASSWORD}
        refused = master.post(f"{plan}/revisions/1/checks", {"by": by})
        assert refused.status_code == 403, account
        assert "second person" in refused.json()["detail"]
    offered_by = berg.get(f"{plan}/revisions/1/record").json()["decisions"][0]
    assert [one["name"] for one in offered_by["editors"]] == ["A. Berg", "C. Dahl"]


def test_a_revision_forgets_who_changed_the_one_before(bridge: House) -> None:
    berg, dahl = bridge.signed_in("berg"), bridge.signed_in("dahl", "10.0.0.2")
    plan = f"/plans/{berg.post('/plans', EXAMPLES['PlanRequest']).json()['id']}"
    _edit(dahl, plan, 150.0)
    assert berg.post(f"{plan}/revisions").status_code == 201
    _edit(berg, plan, 160.0)
    assert berg.post(f"{plan}/revisions").status_code == 201
    checked = dahl.post(f"{plan}/revisions/2/checks", {"by": {"password": PASSWORD}})
    assert checked.status_code == 201, checked.text


def test_the_shore_and_the_masters_answer_take_the_password_again(bridge: House) -> None:
    bridge.account("supt", grant("superintendent", "own"), person="S. Upt", rank="Superintendent")
    berg = bridge.signed_in("berg")
    place = offered(berg)
    plan = place.partition("/revisions")[0]
    finding = berg.get(place).json()["result"]["findings"][0]["id"]
    explained = berg.post(
        f"{plan}/explanations", {"finding_id": finding, "words": "seen", "revision": 1}
    )
    assert explained.status_code == 201, explained.text
    answers = f"{plan}/explanations/{explained.json()['id']}/answers"
    asked = (
        ("supt", f"{place}/shore-decisions", {"kind": "agree"}),
        ("lund", answers, {"answer": "accepted"}),
    )
    for account, path, body in asked:
        browser = bridge.signed_in(account, "10.0.0.4")
        without = browser.post(path, body)
        assert without.status_code == 422, without.text
        assert without.json()["errors"][0]["pointer"] == "/by/password"
        wrong = browser.post(path, {**body, "by": {"password": "not this one"}})
        assert wrong.status_code == 401
        assert berg.post(path, {**body, "by": {"password": PASSWORD}}).status_code == 403
        assert browser.post(path, {**body, "by": {"password": PASSWORD}}).status_code == 201
