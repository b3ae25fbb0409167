"""What a new edition must touch to make an approval lapse: as far as any check looks, and farther
where the plan names something. Held against the plan itself: the new edition makes a new finding.
"""

from collections.abc import Iterator
from typing import Any

import pytest

from tests import zoo
from tests.api.chart_keeping import imported, water_cell
from tests.api.conftest import Client
from tests.api.keeping import post, put
from tests.api.record_keeping import approve, offer, record
from wheelover.api import create_app

AHEAD = (47.25, -30.0)
"""Where she would be 3 NM beyond the first turn, on the course that she comes with."""
ASIDE = (47.08, -30.075)
"""3 NM to port of the first leg."""
AFAR = (47.1, -29.89)
"""4.5 NM to starboard of it."""


@pytest.fixture
def client(tmp_path: Any) -> Iterator[Client]:
    app = create_app(f"sqlite:///{tmp_path / 'reach.sqlite3'}")
    yield Client(app)
    app.state.imports.close()
    app.state.store.close()


def danger(own: str, place: tuple[float, float], /, **more: Any) -> dict[str, Any]:
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [place[1], place[0]]},
        "properties": {"id": own, **more},
    }


def route(**asked: Any) -> dict[str, Any]:
    """Return a route north and then east, with what is asked of its first leg and turn."""
    leg = {"speed_kn": 22.0, **asked.get("leg", {})}
    return {
        "name": "zoo",
        "waypoints": [
            {"id": "A", "lat_deg": 47.0, "lon_deg": -30.0},
            {
                "id": "B",
                "lat_deg": 47.2,
                "lon_deg": -30.0,
                "turn_radius_nm": 0.5,
                "leg": leg,
                "turn": asked.get("turn", {}),
            },
            {"id": "C", "lat_deg": 47.2, "lon_deg": -29.6, "leg": {"speed_kn": 22.0}},
        ],
    }


ROCK = danger("far-away", (46.0, -35.0))
LIGHT = danger("gat-light", AFAR, kind="light", name="Gat light")
CASES: dict[str, dict[str, Any]] = {
    "cross_track_wider_port": {
        "asked": {"route": route(leg={"xtd_port_nm": 5.0})},
        "before": [ROCK],
        "after": [ROCK, danger("new-rock", ASIDE)],
    },
    "late_helm_danger": {
        "asked": {"route": route(), "limits": {"min_clearance_m": 500.0, "helm_late_s": 600.0}},
        "before": [ROCK],
        "after": [ROCK, danger("new-rock", AHEAD)],
    },
    "cue_not_there": {
        "asked": {"route": route(turn={"cue_ids": ["bearing/gat-light"]})},
        "before": [ROCK, LIGHT],
        "after": [ROCK],
    },
}


def _inputs(hazards: list[dict[str, Any]] | None, **members: Any) -> dict[str, Any]:
    collection = None if hazards is None else {"type": "FeatureCollection", "features": hazards}
    body = zoo.request(**members)
    body.pop("hazards", None)
    return body if collection is None else {**body, "hazards": collection}


def _codes(client: Client, inputs: dict[str, Any]) -> set[str]:
    answer = client.plan(inputs)
    assert answer.status_code == 200, answer.text
    return {one["code"] for one in answer.json()["findings"]}


@pytest.mark.parametrize("code", list(CASES))
def test_an_edition_that_makes_a_finding_makes_the_approval_lapse(
    client: Client, code: str
) -> None:
    case = CASES[code]
    assert code not in _codes(client, _inputs(case["before"], **case["asked"]))
    assert code in _codes(client, _inputs(case["after"], **case["asked"]))
    kept = {
        edition: {
            "name": "set",
            "hazards": {"type": "FeatureCollection", "features": case[edition]},
        }
        for edition in ("before", "after")
    }
    stored = post(client, "/api/v1/hazard-sets", kept["before"]).headers["location"]
    used = {"hazard_set_ids": [stored.rpartition("/")[2]]}
    place = post(client, "/api/v1/plans", _inputs(None, **case["asked"], **used)).headers[
        "location"
    ]
    offer(client, place)
    offered = record(client, place, 1)
    approve(client, place, 1)
    put(client, stored, kept["after"], client.get(stored).headers["etag"])
    found = record(client, place, 1)
    assert found["counts_as_approved"] is False
    assert found["lapses"][0]["cause"] == "hazard_set"
    assert client.get(place).json()["approval_stands"] is False
    # An offer that pins the old edition asks for a reason for the same difference.
    offer(client, place)
    asked = {one["id"] for one in record(client, place, 2)["open_items"]}
    assert {one for one in asked if one.startswith("changed/hazard_set/")}
    assert asked > {one["id"] for one in offered["open_items"]} - {"changed"}


def test_an_edition_that_touches_nothing_is_noted(client: Client) -> None:
    """The same rock matters to nobody where nothing looks so far, and is named by nobody."""
    body = {"name": "set", "hazards": {"type": "FeatureCollection", "features": [ROCK, LIGHT]}}
    stored = post(client, "/api/v1/hazard-sets", body).headers["location"]
    used = {"hazard_set_ids": [stored.rpartition("/")[2]]}
    place = post(client, "/api/v1/plans", _inputs(None, route=route(), **used)).headers["location"]
    offer(client, place)
    approve(client, place, 1)
    far = [ROCK, LIGHT, danger("new-rock", (47.1, -30.11))]
    body = {"name": "set", "hazards": {"type": "FeatureCollection", "features": far}}
    put(client, stored, body, client.get(stored).headers["etag"])
    found = record(client, place, 1)
    assert found["counts_as_approved"] is True
    assert "none where this track looks" in found["notes"][0]["words"]


def _updated(code: str) -> tuple[bytes, bytes]:
    """Return a cell about the route, and an update of it that makes a finding."""
    desk = water_cell("ZZ4GAT")
    if code == "cue_not_there":
        desk.point("LIGHTS", AFAR, fid=300, OBJNAM="Gat light", VALNMR=15, HEIGHT=30)
        base = desk.base()
        desk.delete(300)
    else:
        base = desk.base()
        place = ASIDE if code == "cross_track_wider_port" else AHEAD
        desk.point("UWTROC", place, VALSOU=1.0, fid=300)
    return base, desk.update()


@pytest.mark.parametrize("code", list(CASES))
def test_an_update_of_a_cell_that_makes_a_finding_makes_the_approval_lapse(
    client: Client, code: str
) -> None:
    base, update = _updated(code)
    asked = CASES[code]["asked"]
    imported(client, ("a.000", base))
    if code == "cue_not_there":
        rows = client.plan(_inputs(None, route=route(), all_charts=True)).json()["marks"]["rows"]
        (light,) = (one["id"] for one in rows if one["name"] == "Gat light")
        asked = {"route": route(turn={"cue_ids": [f"bearing/{light}"]})}
    inputs = _inputs(None, **asked, all_charts=True)
    assert code not in _codes(client, inputs)
    place = post(client, "/api/v1/plans", inputs).headers["location"]
    offer(client, place)
    approve(client, place, 1)
    imported(client, ("a.001", update))
    assert code in _codes(client, inputs)
    found = record(client, place, 1)
    assert found["counts_as_approved"] is False
    assert found["lapses"][0]["cause"] == "chart_cell"
