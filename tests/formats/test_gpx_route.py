"""GPX 1.1 as it is read. Names are those of its schema, GPX 1.1; the files are made here."""

import pytest

from wheelover.core.errors import UnknownFormat, UnreadableFile
from wheelover.formats.route_file import read_route

HEAD = '<gpx version="1.1" creator="zoo" xmlns="http://www.topografix.com/GPX/1/1">\n'


def gpx(inside: str) -> bytes:
    return f"{HEAD}{inside}</gpx>".encode()


def rte(*points: tuple[object, object], name: str = "Zoo", more: str = "") -> str:
    rows = "".join(f'<rtept lat="{lat}" lon="{lon}">{more}</rtept>\n' for lat, lon in points)
    return f"<rte><name>{name}</name>\n{rows}</rte>\n"


LINE = ((47.0, -30.0), (47.2, -30.0), (47.2, -29.6))


def test_the_points_of_a_route() -> None:
    reading = read_route(gpx(rte(*LINE, more="<name> Gat &amp; Ness </name>")), "a.gpx")
    assert (reading.format, reading.name) == ("gpx", "Zoo")
    assert [(w.id, w.lat_deg, w.lon_deg) for w in reading.waypoints] == [
        ("WP01", 47.0, -30.0),
        ("WP02", 47.2, -30.0),
        ("WP03", 47.2, -29.6),
    ]
    assert reading.waypoints[0].name == "Gat & Ness"
    assert [row.line for row in reading.report] == [3, 4, 5]
    assert reading.report[0].raw.startswith('<rtept lat="47.0" lon="-30.0"><name>')


def test_a_point_not_understood_leaves_a_hole() -> None:
    reading = read_route(gpx(rte((47, -30), (47.2, "30 W"), (47.2, -29))), "a.gpx")
    assert "lon '30 W'" in (reading.report[1].problem or "")
    assert [(w.id, w.gap_before) for w in reading.waypoints] == [("WP01", False), ("WP03", True)]


def test_other_routes_are_named_and_kept() -> None:
    body = gpx("<rte><name>none</name></rte>" + rte(*LINE) + rte((1, 1), (2, 2), name="Other"))
    reading = read_route(body, "a.gpx")
    assert reading.name == "Zoo"
    note = next(note for note in reading.notes if "routes in the file" in note)
    assert "3 routes" in note
    assert "'none' in line 2 with 0 points" in note
    assert "'Other' in line 7 with 2 points" in note
    assert [one.into for one in reading.carried] == ["gpx", "gpx"]
    assert '<rtept lat="2" lon="2"/>' in reading.carried[1].xml


def test_marks_tracks_and_what_is_not_used_are_kept() -> None:
    mark, track = '<wpt lat="1" lon="2"><name>m</name></wpt>', "<trk><name>t</name></trk>"
    metadata = "<metadata><author><name>A</name></author></metadata>"
    point = "<ele>3</ele><extensions><z:a xmlns:z='urn:zoo' b='1'/></extensions>"
    reading = read_route(gpx(metadata + mark + rte(*LINE, more=point) + track), "a.gpx")
    assert any("1 marks (wpt)" in note for note in reading.notes)
    assert any("1 recorded tracks (trk)" in note for note in reading.notes)
    kept = [(one.into, one.kind, one.waypoint_id, one.xml) for one in reading.carried]
    assert kept[:3] == [
        ("gpx", "element", None, mark),
        ("gpx", "element", None, track),
        ("metadata", "element", None, "<author><name>A</name></author>"),
    ]
    assert kept[3:5] == [
        ("rtept", "element", "WP01", "<ele>3</ele>"),
        ("rtept", "extension", "WP01", '<z:a b="1" xmlns:z="urn:zoo"/>'),
    ]


@pytest.mark.parametrize(
    ("inside", "says"),
    [
        ("", "it holds nothing"),
        ("<wpt lat='1' lon='1'/><wpt lat='1' lon='1'/>", r"it holds 2 marks \(wpt\)"),
        ("<trk/><rte/>", r"1 recorded tracks \(trk\) and 1 empty routes \(rte\)"),
        (rte(("x", "y")), "None of the 1 rows"),
    ],
)
def test_a_file_without_a_route_says_what_it_is(inside: str, says: str) -> None:
    with pytest.raises(UnreadableFile, match=says) as raised:
        read_route(gpx(inside), "a.gpx")
    assert not isinstance(raised.value, UnknownFormat)


def test_odd_namespaces_and_other_versions() -> None:
    plain = gpx(rte(*LINE)).decode()
    odd = plain.replace(' xmlns="http://www.topografix.com/GPX/1/1"', "")
    assert any("no namespace" in note for note in read_route(odd.encode(), "a").notes)
    bare = plain.replace('version="1.1" ', "")
    assert any("no version" in note for note in read_route(bare.encode(), "a").notes)
    for old, new in (('version="1.1"', 'version="1.0"'), ("1.1", "２")):
        with pytest.raises(UnknownFormat, match=r"GPX 1\.1"):
            read_route(plain.replace(old, new).encode(), "a")
