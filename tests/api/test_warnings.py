"""Pasted warnings and files of dangers become dangers only when somebody takes them."""

import pytest

from tests.api.conftest import Client
from tests.api.keeping import post

AREA = "NAVAREA I 124/26 GUNNERY IN AREA BOUNDED BY {0} {1} {2}"
ROUTE = {
    "name": "r",
    "waypoints": [
        {"id": "a", "lat_deg": 47.0, "lon_deg": -30.1},
        {"id": "b", "lat_deg": 47.2, "lon_deg": -30.1},
    ],
}


def read(client: Client, text: str, chosen: list[dict] | None = None) -> dict:
    answer = post(client, "/api/v1/warnings/read", {"text": text, "chosen": chosen or []})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_warning_that_is_taken_is_a_danger_of_the_plan(client: Client) -> None:
    (message,) = read(
        client,
        "NAVAREA I 123/26 251830 UTC NOV 26\nWRECK IN 47-06.0N 030-06.0W\n"
        "CANCEL THIS MSG 281200 UTC NOV 26",
    )["messages"]
    (taken,) = message["takings"]["points"]
    assert taken["properties"]["warning"]["number"] == "NAVAREA I 123/26"
    assert taken["properties"]["warning"]["cancel_utc"] == "2026-11-28T12:00:00Z"
    hazards = {"type": "FeatureCollection", "features": [taken]}
    plan = post(client, "/api/v1/plan", {"route": ROUTE, "hazards": hazards}).json()
    (row,) = plan["clearances"]
    assert (row["hazard_id"], row["distance_m"]) == ("NAVAREA I 123/26 1", 0.0)
    stored = post(client, "/api/v1/hazard-sets", {"name": "Warnings", "hazards": hazards})
    assert stored.status_code == 201, stored.text


def test_a_position_in_question_withholds_lines_and_areas_until_it_is_settled(
    client: Client,
) -> None:
    text = AREA.format("47-05-10N 030-10-10W", "47-09.0N 030-10.0W", "47-09.0N 030-01.0W")
    answer = read(client, text)
    (message,) = answer["messages"]
    assert answer["in_question_count"] == 1
    assert "area" not in message["takings"]
    assert message["missing"]["area"] == "1 positions of it are not settled"
    start = next(one["start"] for one in message["positions"] if not one["settled"])
    seconds = read(client, text, [{"start": start, "reading": 0}])["messages"][0]
    (area,) = seconds["takings"]["area"]
    assert area["geometry"]["coordinates"][0][0] == pytest.approx([-30.16944444, 47.08611111])
    left_out = read(client, text, [{"start": start, "reading": None}])["messages"][0]
    assert left_out["missing"]["area"] == "three positions are needed"
    assert len(left_out["takings"]["points"]) == 2


def test_an_area_over_180_degrees_is_cut_there(client: Client) -> None:
    text = AREA.format("10-00N 179-30E", "11-00N 179-30E", "10-30N 179-30W")
    (message,) = read(client, text)["messages"]
    (area,) = message["takings"]["area"]
    assert area["geometry"]["type"] == "MultiPolygon"
    lons = {place[0] for part in area["geometry"]["coordinates"] for place in part[0]}
    assert {min(lons), max(lons)} == {-180.0, 180.0}
    across = [
        {"id": "a", "lat_deg": 10.5, "lon_deg": 179.9},
        {"id": "b", "lat_deg": 10.5, "lon_deg": -179.9},
    ]
    body = {
        "route": {"name": "r", "waypoints": across},
        "hazards": {"type": "FeatureCollection", "features": [area]},
    }
    assert post(client, "/api/v1/plan", body).json()["clearances"][0]["side"] == "crossed"


def test_sides_that_cross_make_no_area(client: Client) -> None:
    places = "47-00N 030-00W 47-10N 030-10W 47-10N 030-00W 47-00N 030-10W"
    (message,) = read(client, f"NAVAREA I 1/26 AREA {places}")["messages"]
    assert "cross" in message["missing"]["area"]
    assert "line" in message["takings"]


def test_within_a_distance_of_a_position_counts_as_uncertainty(client: Client) -> None:
    (message,) = read(client, "NAVAREA I 2/26 MINE WITHIN 2 MILES OF 47-00N 030-00W")["messages"]
    assert message["suggested_shape"] == "circle"
    (danger,) = message["takings"]["circle"]
    assert danger["properties"]["position_uncertainty_m"] == 3704.0


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"text": ""}, "/text"),
        ({"text": "x", "chosen": [{"start": 0, "reading": 1}] * 2}, "/chosen"),
        ({"text": "x", "shape": "area"}, "/shape"),
    ],
)
def test_a_bad_request_is_told_by_member(client: Client, body: dict, pointer: str) -> None:
    answer = post(client, "/api/v1/warnings/read", body)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


def send(client: Client, body: bytes, name: str) -> tuple[int, dict]:
    answer = client.send("POST", "/api/v1/hazards/read", files={"file": (name, body)})
    return answer.status_code, answer.json()


def test_a_table_of_dangers_is_read_row_by_row(client: Client) -> None:
    status, answer = send(
        client, b"name,lat,lon,kind\nGat,47.1,-30.1,rock\nStell,97.1,-30.1,rock\n", "dangers.csv"
    )
    assert (status, answer["accepted_count"], answer["rejected_count"]) == (200, 1, 1)
    assert [row["problem"] for row in answer["report"]] == [
        None,
        "latitude 97.1 is over 90 degrees",
    ]
    body = {"route": ROUTE, "hazards": answer["hazards"]}
    assert post(client, "/api/v1/plan", body).json()["clearances"][0]["distance_m"] == 0.0


def test_geojson_dangers_are_taken_whole_or_refused_by_member(client: Client) -> None:
    good = (
        b'{"type":"FeatureCollection","features":[{"type":"Feature","geometry":'
        b'{"type":"Point","coordinates":[-30,47]},"properties":{"kind":"rock"}}]}'
    )
    status, answer = send(client, good, "d.geojson")
    assert (status, answer["accepted_count"]) == (200, 1)
    status, answer = send(client, good.replace(b"-30,47", b"-30,97"), "d.geojson")
    assert status == 422
    assert answer["errors"][0]["pointer"].startswith("/features/0/geometry")
    assert send(client, b"latitude,longitude\nx,y\n", "d.csv")[0] == 422
    assert send(client, b"just words", "d.txt")[0] == 415


def _times_said(client: Client, **given: object) -> tuple[list[tuple[str, str]], str]:
    """Return the notes on a warning that is cancelled on 28 November at noon, and what is open."""
    about = {"number": "NAVAREA I 123/26", "cancel_utc": "2026-11-28T12:00:00Z"}
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-30.1, 47.1]},
            "properties": {"kind": "navigational warning", "warning": {**about, **warning}},
        }
        for warning in (given.pop("warning", {}),)
    ]
    route = {**ROUTE, "waypoints": [ROUTE["waypoints"][0], {**ROUTE["waypoints"][1]}]}  # type: ignore[index]
    route["waypoints"][1]["leg"] = {"speed_kn": 12.0}
    hazards = {"type": "FeatureCollection", "features": features}
    plan = post(client, "/api/v1/plan", {"route": route, "hazards": hazards, **given}).json()
    # Cancelled or not, its danger counts.
    assert [one["distance_m"] for one in plan["clearances"]] == [0.0]
    notes = [(one["code"], one["grade"]) for one in plan["findings"] if "warning_" in one["code"]]
    (row,) = [one for one in plan["checks"]["rows"] if one["check"] == "dangers_loaded"]
    return notes, str(row["reason"])


def test_a_warning_cancelled_before_the_departure_or_the_passing_is_said(client: Client) -> None:
    """She is an hour on the leg, and comes to it at the departure."""
    after, before = "2026-11-28T12:30:00Z", "2026-11-28T11:30:00Z"
    assert _times_said(client, departure_utc=after)[0] == [("warning_cancelled", "note")]
    assert _times_said(client, departure_utc=before)[0] == []
    later = {"issued_utc": "2026-11-28T11:00:00Z"}
    soon = "2026-11-28T09:00:00Z"
    assert _times_said(client, departure_utc=soon, warning=later)[0] == [("warning_later", "note")]
    assert _times_said(client, departure_utc=before, warning=later)[0] == []


def test_without_a_departure_nobody_knows_which_warnings_are_in_force(client: Client) -> None:
    notes, left_open = _times_said(client)
    assert notes == []
    assert "whether 1 warnings with a time of their own are in force" in left_open
