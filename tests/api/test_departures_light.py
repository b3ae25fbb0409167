"""The light at wheel-overs at other departures, held against the plan made anew for each."""

from pathlib import Path
from typing import Any

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import post
from wheelover.api.schemas.departures import DeparturesAnswer
from wheelover.usecases.demonstration import demonstration

ROOT = Path(__file__).parents[2]
DARK = ("nautical", "astronomical", "night")
SHIFTS_H = (-6.0, 0.0, 8.0, 12.0)


def _unlit() -> dict[str, Any]:
    """Return the demonstration with its beacon and light unlit: seen by day, not in the dark."""
    body: dict[str, Any] = demonstration(ROOT / "sample_routes")["request"]
    body.pop("demonstration")
    for mark in body["marks"]:
        if mark.pop("nominal_range_nm", None) is not None:
            mark.pop("light_character")
            mark["kind"] = "beacon"
            mark["visually_conspicuous"] = True
    return body


def _picked(turn: dict[str, Any]) -> list[dict[str, Any]]:
    cues = turn["cues"]
    chosen = dict.fromkeys(one for one in (cues["first"], cues["second"]) if one is not None)
    return [cues["rows"][one] for one in chosen]


def test_wheel_overs_in_the_dark_and_the_cues_that_are_not_seen_then(client: Client) -> None:
    body = _unlit()
    shifts = [hours * 3600.0 for hours in SHIFTS_H]
    answer = post(client, "/api/v1/plan/departures", {"plan": body, "shifts_s": shifts})
    assert answer.status_code == 200, answer.text
    found = answer.json()
    DeparturesAnswer.model_validate(found)
    planned = client.plan(body).json()
    cues = {one["waypoint_id"]: _picked(one) for one in planned["turns"]}
    lost = 0
    for moved in found["moved"]:
        anew = client.plan({**body, "departure_utc": moved["departure_utc"]}).json()
        turns = {one["waypoint_id"]: one["cues"] for one in anew["turns"]}
        assert [one["waypoint_id"] for one in moved["wheel_overs"]] == list(turns)
        for one in moved["wheel_overs"]:
            turn = turns[one["waypoint_id"]]
            dark = None if one["light"] is None else one["light"] in DARK
            assert dark == turn["dark"]
            assert (one["at_utc"] is None) == (one["light"] is None)
            means = {row["id"]: row["means"] for row in turn["rows"]}
            for cue in cues[one["waypoint_id"]]:
                if one["light"] is not None and cue["means"] == "eye" and cue["id"] in means:
                    assert (cue["id"] in one["lost_cue_ids"]) == (means[cue["id"]] != "eye")
            lost += len(one["lost_cue_ids"])
    assert lost > 0
    lights = [[one["light"] for one in moved["wheel_overs"]] for moved in found["moved"]]
    assert lights[1] == [one["was"] for one in found["moved"][0]["wheel_overs"]]
    assert lights[2] != lights[1]


def test_what_is_not_looked_at_is_named(client: Client) -> None:
    asked = {"plan": _unlit(), "shifts_s": [0.0]}
    note = post(client, "/api/v1/plan/departures", asked).json()["note"]
    for what in ("what areas ask", "danger counts all the same", "cues", "fixing"):
        assert what in note
    assert "all other checks" in note


def test_warnings_and_areas_are_told_with_what_they_were(client: Client) -> None:
    """The zoo's rock stands 11.4 NM along a leg at 12 kn; the area lies over its middle."""
    ring = [[-30.1, 47.08], [-29.9, 47.08], [-29.9, 47.12], [-30.1, 47.12], [-30.1, 47.08]]
    about = {"number": "NAVAREA I 9/26", "cancel_utc": "2026-06-02T02:00:00Z"}
    body = zoo.request(departure_utc="2026-06-02T00:00:00Z")
    rock = body["hazards"]["features"][0]
    rock["properties"]["warning"] = about
    body["hazards"]["features"].append({
        "type": "Feature",
        "geometry": {"type": "Polygon", "coordinates": [ring]},
        "properties": {"id": "psa", "name": "Zoo area", "kind": "restricted area"},
    })  # fmt: skip
    answer = post(client, "/api/v1/plan/departures", {"plan": body, "shifts_s": [0.0, 10_800.0]})
    assert answer.status_code == 200, answer.text
    found = DeparturesAnswer.model_validate(answer.json())
    assert [(one.state, one.was) for each in found.moved for one in each.warnings] == [
        ("in_force", "in_force"), ("cancelled", "in_force"),
    ]  # fmt: skip
    (still,), (moved,) = (each.areas for each in found.moved)
    assert still.enters_utc == still.was_enters_utc == moved.was_enters_utc
    # 4.8 minutes of latitude at 12 kn: 24 minutes and a little for the ellipsoid.
    assert str(still.enters_utc).startswith("2026-06-02T00:24:0")
    assert str(moved.enters_utc).startswith("2026-06-02T03:24:0")
    assert (moved.inside_at_start, moved.inside_at_end) == (False, False)
