"""The frozen bytes of a revision, which anybody can hash."""

import base64
import hashlib

from tests.api.conftest import Client
from tests.api.keeping import stored_plan
from tests.api.record_keeping import edit, offer
from wheelover.usecases.revisions import revision_of


def test_the_bytes_are_those_that_were_frozen(stored_client: Client) -> None:
    client = stored_client
    place, _ = stored_plan(client)
    offer(client, place)
    shown = client.get(f"{place}/revisions/1").json()
    for packing in ("identity", "gzip"):
        answer = client.get(f"{place}/revisions/1/document", headers={"Accept-Encoding": packing})
        assert answer.status_code == 200
        assert answer.headers["content-type"] == "application/json"
        assert "content-encoding" not in answer.headers
        digest = hashlib.sha256(answer.content)
        assert answer.headers["etag"] == f'"{digest.hexdigest()}"'
        assert digest.hexdigest() == shown["sha256"]
        written = base64.b64encode(digest.digest()).decode()
        assert answer.headers["repr-digest"] == f"sha-256=:{written}:"
    plan_id = place.rpartition("/")[2]
    assert answer.content == revision_of(client.app.state.store, plan_id, 1).body
    edit(client, place, limits={"min_clearance_m": 900.0})
    offer(client, place)
    assert client.get(f"{place}/revisions/1/document").content == answer.content
    other = client.get(f"{place}/revisions/2/document").headers["etag"]
    assert other != answer.headers["etag"]


def test_it_is_not_sent_again_and_not_made_up(stored_client: Client) -> None:
    client = stored_client
    place, _ = stored_plan(client)
    offer(client, place)
    tag = client.get(f"{place}/revisions/1/document").headers["etag"]
    held = client.get(f"{place}/revisions/1/document", headers={"If-None-Match": tag})
    assert (held.status_code, held.content) == (304, b"")
    assert client.get(f"{place}/revisions/2/document").status_code == 404
    assert client.get(f"{place}/revisions/0/document").status_code == 422
