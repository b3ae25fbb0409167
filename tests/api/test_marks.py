"""The user's own marks and cues of a plan through the door: given, refused, answered."""

from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client

LIGHT = {
    "id": "head",
    "name": "Head light",
    "lat_deg": 47.22,
    "lon_deg": -30.05,
    "kind": "light",
    "height_m": 34.0,
    "nominal_range_nm": 15.0,
    "radar_conspicuous": True,
}


def with_marks(*marks: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Return a plan request with marks and a ship that is looked out from."""
    body = zoo.request(marks=list(marks), **more)
    return {**body, "ship": {**body["ship"], "eye_height_m": 22.0, "radar_height_m": 30.0}}


def test_a_mark_is_answered_with_cues_layers_and_basis(client: Client) -> None:
    body = client.plan(with_marks(LIGHT, departure_utc="2026-11-25T22:00:00Z")).json()
    assert body["marks"]["loaded_count"] == 1
    (row,) = body["marks"]["rows"]
    assert (row["id"], row["source"], row["height_m"], row["lit"]) == ("head", "you", 34.0, True)
    cues = body["turns"][0]["cues"]
    assert cues["dark"] is True
    # Twelve miles at 12 kn, less the run from the wheel-over to the waypoint.
    assert "2026-11-25T22:56" < cues["at_utc"] < "2026-11-25T22:59"
    first = cues["rows"][cues["first"]]
    assert first["mark_id"] == "head"
    assert first["by_night"]["seen"] == "yes"
    assert first["geographical_range_nm"] == pytest.approx(2.08 * (22.0**0.5 + 34.0**0.5))
    assert cues["first_source"] == "default"
    assert [one["before_s"] for one in cues["warning_points"]] == [180.0, 30.0]
    layers = [one["properties"]["layer"] for one in body["layers"]["features"]]
    assert layers.count("mark") == 1
    assert layers.count("warning_point") == 2
    assert "cue_line" in layers
    basis = {one["input"]: one for one in body["basis"]}
    assert basis["visibility"]["source"] == "default"
    assert basis["height of eye of Zoo carrier 200"]["value"] == 22.0


def test_chosen_cues_are_taken(client: Client) -> None:
    body = with_marks(LIGHT, {**LIGHT, "id": "other", "lat_deg": 47.3})
    body["route"]["waypoints"][1]["turn"] = {"cue_ids": ["range/other", "head"]}
    body["conditions"] = {"visibility_nm": 3.0}
    body["limits"] = {**body["limits"], "warning_points": [{"before_nm": 0.5}]}
    cues = client.plan(body).json()["turns"][0]["cues"]
    assert cues["rows"][cues["first"]]["id"] == "range/other"
    assert cues["rows"][cues["second"]]["mark_id"] == "head"
    assert (cues["first_source"], cues["second_source"]) == ("you", "you")
    assert (
        cues["wheel_over_set"]["range_nm"] == cues["rows"][cues["first"]]["set_to"]["distance_nm"]
    )
    (warning,) = cues["warning_points"]
    assert (warning["before_nm"], warning["source"]) == (0.5, "you")


@pytest.mark.parametrize(
    ("marks", "pointer"),
    [
        ([LIGHT, LIGHT], "/marks"),
        ([{**LIGHT, "kind": "castle"}], "/marks/0/kind"),
        ([{**LIGHT, "lat_deg": 91.0}], "/marks/0/lat_deg"),
        ([{**LIGHT, "height_m": -1.0}], "/marks/0/height_m"),
        ([{**LIGHT, "nominal_range_nm": 0.0}], "/marks/0/nominal_range_nm"),
        ([{**LIGHT, "sector_from_deg": 10.0}], "/marks/0"),
        ([{**LIGHT, "sector_from_deg": 10.0, "sector_to_deg": 10.0}], "/marks/0"),
        ([{**LIGHT, "colour": "red"}], "/marks/0/colour"),
    ],
)
def test_marks_that_say_nothing_are_refused_by_their_place(
    client: Client, marks: list[dict[str, Any]], pointer: str
) -> None:
    answer = client.plan(with_marks(*marks))
    assert answer.status_code == 422
    assert any(one["pointer"] == pointer for one in answer.json()["errors"])


def test_warnings_and_heights_that_make_no_sense_are_refused(client: Client) -> None:
    for limits, pointer in (
        ({"warning_points": [{}]}, "/limits/warning_points/0"),
        ({"warning_points": [{"before_s": 5.0, "before_nm": 1.0}]}, "/limits/warning_points/0"),
        ({"warning_points": []}, "/limits/warning_points"),
        ({"warning_points": [{"before_s": 0.0}]}, "/limits/warning_points/0/before_s"),
    ):
        answer = client.plan(zoo.request(limits=limits))
        assert answer.status_code == 422
        assert any(one["pointer"] == pointer for one in answer.json()["errors"])
    body = zoo.request(conditions={"visibility_nm": 0.0})
    assert client.plan(body).status_code == 422
