"""What a difference says: sentences with both values, matched by stable ids.

The numbers of the sentences were worked out by hand from the inputs, or read from the two answers.
"""

import copy
from typing import Any

import pytest

from tests.revision_documents import (
    GAT,
    SHIP,
    Document,
    collection,
    danger,
    frozen,
    rich_request,
)
from wheelover.api import create_app
from wheelover.render.difference import differences


@pytest.fixture(scope="module")
def app() -> Any:
    return create_app()


@pytest.fixture(scope="module")
def document(app: Any) -> Document:
    return frozen(app, rich_request(), ship=SHIP, hazards=GAT)


def nothing_held(_sha256: str) -> Document | None:
    return None


def told(was: Document, now: Document, **sets: Document) -> dict[str, Document]:
    answer = differences(was, now, sets.get if sets else nothing_held)
    return {one["id"]: one for one in answer["changes"]}


def moved_to(document: Document, app: Any, body: Document) -> Document:
    """Return another request frozen, as a later revision of the same plan and stored things."""
    kept = {
        "ship_id": document["inputs"]["ship_id"],
        "hazard_set_ids": document["inputs"]["hazard_set_ids"],
    }
    now = frozen(app, {**body, **kept})
    return {**now, "plan_id": document["plan_id"]}


def test_a_moved_waypoint_and_a_wider_turn(document: Document, app: Any) -> None:
    """0.002 degrees of latitude are 0.12 NM; rate = V / R in rad/h: 12/0.7*57.2958/60 = 16.4."""
    body = rich_request()
    body["route"]["waypoints"][3]["lat_deg"] += 0.002
    body["route"]["waypoints"][3]["turn_radius_nm"] = 0.7
    found = told(document, moved_to(document, app, body))
    place = found["waypoint/D/position"]
    assert place["sentence"] == (
        "WPT 04 moved 0.12 NM 000 T (was 47-24.000N 029-30.000W, now 47-24.120N 029-30.000W)"
    )
    assert place["where"]["now"] == {"lat_deg": 47.402, "lon_deg": -29.5}
    assert found["turn/D/circle"]["sentence"] == (
        "Turn 04: R was 0.60 NM, 19.1 deg/min, now 0.70 NM, 16.4 deg/min"
    )
    assert found["leg/D/course"]["sentence"] == "Leg 03-04 course was 018.8, now 018.6"
    assert "waypoint/D/turn_radius_nm" not in found
    pointers = [one["pointer"] for one in found["turn/D/circle"]["figures"]]
    assert "/inputs/route/waypoints/3/turn_radius_nm" in pointers
    assert "renumbered" not in "".join(found)


def test_the_window_by_the_seconds_to_its_closing(document: Document) -> None:
    """3.90 to 3.10 cables and 10 s become 4.07 to 2.45 cables and 22 s."""

    def with_window(opens_nm: float, closes_nm: float, close_s: float) -> Document:
        made = copy.deepcopy(document)
        bound = {"kind": "off_track", "limit_m": 100.0, "hazard_id": None, "hazard_name": None,
                 "leg": None, "side": None}  # fmt: skip
        made["result"]["turns"][2]["hull"]["window"] = {
            "earliest": {"distance_nm": opens_nm, "later_m": -1, "later_s": -1, "bound": bound},
            "latest": {"distance_nm": closes_nm, "later_m": 1, "later_s": close_s, "bound": bound},
            "planned_inside": True, "window_count": 1, "off_track_m_per_s": 1.0, "tightest": None,
        }  # fmt: skip
        return made

    was, now = with_window(0.39, 0.31, 10.0), with_window(0.407, 0.245, 22.0)
    change = told(was, now)["turn/D/window"]
    assert change["sentence"] == (
        "Turn 04 window was 10 s, now 22 s to close (3.90 to 3.10 cab (off the new track; "
        "off the new track); now 4.07 to 2.45 cab (off the new track; off the new track))"
    )
    assert (change["was"], change["now"], change["unit"]) == (10.0, 22.0, "s")
    late = told(was, with_window(0.407, 0.245, -4.0))["turn/D/window"]["sentence"]
    assert late.startswith("Turn 04 window was 10 s to close, now closed 4 s before the wheel-over")


def test_a_waypoint_put_in_before_changes_nothing_behind_it(document: Document, app: Any) -> None:
    """On the same meridian, in the middle of the first leg: nothing behind it differs."""
    body = rich_request()
    leg = body["route"]["waypoints"][1]["leg"]
    body["route"]["waypoints"].insert(1, {"id": "N", "lat_deg": 47.1, "lon_deg": -30.0, "leg": leg})
    now = moved_to(document, app, body)
    answer = differences(document, now, nothing_held)
    found = {one["id"]: one for one in answer["changes"]}
    assert found["route/renumbered"]["sentence"] == "Renumbered: WPT 02 to 05 now WPT 03 to 06"
    assert found["waypoint/N/added"]["sentence"] == "WPT 02 added at 47-06.000N 030-00.000W"
    assert found["leg/N/added"]["subject"] == {
        "kind": "leg", "id": "N", "index_was": None, "index_now": 0
    }  # fmt: skip
    assert found["leg/B/from"]["sentence"] == "Leg 02-03 leads from waypoint was A, now N"
    behind = [one["id"] for one in answer["changes"] if one["subject"]["id"] in ("C", "D", "E")]
    assert behind == []
    assert answer["unchanged"]["waypoint"] == 5
    assert answer["unchanged"]["turn"] == 3
    new = found["finding/turn_arc~1turn~1N/new"]
    assert new["follows"] == "turn/N/added"
    back = {one["id"] for one in differences(now, document, nothing_held)["changes"]}
    assert {"route/renumbered", "waypoint/N/removed", "turn/N/removed"} <= back


def test_the_coast_and_a_canal_in_words(document: Document) -> None:
    """One change each, however many figures stand in the row of the coast."""
    was, now = copy.deepcopy(document), copy.deepcopy(document)
    leg = now["result"]["legs"][1]
    row = {"result": "not_checked", "search_m": 3704.0, "nearest_m": 812.34, "on_land": []}
    was["result"]["legs"][1]["land"] = row
    leg["land"] = {**row, "nearest_m": 0.0, "on_land": [{"from_m": 10.0, "to_m": 110.0}]}
    leg["canal"] = {"reason": "Transit.", "by": {"name": "A. Berg", "rank": None}, "at_utc": None}
    found = told(was, now)
    (land,) = (one for one in found.values() if one["what"] == "land")
    assert land["sentence"].endswith("beside the coastline was 812 m off, now on land for 100 m")
    (canal,) = (one for one in found.values() if one["what"] == "canal")
    assert "waived by A. Berg: Transit." in canal["sentence"]


def test_another_order_is_told(document: Document) -> None:
    now = copy.deepcopy(document)
    now["inputs"]["route"]["waypoints"][1:3] = now["inputs"]["route"]["waypoints"][2:0:-1]
    change = told(document, now)["route/order"]
    assert change["sentence"].endswith("now A, C, B, D, E, was A, B, C, D, E")


def test_a_new_edition_of_a_hazard_set(document: Document) -> None:
    """One moved 0.04 NM (0.001 degrees of longitude at 47.2 N), one gone, one new near it."""
    later = copy.deepcopy(GAT)
    later["features"][0]["geometry"]["coordinates"][0] += 0.001
    later["features"][1] = danger("wreck", 47.197, -29.98, name="New Wreck")
    now = copy.deepcopy(document)
    named = now["loaded"]["hazard_sets"][0]
    named |= {"edition": 2, "sha256": "b" * 64}
    now["inputs"]["hazard_set_editions"][named["id"]] = 2
    now["result"]["clearances"].append(
        {**now["result"]["clearances"][0], "hazard_id": "wreck", "hazard_name": "New Wreck"}
    )
    sets = {document["loaded"]["hazard_sets"][0]["sha256"]: GAT, "b" * 64: later}
    answer = differences(document, now, sets.get)
    found = {one["id"]: one for one in answer["changes"]}
    assert found[f"hazards/{named['id']}/dangers"]["sentence"] == (
        "Hazard set Gat ed was edition 1, now edition 2: 1 added, 1 removed, 1 moved; "
        "near the track: Gat Rock, New Wreck"
    )
    assert found["danger/gat-rock/moved"]["sentence"] == (
        "Danger Gat Rock moved 0.04 NM 090 T "
        "(was 47-11.700N 029-59.100W, now 47-11.700N 029-59.040W)"
    )
    assert found["danger/wreck/added"]["sentence"].startswith("Danger New Wreck added at 47-11.8")
    assert "danger/far-rock/removed" not in found
    drawn = [one["properties"] for one in answer["layers"]["features"]]
    arrows = [one["label"] for one in drawn if one["layer"] == "moved"]
    assert arrows == ["0.04 NM 090 T"]
    kinds = {(one["id"], one["what"]) for one in drawn if one["layer"] == "hazard_change"}
    assert kinds == {("gat-rock", "moved"), ("wreck", "added")}
    not_held = told(document, now)[f"hazards/{named['id']}/dangers"]["sentence"]
    assert (
        not_held == "Hazard set Gat ed was edition 1, now edition 2: its dangers are not held here"
    )


def test_dangers_given_with_the_plan(document: Document) -> None:
    now = copy.deepcopy(document)
    now["inputs"]["hazards"] = collection(name="Survey")
    found = told(document, now)
    assert found["hazards/plan/dangers"]["sentence"] == (
        "Dangers given with the plan: 1 removed; near the track: Zoo rock"
    )
    assert found["danger/rock/removed"]["sentence"].startswith("Danger Zoo rock removed, was at ")
    del now["inputs"]["hazards"]
    gone = told(document, now)["hazards/plan/dangers"]["sentence"]
    assert gone.startswith("Dangers given with the plan was Survey, now none: 1 removed")


def test_many_far_dangers_are_counted_when_there_is_no_room_for_all(document: Document) -> None:
    now = copy.deepcopy(document)
    now["inputs"]["hazards"]["features"] += [
        danger(f"far-{index}", 10.0 + index * 1e-3, 20.0) for index in range(600)
    ]
    change = told(document, now)["hazards/plan/dangers"]
    assert (
        change["sentence"] == "Dangers given with the plan: 600 added; near the track: none of them"
    )
    assert len(change["figures"]) == 500
    assert change["figures_left_out_count"] == 100


def test_the_ship_field_by_field_with_units(document: Document, app: Any) -> None:
    now = copy.deepcopy(document)
    named = now["loaded"]["ship"]
    named["edition"] = 2
    named["sha256"] = "c" * 64
    now["inputs"]["ship_edition"] = 2
    named["ship"]["beam_m"] = 32.5
    named["ship"]["response"]["k_per_s"] = 0.08
    named["ship"]["turn_tables"][0]["rows"][1]["advance_m"] = 720.0
    del named["ship"]["block_coefficient"]
    now["result"]["basis"] = [
        {**one, "value": 32.5} if one["input"].startswith("beam") else one
        for one in now["result"]["basis"]
    ]
    found = told(document, now)
    said = [one["sentence"] for one in found.values() if one["kind"] == "ship"]
    name = f"Zoo carrier 200 edition 1 ({named['id']})"
    assert f"Ship was {name}, now {name.replace('edition 1', 'edition 2')}" in said
    assert "Ship beam was 32 m, now 32.5 m" in said
    assert "Ship response k was 0.0741 1/s, now 0.08 1/s" in said
    assert "Ship turn tables row 1 rows row 2 advance was 700 m, now 720 m" in said
    assert "Ship block coefficient was 0.8, now none" in said
    basis = found["basis/beam of Zoo carrier 200/value"]
    assert basis["sentence"] == "Basis: beam of Zoo carrier 200 was 32 m, ship, now 32.5 m, ship"
    assert basis["follows"] == f"ship/{named['id']}/beam_m"


def test_limits_conditions_and_other_inputs(document: Document) -> None:
    now = copy.deepcopy(document)
    now["inputs"]["limits"]["min_to_close_s"] = 45.0
    now["inputs"]["limits"]["min_ukc_m"] = 1.5
    now["inputs"]["conditions"]["set_deg"] = 5.0
    now["inputs"]["departure_utc"] = "2026-11-25T19:02:00Z"
    now["inputs"]["amendment"]["reason"] = "Berth changed again"
    said = {one["sentence"] for one in told(document, now).values()}
    assert {
        "Limit: least time to the closing of a window was 30 s, now 45 s",
        "Limit: least under-keel clearance was none, now 1.5 m",
        "Conditions: set of the current was 040 T, now 005 T",
        "Departure was 2026-11-25T14:02:00Z, now 2026-11-25T19:02:00Z",
        "Amended under way was pilot: Berth changed, now pilot: Berth changed again",
    } <= said


def test_findings_new_gone_graded_and_measured(document: Document) -> None:
    now = copy.deepcopy(document)
    rows = now["result"]["findings"]
    gone = next(one for one in rows if one["id"] == "methods_apart/turn/B")
    rate = next(one for one in rows if one["id"] == "rate_above_ship/turn/B")
    late = next(one for one in rows if one["id"] == "wheel_over_late/turn/D")
    rows.remove(gone)
    rate["measured"] = 20.0
    late["grade"] = "must_explain"
    rows.append({**gone, "id": "new/turn/C", "message": "Something."})
    found = told(document, now)
    assert found["finding/methods_apart~1turn~1B/gone"]["sentence"] == (
        f"Finding gone, was must explain: {gone['message']}"
    )
    assert found["finding/new~1turn~1C/new"]["sentence"] == "Finding new, must explain: Something."
    assert found["finding/rate_above_ship~1turn~1B/measured"]["sentence"] == (
        "Finding rate above ship, turn 02: found was 21.0 deg/min, now 20.0 deg/min"
    )
    assert found["finding/wheel_over_late~1turn~1D/grade"]["sentence"].startswith(
        "Finding wheel over late, turn 04 was must resolve, now must explain: "
    )


def test_the_same_plan_by_a_new_engine(document: Document) -> None:
    """0.0001 degrees of latitude are 11 m; 0.00001 are 1 m."""
    now = copy.deepcopy(document)
    now["engine_version"] = now["result"]["engine_version"] = "9.0.0"
    now["made_with"]["numpy"] = "99.0"
    now["result"]["turns"][0]["start"]["lat_deg"] += 0.0001
    now["result"]["turns"][2]["start"]["lat_deg"] += 0.00001
    found = told(document, now)
    old = document["engine_version"]
    assert found["engine/version"]["sentence"] == (
        f"Same plan, new engine (was {old}, now 9.0.0): 1 turn of 3 differs by more than 5 m"
    )
    assert found["engine/library-numpy"]["sentence"].endswith("now 99.0")
    now["inputs"]["limits"]["min_to_close_s"] = 45.0
    assert told(document, now)["engine/version"]["sentence"].startswith("New engine (was ")


def test_markup_in_names_stays_text(document: Document) -> None:
    now = copy.deepcopy(document)
    now["inputs"]["route"]["waypoints"][1]["name"] = "<b>Gat</b>"
    change = told(document, now)["waypoint/B/name"]
    assert change["sentence"] == "WPT 02 name was Gat, now <b>Gat</b>"


def test_the_plot_has_the_earlier_track_only_where_it_differs(document: Document, app: Any) -> None:
    body = rich_request()
    body["route"]["waypoints"][3]["lat_deg"] += 0.002
    answer = differences(document, moved_to(document, app, body), nothing_held)
    drawn = [one["properties"] for one in answer["layers"]["features"]]
    old = {
        one.get("id") for one in drawn if one["revision"] == "was" and one["layer"] == "waypoint"
    }
    new = [one["id"] for one in drawn if one["revision"] == "now" and one["layer"] == "waypoint"]
    assert "D" in old
    assert "A" not in old
    assert new == ["A", "B", "C", "D", "E"]
    (arrow,) = [one for one in drawn if one["layer"] == "moved"]
    assert (arrow["id"], arrow["label"]) == ("D", "0.12 NM 000 T")
    assert arrow["change_id"] == "waypoint/D/position"
