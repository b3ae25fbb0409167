"""Exports: what is in them, that they read back, and that nothing is lost or pretended.

Element names and their order are those of the schemas of GPX 1.1 and of IEC 61174 Annex S (the
latter from schema-made samples of version 1.2); formula signs are those of OWASP ASVS 5.0, 1.2.10.
"""

import csv
import io
import json
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import shape

from tests import zoo
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.core.errors import Conflict, NotFound
from wheelover.core.types.dangers import DANGER_CLASSES, WATER_KINDS
from wheelover.core.types.watch import FIX_METHODS, STAGES
from wheelover.formats.own_extension import PLAN
from wheelover.formats.strict_json import read_json
from wheelover.formats.xml_tree import Element, read_xml
from wheelover.render.exports import ROUTE_FORMATS as FORMATS
from wheelover.render.exports import ExportFile, Stamp, export_file
from wheelover.usecases.gather import Gathered
from wheelover.usecases.plan_route import plan_route
from wheelover.usecases.read_route import read_route_file

REVISION = Stamp(plan_id="p-1", revision=3, sha256="ab" * 32, created_utc="2026-11-25T14:02:00Z")
XML = ("rtz", "gpx")


def made(request: dict[str, Any], name: str, stamp: Stamp = REVISION, **more: str) -> ExportFile:
    result = plan_route(PlanRequest.model_validate(request).to_core(Gathered(inputs=request)))
    return export_file(name, request, result, stamp, **more)


def read_back(file: ExportFile) -> dict[str, Any]:
    return read_route_file(file.body, file.name)


def without_nothing(waypoint: dict[str, Any]) -> dict[str, Any]:
    """Return a waypoint without members that say nothing."""
    kept = {k: v for k, v in waypoint.items() if v is not None and v is not False and v != ""}
    for place in ("leg", "turn"):
        asked = {k: v for k, v in (kept.pop(place, None) or {}).items() if v is not None}
        kept |= {place: asked} if asked else {}
    return kept


def near(value: Any) -> Any:
    """Return a value to be equal to: degrees to 1e-9, other numbers to 1e-15 or as they are."""
    if isinstance(value, dict):
        return {
            key: pytest.approx(one, rel=0.0, abs=1e-9)
            if key in ("lat_deg", "lon_deg")
            else near(one)
            for key, one in value.items()
        }
    return pytest.approx(value, rel=1e-15, abs=1e-15) if isinstance(value, float) else value


def assert_same_route(back: dict[str, Any], request: dict[str, Any]) -> None:
    """Assert that a route came back: positions to 1e-9 degrees, all else to the letter."""
    assert back["rejected_count"] == 0, back["report"]
    found, given_ = back["route"]["waypoints"], request["route"]["waypoints"]
    assert len(found) == len(given_)
    for one, other in zip(found, given_, strict=True):
        assert one == near(without_nothing(other))
    assert back["route"]["name"] == request["route"]["name"]


TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=30)
ODD = st.sampled_from(
    ["=1+1", "+1", "-1", "@a", "\tx", "\rx", "'", "''=", "a'b", " a ", '"', "<&>]]>", "a,b;c\n\rd",
     "\x85x\u2028", "\ufffe\x01", "é ﷽ 🚢", "&#10;", "7", "007", "1e3", "-0", "true", "\\u0041"]
)  # fmt: skip
NAMES = st.one_of(ODD, TEXT)
IDS = NAMES.filter(bool)
MILES = st.one_of(st.none(), st.floats(0.0, 100.0))
CURRENTS = st.one_of(
    st.just({}),
    st.fixed_dictionaries(
        {"set_deg": st.floats(0.0, 360.0, exclude_max=True), "drift_kn": st.floats(0.0, 30.0)}
    ),
)


def with_current(
    members: st.SearchStrategy[dict[str, Any]],
) -> st.SearchStrategy[dict[str, Any]]:
    """Return wishes with or without a current, and never half of one."""
    return st.builds(lambda one, current: {**one, **current}, members, CURRENTS)


LEG_MEMBERS = st.fixed_dictionaries(
    {},
    optional={
        "line": st.sampled_from(["rhumb", "geodesic"]),
        "speed_kn": st.floats(0.001, 100.0),
        "xtd_port_nm": MILES,
        "xtd_starboard_nm": MILES,
        "min_clearance_m": st.floats(0.0, 200_000.0),
        "charted_depth_m": st.one_of(st.none(), st.floats(-20.0, 12_000.0)),
        "catzoc": st.sampled_from([None, "A1", "A2", "B", "C", "D", "U"]),
        "channel_width_m": st.one_of(st.none(), st.floats(0.001, 100_000.0)),
        "water": st.sampled_from(WATER_KINDS),
        "min_clearance_by_class": st.dictionaries(
            st.sampled_from(DANGER_CLASSES), st.floats(0.0, 200_000.0), min_size=1, max_size=4
        ),
    },
)
WORDS = TEXT.filter(str.strip)
MONITORING = st.fixed_dictionaries(
    {},
    optional={
        "stage": st.sampled_from(STAGES),
        "fixing": st.fixed_dictionaries(
            {"primary": st.sampled_from(FIX_METHODS)},
            optional={"interval_min": st.floats(0.1, 1440.0)},
        ),
        "watch": WORDS,
        "notes": st.one_of(WORDS, ODD.filter(str.strip)),
    },
).filter(bool)
MARK_IDS = st.lists(IDS, min_size=1, max_size=3, unique=True)
MORE_LEG_MEMBERS = st.fixed_dictionaries(
    {},
    optional={
        "monitoring": MONITORING,
        "index_mark_ids": MARK_IDS,
        "clearing_mark_ids": MARK_IDS,
    },
)
STOPS = st.fixed_dictionaries(
    {},
    optional={
        "stay_min": st.floats(0.0, 525_600.0),
        "arrive_from_utc": st.sampled_from(["2026-12-01T06:00:00Z", "2026-12-01T06:00:00.25Z"]),
        "arrive_to_utc": st.just("2026-12-01T07:00:00Z"),
        "fixed": st.just(True),
    },
)
LEGS = st.builds(lambda one, more: {**one, **more}, with_current(LEG_MEMBERS), MORE_LEG_MEMBERS)
TURNS = with_current(
    st.fixed_dictionaries(
        {},
        optional={
            "steering": st.sampled_from([None, "rudder", "rate", "radius"]),
            "rudder_deg": st.one_of(st.none(), st.floats(0.001, 90.0)),
            "cue_ids": st.lists(IDS, min_size=1, max_size=2),
        },
    )
)
CHOICES = st.one_of(
    st.fixed_dictionaries({"method": st.sampled_from(["geometric", "rule_of_thumb"])}),
    st.fixed_dictionaries({"distance_nm": st.floats(0.0, 100.0)}),
)
WAYPOINTS = st.fixed_dictionaries(
    {"lat_deg": st.floats(-0.5, 0.5), "lon_deg": st.floats(-0.5, 0.5)},
    optional={
        "name": st.one_of(st.none(), NAMES),
        "turn_radius_nm": st.floats(0.0001, 50.0),
        "wheel_over": CHOICES,
        "leg": LEGS,
        "turn": TURNS,
    },
)


@st.composite
def requests(draw: st.DrawFn) -> dict[str, Any]:
    ids = draw(st.lists(IDS, min_size=2, max_size=5, unique=True))
    waypoints = [{"id": identity, **draw(WAYPOINTS)} for identity in ids]
    for waypoint in waypoints[1:]:
        waypoint.update(draw(STOPS))
        leg = waypoint.get("leg")
        if leg is not None and "speed_kn" not in leg and draw(st.booleans()):
            leg["speed_over_ground_kn"] = draw(st.floats(0.001, 100.0))
    waypoints[0].pop("leg", None)
    lat_deg, lon_deg = draw(st.floats(-85.0, 85.0)), draw(st.sampled_from([-30.0, 0.0, 180.0]))
    for waypoint in waypoints:
        waypoint["lat_deg"] += lat_deg
        waypoint["lon_deg"] += lon_deg
        if waypoint["lon_deg"] > 180.0:
            waypoint["lon_deg"] -= 360.0
    request = zoo.request(route={"name": draw(IDS), "waypoints": waypoints})
    request["ship"]["name"] = draw(NAMES)
    request["hazards"]["features"][0]["properties"]["name"] = draw(NAMES)
    request["hazards"]["features"][0]["geometry"]["coordinates"] = [lon_deg, lat_deg]
    return request


@pytest.mark.parametrize("name", FORMATS)
@given(request_=requests())
def test_every_route_reads_back(name: str, request_: dict[str, Any]) -> None:
    back = read_back(made(request_, name))
    assert_same_route(back, request_)
    # Of our own words nothing is taken for another maker's.
    assert all(one["xml"].startswith("<waypoint id=") for one in kept(back))


@pytest.mark.parametrize("name", FORMATS)
@given(request_=requests())
def test_a_second_round_changes_nothing(name: str, request_: dict[str, Any]) -> None:
    """What was read from our export gives, exported again and read, the same reading."""
    once = read_back(made(request_, name))["route"]
    again = read_back(made(zoo.request(route=once), name))["route"]
    assert again == once


@pytest.mark.parametrize("name", FORMATS)
def test_halves_round_the_same_way_on_both_sides(name: str) -> None:
    """Decimal halves that no double holds: 2.675 lies below itself (IEEE 754)."""
    request = zoo.request()
    for number, waypoint in enumerate(request["route"]["waypoints"]):
        waypoint["lat_deg"] = 47.0 + number / 8 + 0.000000005
        waypoint["lon_deg"] = -30.123456785
        waypoint["turn_radius_nm"] = 2.67505 + number / 1000
    request["route"]["waypoints"][1]["leg"] = {"xtd_port_nm": 0.12345, "xtd_starboard_nm": 1.00005}
    assert_same_route(read_back(made(request, name)), request)


@pytest.mark.parametrize("version", ["1.0", "1.1", "1.2"])
def test_each_version_reads_back(version: str) -> None:
    request = zoo.request()
    file = made(request, "rtz", version=version)
    root = read_xml(file.body)
    assert root.attribute("version") == version
    assert root.name[0] == f"http://www.cirm.org/RTZ/1/{version[-1]}"
    assert_same_route(read_back(file), request)


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(
    ("stamp", "status"),
    [
        (Stamp(), "DRAFT"),
        (REVISION, "REVISION 3"),
        (Stamp(demonstration=True), "DEMONSTRATION, DRAFT"),
    ],
)
def test_what_every_export_carries(name: str, stamp: Stamp, status: str) -> None:
    request = zoo.request()
    result = plan_route(PlanRequest.model_validate(request).to_core(Gathered(inputs=request)))
    file = export_file(name, request, result, stamp)
    text = texts_of(file, name)
    words = re.sub(r"\s+", " ", text)
    assert status in words
    for caution in result["cautions"]:
        assert caution["text"] in words
    not_checked = [row for row in result["findings"] if row["grade"] == "not_checked"]
    assert len(not_checked) > 5
    for row in not_checked:
        assert re.sub(r"\s+", " ", row["message"]) in words
    assert str(len(not_checked)) in words
    assert result["inputs_sha256"] in words
    assert "check this route against its own charts" in words
    if stamp.sha256:
        assert stamp.sha256 in words
    assert not re.search(r"\b(safe|safely|all clear)\b", words.replace("safety", ""), re.I)
    assert re.fullmatch(r"[a-z0-9.-]+\.[a-z]+", file.name)
    assert ("draft" in file.name) == (stamp.revision is None)
    assert ("demonstration" in file.name) == stamp.demonstration


def texts_of(file: ExportFile, name: str) -> str:
    """Return all texts of a file, unescaped by a reader of its format."""
    if name == "csv":
        return " ".join(cell for row in cells_of(file) for cell in row.values())
    found: list[str] = []

    def take(value: Any) -> None:
        if isinstance(value, Element):
            found.extend([value.text, *(text for _, text in value.attributes)])
            for one in value.elements:
                take(one)
        elif isinstance(value, dict):
            for one in value.values():
                take(one)
        elif isinstance(value, list):
            for one in value:
                take(one)
        else:
            found.append(str(value))

    take(read_json(file.body) if name == "geojson" else read_xml(file.body))
    return " ".join(found)


def cells_of(file: ExportFile) -> list[dict[str, str]]:
    text = file.body.decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_a_demonstration_says_so_whatever_the_stamp() -> None:
    file = made(zoo.request(demonstration=True), "csv", Stamp())
    assert cells_of(file)[0]["export_status"] == "DEMONSTRATION, DRAFT"


@pytest.mark.parametrize("name", FORMATS)
def test_the_same_plan_gives_the_same_bytes(name: str) -> None:
    assert made(zoo.request(), name) == made(json.loads(json.dumps(zoo.request())), name)  # noqa: TID251


def asked() -> dict[str, Any]:
    """Return a request with a current of its own on a leg and in a turn, and its steering."""
    request = zoo.request(conditions={"set_deg": 10.0, "drift_kn": 0.5})
    request["route"]["waypoints"][1]["leg"] = {"set_deg": 359.9, "drift_kn": 1.25}
    request["route"]["waypoints"][1]["turn"] = {
        "steering": "rate",
        "rudder_deg": 12.345678901234567,
        "set_deg": 0.1,
        "drift_kn": 0.30000000000000004,
    }
    return request


@pytest.mark.parametrize("name", FORMATS)
def test_current_and_steering_come_back_to_the_last_bit(name: str) -> None:
    request = asked()
    back = read_back(made(request, name))["route"]["waypoints"]
    given_ = request["route"]["waypoints"]
    assert [one.get("leg") for one in back] == [one.get("leg") for one in given_]
    assert [one.get("turn") for one in back] == [one.get("turn") for one in given_]


@pytest.mark.parametrize("name", XML)
def test_words_say_the_current_and_the_steering(name: str) -> None:
    words = texts_of(made(asked(), name), name)
    assert "Current on the leg sets 000 T, 1.25 kn, given for the leg." in words
    assert "Current on the leg sets 010 T, 0.5 kn, of the plan." in words
    assert "To be steered by rate of turn. Rudder planned 12.3457 deg." in words
    assert "Current in the turn sets 000 T, 0.3 kn, given for this turn." in words
    still = texts_of(made(zoo.request(), name), name)
    assert "Current on the leg" not in still
    assert "Current in the turn" not in still
    assert "To be steered" not in still


# Holes


@pytest.mark.parametrize("member", ["gap_before", "gap_after"])
def test_holes_are_refused_where_a_reader_would_draw_across_them(member: str) -> None:
    request = zoo.request()
    request["route"]["waypoints"][-1][member] = True
    for name in XML:
        with pytest.raises(Conflict, match="C") as raised:
            made(request, name)
        assert raised.value.faults[0].pointer == f"/route/waypoints/2/{member}"
    for name in ("geojson", "csv"):
        assert_same_route(read_back(made(request, name)), request)


# Spreadsheets


def test_no_text_of_the_table_is_a_formula() -> None:
    request = zoo.request()
    names = ["=cmd()", "+1", "-1"]
    for waypoint, name in zip(request["route"]["waypoints"], names, strict=True):
        waypoint["name"] = name
    request["route"]["name"] = "@route"
    request["hazards"]["features"][0]["properties"]["name"] = "=rock"
    cells = cells_of(made(request, "csv"))
    assert [row["name"] for row in cells] == ["'=cmd()", "'+1", "'-1"]
    assert cells[0]["route_name"] == "'@route"
    assert cells[1]["plan_leg_clearance_of"] == "'=rock"
    assert cells[0]["longitude"] == "-30"
    for row in cells:
        for column, cell in row.items():
            number = re.fullmatch(r"-?\d+(\.\d+)?", cell)
            assert number or not cell.startswith(("=", "+", "-", "@", "\t", "\r")), column


def test_only_our_own_guard_is_taken_off() -> None:
    foreign = b"id,lat,lon,name\na,1.0,1.0,'=x\nb,2.0,1.0,'y'\n"
    names = [w["name"] for w in read_route_file(foreign, "a.csv")["route"]["waypoints"]]
    assert names == ["'=x", "'y'"]


def test_the_table_says_what_it_is_when_it_is_read() -> None:
    notes = " ".join(read_back(made(zoo.request(), "csv"))["notes"])
    assert "an export of wheelover, status: REVISION 3" in notes
    assert "Planning aid only" in notes
    assert "columns not used" not in notes


def test_no_cell_is_longer_than_a_spreadsheet_takes() -> None:
    waypoints = [
        {"id": f"w{n:02d} " + "x" * 190, "lat_deg": 47.0 + n / 50, "lon_deg": -30.0}
        for n in range(150)
    ]
    request = zoo.request(route={"name": "long", "waypoints": waypoints}, ship=None)
    result = plan_route(PlanRequest.model_validate(request).to_core(Gathered(inputs=request)))
    file = export_file("csv", request, result, REVISION)
    cells = cells_of(file)
    assert max(len(cell) for row in cells for cell in row.values()) <= 32_500
    remarks = " ".join(row["export_remarks"] for row in cells)
    not_checked = [row for row in result["findings"] if row["grade"] == "not_checked"]
    assert sum(len(row["message"]) for row in not_checked) > 33_000
    assert all(row["message"] in remarks for row in not_checked)
    assert read_back(file)["accepted_count"] == 150


def test_computed_columns_hold_the_plan() -> None:
    request = zoo.request()
    result = plan_route(PlanRequest.model_validate(request).to_core(Gathered(inputs=request)))
    row = cells_of(export_file("csv", request, result, REVISION))[1]
    turn, leg = result["turns"][0], result["legs"][0]
    assert float(row["plan_course_deg"]) == pytest.approx(leg["course_deg"], abs=1e-4)
    assert float(row["plan_leg_distance_nm"]) == pytest.approx(leg["distance_nm"], abs=1e-4)
    assert float(row["plan_wheel_over_distance_nm"]) == pytest.approx(
        turn["planned"]["distance_nm"], abs=1e-4
    )
    assert float(row["plan_wheel_over_lat_deg"]) == pytest.approx(
        turn["planned"]["position"]["lat_deg"], abs=1e-8
    )
    assert row["plan_leg_clearance_of"] == "Zoo rock"


# XML


SCHEMA = {
    "route": (("routeInfo", "waypoints", "schedules", "extensions"), {"version"}),
    "routeInfo": (
        ("extensions",),
        {
            *("routeName", "routeAuthor", "routeStatus", "validityPeriodStart"),
            *("validityPeriodStop", "vesselName", "vesselMMSI", "vesselIMO", "vesselVoyage"),
            *("vesselDisplacement", "vesselCargo", "vesselGM", "optimizationMethod"),
            *("vesselMaxRoll", "vesselMaxWave", "vesselMaxWind", "vesselSpeedMax"),
            *("vesselServiceMin", "vesselServiceMax", "routeChangesHistory"),
        },
    ),
    "waypoints": (("defaultWaypoint", "waypoint", "extensions"), set()),
    "defaultWaypoint": (("leg", "extensions"), {"radius"}),
    "waypoint": (("position", "leg", "extensions"), {"id", "revision", "name", "radius"}),
    "position": ((), {"lat", "lon"}),
    "leg": (
        ("extensions",),
        {
            *("starboardXTD", "portsideXTD", "safetyContour", "safetyDepth", "geometryType"),
            *("speedMin", "speedMax", "draughtForward", "draughtAft", "staticUKC"),
            *("dynamicUKC", "masthead", "legReport", "legInfo", "legNote1", "legNote2"),
        },
    ),
    "extensions": (("extension",), set()),
    "extension": (None, {"manufacturer", "name", "version"}),
    "schedules": (("schedule", "extensions"), set()),
    "schedule": (("manual", "calculated", "extensions"), {"id", "name"}),
    "manual": (("scheduleElement", "extensions"), set()),
    "calculated": (("scheduleElement", "extensions"), set()),
    "scheduleElement": (
        ("extensions",),
        {*("waypointId", "speed", "eta", "etd", "stay", "currentSpeed", "currentDirection")},
    ),
}
"""What may stand where, in this order, by schema-made samples of version 1.2."""


def conforms(element: Element) -> None:
    """Assert that an element and all in it are as the exchange format has them."""
    children, attributes = SCHEMA[element.local]
    assert {name[1] for name, _ in element.attributes} <= attributes
    assert {name[0] for name, _ in element.attributes} <= {""}
    if children is None:
        return
    places = [children.index(one.local) for one in element.elements]
    assert places == sorted(places)
    assert element.text.strip() == ""
    for one in element.elements:
        assert one.name[0] == element.name[0]
        conforms(one)


KEPT = [
    {"into": "route", "kind": "element", "waypoint_id": None,
     "xml": '<schedules><schedule id="1"><manual><sheduleElement waypointId="9" speed="11"/>'
            '<sheduleElement waypointId="2" eta="2026-11-25T14:02:00Z"/></manual></schedule>'
            "</schedules>"},
    {"into": "route", "kind": "extension", "waypoint_id": None,
     "xml": '<extension manufacturer="Zoo" name="r" version="1"/>'},
    {"into": "routeInfo", "kind": "attributes", "waypoint_id": None,
     "xml": '<routeInfo vesselIMO="9999999" vesselGM="1.2"/>'},
    {"into": "defaultWaypoint/leg", "kind": "attributes", "waypoint_id": None,
     "xml": '<leg safetyDepth="12"/>'},
    {"into": "waypoint", "kind": "attributes", "waypoint_id": "B",
     "xml": '<waypoint id="2" revision="4"/>'},
    {"into": "waypoint", "kind": "extension", "waypoint_id": "B",
     "xml": '<extension manufacturer="Zoo &amp; Sons" xmlns:z="urn:z"><z:a z:b="&quot;&#10;"> x '
            "</z:a></extension>"},
    {"into": "waypoint/leg", "kind": "attributes", "waypoint_id": "B",
     "xml": '<leg speedMax="14.5" legInfo="theirs"/>'},
    {"into": "waypoint/leg", "kind": "extension", "waypoint_id": "C",
     "xml": '<extension manufacturer="Zoo"/>'},
]  # fmt: skip


def kept_request(pieces: list[dict[str, Any]], name: str) -> dict[str, Any]:
    request = zoo.request()
    request["route"]["carried"] = [{"format": name, **piece} for piece in pieces]
    return request


@pytest.mark.parametrize("pieces", [[], KEPT])
def test_the_exchange_file_is_built_as_its_schema_has_it(pieces: list[dict[str, Any]]) -> None:
    root = read_xml(made(kept_request(pieces, "rtz"), "rtz").body)
    conforms(root)
    waypoints = root.named("waypoints")[0].named("waypoint")
    numbers = [one.attribute("id") or "" for one in waypoints]
    assert len(set(numbers)) == len(numbers)
    assert all(re.fullmatch(r"\d+", number) for number in numbers)
    assert waypoints[0].named("leg") == ()
    assert [leg.attribute("geometryType") for one in waypoints[1:] for leg in one.named("leg")] == [
        "Loxodrome",
        "Loxodrome",
    ]
    assert "WHEEL-OVER" in (waypoints[1].named("leg")[0].attribute("legNote1") or "")


def test_leg_data_go_to_the_waypoint_the_leg_leads_to() -> None:
    request = zoo.request()
    request["route"]["waypoints"][1]["leg"] = {"line": "geodesic", "xtd_port_nm": 0.3}
    root = read_xml(made(request, "rtz").body)
    legs = [one.named("leg") for one in root.named("waypoints")[0].named("waypoint")]
    assert legs[0] == ()
    assert legs[1][0].attribute("geometryType") == "Orthodrome"
    assert legs[1][0].attribute("portsideXTD") == "0.3"
    assert legs[2][0].attribute("portsideXTD") is None


def test_pieces_of_others_survive_and_speak_for_nothing() -> None:
    request = kept_request(KEPT, "rtz")
    file = made(request, "rtz", version="1.0")
    back = read_back(file)
    assert_same_route(back, request)
    found = {(one["into"], one["kind"], one["waypoint_id"], one["xml"]) for one in kept(back)}
    wanted = {(one["into"], one["kind"], one["waypoint_id"], one["xml"]) for one in KEPT}
    # The waypoints that had no number of their own have the one they were given.
    assert found - wanted == {
        ("waypoint", "attributes", "A", '<waypoint id="1"/>'),
        ("waypoint", "attributes", "C", '<waypoint id="3"/>'),
    }
    assert wanted <= found
    assert any("schedules" in one for one in file.warnings)


def kept(back: dict[str, Any]) -> list[dict[str, Any]]:
    return back["route"].get("carried", [])


def test_schedules_are_spelled_as_the_version_has_them() -> None:
    request = kept_request(KEPT, "rtz")
    for version, spelled in (("1.0", b"<sheduleElement"), ("1.1", b"<scheduleElement")):
        body = made(request, "rtz", version=version).body
        # Two that were kept, and two of our own schedule.
        assert body.count(spelled) == 4
        assert body.count(b"heduleElement") == 4


def test_a_number_a_schedule_speaks_of_goes_to_no_other_waypoint() -> None:
    schedule = '<schedules><schedule id="1"><manual>{}</manual></schedule></schedules>'
    spoken = "".join(f'<scheduleElement waypointId="{n}"/>' for n in (1, 3))
    pieces = [{"into": "route", "kind": "element", "xml": schedule.format(spoken)}]
    root = read_xml(made(kept_request(pieces, "rtz"), "rtz").body)
    numbers = [one.attribute("id") for one in root.named("waypoints")[0].named("waypoint")]
    assert numbers == ["4", "2", "5"]


def test_what_the_plan_gives_up_does_not_come_back() -> None:
    """A kept default or attribute fills nothing that the plan leaves empty."""
    pieces = [
        {"into": "defaultWaypoint", "kind": "attributes", "xml": '<w radius="0.9" note="n"/>'},
        {"into": "waypoint", "kind": "attributes", "waypoint_id": "C", "xml": '<w radius="2"/>'},
        {"into": "waypoint/leg", "kind": "attributes", "waypoint_id": "C",
         "xml": '<leg portsideXTD="5" geometryType="Orthodrome" speedMax="9"/>'},
    ]  # fmt: skip
    request = kept_request(pieces, "rtz")
    assert_same_route(read_back(made(request, "rtz")), request)


def test_pieces_without_a_place_are_named() -> None:
    pieces = [{"into": "waypoint", "kind": "extension", "waypoint_id": "gone", "xml": "<e/>"}]
    file = made(kept_request(pieces, "rtz"), "rtz")
    assert any("waypoint of gone" in one for one in file.warnings)
    other = made(kept_request(pieces, "rtz"), "gpx")
    assert any("1 pieces kept from the rtz file" in one for one in other.warnings)


def test_another_systems_status_is_not_passed_on() -> None:
    pieces = [
        {"into": "routeInfo", "kind": "attributes", "xml": '<r routeStatus="APPROVED"/>'},
    ]
    file = made(kept_request(pieces, "rtz"), "rtz", Stamp())
    info = read_xml(file.body).named("routeInfo")[0]
    assert info.attribute("routeStatus") == "DRAFT"
    assert any("APPROVED" in one for one in file.warnings)


def test_what_another_system_changed_stands() -> None:
    """Positions and radii of the standard go before the exact ones in our extension."""
    body = made(zoo.request(), "rtz").body.replace(b'lat="47.2" lon="-30"', b'lat="47.3" lon="-30"')
    body = body.replace(b'geometryType="Loxodrome"', b'geometryType="Orthodrome"')
    waypoints = read_route_file(body, "a.rtz")["route"]["waypoints"]
    assert waypoints[1]["lat_deg"] == 47.3
    assert waypoints[1]["leg"] == {"line": "geodesic"}


def test_words_changed_by_another_system_are_theirs() -> None:
    body = made(zoo.request(), "rtz").body.replace(
        b'legInfo="Rhumb', b'legInfo="Call master. Rhumb'
    )
    notes = [one["xml"] for one in kept(read_route_file(body, "a.rtz")) if "legInfo" in one["xml"]]
    assert len(notes) == 2
    assert all("Call master" in one for one in notes)
    assert not any("legNote1" in one["xml"] for one in kept(read_route_file(body, "a.rtz")))
    body = made(zoo.request(), "gpx").body.replace(b"<cmt>WHEEL-OVER", b"<cmt>Theirs. WHEEL-OVER")
    assert [one["xml"][:13] for one in kept(read_route_file(body, "a"))] == ["<cmt>Theirs. "]


def test_gpx_is_in_the_order_of_its_schema() -> None:
    pieces = [
        {"into": "gpx", "kind": "element", "xml": "<trk><name>t</name></trk>"},
        {"into": "gpx", "kind": "element", "xml": '<wpt lat="1" lon="1"/>'},
        {"into": "metadata", "kind": "element", "xml": "<author><name>a</name></author>"},
        {"into": "rte", "kind": "element", "xml": "<number>7</number>"},
        {"into": "rtept", "kind": "element", "waypoint_id": "B", "xml": "<ele>1</ele>"},
        {"into": "rtept", "kind": "element", "waypoint_id": "B", "xml": "<desc>theirs</desc>"},
        {"into": "rtept", "kind": "element", "waypoint_id": "B", "xml": "<sym>x</sym>"},
        {"into": "rtept", "kind": "extension", "waypoint_id": "B",
         "xml": '<z:e xmlns:z="urn:z"/>'},
    ]  # fmt: skip
    request = kept_request(pieces, "gpx")
    file = made(request, "gpx")
    root = read_xml(file.body)
    assert [one.local for one in root.elements] == ["metadata", "wpt", "wpt", "rte", "trk"]
    assert [one.local for one in root.elements[0].elements] == ["name", "desc", "author", "time"]
    route = root.named("rte")[0]
    assert [one.local for one in route.elements] == [
        *("name", "desc", "number", "extensions", "rtept", "rtept", "rtept")
    ]
    assert [one.local for one in route.named("rtept")[1].elements] == [
        *("ele", "cmt", "desc", "sym", "extensions")
    ]
    back = read_back(file)
    assert_same_route(back, request)
    keys = ("into", "kind", "waypoint_id", "xml")
    found = sorted(str([one.get(key) for key in keys]) for one in kept(back))
    assert found == sorted(str([one.get(key) for key in keys]) for one in pieces)


def test_our_element_holds_the_wheel_over_of_every_turn() -> None:
    for name in XML:
        body = made(zoo.request(), name).body
        assert body.count(b"<wo:wheel_over ") == (2 if name == "gpx" else 1)
        assert body.count(f"<wo:{PLAN[1]} ".encode()) == 1
        assert b'reach_m="200"' in body


# Far places


def test_high_latitudes_and_long_legs_are_remarked() -> None:
    request = zoo.request()
    request["route"]["waypoints"][2].update(lat_deg=71.0, lon_deg=-60.0)
    for name in FORMATS:
        text = texts_of(made(request, name), name)
        assert "Latitude over 70 at C" in text
        assert "Legs over 600 NM: B to C" in text


def test_geojson_is_cut_at_180_degrees() -> None:
    request = zoo.request()
    for waypoint, lon_deg in zip(
        request["route"]["waypoints"], (179.0, 179.9, -179.0), strict=True
    ):
        waypoint["lon_deg"] = lon_deg
    file = made(request, "geojson")
    for feature in read_json(file.body)["features"]:
        lines = feature["geometry"]["coordinates"]
        if feature["geometry"]["type"] == "LineString":
            lines = [lines]
        if feature["geometry"]["type"] != "Point":
            for line in lines:
                lons = [position[0] for position in line]
                assert max(lons) - min(lons) <= 180.0
    for name in FORMATS:
        assert_same_route(read_back(made(request, name)), request)


def test_large_files_are_warned_of() -> None:
    waypoints = [
        {"id": f"w{n}", "lat_deg": 47.0 + n / 50, "lon_deg": -30.0 + n % 2 / 10} for n in range(280)
    ]
    file = made(zoo.request(route={"name": "long", "waypoints": waypoints}), "rtz")
    assert len(file.body) > 400_000
    assert any("400000" in one for one in file.warnings)
    assert len(read_back(file)["route"]["waypoints"]) == 280


def test_the_geometry_is_that_of_another_reader_too() -> None:
    """Shapely takes every geometry of the GeoJSON, and finds nothing undefined in it."""
    for feature in read_json(made(zoo.request(), "geojson").body)["features"]:
        geometry = shape(feature["geometry"])
        assert not geometry.is_empty
        assert geometry.is_valid or geometry.length == 0.0


def test_unknown_formats_and_versions() -> None:
    with pytest.raises(NotFound, match="geojson, rtz, gpx, csv, html"):
        made(zoo.request(), "dbf")
    with pytest.raises(NotFound, match=r"1\.0, 1\.1, 1\.2"):
        made(zoo.request(), "rtz", version="2.0")
