"""Who may bring a parcel: whoever may do so for the vessel of its sender, and to nobody else is
anything told of it.
"""

import hashlib

import pytest

from tests.access.people import House, grant
from tests.api.sides import MATE, Side, keep_plan, offer
from wheelover.core.types.people import Person
from wheelover.formats.parcel import MEDIA_TYPE
from wheelover.usecases.accounts.keys import make_key
from wheelover.usecases.parcels.identity import identity, identity_document
from wheelover.usecases.parcels.pairing import Card, pair


def test_a_parcel_of_another_ship_is_as_good_as_unknown(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WHEELOVER_ACCOUNTS", "off")
    ship = Side(None, "MV Zoo", "ship")
    own, other = house.vessel("MV Zoo", "one"), house.vessel("MV Other", "two")
    store, now_utc = house.store, house.clock()
    card = ship.card()
    person = Person(name="x", rank="y")
    known = Card(**{name: card[name] for name in ("id", "name", "side", "public_key")})
    pair(store, known, card["fingerprint"], own, person, now_utc)
    shore = identity_document(identity(store, now_utc))
    assert ship.send("POST", "/api/v1/peers", json={**shore, "by": MATE}).status_code == 201
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    made = ship.send("POST", f"/api/v1/peers/{shore['id']}/parcels", json={"plans": [plan_id]})
    body = ship.get(made.json()["href"]).content

    by = house.account("boss", grant("superintendent", own))
    keys = {
        name: make_key(store, name, ("parcel",), "vessel", vessel, 9, by, now_utc)[1]
        for name, vessel in (("own", own), ("other", other))
    }

    def bring(name: str) -> int:
        browser = house.browser()
        browser.headers["Authorization"] = f"Bearer {keys[name]}"
        sent = {"Content-Type": MEDIA_TYPE}
        answer = browser.send("POST", "/api/v1/parcels", content=body, headers=sent)
        assert ("Zoo passage" in answer.text) is (name == "own")
        digest = hashlib.sha256(body).hexdigest()
        begun = browser.post("/parcels/uploads", {"size_count": len(body), "sha256": digest})
        taken = begun.json()["state"] == "already_taken"
        assert taken is (name == "own")
        return answer.status_code

    assert bring("other") == 422
    assert bring("own") == 200
    assert bring("other") == 422
    with store.reading() as unit:
        assert unit.plans.get(plan_id).vessel_id == own
