"""What a plan that starts where the ship is takes along: each kind of input by hand."""

from typing import Any

import pytest

from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.usecases.gather import Gathered
from wheelover.usecases.under_way import UnderWay, under_way

Document = dict[str, Any]

PLACES = {"A": (47.0, -30.0), "B": (47.2, -30.0), "C": (47.2, -29.6), "D": (47.4, -29.6)}
HERE = (47.2, -29.8)
NOON = "2026-11-25T12:00:00Z"
SHIP = {"name": "Zoo carrier 200", "loa_m": 200.0, "beam_m": 32.0, "draught_fore_m": 10.0,
        "draught_aft_m": 10.0, "speed_kn": 12.0, "turn_radius_nm": 0.5}  # fmt: skip


def inputs(**members: Any) -> Document:
    waypoints = [{"id": one, "lat_deg": at[0], "lon_deg": at[1]} for one, at in PLACES.items()]
    route = {"name": "under way", "waypoints": waypoints}
    return {"route": route, "ship": SHIP, "departure_utc": "2026-11-25T08:00:00Z", **members}


def to_c(before: Document) -> UnderWay:
    """Return the inputs from a position between B and C, which a plan can be made of."""
    made = under_way(before, "C", *HERE, NOON)
    PlanRequest.model_validate(made.inputs).to_core(Gathered(inputs=made.inputs))
    return made


def tide(station: str, **span: str) -> Document:
    heights = [{"at_utc": f"2026-11-25T{hour}:00:00Z", "height_m": 1.0} for hour in ("06", "23")]
    return {"station": station, "heights": heights, **span}


def stream(station: str, **span: str) -> Document:
    rows = [
        {"at_utc": f"2026-11-25T{hour}:00:00Z", "set_deg": 90.0, "drift_kn": 1.0}
        for hour in ("06", "23")
    ]
    return {"station": station, "rows": rows, **span}


def waiver(kind: str, waypoint_id: str) -> Document:
    return {"rule": "min_ukc_m", "reason": "r", "by": {"name": "R. Holm"},
            "subject": {"kind": kind, "id": waypoint_id}}  # fmt: skip


def test_the_route_starts_at_the_position_and_at_its_time() -> None:
    made = to_c(inputs())
    waypoints = made.inputs["route"]["waypoints"]
    assert [one["id"] for one in waypoints] == ["AMEND-1", "C", "D"]
    assert (waypoints[0]["lat_deg"], waypoints[0]["lon_deg"]) == HERE
    assert made.inputs["departure_utc"] == NOON
    assert made.left == ["waypoints A, B"]
    again = under_way(made.inputs, "D", 47.3, -29.6, "2026-11-25T13:00:00Z")
    assert [one["id"] for one in again.inputs["route"]["waypoints"]] == ["AMEND-2", "D"]
    assert under_way(inputs(), "A", *HERE, None).left == []


def test_draughts_in_force_are_carried_as_one() -> None:
    loaded = {"from_id": "A", "reason": "loaded", "draught_fore_m": 9.0, "draught_aft_m": 9.5}
    river = {"from_id": "B", "reason": "river", "water_density_kg_per_m3": 1000.0}
    later = {"from_id": "C", "reason": "lighter", "draught_fore_m": 8.0, "draught_aft_m": 8.0}
    made = to_c(inputs(draughts=[later, river, loaded]))
    assert made.inputs["draughts"] == [
        {
            "from_id": "AMEND-1",
            "reason": "loaded; river",
            "draught_fore_m": 9.0,
            "draught_aft_m": 9.5,
            "draught_density_kg_per_m3": 1025.0,
            "water_density_kg_per_m3": 1000.0,
        },
        later,
    ]
    assert "draughts from A and B on, now from AMEND-1 on" in made.carried


def test_the_zone_in_force_is_carried_and_the_one_before_it_dropped() -> None:
    zones = [{"from_id": one, "zone_description_h": hours} for one, hours in
             (("A", 0.0), ("B", 1.0), ("D", 2.0))]  # fmt: skip
    made = to_c(inputs(zones=zones))
    assert made.inputs["zones"] == [
        {"from_id": "AMEND-1", "zone_description_h": 1.0}, zones[2]
    ]  # fmt: skip
    assert "zone description from A on" in made.left


@pytest.mark.parametrize(("member", "table"), [("tides", tide), ("streams", stream)])
def test_tables_that_count_on_the_leg_are_carried(member: str, table: Any) -> None:
    rows = [table("behind", from_id="A", to_id="B"), table("here", from_id="B", to_id="D"),
            table("ahead", from_id="C"), table("all")]  # fmt: skip
    made = to_c(inputs(conditions={member: rows}))
    kept = made.inputs["conditions"][member]
    assert [(one["station"], one.get("from_id")) for one in kept] == [
        ("here", "AMEND-1"), ("ahead", "C"), ("all", None)
    ]  # fmt: skip
    assert any("behind, to B" in one for one in made.left)
    assert any("here from B on" in one for one in made.carried)


def test_what_stands_at_waypoints_behind_is_dropped_and_named() -> None:
    needs = [{"waypoint_id": one, "part": "waypoint", "reason": "r"} for one in ("B", "C")]
    cases: list[Document] = [{"name": one, "waypoint_id": one, "tried": {}} for one in ("B", "C")]
    points = [
        {"id": "gone", "kind": "report", "leg_to_id": "B", "before_nm": 1.0},
        # She is 8.2 NM from C.
        {"id": "passed", "kind": "report", "leg_to_id": "C", "before_nm": 9.0},
        {"id": "ahead", "kind": "report", "leg_to_id": "C", "before_nm": 8.0},
        {"id": "place", "kind": "report", "lat_deg": 47.2, "lon_deg": -29.7},
    ]
    roads = {"name": "roads", "waypoints": [
        {"id": "r1", "lat_deg": 47.2, "lon_deg": -29.9},
        {"id": "r2", "lat_deg": 47.1, "lon_deg": -29.9}]}  # fmt: skip
    contingencies = [
        {"id": f"roads {one}", "kind": "anchorage", "from_id": one, "route": roads}
        for one in ("B", "C")
    ]
    sources = [
        {"id": f"chart {number}", "kind": "chart", "title": "t", "consulted": True, **legs}
        for number, legs in enumerate(
            ({"leg_to_ids": ["B"]}, {"leg_to_ids": ["B", "C"]}, {}), start=1
        )
    ]
    waivers = [waiver("leg", "B"), waiver("leg", "C"), waiver("turn", "C"), waiver("leg", "D")]
    made = to_c(inputs(daylight_needs=needs, cases=cases, points=points, waivers=waivers,
                       contingencies=contingencies, sources=sources))  # fmt: skip
    after = made.inputs
    assert [one["waypoint_id"] for one in after["daylight_needs"]] == ["C"]
    assert [one["waypoint_id"] for one in after["cases"]] == ["C"]
    assert [one["id"] for one in after["points"]] == ["ahead", "place"]
    assert [one["id"] for one in after["contingencies"]] == ["roads C"]
    assert [one.get("leg_to_ids") for one in after["sources"]] == [["C"], None]
    assert [one["subject"]["id"] for one in after["waivers"]] == ["D"]
    for words in ("daylight at B", "case 'B'", "point gone", "point passed", "contingency roads B",
                  "source chart 1", "on the leg to B", "on the leg to C", "turn at C"):  # fmt: skip
        assert any(words in one for one in made.left), words


def test_what_was_read_for_the_leg_as_it_lay_is_not_taken_for_the_new_one() -> None:
    before = inputs()
    past, later = "2026-11-25T11:00:00Z", "2026-11-25T15:00:00Z"
    before["route"]["waypoints"][2] |= {
        "eta_utc": past,
        "gap_before": True,
        "leg": {
            "speed_kn": 11.0,
            "charted_depth_m": 14.0,
            "catzoc": "B",
            "channel_width_m": 300.0,
            "canal": {"reason": "r", "by": {"name": "R. Holm"}},
        },
    }
    before["route"]["waypoints"][3] |= {"eta_utc": later, "leg": {"charted_depth_m": 15.0}}
    made = to_c(before)
    _, to, last = made.inputs["route"]["waypoints"]
    assert to == {"id": "C", "lat_deg": 47.2, "lon_deg": -29.6, "leg": {"speed_kn": 11.0}}
    assert (last["leg"], last["eta_utc"]) == ({"charted_depth_m": 15.0}, later)
    for words in ("charted depth of the leg to C", "canal of the leg to C", f"ETA {past} of C"):
        assert any(words in one for one in made.left), words
