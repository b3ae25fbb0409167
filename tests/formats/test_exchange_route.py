"""Route exchange XML as it is read.

Element and attribute names are those of IEC 61174 Annex S, versions 1.0 to 1.2 (from copies of the
drafts and schema-made samples; the spelling sheduleElement belongs to version 1.0). The files are
made here.
"""

import pytest

from wheelover.core.errors import UnknownFormat, UnreadableFile
from wheelover.core.types.route import LegWishes
from wheelover.formats.exchange_route import NAMESPACES
from wheelover.formats.reading import RouteReading
from wheelover.formats.route_file import read_route


def waypoint(number: object, lat: object, lon: object, inside: str = "", **more: object) -> str:
    attributes = "".join(f' {name}="{value}"' for name, value in more.items())
    return (
        f'<waypoint id="{number}"{attributes}><position lat="{lat}" lon="{lon}"/>{inside}'
        "</waypoint>\n"
    )


def route(*waypoints: str, version: str = "1.2", before: str = "", after: str = "") -> bytes:
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<route version="{version}" '
        f'xmlns="{NAMESPACES[version]}">\n<routeInfo routeName="Zoo passage"/>\n'
        f"<waypoints>{before}\n{''.join(waypoints)}</waypoints>{after}</route>"
    ).encode()


A, B, C = waypoint(1, 47.0, -30.0), waypoint(2, 47.2, -30.0), waypoint(3, "+47.2", "-29.6")


def read(*waypoints: str, **more: str) -> RouteReading:
    return read_route(route(*waypoints, **more), "a.rtz")


@pytest.mark.parametrize("version", ["1.0", "1.1", "1.2"])
def test_only_what_is_needed(version: str) -> None:
    reading = read(A, B, C, version=version)
    assert (reading.format, reading.name) == ("rtz", "Zoo passage")
    assert [(w.id, w.lat_deg, w.lon_deg) for w in reading.waypoints] == [
        ("1", 47.0, -30.0),
        ("2", 47.2, -30.0),
        ("3", 47.2, -29.6),
    ]
    assert [row.line for row in reading.report] == [5, 6, 7]
    assert reading.report[2].raw == C.strip()
    assert reading.report[0].understood == "47-00.000N 030-00.000W"
    assert version in reading.read_as
    assert reading.carried == ()


def test_leg_data_belong_to_the_leg_that_leads_there() -> None:
    leg = '<leg portsideXTD="0.1" starboardXTD="0.25" geometryType="Orthodrome"/>'
    reading = read(waypoint(1, 47, -30, leg), waypoint(2, 47.2, -30, leg, radius="0.8"), C)
    assert [w.leg is None for w in reading.waypoints] == [True, False, True]
    wishes = reading.waypoints[1].leg
    assert wishes is not None
    assert (wishes.line, wishes.xtd_port_nm, wishes.xtd_starboard_nm) == ("geodesic", 0.1, 0.25)
    assert reading.waypoints[1].turn_radius_nm == 0.8
    assert any("no leg leads to the first waypoint, 1" in note for note in reading.notes)


def test_the_default_waypoint_fills_what_is_not_given() -> None:
    default = (
        '<defaultWaypoint radius="0.5"><leg portsideXTD="0.1" starboardXTD="0.2" '
        'geometryType="Loxodrome" safetyDepth="15"/></defaultWaypoint>'
    )
    own = '<leg portsideXTD="0.4" geometryType="Orthodrome"/>'
    reading = read(A, waypoint(2, 47.2, -30, own, radius="0.9"), C, before=default)
    assert [w.turn_radius_nm for w in reading.waypoints] == [0.5, 0.9, 0.5]
    assert reading.waypoints[0].leg is None
    second, third = reading.waypoints[1].leg, reading.waypoints[2].leg
    assert second is not None
    assert third is not None
    assert (second.line, second.xtd_port_nm, second.xtd_starboard_nm) == ("geodesic", 0.4, 0.2)
    assert (third.line, third.xtd_port_nm, third.xtd_starboard_nm) == ("rhumb", 0.1, 0.2)
    assert any("defaultWaypoint taken at 1, 2, 3" in note for note in reading.notes)
    assert [(one.into, one.xml) for one in reading.carried] == [
        ("defaultWaypoint/leg", '<leg safetyDepth="15"/>')
    ]


def test_a_file_on_one_line_has_one_first_waypoint() -> None:
    leg = '<leg portsideXTD="0.1"/>'
    body = route(A, waypoint(2, 47.2, -30, leg), C).replace(b"\n", b"")
    default = b'<waypoints><defaultWaypoint><leg starboardXTD="0.2"/></defaultWaypoint>'
    reading = read_route(body.replace(b"<waypoints>", default), "a.rtz")
    assert [w.leg is None for w in reading.waypoints] == [True, False, False]


@pytest.mark.parametrize(
    ("version", "element"), [("1.0", "sheduleElement"), ("1.2", "scheduleElement")]
)
def test_no_speed_is_read_as_speed_through_the_water(version: str, element: str) -> None:
    schedules = (
        f'<schedules><schedule id="1"><manual><{element} waypointId="2" speed="11.5"/></manual>'
        "</schedule></schedules>"
    )
    leg = '<leg speedMin="8" speedMax="14.5"/>'
    reading = read(A, waypoint(2, 47.2, -30, leg), C, version=version, after=schedules)
    assert reading.waypoints[1].leg == LegWishes(speed_over_ground_kn=11.5)
    assert any("over the ground" in note and "speedMax" in note for note in reading.notes)
    assert [(one.into, one.kind, one.waypoint_id, one.xml) for one in reading.carried] == [
        ("route", "element", None, schedules),
        ("waypoint/leg", "attributes", "2", '<leg speedMin="8" speedMax="14.5"/>'),
    ]
    assert any("schedules (1), speedMax (1), speedMin (1)" in note for note in reading.notes)


def test_extensions_of_others_are_kept_as_they_are() -> None:
    inside = (
        '<extensions><extension manufacturer="Zoo &amp; Sons" name="n" version="1" '
        'xmlns:z="urn:zoo"><z:cage z:bars="&lt;4&#10;">  text <b xmlns=""/> tail</z:cage>'
        "</extension></extensions>"
    )
    reading = read(A, waypoint(2, 47.2, -30, inside, revision="7"), C)
    attributes, extension = reading.carried
    assert (attributes.xml, attributes.waypoint_id) == ('<waypoint revision="7"/>', "2")
    assert extension.kind == "extension"
    assert "  text <b" in extension.xml
    assert 'z:bars="&lt;4&#10;"' in extension.xml
    assert any("extension of Zoo & Sons (1), revision (1)" in note for note in reading.notes)


def test_what_is_too_large_to_keep_is_said_to_be_lost() -> None:
    inside = "<extensions><extension manufacturer='Zoo'>" + "<x>1</x>" * 9000 + "</extension>"
    reading = read(A, waypoint(2, 47.2, -30, inside + "</extensions>"), C)
    assert reading.carried == ()
    assert any("LOST" in note and "extension of Zoo" in note for note in reading.notes)


@pytest.mark.parametrize(
    ("bad", "problem"),
    [
        (waypoint(2, 91, 0), "lat 91 must lie in -90 to 90"),
        (waypoint(2, 0, -181), "lon -181 must lie"),
        (waypoint(2, 90, 0), "pole"),
        (waypoint(2, "nan", 0), "lat 'nan' is not a decimal number"),
        (waypoint(2, "inf", 0), "not a decimal number"),
        (waypoint(2, "1_0", 0), "not a decimal number"),
        (waypoint(2, "1e1", 0), "not a decimal number"),
        (waypoint(2, "４７.0", 0), "not a decimal number"),
        (waypoint(2, "47-12.5N", 0), "not a decimal number"),
        (waypoint(2, "47,2", 0), "not a decimal number"),
        (waypoint(2, "", 0), "not a decimal number"),
        ('<waypoint id="2"/>', "0 positions"),
        ('<waypoint id="2"><position lat="1"/></waypoint>', "it has no lon"),
        (waypoint(2, 1, 1, "<leg/><leg/>"), "2 legs"),
        (waypoint(2, 1, 1, '<leg geometryType="Spline"/>'), "neither Loxodrome nor Orthodrome"),
        (waypoint(2, 1, 1, '<leg portsideXTD="-1"/>'), "xtd_port_nm -1 is out of range"),
        (waypoint(2, 1, 1, radius="99"), "turn_radius_nm 99 is out of range"),
        (waypoint(2, 1, 1, radius="wide"), "radius 'wide'"),
        (waypoint(1, 47.2, -30), "id '1' is already that of line 5"),
        (waypoint("x" * 201, 1, 1), "id is longer than 200"),
    ],
)
def test_a_waypoint_not_understood_leaves_a_hole(bad: str, problem: str) -> None:
    reading = read(A, bad, C)
    assert problem in (reading.report[1].problem or "")
    assert reading.report[1].raw == bad.strip()
    assert [(w.id, w.gap_before) for w in reading.waypoints] == [("1", False), ("3", True)]


def test_radius_nought_and_ids_that_are_missing() -> None:
    body = route(waypoint(1, 47, -30, radius="0.0"), B, C).replace(b' id="3"', b"")
    reading = read_route(body, "a.rtz")
    assert reading.waypoints[0].turn_radius_nm is None
    assert [w.id for w in reading.waypoints] == ["1", "2", "WP03"]
    assert any("radius 0 read as none given, at 1" in note for note in reading.notes)
    assert any("given one here: WP03" in note for note in reading.notes)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (' xmlns="http://www.cirm.org/RTZ/1/2"', "", "with no namespace"),
        ("RTZ/1/2", "RTZ/1/1", "version 1.2 with the namespace"),
        ("www.cirm.org/RTZ/1/2", "example.org/routes", "read all the same"),
        (' version="1.2" ', " ", "the route has no version; by its namespace it is 1.2"),
    ],
)
def test_odd_namespaces_are_read_and_said(old: str, new: str, says: str) -> None:
    body = route(A, B, C).decode().replace(old, new, 1)
    reading = read_route(body.encode(), "a.rtz")
    assert len(reading.waypoints) == 3
    assert any(says in note for note in reading.notes)


def test_large_files_are_read_with_a_word_about_it() -> None:
    reading = read_route(route(A, B, C) + b" " * 400_000, "a.rtz")
    assert any("other systems may refuse" in note for note in reading.notes)


def test_numbers_may_have_more_digits_than_anyone_needs() -> None:
    reading = read(waypoint(1, "-0.014285714285711748", "+030."), waypoint(2, ".5", "-0"), C)
    assert [(w.lat_deg, w.lon_deg) for w in reading.waypoints][:2] == [
        (-0.014285714285711748, 30.0),
        (0.5, 0.0),
    ]


def test_a_prefix_on_every_name() -> None:
    body = (
        '<r:route xmlns:r="http://www.cirm.org/RTZ/1/1" version="1.1"><r:waypoints>'
        '<r:waypoint id="1"><r:position lat="1" lon="2"/></r:waypoint>'
        '<r:waypoint id="2" note="n"><r:position lat="2" lon="2"/></r:waypoint>'
        "</r:waypoints></r:route>"
    )
    reading = read_route(body.encode(), "zoo.rtz")
    assert [w.lat_deg for w in reading.waypoints] == [1.0, 2.0]
    assert reading.name == "zoo"
    assert reading.carried[0].xml == '<waypoint note="n"/>'


@pytest.mark.parametrize(
    ("body", "error", "says"),
    [
        (route(A, B, version="1.2").replace(b'version="1.2"', b'version="2.0"'), 0, "'2.0'"),
        (b"<route><waypoints/></route>", 0, "no version and no known namespace"),
        (b'<route version="1.0"/>', 1, "0 elements waypoints"),
        (b'<route version="1.0"><waypoints/></route>', 1, "no waypoint"),
        (route(waypoint(1, "x", "y")), 1, "None of the 1 rows"),
    ],
)
def test_files_that_hold_no_route(body: bytes, error: int, says: str) -> None:
    with pytest.raises(UnreadableFile, match=says) as raised:
        read_route(body, "a.rtz")
    assert isinstance(raised.value, UnknownFormat) == (error == 0)
    assert raised.value.faults[0].line is not None
