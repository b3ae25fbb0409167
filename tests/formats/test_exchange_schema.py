"""Route exchange XML against schemas, and both ends of what its files may hold.

The schemas are ours, made from the published list of attributes (their heads say what of them is
from memory); the standard's own are not at hand. That a file with only the mandatory elements and
one with all optional ones must be taken is of the published conformity tests (clause 6.9.8), so is
the file size of about 400 kB and that ids are unique.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import xmlschema

from tests import zoo
from tests.render.test_exports import REVISION, asked, assert_same_route, made, read_back
from tests.render.test_standalone import fifty
from wheelover.formats.xml_tree import Element, read_xml
from wheelover.render.exports import Stamp
from wheelover.usecases.demonstration import demonstration
from wheelover.usecases.read_route import read_route_file

FOLDER = Path(__file__).parent / "route_exchange"
SAMPLES = Path(__file__).parents[2] / "sample_routes"
VERSIONS = ("1.0", "1.2")
SCHEMAS = {version: xmlschema.XMLSchema10(FOLDER / f"schema-{version}.xsd") for version in VERSIONS}


def faults(body: bytes, version: str) -> list[str]:
    """Return what a schema finds wrong with a file."""
    found = SCHEMAS[version].iter_errors(body.decode("utf-8"))
    return [f"{one.path}: {one.reason}" for one in found]


def deep() -> dict[str, Any]:
    """Return a plan with depths, air draught, displacement and a loading."""
    request = zoo.request(conditions={"water_density_kg_per_m3": 1025.0})
    request["ship"].update(air_draught_m=38.5, displacement_t=42_500.0, gm_m=1.85)
    request["route"]["waypoints"][1]["leg"] = {"charted_depth_m": 25.0, "catzoc": "A2"}
    return request


PLANS = {
    "zoo": zoo.request,
    "asked": asked,
    "deep": deep,
    "fifty": fifty,
    "demonstration": lambda: demonstration(SAMPLES)["request"],
}


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize("stamp", [Stamp(), REVISION], ids=["draft", "revision"])
def test_what_is_written_fits_the_schema_and_reads_back(
    name: str, version: str, stamp: Stamp
) -> None:
    request = PLANS[name]()
    file = made(request, "rtz", stamp, version=version)
    assert faults(file.body, version) == []
    back = read_back(file)
    assert_same_route(back, request)
    # Nothing of ours is taken for another's.
    assert [one for one in back["route"].get("carried", []) if one["into"] != "waypoint"] == []


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('id="20"', 'id="10"'),
        ('lat="47.51666666"', 'lat="97.5"'),
        (' lon="-30.125"', ""),
        ('"Orthodrome"', '"Spline"'),
        ('waypointId="20"', 'waypointId="21"'),
        ("etd=", "departs="),
        ('stay="PT2H"', 'stay="2 hours"'),
        ('routeName="All of a route"', ""),
        ('vesselIMO="9074729"', 'vesselIMO="IMO 9074729"'),
        ("calculated>", "computed>"),
    ],
)
def test_the_schemas_find_what_is_wrong(version: str, old: str, new: str) -> None:
    text = (FOLDER / f"full-{version}.rtz").read_text("utf-8")
    assert old in text
    assert faults(text.replace(old, new).encode(), version) != []


@pytest.mark.parametrize(
    ("version", "other"), [("1.0", "scheduleElement"), ("1.2", "sheduleElement")]
)
def test_each_version_has_its_own_spelling(version: str, other: str) -> None:
    text = (FOLDER / f"full-{version}.rtz").read_text("utf-8")
    own = {"sheduleElement": "scheduleElement", "scheduleElement": "sheduleElement"}[other]
    assert faults(text.encode(), version) == []
    assert faults(text.replace(own, other).encode(), version) != []


@pytest.mark.parametrize("version", VERSIONS)
def test_a_file_with_only_what_is_mandatory_is_taken(version: str) -> None:
    body = (FOLDER / f"minimal-{version}.rtz").read_bytes()
    assert faults(body, version) == []
    back = read_route_file(body, "minimal.rtz")
    assert (back["accepted_count"], back["rejected_count"]) == (2, 0)
    assert [one["id"] for one in back["route"]["waypoints"]] == ["1", "2"]
    assert "carried" not in back["route"]


def said(element: Element, path: str = "") -> Iterator[tuple[str, str]]:
    """Yield every attribute and text of a file with its path; namespaces and spelling apart."""
    local = element.local.replace("sheduleElement", "scheduleElement")
    number = element.attribute("id") or element.attribute("waypointId") or ""
    here = f"{path}/{local}[{number}]" if number else f"{path}/{local}"
    for name, value in element.attributes:
        yield f"{here}@{name[1]}", value
    if element.text.strip():
        yield here, element.text.strip()
    for one in element.elements:
        yield from said(one, here)


def kept_of(reading: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return what was kept of a file, attributes in any order."""
    rows = []
    for one in reading["route"]["carried"]:
        root = read_xml(one["xml"].encode())
        xml = str(sorted(root.attributes)) if one["kind"] == "attributes" else one["xml"]
        xml = re.sub(r">\s+<", "><", xml.replace("sheduleElement", "scheduleElement"))
        rows.append((one["into"], one["kind"], str(one["waypoint_id"]), xml))
    return sorted(rows)


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("written", VERSIONS)
def test_a_file_with_everything_is_taken_and_nothing_of_it_is_lost(
    version: str, written: str
) -> None:
    body = (FOLDER / f"full-{version}.rtz").read_bytes()
    assert faults(body, version) == []
    back = read_route_file(body, "full.rtz")
    assert (back["accepted_count"], back["rejected_count"]) == (3, 0)
    second = back["route"]["waypoints"][1]
    assert second["leg"] == {"line": "geodesic", "xtd_port_nm": 0.3, "xtd_starboard_nm": 0.4}
    assert second["turn_radius_nm"] == 0.8
    request = zoo.request(route=back["route"])
    request["ship"].update(air_draught_m=41.0, displacement_t=50_000.0, gm_m=2.5)
    file = made(request, "rtz", version=written)
    assert faults(file.body, written) == []
    after = dict(said(read_xml(file.body)))
    ours = {"version", "routeStatus", "vesselDisplacement", "vesselGM", "revision"}
    ours |= {"draughtForward", "draughtAft", "masthead", "radius"}
    for place, value in said(read_xml(body)):
        name = place.rpartition("@")[2]
        if "defaultWaypoint" in place or name in ours:
            continue
        assert after[place] == value, place
    assert after["/route/routeInfo@vesselGM"] == "2.5"
    assert after["/route/waypoints/waypoint[20]/leg@draughtForward"] == "10"
    assert after["/route/waypoints/waypoint[20]@revision"] == "5"
    words = " ".join(file.warnings)
    assert "says vesselGM '1.85'; this plan's own is written" in words
    assert "says draughtForward '9.25' at 20" in words
    again = read_back(file)
    assert_same_route(again, request)
    assert kept_of(again) == kept_of(back)


@pytest.mark.parametrize("version", VERSIONS)
def test_depths_and_draughts_stand_in_the_leg_that_leads_there(version: str) -> None:
    request = deep()
    file = made(request, "rtz", version=version)
    root = read_xml(file.body)
    legs = [one.named("leg") for one in root.named("waypoints")[0].named("waypoint")]
    assert legs[0] == ()
    leg = legs[1][0]
    assert leg.attribute("draughtForward") == "10"
    assert leg.attribute("masthead") == "38.5"
    info = root.named("routeInfo")[0]
    assert info.attribute("vesselDisplacement") == "42500"
    assert info.attribute("vesselGM") == "1.85"
    assert (leg.attribute("staticUKC") is None) == (leg.attribute("dynamicUKC") is None)


def test_a_draught_that_another_system_changed_is_theirs() -> None:
    request = zoo.request()
    file = made(request, "rtz")
    changed = file.body.replace(b'draughtAft="10"', b'draughtAft="11.5"')
    assert changed != file.body
    back = read_route_file(changed, "changed.rtz")
    assert [one["xml"] for one in back["route"]["carried"] if one["into"] == "waypoint/leg"] == [
        '<leg draughtAft="11.5"/>'
    ] * 2
