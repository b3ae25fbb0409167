"""The difference of two revisions by JSON."""

import pytest

from tests.api.conftest import Client
from tests.api.keeping import SHIP, act, hazards, moved, post, put, stored_plan
from wheelover.api import create_app
from wheelover.api.schemas.difference import DifferenceOut


@pytest.fixture
def client() -> Client:
    return Client(create_app())


def compare(client: Client, place: str, was: int | str, now: int | str, **headers: str):
    return client.get(f"{place}/differences", params={"was": was, "now": now}, headers=headers)


def test_two_revisions_and_the_draft(client: Client) -> None:
    place, made = stored_plan(client)
    frozen = [act(client, f"{place}/revisions", None)]
    tag = client.get(place).headers["etag"]
    changed = put(client, place, moved(made.json()["inputs"], 2, 0.002), tag)
    draft = compare(client, place, 1, "draft")
    assert draft.status_code == 200
    frozen.append(act(client, f"{place}/revisions", None))
    answer = compare(client, place, 1, 2)
    document = answer.json()
    DifferenceOut.model_validate(document)
    DifferenceOut.model_validate(draft.json())
    assert [document[side]["number"] for side in ("was", "now")] == [1, 2]
    assert [document[side]["sha256"] for side in ("was", "now")] == [
        one.json()["sha256"] for one in frozen
    ]
    assert document["same_inputs"] is False
    said = {one["id"]: one["sentence"] for one in document["changes"]}
    assert said["waypoint/C/position"].startswith("WPT 03 moved 0.12 NM 000 T ")
    assert draft.json()["changes"] == document["changes"]
    assert draft.json()["now"]["number"] is None
    assert draft.json()["now"]["inputs_sha256"] == document["now"]["inputs_sha256"]
    back = compare(client, place, 2, 1).json()["changes"]
    assert "180 T" in next(one["sentence"] for one in back if one["what"] == "position")
    assert compare(client, place, 2, 2).json()["changes"] == []
    assert changed.status_code == 200


def test_what_is_held_already_is_not_sent_again(client: Client) -> None:
    place, made = stored_plan(client)
    act(client, f"{place}/revisions", None)
    first = compare(client, place, 1, "draft")
    again = compare(client, place, 1, "draft", **{"If-None-Match": first.headers["etag"]})
    assert again.status_code == 304
    tag = client.get(place).headers["etag"]
    put(client, place, moved(made.json()["inputs"], 1, 0.01), tag)
    other = compare(client, place, 1, "draft", **{"If-None-Match": first.headers["etag"]})
    assert other.status_code == 200
    assert other.headers["etag"] != first.headers["etag"]


def test_editions_of_stored_things_are_looked_into(client: Client) -> None:
    near, far = (47.1, -30.001), (10.0, 10.0)
    ship = post(client, "/api/v1/ships", SHIP)
    gat = post(client, "/api/v1/hazard-sets", {"name": "Gat", "hazards": hazards(near)})
    place, made = stored_plan(
        client, ship=None, ship_id=ship.json()["id"], hazard_set_ids=[gat.json()["id"]]
    )
    assert act(client, f"{place}/revisions", None).status_code == 201
    kept = gat.headers["location"]
    later = {"name": "Gat", "hazards": hazards((47.11, -30.001), far)}
    put(client, kept, later, gat.headers["etag"])
    put(client, ship.headers["location"], {**SHIP, "beam_m": 33.0}, ship.headers["etag"])
    pinned = compare(client, place, 1, "draft")
    assert pinned.json()["changes"] == []
    newest = compare(client, place, 1, "newest")
    assert newest.headers["etag"] != pinned.headers["etag"]
    assert client.get(place).json()["inputs"] == made.json()["inputs"]
    said = [one["sentence"] for one in newest.json()["changes"]]
    assert "Ship beam was 32 m, now 33 m" in said
    assert (
        "Danger rock-0 moved 0.60 NM 000 T (was 47-06.000N 030-00.060W, now 47-06.600N 030-00.060W)"
        in said
    )
    assert (
        "Hazard set Gat was edition 1, now edition 2: 1 added, 1 moved; near the track: rock-0"
        in said
    )


def test_what_is_not_there_or_not_asked_well(client: Client) -> None:
    place, _ = stored_plan(client)
    act(client, f"{place}/revisions", None)
    assert compare(client, place, 1, 7).status_code == 404
    assert compare(client, place, 7, "draft").status_code == 404
    assert compare(client, "/api/v1/plans/nowhere", 1, "draft").status_code == 404
    for was, now in ((0, 1), ("draft", 1), (1, "latest"), (1, 0), (1, "1e3")):
        assert compare(client, place, was, now).status_code == 422, (was, now)
    assert client.get(f"{place}/differences").status_code == 422
