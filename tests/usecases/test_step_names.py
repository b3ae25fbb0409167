"""What steps of a draft are called."""

from typing import Any

import pytest

from tests import zoo
from wheelover.usecases.step_names import step_name

CANAL = {"reason": "Transit.", "by": {"name": "A. Berg"}}


def plan(**more: Any) -> dict[str, Any]:
    return zoo.request(**more)


def with_waypoint(index: int, **members: Any) -> dict[str, Any]:
    body = plan()
    body["route"]["waypoints"][index].update(members)
    return body


def without(index: int) -> dict[str, Any]:
    body = plan()
    del body["route"]["waypoints"][index]
    return body


def with_ship(**members: Any) -> dict[str, Any]:
    body = plan()
    body["ship"].update(members)
    return body


@pytest.mark.parametrize(
    ("after", "name"),
    [
        (with_waypoint(1, lat_deg=47.21), "Moved WPT 02 0.60 NM 000 T"),
        (with_waypoint(1, turn_radius_nm=0.8), "WPT 02 radius: 0.5 to 0.8 NM"),
        (with_waypoint(0, name="Pier"), "WPT 01 name: none to Pier"),
        (
            with_waypoint(
                1, leg={**plan()["route"]["waypoints"][1].get("leg", {}), "canal": CANAL}
            ),
            "Leg to WPT 02 canal waiver given",
        ),
        (
            with_waypoint(1, wheel_over={"method": "rule_of_thumb"}),
            "WPT 02 planned wheel-over: none to rule of thumb",
        ),
        (
            with_waypoint(1, wheel_over={"distance_nm": 0.4}),
            "WPT 02 planned wheel-over: none to 0.4 NM",
        ),
        (with_waypoint(1, leg={"speed_kn": 9.0}), "Leg to WPT 02 speed: none to 9 kn"),
        (
            with_waypoint(1, leg={"set_deg": 45.0, "drift_kn": 1.25}),
            "Leg to WPT 02 set of the current: none to 45 T; "
            "Leg to WPT 02 drift of the current: none to 1.25 kn",
        ),
        (
            with_waypoint(1, turn={"steering": "rate", "rudder_deg": 12.5}),
            "Turn at WPT 02 steering: none to rate; "
            "Turn at WPT 02 planned rudder: none to 12.5 deg",
        ),
        (
            with_waypoint(1, turn={"set_deg": 45.0, "drift_kn": 1.0}),
            "Turn at WPT 02 set of the current: none to 45 T; "
            "Turn at WPT 02 drift of the current: none to 1 kn",
        ),
        (with_waypoint(2, gap_before=True), "Hole before WPT 03"),
        (without(2), "Removed WPT 03"),
        (with_ship(speed_kn=14.0), "Ship speed: 12 to 14 kn"),
        (with_ship(speed_kn=14.0, loa_m=210.0), "Ship changed"),
        (plan(ship=None, ship_id="ship-1"), "Ship changed"),
        (plan(ship=None), "Ship taken out"),
        (plan(hazards=None), "Dangers changed"),
        (plan(hazard_set_ids=["a"]), "Hazard sets changed"),
        (plan(limits={"min_clearance_m": 1.0}), "Limits changed"),
        (plan(conditions={"set_deg": 1.0, "drift_kn": 1.0}), "Conditions changed"),
        (plan(departure_utc="2026-11-25T14:02:00Z"), "Departure 2026-11-25T14:02:00Z"),
    ],
)
def test_a_step_says_what_changed(after: dict[str, Any], name: str) -> None:
    assert step_name(plan(), after) == name


def test_an_inserted_waypoint_moves_no_other() -> None:
    after = plan()
    new = {"id": "new", "lat_deg": 47.1, "lon_deg": -30.0}
    after["route"]["waypoints"].insert(1, new)
    assert step_name(plan(), after) == "Inserted WPT 02"
    assert step_name(after, plan()) == "Removed WPT 02"


def test_another_route_is_named() -> None:
    after = plan()
    for waypoint in after["route"]["waypoints"]:
        waypoint["id"] += "-new"
    after["route"]["name"] = "Gat"
    assert step_name(plan(), after) == "Route replaced by 'Gat'"


def test_another_order_is_said() -> None:
    after = plan()
    after["route"]["waypoints"].reverse()
    assert "Order of the waypoints changed" in step_name(plan(), after)


def test_many_changes_are_counted() -> None:
    after = plan(hazards=None, ship=None, departure_utc="2026-11-25T14:02:00Z")
    for waypoint in after["route"]["waypoints"]:
        waypoint["lat_deg"] += 0.1
    named = step_name(plan(), after)
    assert named.startswith("Moved WPT 01 ")
    assert named.endswith("; and 3 more")
    assert len(named) <= 300


def test_a_case_is_named_when_it_is_kept_and_taken_away() -> None:
    case = {"name": "flood", "waypoint_id": "B", "tried": {"drift_kn": 1.0, "set_deg": 0.0}}
    kept = {**plan(), "cases": [case]}
    assert step_name(plan(), kept) == "Case kept: 'flood'"
    assert step_name(kept, plan()) == "Case taken away: 'flood'"


def _named(name: str, north_deg: float = 0.0) -> dict[str, Any]:
    route = plan()["route"]
    waypoints = [{**one, "lat_deg": one["lat_deg"] + north_deg} for one in route["waypoints"]]
    return {**route, "name": name, "waypoints": waypoints}


def _beside(*alternatives: dict[str, Any]) -> dict[str, Any]:
    return {**plan(), "alternatives": list(alternatives)}


def test_alternatives_are_named_when_kept_changed_and_taken_away() -> None:
    north = {"id": "a", "route": _named("North about", 0.1)}
    assert step_name(plan(), _beside(north)) == "Alternative kept: 'North about'"
    assert step_name(_beside(north), plan()) == "Alternative taken away: 'North about'"
    renamed = {**north, "route": _named("Outside", 0.1)}
    said = step_name(_beside(north), _beside(renamed))
    assert said == "Alternative 'North about' named 'Outside'"
    remarked = {**north, "remark": "deeper"}
    said = step_name(_beside(north), _beside(remarked))
    assert said == "Remark of alternative 'North about' changed"
    rerouted = {**north, "route": _named("North about", 0.2)}
    said = step_name(_beside(north), _beside(rerouted))
    assert said == "Route of alternative 'North about' changed"


def test_a_swap_is_said_as_the_selection_it_is() -> None:
    north, other = _named("North about", 0.1), {"id": "b", "route": _named("Outside", 0.3)}
    before = _beside({"id": "a", "route": north}, other)
    after = {**_beside({"id": "c", "route": plan()["route"]}, other), "route": north}
    assert step_name(before, after) == "Selected 'North about'"
    assert step_name(after, before) == f"Selected {plan()['route']['name']!r}"
    only_taken = {**_beside(other), "route": north}
    assert step_name(before, only_taken) == "Selected 'North about'"


def test_an_amendment_is_said_with_its_reason() -> None:
    amendment = {
        "of_revision": 1, "kind": "deviation", "reason": "a man over board",
        "lat_deg": 47.0, "lon_deg": -30.0,
    }  # fmt: skip
    amended = {**plan(), "amendment": amendment}
    assert step_name(plan(), amended) == "Amended under way: a man over board"
    by_pilot = {**plan(), "amendment": {**amendment, "kind": "pilot"}}
    assert step_name(plan(), by_pilot) == "Amended by the pilot's intentions: a man over board"
    assert step_name(amended, plan()) == "Amendment taken out"
