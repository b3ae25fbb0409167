"""Dangers of stored sets are read once and kept within bounds; plans do not notice."""

import hashlib
from concurrent.futures import ThreadPoolExecutor

import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import hazards, post
from wheelover.api import create_app
from wheelover.api.schemas.hazards import HazardsIn
from wheelover.api.schemas.stored_dangers import STORED_DANGERS, StoredDangers
from wheelover.store.library import Edition
from wheelover.usecases.canonical import canonical
from wheelover.usecases.gather import Loaded


def _loaded(lat_deg: float) -> Loaded:
    body = canonical(hazards((lat_deg, -30.0)))
    edition = Edition(
        id="set",
        edition=1,
        newest=1,
        name="Gat",
        source=None,
        item_count=1,
        sha256=hashlib.sha256(body).hexdigest(),
        created_utc="2026-11-25T14:02:00Z",
        seq=1,
    )
    return Loaded(edition=edition, body=body)


def test_the_sets_used_last_are_kept_within_bounds() -> None:
    sets = [_loaded(lat_deg) for lat_deg in (47.1, 47.2, 47.3)]
    digests = [one.edition.sha256 for one in sets]
    kept = StoredDangers(most_bytes=2 * len(sets[0].body) + 10)
    first = kept.of(sets[0])
    kept.of(sets[1])
    assert kept.of(sets[0]) is first
    kept.of(sets[2])
    assert kept.digests == (digests[0], digests[2])
    assert kept.of(sets[1]).features.hazards.points.lat_deg.tolist() == [47.2]
    assert kept.digests == (digests[2], digests[1])


def test_a_set_larger_than_all_bounds_is_read_and_not_kept() -> None:
    kept = StoredDangers(most_bytes=10)
    assert kept.of(_loaded(47.1)).features.hazards.count == 1
    assert kept.digests == ()


def test_threads_share_what_is_kept() -> None:
    sets = [_loaded(47.0 + 0.1 * index) for index in range(4)]
    kept = StoredDangers(most_bytes=3 * len(sets[0].body) + 10)

    def use(index: int) -> tuple[float, HazardsIn]:
        return 47.0 + 0.1 * (index % 4), kept.of(sets[index % 4])

    with ThreadPoolExecutor(8) as threads:
        for lat_deg, found in threads.map(use, range(400)):
            assert found.features.hazards.points.lat_deg[0] == lat_deg
    assert len(kept.digests) == 3


def test_what_is_kept_cannot_be_changed() -> None:
    found = StoredDangers().of(_loaded(47.1)).features
    for column in (found.id_in_properties, found.hazards.depth_m, found.hazards.points.lat_deg):
        with pytest.raises(ValueError, match="read-only"):
            column[0] = 1


def test_plans_of_a_stored_set_are_the_same_each_time() -> None:
    client = Client(create_app())
    body = hazards((47.05, -30.001), (47.15, -29.99), name="Gat of the three plans")
    body["features"].append(
        {
            "type": "Feature",
            "geometry": {"type": "LineString", "coordinates": [[-30.1, 47.1], [-29.9, 47.1]]},
        }
    )
    ids = [post(client, "/api/v1/hazard-sets", body).json()["id"]]
    request = zoo.request(hazard_set_ids=ids, hazards=None)
    first = client.plan(request)
    assert first.status_code == 200
    assert hashlib.sha256(canonical(body)).hexdigest() in STORED_DANGERS.digests
    assert [client.plan(request).content for _ in range(2)] == [first.content] * 2
    given = client.plan(zoo.request(hazards=body)).json()
    assert given["clearances"] == first.json()["clearances"]


def test_a_track_that_begins_in_a_stored_area_is_planned(client: Client) -> None:
    """Stored columns are locked against writing; what looks into areas must take them so."""
    ring = [[-30.01, 46.99], [-29.99, 46.99], [-29.99, 47.01], [-30.01, 47.01], [-30.01, 46.99]]
    area = {
        "type": "Feature",
        "geometry": {"type": "Polygon", "coordinates": [ring]},
        "properties": {"id": "patch", "kind": "shoal area"},
    }
    collection = {"type": "FeatureCollection", "features": [area]}
    kept = client.send("POST", "/api/v1/hazard-sets", json={"name": "a", "hazards": collection})
    places = [(47.0, -30.0), (47.1, -30.0)]
    waypoints = [
        {"id": f"A{index}", "lat_deg": lat, "lon_deg": lon}
        for index, (lat, lon) in enumerate(places)
    ]
    answer = client.plan(
        {
            "route": {"name": "out of a patch", "waypoints": waypoints},
            "limits": {"min_clearance_m": 100.0},
            "hazard_set_ids": [kept.json()["id"]],
        }
    )
    assert answer.status_code == 200
    assert [one["side"] for one in answer.json()["clearances"]] == ["crossed"]
