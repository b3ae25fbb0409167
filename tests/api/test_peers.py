"""Who an installation is, and pairing: a key is pinned after its fingerprint was read by voice."""

import re
from pathlib import Path

import pytest

from tests.api.keeping import post
from tests.api.sides import MATE, Side, Sides, keep_plan, offer, two_sides


@pytest.fixture
def sides() -> Sides:
    return two_sides()


def test_an_installation_is_the_same_every_time(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'one.sqlite3'}"
    one = Side(url, "MV Zoo", "ship")
    card = one.card()
    one.store.close()
    again = Side(url, "MV Zoo", "ship")
    assert again.card() == card
    assert re.fullmatch(r"([0-9]{5} ){7}[0-9]{5}", card["fingerprint"])
    assert Side(None, "MV Zoo", "ship").card()["public_key"] != card["public_key"]


def test_the_private_key_is_shown_nowhere(sides: Sides) -> None:
    with sides.ship.store.reading() as unit:
        (key,) = unit.peers.own_keys()
    private = key.private_key.hex()
    for path in ("/api/v1/peers/self", "/api/v1/peers", f"/api/v1/peers/{sides.shore.id}"):
        assert private not in sides.ship.get(path).text
    assert private not in str(sides.ship.audit())


def test_a_peer_is_listed_with_its_fingerprint(sides: Sides) -> None:
    (listed,) = sides.ship.get("/api/v1/peers").json()["items"]
    assert listed["fingerprint"] == sides.shore.card()["fingerprint"]
    assert (listed["state"], listed["name"], listed["side"]) == ("paired", "Zoo office", "shore")
    assert listed["vessel_id"] == "own"
    assert sides.vessel_id not in ("own", "")


def test_another_fingerprint_than_the_one_read_is_not_paired() -> None:
    ship, shore = Side(None, "MV Zoo", "ship"), Side(None, "Office", "shore")
    card = shore.card()
    digits = card["fingerprint"]
    other = ("1" if digits[0] == "0" else "0") + digits[1:]
    answer = post(ship, "/api/v1/peers", {**card, "fingerprint": other, "by": MATE})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/fingerprint"
    assert ship.get("/api/v1/peers").json()["items"] == []
    spoken = digits.replace(" ", "-")
    assert post(ship, "/api/v1/peers", {**card, "fingerprint": spoken, "by": MATE}).is_success


@pytest.mark.parametrize("member", ["id", "side", "public_key"])
def test_the_fingerprint_covers_what_is_pinned(member: str) -> None:
    ship, shore = Side(None, "MV Zoo", "ship"), Side(None, "Office", "shore")
    stranger = Side(None, "Stranger", "ship").card()
    body = {**shore.card(), member: stranger[member], "by": MATE}
    assert post(ship, "/api/v1/peers", body).status_code == 422


def test_pairing_needs_a_name(sides: Sides) -> None:
    card = Side(None, "Third", "shore").card()
    answer = post(sides.ship, "/api/v1/peers", card)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/by"


def test_pairing_again_changes_nothing_and_another_key_is_refused(sides: Sides) -> None:
    assert sides.ship.pair(sides.shore).status_code == 201
    assert sides.shore.send("POST", "/api/v1/peers/self/keys", json={"lost": True}).is_success
    assert sides.ship.pair(sides.shore).status_code == 409


def test_a_side_is_not_paired_with_itself() -> None:
    ship = Side(None, "MV Zoo", "ship")
    assert ship.pair(ship).status_code == 422


def test_the_side_stays_once_it_is_paired(sides: Sides) -> None:
    place = "/api/v1/peers/self"
    assert sides.ship.send("PUT", place, json={"name": "x", "side": "shore"}).status_code == 409
    assert sides.ship.send("PUT", place, json={"name": "New", "side": "ship"}).status_code == 200


def test_what_a_revoked_peer_sends_is_refused_and_recorded(sides: Sides) -> None:
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    body = sides.ship.parcel(sides.shore, plan_id)
    gone = sides.shore.send("DELETE", f"/api/v1/peers/{sides.ship.id}")
    assert gone.json()["state"] == "revoked"
    answer = sides.shore.take(body)
    assert answer.status_code == 422
    assert "revoked" in answer.json()["detail"]
    assert sides.shore.get("/api/v1/plans").json()["items"] == []
    refusal = sides.shore.audit(sides.vessel_id)[0]
    assert (refusal["what"], refusal["reason"]) == ("parcel.refused", "key")
    assert sides.shore.pair(sides.ship).status_code == 409
    made = sides.shore.send("POST", f"/api/v1/peers/{sides.ship.id}/parcels", json={})
    assert made.status_code == 409


def test_a_new_key_is_announced_by_the_old_one(sides: Sides) -> None:
    """The old key signs until the other side has the new one; then the old one is refused."""
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    first = ship.parcel(shore, plan_id)
    assert shore.taken(first)["state"] == "taken"
    old = ship.card()["public_key"]
    new = ship.send("POST", "/api/v1/peers/self/keys", json={}).json()["public_key"]
    assert new != old
    second = ship.parcel(shore)
    assert shore.taken(second)["state"] == "taken"
    assert ship.taken(shore.parcel(ship))["state"] == "taken"
    third = ship.parcel(shore)
    from wheelover.formats.parcel import key_id_of  # noqa: PLC0415

    assert third[14:46].hex() == key_id_of(bytes.fromhex(new))
    assert second[14:46].hex() == first[14:46].hex() == key_id_of(bytes.fromhex(old))
    assert shore.taken(third)["state"] == "taken"
    assert shore.taken(second)["state"] == "already_taken"
    peer = shore.get(f"/api/v1/peers/{ship.id}").json()
    assert peer["fingerprint"] == ship.card()["fingerprint"]
    with ship.store.reading() as unit:
        newest, oldest = unit.peers.own_keys()
    assert newest.private_key is not None
    assert oldest.private_key is None


def test_a_lost_key_is_revoked_and_paired_anew_by_voice(sides: Sides) -> None:
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    assert ship.send("POST", "/api/v1/peers/self/keys", json={"lost": True}).is_success
    body = ship.parcel(shore, plan_id)
    assert shore.take(body).status_code == 422
    assert shore.send("DELETE", f"/api/v1/peers/{ship.id}").is_success
    assert shore.pair(ship).status_code == 201
    assert shore.taken(body)["state"] == "taken"
