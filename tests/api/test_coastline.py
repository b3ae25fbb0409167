"""GET /api/v1/coastline: tiles, their tags, and what is outside the map."""

import pytest

from tests.api.conftest import Client


def test_a_tile_with_land(client: Client) -> None:
    answer = client.get("/api/v1/coastline/6/32/21")
    assert answer.status_code == 200
    body = answer.json()
    assert body["resolution"] == "1 km"
    assert body["rings"]
    assert all(len(ring) % 2 == 0 and len(ring) >= 8 for ring in body["rings"])
    assert "immutable" in answer.headers["cache-control"]
    held = {"If-None-Match": answer.headers["etag"]}
    assert client.get("/api/v1/coastline/6/32/21", headers=held).status_code == 304
    assert client.get("/api/v1/coastline/6/32/21").content == answer.content


@pytest.mark.parametrize("place", ["2/4/0", "2/0/4", "19/0/0", "-1/0/0", "0/0/x", "0/1/0"])
def test_outside_the_map(client: Client, place: str) -> None:
    assert client.get(f"/api/v1/coastline/{place}").status_code == 422


def test_without_the_packages_it_says_so(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wheelover.charts.coastline.find_spec", lambda _name: None)
    answer = client.get("/api/v1/coastline/0/0/0")
    assert answer.status_code == 404
    assert "not installed" in answer.json()["detail"]
