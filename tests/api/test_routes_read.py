"""POST /api/v1/routes/read: the report, and that its route is what a plan takes."""

import json

import pytest

from tests.api.conftest import Client
from tests.formats.test_exchange_route import A, B, C, route
from tests.formats.test_exchange_times import schedule
from wheelover.api.schemas.reading import ReadingResponse

CSV = b"""id,latitude,longitude,turn_radius_nm,speed_kn
a,47-00.0N,030-00.0W,,
b,47-61.0N,030-00.0W,0.5,12
c,47-12.0N,030-00.0W,0.5,12
d,47-12.0N,029-30.0W,,10
"""


def test_the_route_that_is_read_can_be_planned(client: Client) -> None:
    answer = client.read(CSV, "zoo passage.csv")
    assert answer.status_code == 200
    ReadingResponse.model_validate(answer.json())
    body = answer.json()
    assert (body["format"], body["accepted_count"], body["rejected_count"]) == ("csv", 3, 1)
    assert body["route"]["name"] == "zoo passage"
    assert body["report"][1] == {
        "line": 3,
        "raw": "b,47-61.0N,030-00.0W,0.5,12",
        "understood": None,
        "problem": "latitude: minutes 61.0, must be under 60",
        "in_question": False,
        "choices": [],
        "waypoint_id": None,
    }
    plan = client.plan({"route": body["route"]})
    assert plan.status_code == 200
    assert [leg["to_id"] for leg in plan.json()["legs"]] == ["d"]


def test_the_exported_layers_read_back_as_the_same_route(client: Client) -> None:
    demonstration = client.get("/api/v1/demonstration").json()["request"]
    layers = client.plan(demonstration).json()["layers"]
    body = client.read(json.dumps(layers).encode(), "plan.geojson").json()
    read = [(w["id"], w.get("turn_radius_nm")) for w in body["route"]["waypoints"]]
    given = [(w["id"], w.get("turn_radius_nm")) for w in demonstration["route"]["waypoints"]]
    assert read == given
    for one, other in zip(
        body["route"]["waypoints"], demonstration["route"]["waypoints"], strict=True
    ):
        assert one["lat_deg"] == pytest.approx(other["lat_deg"], abs=1e-9)
        assert one["lon_deg"] == pytest.approx(other["lon_deg"], abs=1e-9)


def test_holes_and_legs_survive_the_export(client: Client) -> None:
    route = client.read(CSV).json()["route"]
    route["waypoints"][1]["leg"].update(line="geodesic", xtd_port_nm=0.2, min_clearance_m=400.0)
    route["waypoints"][-1]["gap_after"] = True
    layers = client.plan({"route": route}).json()["layers"]
    assert client.read(json.dumps(layers).encode()).json()["route"]["waypoints"] == [
        {**waypoint, "lat_deg": pytest.approx(waypoint["lat_deg"], abs=1e-9)}
        for waypoint in route["waypoints"]
    ]


@pytest.mark.parametrize(
    ("body", "status", "place"),
    [
        (b"", 422, None),
        (b"lat,lon\nx,y\n", 422, {"line": 2}),
        (b"lat,depth\n1,2\n", 422, {"line": 1}),
        (b'{"type": "LineString", "coordinates": [[1, NaN]]}', 422, {"line": 1}),
        (b'{"type": "Polygon", "coordinates": []}', 422, {"pointer": "/features"}),
        (b"\x00\x01\x02\x03", 415, None),
        (b"no route at all", 415, None),
        (b"<gpx/>", 415, None),
    ],
)
def test_bad_files(client: Client, body: bytes, status: int, place: dict | None) -> None:
    answer = client.read(body)
    assert answer.status_code == status
    if place is not None:
        assert place.items() <= answer.json()["errors"][0].items()


EXCHANGE = b"""<route version="1.1" xmlns="http://www.cirm.org/RTZ/1/1"><waypoints>
<waypoint id="1"><position lat="47.0" lon="-30.0"/></waypoint>
<waypoint id="2" radius="0.5"><position lat="47.2" lon="-30.0"/><leg safetyDepth="12"/></waypoint>
<waypoint id="3"><position lat="x" lon="-30.0"/></waypoint>
<waypoint id="4"><position lat="47.2" lon="-29.6"/></waypoint>
</waypoints></route>"""


def test_route_exchange_is_read_planned_and_carried(client: Client) -> None:
    body = client.read(EXCHANGE, "zoo.rtz").json()
    ReadingResponse.model_validate(body)
    assert (body["format"], body["accepted_count"], body["rejected_count"]) == ("rtz", 3, 1)
    assert body["report"][2]["line"] == 4
    assert body["route"]["waypoints"][2]["gap_before"] is True
    kept = body["route"]["carried"]
    assert [one["xml"] for one in kept] == ['<leg safetyDepth="12"/>']
    assert client.plan({"route": body["route"]}).status_code == 200


@pytest.mark.parametrize(
    ("changed", "pointer"),
    [
        ({"xml": "<leg>"}, "/route/carried/0"),
        ({"xml": "<!DOCTYPE a><a/>"}, "/route/carried/0"),
        ({"xml": "<a/>" + "x" * 70_000}, "/route/carried/0/xml"),
        ({"into": "anywhere"}, "/route/carried/0"),
        ({"into": "waypoints", "kind": "element", "xml": "<waypoint/>"}, "/route/carried/0"),
        ({"kind": "extension", "xml": '<e manufacturer="wheelover"/>'}, "/route/carried/0"),
        ({"kind": "script"}, "/route/carried/0/kind"),
        ({"more": 1}, "/route/carried/0/more"),
    ],
)
def test_carried_pieces_that_could_not_be_written_are_refused(
    client: Client, changed: dict, pointer: str
) -> None:
    route = client.read(EXCHANGE, "zoo.rtz").json()["route"]
    route["carried"][0].update(changed)
    answer = client.plan({"route": route})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize(
    ("body", "status", "place"),
    [
        (b"<route version='1.2'><waypoints>", 422, {"line": 1, "column": 33}),
        (b"<!DOCTYPE gpx><gpx/>", 422, {"line": 1}),
        (b"<route version='9'/>", 415, {"line": 1}),
        (b"\n<kml/>", 415, {"line": 2}),
    ],
)
def test_bad_xml_names_its_place(client: Client, body: bytes, status: int, place: dict) -> None:
    answer = client.read(body, "zoo.rtz")
    assert answer.status_code == status
    assert place.items() <= answer.json()["errors"][0].items()


def test_names_of_files_are_only_names(client: Client) -> None:
    answer = client.read(CSV, "../../etc/<img onerror=x>.csv").json()
    assert answer["route"]["name"] == "<img onerror=x>"


def test_times_of_a_schedule_come_back_as_wishes_of_the_route(client: Client) -> None:
    """What the reader answers of them is a route that a plan takes as it is."""
    file = route(
        A, B, C,
        after=schedule(
            'waypointId="2" speed="11.5"',
            'waypointId="3" eta="2026-12-01T09:00:00Z" stay="PT90M"',
        ),
    )  # fmt: skip
    body = client.read(file, "a.rtz").json()
    waypoints = body["route"]["waypoints"]
    assert waypoints[1]["leg"]["speed_over_ground_kn"] == 11.5
    assert (waypoints[2]["eta_utc"], waypoints[2]["stay_min"]) == ("2026-12-01T09:00:00Z", 90.0)
    assert any("as wishes: ETA (1)" in note for note in body["notes"])
    plan = client.plan({"route": body["route"]})
    assert plan.status_code == 200, plan.text
    given = plan.json()["schedule"]["rows"][2]
    assert (given["eta_given_utc"], given["stay_s"]) == ("2026-12-01T09:00:00Z", 5400.0)
