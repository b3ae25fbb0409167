"""POST /api/v1/plan: water under the keel and over the mast, and what of it is refused."""

import copy
from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client
from wheelover.api.schemas.plan_response import PlanResponse

TIDES = [
    {
        "station": "Zoo bar",
        "heights": [
            {"at_utc": "2026-11-25T12:00:00Z", "height_m": 0.5},
            {"at_utc": "2026-11-25T18:10:00Z", "height_m": 3.5},
            {"at_utc": "2026-11-26T00:20:00Z", "height_m": 0.6},
        ],
        "margin_s": 600.0,
    }
]
CONDITIONS = {
    "tides": TIDES, "wave_height_m": 0.4, "wind_from_deg": 270.0, "wind_kn": 15.0,
    "water_density_kg_per_m3": 1025.0, "height_datum_m": 3.9,
}  # fmt: skip
BRIDGE = {
    "type": "Feature",
    "geometry": {"type": "LineString", "coordinates": [[-30.05, 47.1], [-29.95, 47.1]]},
    "properties": {
        "id": "bridge", "name": "Zoo bridge", "kind": "bridge", "clearance_height_m": 45.0,
        "clearance_datum": "mean high water springs",
    },
}  # fmt: skip


def request() -> dict[str, Any]:
    """Return a request with everything that both sums need."""
    body = zoo.request(
        conditions=copy.deepcopy(CONDITIONS),
        limits={"min_ukc_draught_ratio": 0.1, "min_ukc_m": 0.5, "min_overhead_m": 2.0},
        departure_utc="2026-11-25T14:00:00Z",
        draughts=[{"from_id": "B", "reason": "river water", "water_density_kg_per_m3": 1010.0}],
    )
    body["hazards"]["features"].append(copy.deepcopy(BRIDGE))
    body["ship"] |= {
        "block_coefficient": 0.8, "displacement_t": 52_000.0, "tpc_t_per_cm": 52.0, "gm_m": 2.5,
        "kg_m": 9.0, "air_draught_m": 38.0, "lateral_windage_m2": 2000.0,
        "windage_centre_above_water_m": 7.0, "lpp_m": 194.0,
    }  # fmt: skip
    for waypoint in body["route"]["waypoints"][1:]:
        waypoint["leg"] = {"charted_depth_m": 12.5, "catzoc": "A2", "channel_width_m": 300.0}
    return body


def test_both_sums_stand_in_the_answer_as_they_are_described(client: Client) -> None:
    answer = client.plan(request())
    assert answer.status_code == 200, answer.text
    PlanResponse.model_validate(answer.json())
    depths = answer.json()["depths"]
    assert [(one["piece"]["kind"], one["waypoint_id"]) for one in depths["keel"]] == [
        ("leg", "B"), ("turn", "B"), ("leg", "C"),
    ]  # fmt: skip
    for row in depths["keel"]:
        terms = [one["value_m"] for one in row["terms"]]
        assert None not in terms
        assert round(sum(terms), 2) == row["net_ukc_m"]
        assert round(row["net_ukc_m"] - row["required_ukc_m"], 2) == round(row["margin_m"], 2)
        assert row["left_out"] == []
        assert row["met"] is (row["margin_m"] >= 0.0)
        assert len(row["squats"]) >= 2
        assert row["passing"]["from_utc"] <= row["passing"]["to_utc"]
        assert row["windows"]
        assert {one["source"] for one in row["terms"]} <= {
            "you", "ship", "chart", "default", "computed",
        }  # fmt: skip
    (mast,) = depths["mast"]
    assert mast["hazard_id"] == "bridge"
    assert round(sum(one["value_m"] for one in mast["terms"]), 2) == mast["clearance_m"]


def test_numbers_are_to_the_centimetre_and_add_up_as_they_are_printed(client: Client) -> None:
    for row in client.plan(request()).json()["depths"]["keel"]:
        for one in row["terms"]:
            assert one["value_m"] == round(one["value_m"], 2)
        static = row["static_ukc_m"]
        assert static == round(
            sum(
                one["value_m"]
                for one in row["terms"]
                if one["term"] in ("charted_depth", "tide", "draught", "density")
            ),
            2,
        )


def test_an_export_says_the_clearance_and_the_tide_needed(client: Client) -> None:
    made = client.send("POST", "/api/v1/plans", json=request())
    assert made.status_code == 201, made.text
    place = made.headers["location"]
    assert client.send("POST", f"{place}/revisions").status_code == 201
    text = client.get(f"{place}/revisions/1/export/csv").content.decode("utf-8-sig")
    header, *rows = text.split("\r\n")
    assert '"plan_leg_ukc_m"' in header
    assert '"plan_turn_ukc_met"' in header
    assert "12.5" in rows[1]
    gpx = client.get(f"{place}/revisions/1/export/gpx").text
    assert "Tide needed" in gpx
    assert "UKC " in gpx


def test_the_cautions_about_depth_are_carried(client: Client) -> None:
    said = {one["id"]: one["text"] for one in client.plan(request()).json()["cautions"]}
    assert "larger is used" in said["squat"]
    assert "separate allowances" in said["tide"]
    assert "not physics" in said["policy"]


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/conditions/tides/0/heights", [{"at_utc": "2026-11-25T12:00:00Z", "height_m": 0.5}]),
        ("/conditions/tides/0/heights/1/at_utc", "2026-11-25 18:10"),
        ("/conditions/tides/0/heights/0/height_m", 21.0),
        ("/conditions/tides/0/between", "twelfths"),
        ("/conditions/tides/0/margin_s", -1.0),
        ("/conditions/tides/0/from_id", "Z"),
        ("/conditions/tides/0/to_id", "Z"),
        ("/conditions/wave_height_m", -0.1),
        ("/conditions/water_density_kg_per_m3", 900.0),
        ("/draughts/0/from_id", "Z"),
        ("/draughts/0/reason", ""),
        ("/draughts/0/water_density_kg_per_m3", 1100.0),
        ("/limits/min_ukc_draught_ratio", -0.1),
        ("/limits/electrical_distance_m", -1.0),
        ("/ship/gm_m", 0.0),
        ("/ship/displacement_t", 0.0),
        ("/ship/tpc_t_per_cm", 0.0),
        ("/route/waypoints/1/leg/charted_depth_m", 12_001.0),
        ("/route/waypoints/1/leg/catzoc", "E"),
        ("/route/waypoints/1/leg/channel_width_m", 0.0),
        ("/hazards/features/1/properties/clearance_height_m", -1.0),
        ("/hazards/features/1/properties/electrical_off", "yes"),
    ],
)
def test_what_is_refused_is_named(client: Client, pointer: str, value: Any) -> None:
    body = request()
    *steps, last = pointer.split("/")[1:]
    here: Any = body
    for step in steps:
        here = here[int(step)] if isinstance(here, list) else here[step]
    here[last] = value
    answer = client.plan(body)
    assert answer.status_code == 422
    assert pointer in {one["pointer"] for one in answer.json()["errors"]}, answer.text


def test_heights_out_of_order_and_half_a_draught_are_refused(client: Client) -> None:
    body = request()
    body["conditions"]["tides"][0]["heights"].reverse()
    answer = client.plan(body)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"].startswith("/conditions/tides/0/heights")
    body = request()
    body["draughts"][0]["draught_fore_m"] = 9.0
    answer = client.plan(body)
    assert answer.status_code == 422
    assert "draught_aft_m is missing" in answer.text
    body["draughts"] = [{"from_id": "B", "reason": "nothing"}]
    assert client.plan(body).status_code == 422
    twice = request()
    twice["draughts"] *= 2
    assert client.plan(twice).json()["errors"][0]["pointer"] == "/draughts/1/from_id"
    alone = request()
    del alone["ship"]
    assert client.plan(alone).json()["errors"][0]["pointer"] == "/draughts"
    ends = request()
    ends["conditions"]["tides"][0] |= {"from_id": "C", "to_id": "B"}
    assert client.plan(ends).json()["errors"][0]["pointer"] == "/conditions/tides/0/to_id"


def test_a_loading_has_stability_of_its_own(client: Client) -> None:
    body = request()
    body["ship"] |= {
        "loading": "ballast",
        "loadings": [{"name": "ballast", "draught_fore_m": 6.0, "draught_aft_m": 7.0}],
    }
    depths = client.plan(body).json()["depths"]
    (turn,) = [one for one in depths["keel"] if one["piece"]["kind"] == "turn"]
    assert any("GM is not given" in one for one in turn["left_out"])
    # Four metres lighter at the bow, three at the stern: the mast is four metres higher.
    terms = {one["term"]: one["value_m"] for one in depths["mast"][0]["terms"]}
    assert terms["air_draught"] == -42.0
