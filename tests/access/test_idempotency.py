"""A request sent again, where people sign in: by whom it may be, and what is kept of it."""

from pathlib import Path

from tests import zoo
from tests.access.people import PASSWORD, SECOND_PASSWORD, House, grant

AGAIN = {"Idempotency-Key": "one-of-ours"}


def test_sent_again_it_is_done_once_and_nobody_else_is_told(house: House) -> None:
    house.account("berg", grant("navigator", "own"))
    house.account("dahl", grant("navigator", "own"))
    browser = house.signed_in("berg")
    first, second = (browser.post("/plans", zoo.request(), headers=AGAIN) for _ in range(2))
    assert first.json()["id"] == second.json()["id"]
    assert second.headers["idempotency-replayed"] == "true"
    other = house.signed_in("dahl").post("/plans", zoo.request(), headers=AGAIN)
    assert other.json()["id"] != first.json()["id"]


def test_who_is_signed_out_is_told_nothing_of_what_was_answered(house: House) -> None:
    house.account("berg", grant("navigator", "own"))
    browser = house.signed_in("berg")
    assert browser.post("/plans", zoo.request(), headers=AGAIN).status_code == 201
    token = browser.cookies["wheelover"]
    assert browser.send("DELETE", "/api/v1/session").status_code == 204
    browser.cookies.set("wheelover", token)
    refused = browser.post("/plans", zoo.request(), headers=AGAIN)
    assert refused.status_code == 401


def test_what_is_shown_once_is_not_kept(house: House, tmp_path: Path) -> None:
    """Neither as it was answered nor as a digest by which a password could be guessed quickly."""
    import hashlib  # noqa: PLC0415
    import json  # noqa: PLC0415

    admin = house.administrator()
    body = {"name": "display", "scopes": ["read"], "reach": "vessel", "of": "own", "days": 9}
    key = admin.post("/keys", body, headers=AGAIN).json()["key"]
    again = admin.post("/keys", body, headers=AGAIN)
    assert again.status_code == 303
    house.account("berg", grant("navigator", "own"))
    signing = {"account": "berg", "password": PASSWORD}
    browser = house.browser()
    assert browser.post("/session", signing, headers=AGAIN).status_code == 200
    house.store.close()
    dump = b"".join(
        one.read_bytes() for one in tmp_path.iterdir() if one.name.startswith("house.sqlite3")
    )
    raw = json.dumps(signing, separators=(",", ":")).encode()
    asked = b"POST\n/api/v1/session\n\napplication/json\n\n" + raw
    for secret in (key.split("_")[2], PASSWORD, SECOND_PASSWORD, hashlib.sha256(asked).hexdigest()):
        assert secret.encode() not in dump
    assert browser.cookies["wheelover"].encode() not in dump
