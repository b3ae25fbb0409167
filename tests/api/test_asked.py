"""Members of a query that a place does not read are refused and named, at every place."""

import pytest
from fastapi.routing import APIRoute

from tests.api.conftest import Client
from tests.api.keeping import post, stored_plan
from wheelover.api import create_app
from wheelover.api.guarded import FIRST


def test_a_member_that_is_not_read_is_named(client: Client) -> None:
    place, _ = stored_plan(client)
    refused = client.get("/api/v1/plans?before=9&limit=2&in_use=true&page=3")
    assert refused.status_code == 422
    faults = refused.json()["errors"]
    assert [one["pointer"] for one in faults] == ["/before", "/page"]
    assert "it reads cursor, in_use, limit" in faults[0]["message"]
    assert client.get(f"{place}?edit=1").status_code == 422
    assert post(client, "/api/v1/plans?dry_run=1", {}).json()["errors"][0]["pointer"] == "/dry_run"
    assert client.get("/api/v1/openapi.json").status_code == 200


def test_what_is_read_still_is(client: Client) -> None:
    assert client.get("/api/v1/plans?limit=2&cursor=").status_code == 200
    assert client.get("/api/v1/changes?vessel_id=own&after=0&limit=1").status_code == 200
    assert client.get("/api/v1/audit?vessel_id=own&limit=2").status_code == 200
    assert client.get("/healthz?from=a-balancer").status_code == 200
    assert client.get("/?utm=x").status_code == 200


def test_every_place_asks() -> None:
    wanted = [one.dependency for one in FIRST]
    places = [one for one in create_app().routes if isinstance(one, APIRoute)]
    assert len(places) > 100
    for one in places:
        assert [each.call for each in one.dependant.dependencies][: len(wanted)] == wanted, one


@pytest.mark.parametrize("place", ["/api/v1/ships", "/api/v1/hazard-sets", "/api/v1/charts"])
def test_lists_refuse_what_they_do_not_read(client: Client, place: str) -> None:
    assert client.get(f"{place}?offset=50").status_code == 422


def test_a_member_that_is_given_twice_is_refused(client: Client) -> None:
    """Which of the two is meant nobody can say; a proxy may read the other one."""
    refused = client.get("/api/v1/plans?limit=10&limit=20")
    assert refused.status_code == 422
    (fault,) = refused.json()["errors"]
    assert (fault["pointer"], "more than once" in fault["message"]) == ("/limit", True)
