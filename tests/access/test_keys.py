"""Keys of other systems: what they are, how long they are good, and what no key ever does."""

import httpx
import pytest

from tests import zoo
from tests.access.people import Browser, House, grant
from wheelover.usecases.accounts.roles import SCOPE_ACTIONS

DAY_S = 24 * 3600


def made(house: House, *scopes: str, **more: object) -> httpx.Response:
    body = {"name": "display", "scopes": list(scopes), "reach": "vessel", "of": "own", "days": 30}
    return house.administrator().post("/keys", {**body, **more})


def bearer(house: House, key: str) -> Browser:
    browser = house.browser("10.0.0.3")
    browser.headers["Authorization"] = f"Bearer {key}"
    return browser


def test_a_key_reads_and_writes_what_its_scopes_say(house: House) -> None:
    reader = bearer(house, made(house, "read").json()["key"])
    writer = bearer(house, made(house, "write").json()["key"])
    plan = writer.post("/plans", zoo.request())
    assert plan.status_code == 201
    place = f"/plans/{plan.json()['id']}"
    assert reader.get(place).status_code == 200
    refused = reader.post("/plans", zoo.request())
    assert refused.status_code == 403
    assert "write" in refused.json()["detail"]


def test_what_a_person_answers_for_no_key_does(house: House) -> None:
    never = {"check", "sign", "decide", "shore_decide", "explain", "discuss", "manage_accounts"}
    assert not never & frozenset().union(*SCOPE_ACTIONS.values())
    key = bearer(house, made(house, "read", "write", "parcel").json()["key"])
    plan = key.post("/plans", zoo.request()).json()["id"]
    assert key.post(f"/plans/{plan}/revisions").status_code == 201
    for place in ("decisions", "checks", "sign-offs", "verified-courses"):
        refused = key.post(f"/plans/{plan}/revisions/1/{place}", {})
        assert refused.status_code == 403, place
        assert "No key" in refused.json()["detail"]


def test_a_key_runs_out_and_can_be_ended(house: House) -> None:
    answer = made(house, "read", days=1)
    key = bearer(house, answer.json()["key"])
    assert key.get("/plans").status_code == 200
    house.clock.pass_by(DAY_S - 1)
    assert key.get("/plans").status_code == 200
    house.clock.pass_by(1)
    assert key.get("/plans").status_code == 401
    second = made(house, "read").json()
    key = bearer(house, second["key"])
    assert key.get("/plans").status_code == 200
    ended = house.administrator().send("DELETE", f"/api/v1/keys/{second['id']}")
    assert ended.json()["revoked_utc"] is not None
    assert key.get("/plans").status_code == 401


@pytest.mark.parametrize(
    "body",
    [
        {"days": 366},
        {"days": 0},
        {"scopes": []},
        {"scopes": ["approve"]},
        {"of": "vessel-of-nobody"},
        {"reach": "fleet", "of": "no fleet"},
        {"reach": "all", "of": ""},
    ],
)
def test_keys_that_are_not_made(house: House, body: dict[str, object]) -> None:
    answer = made(house, "read", **body)
    assert answer.status_code == 422


def test_the_secret_is_shown_once(house: House) -> None:
    answer = made(house, "read").json()
    start, key_id, secret = answer["key"].split("_")
    assert (start, key_id, len(secret)) == ("wo", answer["id"], 64)
    listed = house.administrator().get("/keys")
    assert listed.json()["items"][0]["id"] == key_id
    assert secret not in listed.text


@pytest.mark.parametrize("scheme", ["Basic", "Bearer", "bearer", ""])
def test_what_is_no_key_opens_nothing(house: House, scheme: str) -> None:
    key = made(house, "read").json()["key"]
    browser = house.browser()
    wrong = [
        key[:-1],
        key[:-1] + ("0" if key[-1] != "0" else "1"),
        key + "0",
        "wo_",
        "",
        "x" * 4000,
    ]
    for text in wrong:
        answer = browser.get("/plans", headers={"Authorization": f"{scheme} {text}"})
        assert answer.status_code == 401, text[:80]
    house.account("berg", grant("navigator", "own"))
    signed = house.signed_in("berg")
    answer = signed.get("/plans", headers={"Authorization": f"{scheme} {wrong[1]}"})
    assert answer.status_code == 401, "a wrong key is not made good by a cookie"
