"""Every number of every export is that of the plan's JSON: one test for each format walks them."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests import zoo
from tests.render.test_exports import REVISION, cells_of
from tests.render.test_standalone import Read, planned
from wheelover.formats.own_extension import NAMESPACE
from wheelover.formats.strict_json import read_json
from wheelover.formats.xml_tree import Element, read_xml
from wheelover.render.exports import export_file
from wheelover.usecases.map_parts import map_parts

Document = dict[str, Any]


def rich() -> Document:
    """Return a plan with a schedule, a stream, marks, cues, watch, points and depths."""
    request = zoo.request(
        departure_utc="2026-12-01T06:00:00Z",
        voyage={
            "number": "Z-26-12",
            "departure_port": {"locode": "NOBGO", "text": "Zoo quay"},
            "arrival_port": {"text": "Zoo roads"},
        },
        conditions={"set_deg": 100.0, "drift_kn": 0.75},
        marks=[
            {
                "id": "tower", "name": "Zoo tower", "lat_deg": 47.26, "lon_deg": -29.95,
                "kind": "landmark", "height_m": 60.0, "visually_conspicuous": True,
                "radar_conspicuous": True,
            },
            {
                "id": "beacon", "name": "Zoo beacon", "lat_deg": 47.21, "lon_deg": -30.06,
                "kind": "beacon", "height_m": 12.0, "radar_conspicuous": True,
            },
        ],
        points=[
            {"id": "p1", "kind": "report", "leg_to_id": "C", "before_nm": 2.5, "channel": "VHF 12",
             "text": "Zoo traffic"}
        ],
    )  # fmt: skip
    response = zoo.RESPONSE
    request["ship"].update(
        eye_height_m=25.0,
        radar_height_m=35.0,
        response={
            "k_per_s": response.k_per_s, "t_s": response.t_s, "at_speed_kn": response.at_speed_kn
        },
    )  # fmt: skip
    waypoints = request["route"]["waypoints"]
    monitoring = {"stage": "coastal", "fixing": {"primary": "radar_ranges", "interval_min": 6.0}}
    waypoints[1]["leg"] = {"charted_depth_m": 25.0, "monitoring": monitoring}
    waypoints[2]["leg"] = {"speed_over_ground_kn": 11.5}
    waypoints[2]["stay_min"] = 90.0
    return request


@pytest.fixture(scope="module")
def plan() -> tuple[Document, Document]:
    request = rich()
    result = planned(request)
    assert result["turns"][0]["cues"]["first"] is not None
    assert result["schedule"]["rows"][2]["eta_utc"] is not None
    assert result["points"][0]["place"] is not None
    return request, result


def assert_agrees(element: Element, value: Document, where: str) -> int:
    """Assert that an element of ours says what a JSON object says, and return how many numbers."""
    count = 0
    for (_, name), text in element.attributes:
        given = value[name]
        at = f"{where}/{name}"
        if isinstance(given, bool):
            assert text == ("yes" if given else "no"), at
        elif isinstance(given, int | float):
            assert float(text) == given, at
            count += 1
        else:
            assert text == given, at
    named = {name for (_, name), _ in element.attributes}
    for name, given in value.items():
        if isinstance(given, int | float) and not isinstance(given, bool):
            assert name in named, f"{where}/{name} is left out"
    for local in dict.fromkeys(one.local for one in element.elements):
        parts = [one for one in element.elements if one.local == local]
        inside = value[local] if isinstance(value[local], list) else [value[local]]
        assert len(parts) == len(inside), f"{where}/{local}"
        for one, held in zip(parts, inside, strict=True):
            if isinstance(held, dict):
                count += assert_agrees(one, held, f"{where}/{local}")
            else:
                assert one.text == held, f"{where}/{local}"
    return count


def own(root: Element, local: str) -> Iterator[Element]:
    """Yield our elements of a name, wherever they stand."""
    for one in root.elements:
        if one.name == (NAMESPACE, local):
            yield one
        yield from own(one, local)


def used(rows: list[Document]) -> list[Document]:
    return [row for row in rows if row["use"] != "offered"]


def orders(turn: Document) -> list[Document]:
    run = next(one for one in turn["wheel_overs"] if one["method"] == "simulated")
    found: list[Document] = run["manoeuvre"]["orders"]
    return found


@pytest.mark.parametrize("name", ["rtz", "gpx"])
def test_our_elements_hold_the_plan(plan: tuple[Document, Document], name: str) -> None:
    request, result = plan
    root = read_xml(export_file(name, request, result, REVISION).body)
    turn, schedule = result["turns"][0], result["schedule"]
    cues = turn["cues"]
    wanted = {
        "order": orders(turn),
        "cue": [
            {"rank": rank, **cues["rows"][cues[rank]]}
            for rank in ("first", "second")
            if cues[rank] is not None
        ],
        "wheel_over_set": [cues["wheel_over_set"]],
        "warning_point": cues["warning_points"],
        "times": schedule["rows"],
        "run": schedule["legs"],
        "monitoring": [leg["monitoring"] for leg in result["legs"]],
        "courses": [leg["courses"] for leg in result["legs"]],
        "index_line": [row for leg in result["legs"] for row in used(leg["index_lines"]["rows"])],
        "clearing_line": [
            row
            for leg in result["legs"]
            for kind in ("bearings", "ranges")
            for row in used(leg["clearing_lines"][kind])
        ],
        "bend_index": [turn["index_lines"]],
        "point": result["points"],
    }
    count = 0
    for local, values in wanted.items():
        elements = list(own(root, local))
        assert len(elements) == len(values) > 0, local
        for element, value in zip(elements, values, strict=True):
            count += assert_agrees(element, value, local)
    assert count > 150


@pytest.mark.parametrize("name", ["rtz", "gpx"])
def test_the_wheel_over_is_that_of_the_plan(plan: tuple[Document, Document], name: str) -> None:
    request, result = plan
    turn = result["turns"][0]
    element = next(own(read_xml(export_file(name, request, result, REVISION).body), "wheel_over"))
    said = {local: text for (_, local), text in element.attributes}
    wanted = {
        "distance_nm": turn["planned"]["distance_nm"],
        **turn["planned"]["position"],
        **{member: turn[member] for member in ("course_in_deg", "course_out_deg", "radius_nm")},
        **{member: turn[member] for member in ("course_change_deg", "reach_m")},
        "rate_of_turn_deg_per_min": turn["rate_of_turn_deg_per_min"],
        "line_course_deg": turn["wheel_over_line"]["course_deg"],
        "line_offset_nm": turn["wheel_over_line"]["offset_nm"],
    }
    assert {member: float(said[member]) for member in wanted} == wanted
    methods = {one.attribute("name"): one.attribute("distance_nm") for one in element.elements}
    for row in turn["wheel_overs"]:
        text = methods[row["method"]]
        assert (None if text is None else float(text)) == row["distance_nm"]


@pytest.mark.parametrize("version", ["1.0", "1.2"])
def test_native_members_of_the_exchange_file(plan: tuple[Document, Document], version: str) -> None:
    request, result = plan
    root = read_xml(export_file("rtz", request, result, REVISION, version=version).body)
    schedule = root.named("schedules")[0].named("schedule")[0]
    spelled = "sheduleElement" if version == "1.0" else "scheduleElement"
    manual = [dict(_plain(one)) for one in schedule.named("manual")[0].named(spelled)]
    assert manual == [
        {"waypointId": "1", "etd": "2026-12-01T06:00:00Z"},
        {"waypointId": "3", "stay": "PT90M", "speed": "11.5"},
    ]
    calculated = [dict(_plain(one)) for one in schedule.named("calculated")[0].named(spelled)]
    rows, legs = result["schedule"]["rows"], result["schedule"]["legs"]
    assert [one["eta"] for one in calculated] == [row["eta_utc"] for row in rows]
    assert [one["etd"] for one in calculated] == [row["etd_utc"] for row in rows]
    for one, leg in zip(calculated[1:], legs, strict=True):
        assert float(one["speed"]) == leg["speed_over_ground_kn"]
        assert float(one["currentSpeed"]) == leg["drift_kn"] == 0.75
        assert float(one["currentDirection"]) == leg["set_deg"] == 100.0
    keel = next(one for one in result["depths"]["keel"] if one["piece"]["kind"] == "leg")
    leg = root.named("waypoints")[0].named("waypoint")[1].named("leg")[0]
    assert float(leg.attribute("draughtForward") or "") == keel["draught_fore_m"]
    assert leg.attribute("legNote2") == "Stage: coastal. Fix by radar ranges, every 6 min."
    last = root.named("waypoints")[0].named("waypoint")[2].named("leg")[0]
    assert last.attribute("legReport") == "report 2.50 NM before C, VHF 12: Zoo traffic."


def _plain(element: Element) -> list[tuple[str, str]]:
    return [(name[1], text) for name, text in element.attributes]


@pytest.mark.parametrize("name", ["rtz", "gpx"])
def test_the_voyage_is_that_of_the_plan(plan: tuple[Document, Document], name: str) -> None:
    request, result = plan
    voyage = next(own(read_xml(export_file(name, request, result, REVISION).body), "voyage"))
    assert voyage.attribute("number") == request["voyage"]["number"]
    assert [dict(_plain(one)) for one in voyage.elements] == [
        request["voyage"]["departure_port"],
        request["voyage"]["arrival_port"],
    ]
    assert result["voyage"]["arrival_port"] == {"locode": None, "text": "Zoo roads"}


def test_times_of_gpx_points_are_the_schedule_s(plan: tuple[Document, Document]) -> None:
    request, result = plan
    route = read_xml(export_file("gpx", request, result, REVISION).body).named("rte")[0]
    times = [one.named("time")[0].text for one in route.named("rtept")]
    assert times == [row["eta_utc"] for row in result["schedule"]["rows"]]


def test_the_table_holds_the_plan(plan: tuple[Document, Document]) -> None:
    request, result = plan
    rows = cells_of(export_file("csv", request, result, REVISION))
    leg, turn, schedule = result["legs"][0], result["turns"][0], result["schedule"]
    keel = {one["piece"]["kind"]: one for one in result["depths"]["keel"]}
    wanted = {
        "plan_course_deg": leg["course_deg"],
        "plan_arrival_course_deg": leg["arrival_course_deg"],
        "plan_leg_distance_nm": leg["distance_nm"],
        "plan_speed_kn": leg["speed_kn"],
        "plan_leg_clearance_m": leg["least_clearance"]["clearance_m"],
        "plan_leg_clearance_limit_m": leg["least_clearance"]["limit_m"],
        "plan_course_change_deg": turn["course_change_deg"],
        "plan_radius_nm": turn["radius_nm"],
        "plan_rate_of_turn_deg_per_min": turn["rate_of_turn_deg_per_min"],
        "plan_wheel_over_distance_nm": turn["planned"]["distance_nm"],
        "plan_wheel_over_lat_deg": turn["planned"]["position"]["lat_deg"],
        "plan_wheel_over_lon_deg": turn["planned"]["position"]["lon_deg"],
        "plan_reach_m": turn["reach_m"],
        "plan_wheel_over_line_offset_nm": turn["wheel_over_line"]["offset_nm"],
        "plan_turn_clearance_m": turn["least_clearance"]["clearance_m"],
        "plan_turn_clearance_limit_m": turn["least_clearance"]["limit_m"],
        "plan_leg_ukc_m": keel["leg"]["net_ukc_m"],
        "plan_leg_ukc_required_m": keel["leg"]["required_ukc_m"],
        "plan_leg_tide_needed_m": keel["leg"]["tide_needed_m"],
        "plan_leg_limiting_speed_kn": keel["leg"]["limiting_speed_kn"],
        "plan_run_nm": schedule["rows"][1]["distance_nm"],
        "plan_to_go_nm": schedule["rows"][1]["to_go_nm"],
        "plan_leg_steer_deg": schedule["legs"][0]["steer_deg"],
        "plan_leg_speed_over_ground_kn": schedule["legs"][0]["speed_over_ground_kn"],
        "plan_distance_to_go_set_nm": turn["cues"]["wheel_over_set"]["distance_to_go_nm"],
        "plan_leg_longest_fix_interval_s": leg["monitoring"]["fixing"]["longest_interval_s"],
    }
    for column, value in wanted.items():
        cell = rows[1][column]
        assert (None if cell == "" else float(cell)) == value, column
    numbers = {
        column
        for column, cell in rows[1].items()
        if column.startswith("plan_") and _is_number(cell)
    }
    assert numbers <= set(wanted), "a number of the table that nothing here holds against the plan"
    assert [row["plan_eta_utc"] for row in rows] == [one["eta_utc"] for one in schedule["rows"]]
    assert rows[1]["plan_wheel_over_utc"] == schedule["wheel_overs"][0]["at_utc"]
    cues = turn["cues"]
    for column, rank in (("plan_cue", "first"), ("plan_second_cue", "second")):
        cue = cues["rows"][cues[rank]]
        assert rows[1][column].startswith(cue["kind"].split("_")[0])
        assert cue["mark_name"] in rows[1][column]
    assert rows[1]["plan_leg_watch"] == "Stage: coastal. Fix by radar ranges, every 6 min."


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def test_geojson_holds_the_layers_as_they_are(plan: tuple[Document, Document]) -> None:
    request, result = plan
    body = read_json(export_file("geojson", request, result, REVISION).body)
    layers = result["layers"]["features"]
    assert len(body["features"]) == len(layers)
    for one, other in zip(body["features"], layers, strict=True):
        assert other["properties"].items() <= one["properties"].items()
        if other["properties"]["layer"] != "waypoint":
            assert one == other
    assert {"mark", "cue_line", "warning_point", "point"} <= {
        one["properties"]["layer"] for one in layers
    }


def test_the_map_holds_the_layers_as_they_are(plan: tuple[Document, Document]) -> None:
    request, result = plan
    file = export_file("html", request, result, REVISION, parts=map_parts(request))
    page = Read(file.body.decode())
    found = sorted(
        float(pairs["data-value"] or "")
        for cells in page.rows.values()
        for pairs, _ in cells
        if "data-value" in pairs
    )
    assert found == sorted(
        float(value)
        for one in result["layers"]["features"]
        for value in one["properties"].values()
        if isinstance(value, int | float) and not isinstance(value, bool)
    )
    for row in result["schedule"]["rows"]:
        assert row["eta_utc"] in page.text()
