"""Index lines, clearing lines and transits in the plan's answer, its layers and its findings."""

from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.core.aids.waters import NORTH, beside, off

MILE_M = 1852.0
Document = dict[str, Any]


def body(*marks: Document, leg: Document | None = None, **more: Any) -> Document:
    """Return a request of one leg due north and one to the east, a rock 900 m to starboard."""
    lat, lon = NORTH[1]
    east = off((lat, lon), 90.0, 5.0 * MILE_M)
    rock = beside(5000.0, 900.0)
    hazard = {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [rock[1], rock[0]]},
        "properties": {"id": "rock", "name": "Zoo rock"},
    }
    route = {
        "name": "zoo",
        "waypoints": [
            {"id": "A", "lat_deg": NORTH[0][0], "lon_deg": NORTH[0][1]},
            {"id": "B", "lat_deg": lat, "lon_deg": lon, "turn_radius_nm": 0.5, "leg": leg or {}},
            {"id": "C", "lat_deg": east[0], "lon_deg": east[1]},
        ],
    }
    hazards = {"type": "FeatureCollection", "features": [hazard]}
    return zoo.request(
        route=route, hazards=hazards, limits={"min_clearance_m": 300.0}, marks=list(marks), **more
    )


def mark(name: str, place: tuple[float, float], **more: Any) -> Document:
    made: Document = {"id": name, "name": name.title(), "kind": "beacon", "radar_conspicuous": True}
    return {**made, "lat_deg": place[0], "lon_deg": place[1], **more}


@pytest.fixture(name="plan")
def _plan(client: Client) -> Any:
    def ask(request: Document) -> Document:
        answer = client.plan(request)
        assert answer.status_code == 200, answer.text
        found: Document = answer.json()
        return found

    return ask


def features(answer: Document, layer: str) -> list[Document]:
    return [one for one in answer["layers"]["features"] if one["properties"]["layer"] == layer]


def findings(answer: Document, code: str) -> list[Document]:
    return [one for one in answer["findings"] if one["code"] == code]


def test_a_leg_with_its_index_line_limits_and_layers(plan: Any) -> None:
    answer = plan(body(mark("tower", beside(5000.0, 1.5 * MILE_M)), leg={"xtd_port_nm": 0.4}))
    index = answer["legs"][0]["index_lines"]
    assert (index["range_scale_nm"], index["range_scale_source"]) == (6.0, "default")
    (line,) = index["rows"]
    assert (line["use"], line["side"], line["set_nm"]) == ("proposed", "starboard", 1.5)
    assert [one["word"] for one in line["limits"]] == ["NLT", "NMT"]
    # 600 m are left to starboard, 0.4 NM to port.
    assert [one["range_nm"] for one in line["limits"]] == [1.18, 1.9]
    assert line["limits"][0]["hazard_id"] == "rock"
    drawn = features(answer, "parallel_index")[0]
    assert drawn["properties"]["set_nm"] == 1.5
    assert {one["properties"]["word"] for one in features(answer, "index_limit")} == {"NLT", "NMT"}
    basis = [one for one in answer["basis"] if one["input"] == "range scale for index lines"]
    assert [one["source"] for one in basis] == ["default"]


def test_the_lines_as_drawn_lie_where_they_are_said_to(plan: Any) -> None:
    """By geographiclib: the index line runs through its object, the limit off the track."""
    place = beside(5000.0, 1.5 * MILE_M)
    answer = plan(body(mark("tower", place), leg={"xtd_port_nm": 0.4}))
    lines = [*features(answer, "parallel_index"), *features(answer, "index_limit")]
    lines = [one for one in lines if one["properties"]["index"] == 0]
    assert len(lines) == 3
    for one in lines:
        for lon, lat in one["geometry"]["coordinates"]:
            across = one["properties"]["off_track_nm"] * MILE_M
            wanted = off((lat, NORTH[0][1]), 90.0 if across > 0 else 270.0, abs(across))
            assert lon == pytest.approx(wanted[1], abs=2e-6)
    assert lines[0]["properties"]["off_track_nm"] == pytest.approx(1.5, abs=1e-6)


def test_a_choice_is_taken_and_one_of_no_mark_is_found(plan: Any) -> None:
    marks = [mark("tower", beside(5000.0, 1.5 * MILE_M)), mark("spire", beside(6000.0, -MILE_M))]
    chosen = {"index_mark_ids": ["spire", "gone"], "clearing_mark_ids": ["gone"]}
    answer = plan(body(*marks, leg=chosen))
    rows = answer["legs"][0]["index_lines"]["rows"]
    assert [(one["mark_id"], one["use"]) for one in rows] == [
        ("spire", "chosen"), ("tower", "offered"),
    ]  # fmt: skip
    (found,) = findings(answer, "index_choice_not_usable")
    assert (found["grade"], found["about"]) == ("must_explain", "gone")
    assert findings(answer, "clearing_choice_not_usable")[0]["about"] == "gone"


def test_near_the_coast_a_leg_without_an_object_must_be_explained(plan: Any) -> None:
    answer = plan(body(mark("tower", beside(5000.0, 30.0 * MILE_M)), leg={"water": "coastal"}))
    (found,) = findings(answer, "index_no_object")
    assert found["grade"] == "must_explain"
    assert "coastal" in found["message"]


def test_stretches_that_nothing_serves_and_floating_marks_are_found(plan: Any) -> None:
    buoy = mark("buoy", beside(3000.0, MILE_M), kind="buoy")
    ship = {**zoo.request()["ship"], "radar_range_scale_nm": 3.0}
    answer = plan(body(buoy, leg={"water": "confined"}, ship=ship))
    (gap,) = findings(answer, "index_not_served")
    assert gap["grade"] == "must_explain"
    (floating,) = findings(answer, "index_floating")
    assert floating["about"] == "buoy"
    assert answer["legs"][0]["index_lines"]["range_scale_source"] == "ship"


def test_limits_with_no_room_or_less_than_a_radar_may_be_wrong(plan: Any) -> None:
    request = body(mark("tower", beside(5000.0, 1.5 * MILE_M)))
    request["limits"] = {"min_clearance_m": 850.0}
    (found,) = findings(plan(request), "index_limit_starboard")
    # MSC.192(79), from memory: 30 m or 1 % of the range scale, here of 6 NM.
    assert (found["grade"], found["limit"]) == ("must_explain", pytest.approx(111.12))
    assert found["measured"] == pytest.approx(50.0, abs=0.1)
    request["limits"] = {"min_clearance_m": 950.0}
    (found,) = findings(plan(request), "index_limit_starboard")
    assert found["grade"] == "must_resolve"


def test_clearing_lines_and_what_they_draw(plan: Any) -> None:
    light = mark("light", beside(12_000.0, 200.0), kind="light", height_m=30.0)
    ship = {**zoo.request()["ship"], "eye_height_m": 20.0}
    answer = plan(body(light, ship=ship))
    clearing = answer["legs"][0]["clearing_lines"]
    (bearing,) = clearing["bearings"]
    assert (bearing["word"], bearing["danger_side"], bearing["sight"]) == (
        "NLT", "starboard", "not_known",
    )  # fmt: skip
    # Nothing says when she comes there, and by night the mark, of which no light is given, is dark.
    assert "whether it is dark then is not known" in bearing["notes"][-1]
    assert bearing["room_m"] > 0.0
    assert bearing["not_cleared"] == []
    (drawn,) = features(answer, "clearing_line")
    assert drawn["properties"]["hazard_id"] == "rock"


def test_a_bend_and_a_transit(plan: Any) -> None:
    front = off(NORTH[1], 0.0, 2.0 * MILE_M)
    answer = plan(
        body(
            mark("front", front, leading_deg=0.0),
            mark("rear", off(front, 0.0, 800.0), leading_deg=0.0),
        )
    )
    (transit,) = answer["legs"][0]["transits"]
    assert (transit["source"], transit["use"]) == ("leading_marks", "track")
    assert features(answer, "transit")
    index = answer["turns"][0]["index_lines"]
    assert index["inside_lines"]["cross_at"] == answer["turns"][0]["centre"]
    assert index["rows"]
    assert len(features(answer, "bend_index")) == 2


def test_without_marks_nothing_is_said_to_be_known(plan: Any) -> None:
    answer = plan(body())
    assert answer["legs"][0]["index_lines"] is None
    assert answer["legs"][0]["clearing_lines"] is None
    rows = [
        one for one in answer["checks"]["rows"] if one["check"] in ("leg_index", "leg_clearing")
    ]
    assert {one["result"] for one in rows} == {"not_checked"}
    assert {one["reason"] for one in rows} == {"no marks are given or charted"}


@pytest.mark.parametrize(
    ("member", "value", "pointer"),
    [
        ("index_mark_ids", ["a", "a"], "/route/waypoints/1/leg/index_mark_ids"),
        ("clearing_mark_ids", "a", "/route/waypoints/1/leg/clearing_mark_ids"),
        ("index_mark_ids", [1], "/route/waypoints/1/leg/index_mark_ids/0"),
    ],
)
def test_bad_choices_are_named(client: Client, member: str, value: Any, pointer: str) -> None:
    answer = client.plan(body(leg={member: value}))
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer
