"""The land check by JSON: asked for or not, canals and who answers for them, and the index."""

from typing import Any

import pytest

from tests.api.conftest import Client
from wheelover.charts.land import LAND, NOT_INSTALLED, LandIndex

Document = dict[str, Any]
CANAL = {"reason": "Transit with a pilot.", "by": {"name": "A. Berg", "rank": "master"}}


def body(leg: Document | None = None, **more: Any) -> Document:
    """Return a request over the isthmus that the Kiel Canal crosses, from water to water."""
    places = [(54.05, 8.0), (54.48, 10.45)]
    waypoints: list[Document] = [
        {"id": f"W{number}", "lat_deg": lat, "lon_deg": lon}
        for number, (lat, lon) in enumerate(places)
    ]
    if leg is not None:
        waypoints[1]["leg"] = leg
    return {"route": {"name": "Kiel", "waypoints": waypoints}, **more}


def land_check(plan: Document) -> Document:
    """Return the row of the land check of the only leg."""
    (row,) = [one for one in plan["checks"]["rows"] if one["check"] == "leg_land"]
    return dict(row)


@pytest.mark.parametrize(
    ("given", "words"),
    [({}, "no land check is asked for"), ({"check_land": None}, "no land check is asked for"),
     ({"check_land": False}, "switched off in this plan")],
)  # fmt: skip
def test_what_is_not_asked_for_reads_not_checked(
    client: Client, given: Document, words: str
) -> None:
    plan = client.plan(body(**given)).json()
    row = land_check(plan)
    assert row["result"] == "not_checked"
    assert words in row["reason"]
    assert plan["legs"][0]["land"] is None
    assert not [one for one in plan["layers"]["features"] if one["properties"]["layer"] == "land"]


def test_a_leg_over_land_must_be_resolved_and_is_drawn(client: Client) -> None:
    plan = client.plan(body(check_land=True)).json()
    assert land_check(plan)["result"] == "must_resolve"
    land = plan["legs"][0]["land"]
    assert land["result"] == "must_resolve"
    assert land["source"] == "coastline"
    assert land["nearest_m"] == 0.0
    assert "GSHHG" in land["version"]
    assert land["used"] == []
    length_m = sum(one["to_m"] - one["from_m"] for one in land["on_land"])
    assert 60_000.0 < length_m < 110_000.0
    (found,) = [one for one in plan["findings"] if one["code"] == "land_crossed"]
    assert found["measured"] == pytest.approx(length_m, abs=0.01)
    drawn = [one for one in plan["layers"]["features"] if one["properties"]["layer"] == "land"]
    assert len(drawn) == len(land["on_land"])
    assert drawn[0]["geometry"]["coordinates"][0] == [
        land["on_land"][0]["from"]["lon_deg"], land["on_land"][0]["from"]["lat_deg"],
    ]  # fmt: skip
    (row,) = [one for one in plan["basis"] if one["input"] == "coastline"]
    assert row["value"] == land["version"]


def test_a_canal_waiver_is_an_input_that_is_never_silent(client: Client) -> None:
    without = client.plan(body(check_land=True)).json()
    plan = client.plan(body({"canal": CANAL}, check_land=True)).json()
    assert plan["inputs_sha256"] != without["inputs_sha256"]
    assert plan["legs"][0]["canal"] == {
        "reason": "Transit with a pilot.", "by": {"name": "A. Berg", "rank": "master"},
        "at_utc": None, "from_nm": None, "to_nm": None,
    }  # fmt: skip
    (found,) = [one for one in plan["findings"] if one["code"] == "land_waived"]
    assert found["grade"] == "must_explain"
    assert "A. Berg, master: Transit with a pilot." in found["message"]
    drawn = [one for one in plan["layers"]["features"] if one["properties"]["layer"] == "land"]
    assert all(one["properties"]["waived"] for one in drawn)


@pytest.mark.parametrize(
    ("canal", "pointer"),
    [({"reason": "x"}, "by"), ({"by": {"name": "A"}}, "reason"),
     ({"reason": " ", "by": {"name": "A"}}, "reason"),
     ({"reason": "x", "by": {"name": "A"}, "at_utc": "yesterday"}, "at_utc"),
     ({"reason": "x", "by": {"name": "A", "rank": ""}}, "by/rank"),
     ({"reason": "x", "by": {"name": "A"}, "from_nm": 2.0, "to_nm": -1.0}, "to_nm")],
)  # fmt: skip
def test_a_waiver_without_reason_or_name_is_none(
    client: Client, canal: Document, pointer: str
) -> None:
    answer = client.plan(body({"canal": canal}, check_land=True))
    assert answer.status_code == 422
    pointers = [one["pointer"] for one in answer.json()["errors"]]
    assert pointers == [f"/route/waypoints/1/leg/canal/{pointer}"]


@pytest.mark.parametrize("bounds", [{"from_nm": 2.0}, {"from_nm": 2.0, "to_nm": 2.0}])
def test_a_waiver_has_a_whole_stretch_or_none(client: Client, bounds: Document) -> None:
    canal = {"reason": "x", "by": {"name": "A"}, **bounds}
    answer = client.plan(body({"canal": canal}, check_land=True))
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["pointer"].startswith("/route/waypoints/1/leg/canal")
    assert "from_nm" in error["message"]


def test_the_coastline_stands_in_the_digest(client: Client) -> None:
    asked = client.plan(body(check_land=True)).json()
    again = client.plan(body(check_land=True)).json()
    left_out = client.plan(body(check_land=False)).json()
    assert asked["inputs_sha256"] == again["inputs_sha256"] != left_out["inputs_sha256"]
    assert asked == again


def test_another_coastline_gives_another_digest(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = client.plan(body(check_land=True)).json()
    monkeypatch.setattr("wheelover.usecases.gather.land_version", lambda: "GSHHG of tomorrow")
    after = client.plan(body(check_land=True)).json()
    assert before["inputs_sha256"] != after["inputs_sha256"]


def test_without_the_packages_the_plan_says_so(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    index = LandIndex()
    monkeypatch.setattr("wheelover.charts.coastline.find_spec", lambda _name: None)
    monkeypatch.setattr("wheelover.usecases.coast.LAND", index)
    answer = client.plan(body(check_land=True))
    assert answer.status_code == 200
    row = land_check(answer.json())
    assert row["result"] == "not_checked"
    assert NOT_INSTALLED in row["reason"]
    assert client.get("/api/v1/coastline/index").json()["state"] == "failed"


def test_the_index_says_how_far_it_is_and_asking_begins_nothing(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    index = LandIndex()
    monkeypatch.setattr("wheelover.usecases.coast.LAND", index)
    assert client.get("/api/v1/coastline/index").json() == {
        "state": "not_built", "percent": 0, "version": LAND.state.version, "reason": None,
    }  # fmt: skip
    assert client.plan(body(check_land=True)).status_code == 200
    assert client.get("/api/v1/coastline/index").json()["state"] == "ready"
    assert client.get("/api/v1/coastline/index").json()["percent"] == 100
