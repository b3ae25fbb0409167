"""A thread on what an input names reads changed once that thing has another edition."""

from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import SHIP, hazards, post, put
from tests.api.record_keeping import NAVIGATOR, edit, offer


def opened(client: Client, place: str, one: str) -> str:
    """Open a thread about an input of r1 and return its id."""
    body = {"anchor": {"kind": "input", "id": one}, "words": "is this right?", "revision": 1,
            "by": NAVIGATOR}  # fmt: skip
    made = post(client, f"{place}/threads", body)
    assert made.status_code == 201, made.text
    return str(made.json()["id"])


@pytest.mark.parametrize("renewed", ["ships", "hazard-sets"])
def test_a_new_edition_is_a_change_of_what_names_it(client: Client, renewed: str) -> None:
    sets: dict[str, Any] = {"name": "zoo set", "hazards": hazards((47.1, -29.97))}
    ship = post(client, "/api/v1/ships", SHIP)
    dangers = post(client, "/api/v1/hazard-sets", sets)
    inputs = zoo.request(ship_id=ship.json()["id"], hazard_set_ids=[dangers.json()["id"]])
    del inputs["ship"]
    place = post(client, "/api/v1/plans", inputs).headers["location"]
    offer(client, place)
    threads = [opened(client, place, one) for one in ("/ship_id", "/hazard_set_ids/0")]
    kept, body, at = {
        "ships": (ship, {**SHIP, "beam_m": 33.0}, "ship_edition"),
        "hazard-sets": (
            dangers,
            {**sets, "hazards": hazards((47.1, -29.97), (47.12, -29.98))},
            "hazard_set_editions",
        ),
    }[renewed]
    assert put(client, kept.headers["location"], body, kept.headers["etag"]).status_code == 200
    newest = 2 if at == "ship_edition" else {dangers.json()["id"]: 2}
    assert edit(client, place, **{at: newest}).status_code == 200
    offer(client, place)
    listed = client.get(f"{place}/threads").json()["items"]
    states = [one["subject"]["state"] for each in threads for one in listed if one["id"] == each]
    assert states == (["changed", "same"] if renewed == "ships" else ["same", "changed"])
