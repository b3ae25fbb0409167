"""The sample routes hold what their README says, and their plans show what they are for."""

import re
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely

from tests.samples.scenarios import SCENARIOS, Scenario
from tests.samples.write import SAMPLES, texts
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.charts.coastline import land_near
from wheelover.formats.strict_json import read_json
from wheelover.usecases.gather import Gathered
from wheelover.usecases.plan_route import plan_route
from wheelover.usecases.read_route import read_route_file

FORMATS = ("csv", "geojson", "gpx", "rtz")
BY_KEY = {one.key: one for one in SCENARIOS}
every = pytest.mark.parametrize("scenario", SCENARIOS, ids=[one.key for one in SCENARIOS])


def _reading(name: str) -> dict[str, Any]:
    return read_route_file((SAMPLES / name).read_bytes(), name)


@lru_cache
def _plan(key: str) -> dict[str, Any]:
    scenario = BY_KEY[key]
    request: dict[str, Any] = {
        "route": _reading(f"{key}.csv")["route"],
        "ship": read_json((SAMPLES / f"ship-{scenario.ship}.json").read_bytes()),
    }
    if scenario.dangers:
        request["hazards"] = read_json((SAMPLES / f"{key}-hazards.geojson").read_bytes())
    if scenario.limit_m is not None:
        request["limits"] = {"min_clearance_m": scenario.limit_m}
    if scenario.conditions:
        request["conditions"] = scenario.conditions
    return plan_route(PlanRequest.model_validate(request).to_core(Gathered(inputs=request)))


def _findings(key: str) -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = {}
    for one in _plan(key)["findings"]:
        found.setdefault(one["code"], []).append(one)
    return found


def test_every_file_is_named_and_every_name_is_a_file() -> None:
    text = (SAMPLES / "README.md").read_text("utf-8")
    named = set(re.findall(r"`([\w-]+\.(?:csv|geojson|gpx|rtz|json))`", text))
    assert named == {path.name for path in SAMPLES.iterdir()} - {"README.md"}


def test_the_counts_of_rows_are_those_of_the_files() -> None:
    text = (SAMPLES / "README.md").read_text("utf-8")
    rows = dict(re.findall(r"^\| `([\w-]+\.\w+)`[^|]*\| (\d+) \|", text, re.MULTILINE))
    assert len(rows) == len(SCENARIOS) + 3
    for name, count in rows.items():
        assert len(_reading(name)["report"]) == int(count), name


def test_the_files_are_as_they_are_written() -> None:
    for name, text in texts().items():
        assert (SAMPLES / name).read_text("utf-8") == text, name


@every
@pytest.mark.parametrize("kind", FORMATS)
def test_every_format_reads_to_the_same_passage(scenario: Scenario, kind: str) -> None:
    reading = _reading(f"{scenario.key}.{kind}")
    assert reading["format"] == kind
    assert (reading["accepted_count"], reading["rejected_count"]) == (len(scenario.stops), 0)
    for stop, one in zip(scenario.stops, reading["route"]["waypoints"], strict=True):
        assert one["lat_deg"] == pytest.approx(stop.lat_deg, abs=1e-9)
        assert one["lon_deg"] == pytest.approx(stop.lon_deg, abs=1e-9)
        assert one.get("name") == stop.name
        if kind != "gpx":
            assert one.get("turn_radius_nm") == stop.turn_radius_nm
            assert one.get("leg", {}).get("xtd_port_nm") == stop.xtd_nm


@every
def test_the_plan_shows_what_the_passage_is_for(scenario: Scenario) -> None:
    found = _findings(scenario.key)
    assert set(scenario.codes) <= set(found)
    assert any(rows[0]["grade"] == "not_checked" for rows in found.values())


@every
def test_no_passage_crosses_land(scenario: Scenario) -> None:
    """Land of GSHHG in full resolution; the plan itself does not check it yet."""
    for leg in _plan(scenario.key)["layers"]["features"]:
        if leg["properties"]["layer"] != "leg":
            continue
        parts = leg["geometry"]["coordinates"]
        for part in parts if leg["geometry"]["type"] == "MultiLineString" else [parts]:
            for a, b in pairwise(part):
                box = (*np.minimum(a, b).tolist(), *np.maximum(a, b).tolist())
                line = shapely.LineString([a, b])
                assert not any(land.intersects(line) for land in land_near("f", box)), (a, b)


def test_a_leg_over_land_is_seen_as_such() -> None:
    line = shapely.LineString([(-9.6, 39.0), (-8.9, 39.0)])
    assert any(land.intersects(line) for land in land_near("f", (-9.6, 38.9, -8.9, 39.1)))


def test_round_the_light_it_bears_one_mile_off() -> None:
    plan = _plan("round-a-light")
    (row,) = plan["clearances"]
    assert row["distance_m"] == pytest.approx(1852.0, abs=0.02)
    assert plan["turns"][0]["least_clearance"]["distance_m"] == pytest.approx(1852.0, abs=0.02)
    centre = plan["turns"][0]["centre"]
    assert centre["lat_deg"] == pytest.approx(45.0, abs=2e-7)
    assert centre["lon_deg"] == pytest.approx(-12.0, abs=2e-7)


def test_the_short_leg_says_what_is_missing() -> None:
    (finding,) = _findings("short-legs")["leg_too_short"]
    assert finding["grade"] == "must_resolve"
    assert re.search(r"\d+ m", finding["message"])
    assert _findings("short-legs")["turn_current"][0]["grade"] == "not_checked"


def test_the_antimeridian_bends_nothing() -> None:
    plan = _plan("antimeridian")
    assert all(leg["distance_nm"] < 150.0 for leg in plan["legs"])
    (row,) = plan["clearances"]
    assert (row["hazard_id"], row["met"]) == ("date-bank", False)


def test_the_ring_is_entered_and_left_and_the_cable_lies_to_port() -> None:
    rows = {row["hazard_id"]: row for row in _plan("lines-and-areas")["clearances"]}
    for name in ("practice-ground", "ring-bank"):
        assert (rows[name]["distance_m"], rows[name]["side"]) == (0.0, "crossed")
    leg = _plan("lines-and-areas")["legs"][1]["least_clearance"]
    assert (leg["hazard_id"], leg["on_track"], leg["clearance_m"]) == ("ring-bank", True, 0.0)
    cable = rows["mid-cable"]
    assert cable["side"] == "port"
    assert cable["distance_m"] == pytest.approx(909.0, abs=1.0)
    crossed = {one["about"] for one in _findings("lines-and-areas")["danger_crossed"]}
    assert crossed == {"practice-ground", "ring-bank"}


def test_two_hundred_waypoints() -> None:
    plan = _plan("ocean-200")
    assert len(plan["legs"]) == 199
    assert len(plan["turns"]) == 198
    assert {leg["line"] for leg in plan["legs"]} == {"rhumb", "geodesic"}
    assert plan["track"]["distance_nm"] > 2500.0


def test_bad_rows_are_counted_and_stay_holes() -> None:
    reading = _reading("bad-rows.csv")
    assert (reading["accepted_count"], reading["rejected_count"]) == (5, 7)
    problems = [row for row in reading["report"] if row["problem"]]
    assert [row["line"] for row in problems] == [3, 5, 6, 9, 10, 11, 12]
    assert all(row["raw"] for row in problems)
    gaps = [one.get("gap_before", False) for one in reading["route"]["waypoints"]]
    assert gaps == [False, True, True, False, True]


@pytest.mark.parametrize("name", ["coaster-84", "container-280", "tanker-333"])
def test_ships_are_invented_and_have_a_table_for_each_side(name: str) -> None:
    ship = read_json((SAMPLES / f"ship-{name}.json").read_bytes())
    assert ship["name"].startswith("Sample")
    assert {table["side"] for table in ship["turn_tables"]} == {"port", "starboard"}
    assert all("invented" in table["source"] for table in ship["turn_tables"])
