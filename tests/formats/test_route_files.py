"""Route files: what is read, what is refused, and that nothing is lost between."""

import contextlib
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelover.core.errors import UnknownFormat, UnreadableFile
from wheelover.core.types.route import LegWishes, TurnWishes
from wheelover.formats.own_extension import NAMESPACE
from wheelover.formats.route_file import read_route

SAMPLES = Path(__file__).parents[2] / "sample_routes"


def _csv(*lines: str) -> bytes:
    return "\n".join(lines).encode()


def test_a_row_without_a_hemisphere_is_offered_with_each() -> None:
    body = (
        b"name,latitude,longitude\nA,47-00.0N,030-00.0W\nB,47 06.0,30 00.0\nC,47 06.0 N,30 01.0\n"
    )
    (_, both, one) = read_route(body, "a.csv").report
    assert [name for name, _ in both.choices] == ["N E", "N W", "S E", "S W"]
    assert both.choices[1][1] == "B,47 06.0 N,30 00.0 W"
    assert [name for name, _ in one.choices] == ["E", "W"]
    signed = b"latitude,longitude\n47.0,-30.0\n47 06.0,-30.0\n"
    choices = read_route(signed, "a.csv").report[1].choices
    assert choices == (("N", "+47 06.0,-30.0"), ("S", "-47 06.0,-30.0"))
    for _, raw in choices:
        again = read_route(signed.replace(b"47 06.0,-30.0", raw.encode()), "a.csv")
        assert all(row.problem is None for row in again.report)
    twice = b"latitude,longitude\n47.5N,30.0W\n30 00.0,30 00.0\n"
    assert read_route(twice, "a.csv").report[1].choices == ()


def test_a_hole_stays_in_its_place() -> None:
    reading = read_route(
        _csv(
            "id,latitude,longitude",
            "a,51 23.0 N,1 18.0 E",
            "b,51 61.20 N,1 20.1 E",
            "c,51 25.00,1 22.4",
            "d,51 26.0 N,1 24.0 E",
        ),
        "gat.csv",
    )
    assert [row.line for row in reading.report] == [2, 3, 4, 5]
    assert reading.report[1].raw == "b,51 61.20 N,1 20.1 E"
    assert "61.20" in (reading.report[1].problem or "")
    assert reading.report[2].in_question
    assert [(w.id, w.gap_before) for w in reading.waypoints] == [("a", False), ("d", True)]
    assert reading.name == "gat"


def test_holes_at_both_ends() -> None:
    reading = read_route(_csv("lat,lon", "x,y", "1.0,2.0", "1.5,2.0", "91,0"), "route.csv")
    assert [w.gap_before for w in reading.waypoints] == [True, False]
    assert [w.gap_after for w in reading.waypoints] == [False, True]
    assert [w.id for w in reading.waypoints] == ["WP02", "WP03"]


def test_plain_degrees_are_signed_only_where_no_row_has_a_letter() -> None:
    plain = read_route(_csv("lat,lon", "51.5,-1.25", "51.6,1.25"), "a.csv")
    assert [(w.lat_deg, w.lon_deg) for w in plain.waypoints] == [(51.5, -1.25), (51.6, 1.25)]
    assert any("N and E positive" in note for note in plain.notes)
    mixed = read_route(_csv("lat,lon", "51.5,1.25", "51.6 N,1.25 E", "-51.7,-1.3"), "a.csv")
    assert mixed.report[0].in_question
    assert [w.lat_deg for w in mixed.waypoints] == [51.6, -51.7]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_separators_and_line_ends(separator: str, ending: str) -> None:
    rows = [["\ufeffLatitude", "Longitude", "Name"], ["51.5", "1.5", "A"], ["51.6", "1.6", "B"]]
    body = ending.join(separator.join(row) for row in rows).encode()
    reading = read_route(body, "a.csv")
    assert [w.name for w in reading.waypoints] == ["A", "B"]
    assert [row.raw for row in reading.report] == [separator.join(row) for row in rows[1:]]


def test_invented_ids_never_take_a_given_one() -> None:
    reading = read_route(_csv("id,lat,lon", ",51.0,1.0", "WP03,51.1,1.0", ",51.2,1.0"), "a.csv")
    assert [w.id for w in reading.waypoints] == ["WP01", "WP03", "line 4"]


def test_a_file_that_ends_inside_its_last_row() -> None:
    whole = _csv("id,lat,lon,name,speed_kn", "a,47.1,-30.5,x,9", "b,47.2,-30.4", "")
    assert len(read_route(whole, "a.csv").waypoints) == 2
    cut = read_route(_csv("id,lat,lon,name,speed_kn", "a,47.1,-30.5,x,9", "b,47.2,-30"), "a.csv")
    assert "ends inside this row" in (cut.report[1].problem or "")
    assert cut.waypoints[0].gap_after


def test_whole_degrees_everywhere_are_questioned() -> None:
    reading = read_route(_csv("lat,lon,name,speed_kn", "51,39,1,2", "52,40,3,4"), "a.csv")
    assert any("decimal commas" in note for note in reading.notes)


@pytest.mark.parametrize("properties", ["[1]", '"abc"', "5", "true"])
def test_odd_properties_reject_their_row(properties: str) -> None:
    points = [
        f'{{"type": "Feature", "geometry": {{"type": "Point", "coordinates": [{lon}, 1]}}, '
        f'"properties": {given}}}'
        for lon, given in ((1, properties), (2, "null"))
    ]
    body = f'{{"type": "FeatureCollection", "features": [{points[0]}, {points[1]}]}}'
    reading = read_route(body.encode(), "a.geojson")
    assert "object" in (reading.report[0].problem or "")
    assert [w.gap_before for w in reading.waypoints] == [True]


def test_quoted_cells_may_hold_line_ends() -> None:
    reading = read_route(_csv("name,lat,lon", '"two', 'lines",51.5,1.5', "b,51.6,1.6"), "a.csv")
    assert [row.line for row in reading.report] == [2, 4]
    assert reading.report[0].raw == '"two\nlines",51.5,1.5'


def test_leg_columns_belong_to_the_leg_that_leads_there() -> None:
    reading = read_route(
        _csv(
            "id,lat,lon,line,speed_kn,turn_radius_nm,xtd_port_nm",
            "a,51.0,1.0,,12,,",
            "b,51.5,1.0,geodesic,10,0.5,0.2",
        ),
        "a.csv",
    )
    first, second = reading.waypoints
    assert first.leg is None
    assert any("first waypoint" in note for note in reading.notes)
    assert second.leg is not None
    assert (second.leg.line, second.leg.speed_kn, second.leg.xtd_port_nm) == ("geodesic", 10.0, 0.2)
    assert second.turn_radius_nm == 0.5


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("b,51.5,1.0,sideways,,", "neither rhumb nor geodesic"),
        ("b,51.5,1.0,,fast,", "speed_kn 'fast'"),
        ("b,51.5,1.0,,0,", "out of range"),
        ("b,51.5,1.0,,,99", "out of range"),
        ("a,51.5,1.0,,,", "already that of line 2"),
        ("b,51.5,1.0,,,,extra", "7 cells under 6 columns"),
        ("b,90.0,1.0,,,", "pole"),
    ],
)
def test_a_value_not_understood_rejects_its_row(row: str, reason: str) -> None:
    head = "id,lat,lon,line,speed_kn,turn_radius_nm"
    reading = read_route(_csv(head, "a,51.0,1.0,,,", row, "z,52.0,1.0,,,"), "a.csv")
    assert reason in (reading.report[1].problem or "")
    assert reading.waypoints[-1].gap_before


@pytest.mark.parametrize(
    ("body", "error", "says"),
    [
        (b"", UnreadableFile, "empty"),
        (b" \n \n", UnreadableFile, "empty"),
        (b"lat,lon\n", UnreadableFile, "no rows"),
        (b"lat,lon\nx,y\n", UnreadableFile, "None of the 1 rows"),
        (b"latitude,depth\n1,2\n", UnreadableFile, "No longitude"),
        (b"lat,latitude,lon\n1,1,2\n", UnreadableFile, "it has 2"),
        (b"lat,lon,name,name\n1,1,2,3\n", UnreadableFile, "named twice"),
        (b'lat,lon\n1,"2\n', UnreadableFile, "Line 2"),
        (b"id,latitude,N/S,longitude,E/W\nA,33.5,S,70.2,W\n", UnreadableFile, "part of a pos"),
        (b"lat,ns,lon,ew\n33.5,S,70.2,W\n", UnreadableFile, "part of a position"),
        (b"lat_deg,lat_min,lon_deg,lon_min\n33,30.5,70,12.3\n", UnreadableFile, "part of a pos"),
        (b"Latitude,,Longitude,\n51,23.4,1,12.5\n", UnreadableFile, "has no name"),
        (b";", UnreadableFile, "separators only"),
        (b"\n;;\n", UnreadableFile, "separators only"),
        (b"a picture of a ship", UnknownFormat, "begins"),
        (b"\x89PNG\r\n\x1a\n\x00", UnknownFormat, "not UTF-8"),
        (b"lat,lon\n\xff\xfe,1\n", UnknownFormat, "line 2"),
        (b"<?xml version='1.0'?><gpx/>", UnknownFormat, "Read is GPX 1.1"),
        (b"lat,lon\n" + b"1,1\n" * 5001, UnreadableFile, "limit of 5000"),
        (b'{"type": "LineString", "coordinates": [[1, NaN]]}', UnreadableFile, "Not JSON"),
        (b'{"type": "LineString", "type": "Point"}', UnreadableFile, "duplicate"),
        (b'{"type": "LineString", "coordinates": [[1, 1e999]]}', UnreadableFile, "double"),
        (b'{"type": "Polygon", "coordinates": []}', UnreadableFile, "one LineString"),
        (b'{"type": "FeatureCollection"}', UnreadableFile, "list of features"),
        (b'{"type": "FeatureCollection", "features": []}', UnreadableFile, "nothing"),
        (b'{"kind": 1}', UnreadableFile, "object with a type"),
        (b"[1, 2]", UnreadableFile, "object with a type"),
        (b'{"type": "Feature", "geometry": null}', UnreadableFile, "geometry"),
        (
            b'{"type":"LineString","coordinates":[[1,2]],"crs":{"properties":{"name":"EPSG:3857"}}}',
            UnreadableFile,
            "WGS84",
        ),
        (b"[" * 500, UnreadableFile, "recursion"),
    ],
)
def test_files_that_are_refused_say_why(body: bytes, error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says) as raised:
        read_route(body, "a.txt")
    assert type(raised.value) is error


def test_a_geojson_line_is_a_route() -> None:
    body = json.dumps(
        {"type": "LineString", "coordinates": [[179.5, 10.0], [200.0, 10.0], [-179.5, 10.5, 3.0]]}
    ).encode()
    reading = read_route(body, "a.geojson")
    assert [(w.lat_deg, w.lon_deg) for w in reading.waypoints] == [(10.0, 179.5), (10.5, -179.5)]
    assert "longitude 200" in (reading.report[1].problem or "")
    assert reading.waypoints[1].gap_before


def test_swapped_coordinates_are_named() -> None:
    body = json.dumps({"type": "LineString", "coordinates": [[51.0, 120.0], [1.0, 2.0]]}).encode()
    assert "longitude stands first" in (read_route(body, "a").report[0].problem or "")


def test_geojson_points_in_order() -> None:
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [float(index), 1.0]},
            "properties": {"id": f"p{index}", "turn_radius_nm": 0.5, "colour": "any"},
        }
        for index in range(3)
    ]
    body = json.dumps({"type": "FeatureCollection", "name": "three", "features": features}).encode()
    reading = read_route(body, "a.geojson")
    assert reading.name == "three"
    assert [w.id for w in reading.waypoints] == ["p0", "p1", "p2"]
    assert [w.turn_radius_nm for w in reading.waypoints] == [0.5] * 3


@given(st.binary(max_size=300))
def test_no_bytes_break_the_reader(body: bytes) -> None:
    with contextlib.suppress(UnreadableFile):
        assert read_route(body, "x").waypoints


@given(st.lists(st.tuples(st.floats(-89.9, 89.9), st.floats(-180, 180)), min_size=1, max_size=20))
def test_positions_survive_the_csv(places: list[tuple[float, float]]) -> None:
    lines = [f"{lat:.9f},{lon:.9f}" for lat, lon in places]
    reading = read_route(_csv("lat,lon", *lines), "a.csv")
    assert [(w.lat_deg, w.lon_deg) for w in reading.waypoints] == [
        (float(f"{lat:.9f}"), float(f"{lon:.9f}")) for lat, lon in places
    ]


def test_the_demonstration_file_is_read_whole() -> None:
    body = (SAMPLES / "demonstration.csv").read_bytes()
    reading = read_route(body, "demonstration.csv")
    assert all(row.problem is None for row in reading.report)
    assert len(reading.waypoints) == len(reading.report)


def test_a_decimal_comma_is_named() -> None:
    with pytest.raises(UnreadableFile, match="decimal comma; write a point"):
        read_route(b"name;lat;lon\nA;51,5;1,2\nB;51,6;1,3\n", "a.csv")


def test_rows_at_one_place_are_noted() -> None:
    reading = read_route(b"id,lat,lon\nA,51.7,1.4\nB,51.7,1.4\nC,51.8,1.4\n", "a.csv")
    assert any("A and B are one and the same place" in note for note in reading.notes)
    assert len(reading.waypoints) == 3


def _points(*members: dict[str, object]) -> bytes:
    import json  # noqa: PLC0415

    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [1.0 + index / 10, 50.0]},
            "properties": one,
        }
        for index, one in enumerate(members)
    ]
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


@pytest.mark.parametrize("value", [1, "yes", "true", 0, []])
def test_a_hole_is_marked_by_true_and_nothing_else(value: object) -> None:
    reading = read_route(_points({}, {"gap_before": value}, {}), "a.geojson")
    assert "true or false" in str(reading.report[1].problem)
    assert reading.waypoints[1].gap_before is True


def test_a_given_id_goes_before_a_made_up_one() -> None:
    reading = read_route(_points({}, {"id": "WP01"}, {"id": 7}), "a.geojson")
    assert [one.problem for one in reading.report] == [None] * 3
    assert [one.id for one in reading.waypoints] == ["WP01x", "WP01", "7"]


BOTH = (
    "id,lat,lon,leg_set_deg,leg_drift_kn,turn_steering,turn_rudder_deg,turn_set_deg,turn_drift_kn"
)


def test_current_and_steering_in_columns() -> None:
    rows = ("a,51.0,1.0,,,,,,", "b,51.5,1.0,45.5,1.25,Rate,12.5,0,0", "c,51.6,1.1,,,,,,")
    reading = read_route(_csv(BOTH, *rows), "a.csv")
    first, second, third = reading.waypoints
    assert (first.leg, first.turn, third.leg, third.turn) == (None, None, None, None)
    assert second.leg == LegWishes(set_deg=45.5, drift_kn=1.25)
    assert second.turn == TurnWishes(steering="rate", rudder_deg=12.5, set_deg=0.0, drift_kn=0.0)
    assert not any("not used" in note for note in reading.notes)


BAD = [
    ({"leg_set_deg": "360", "leg_drift_kn": "1"}, "leg_set_deg 360 is out of range, 0 to below"),
    ({"leg_set_deg": "10"}, "leg_drift_kn is missing"),
    ({"leg_drift_kn": "0"}, "leg_set_deg is missing"),
    ({"leg_set_deg": "1", "leg_drift_kn": "30.5"}, "leg_drift_kn 30.5 is out of range, 0 to 30"),
    ({"turn_steering": "pilot"}, "turn_steering 'pilot' is none of rudder, rate, radius"),
    ({"turn_rudder_deg": "0"}, "turn_rudder_deg 0 is out of range"),
    ({"turn_rudder_deg": "91"}, "turn_rudder_deg 91 is out of range, 0.001 to 90"),
    ({"turn_drift_kn": "1"}, "turn_set_deg is missing"),
    ({"turn_set_deg": "1"}, "turn_drift_kn is missing"),
    ({"turn_set_deg": "400", "turn_drift_kn": "1"}, "turn_set_deg 400 is out of range"),
    ({"turn_set_deg": "1", "turn_drift_kn": "31"}, "turn_drift_kn 31 is out of range"),
    ({"turn_rudder_deg": "hard"}, "turn_rudder_deg"),
]


def _with(format_name: str, members: dict[str, str]) -> tuple[bytes, int]:
    """Return a route of three waypoints, the second with these members, and its line."""
    if format_name == "csv":
        row = ",".join(members.get(column, "") for column in BOTH.split(",")[3:])
        return _csv(BOTH, "a,51.0,1.0,,,,,,", f"b,51.5,1.0,{row}", "c,52.0,1.0,,,,,,"), 3
    if format_name == "geojson":
        given_: dict[str, object] = {
            key: value if key == "turn_steering" or value == "hard" else float(value)
            for key, value in members.items()
        }
        return _points({"id": "a"}, {"id": "b", **given_}, {"id": "c"}), 2
    own = " ".join(f'{key}="{value}"' for key, value in members.items())
    element = f'<wo:waypoint xmlns:wo="{NAMESPACE}" {own}/>'
    if format_name == "gpx":
        points = [
            f'<rtept lat="{lat}" lon="1">{inside}</rtept>\n'
            for lat, inside in (
                ("51", ""),
                ("51.5", f"<extensions>{element}</extensions>"),
                ("52", ""),
            )
        ]
        head = '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><rte>\n'
        return f"{head}{''.join(points)}</rte></gpx>".encode(), 3
    extension = (
        '<extensions><extension manufacturer="wheelover" name="waypoint" version="1">'
        f"{element}</extension></extensions>"
    )
    waypoints = [
        f'<waypoint id="{number}"><position lat="{51 + number / 10}" lon="1"/>{inside}</waypoint>\n'
        for number, inside in ((1, ""), (2, extension), (3, ""))
    ]
    head = '<route version="1.2" xmlns="http://www.cirm.org/RTZ/1/2"><waypoints>\n'
    return f"{head}{''.join(waypoints)}</waypoints></route>".encode(), 3


@pytest.mark.parametrize("format_name", ["csv", "geojson", "gpx", "rtz"])
def test_current_and_steering_in_every_format(format_name: str) -> None:
    given_ = {
        "leg_set_deg": "359.9",
        "leg_drift_kn": "30",
        "turn_steering": "radius",
        "turn_rudder_deg": "90",
        "turn_set_deg": "0",
        "turn_drift_kn": "0.1",
    }
    body, _ = _with(format_name, given_)
    reading = read_route(body, "a")
    assert reading.format == format_name
    assert reading.waypoints[1].leg == LegWishes(set_deg=359.9, drift_kn=30.0)
    assert reading.waypoints[1].turn == TurnWishes(
        steering="radius", rudder_deg=90.0, set_deg=0.0, drift_kn=0.1
    )
    assert reading.carried == () or all("wo:" not in one.xml for one in reading.carried)


@pytest.mark.parametrize("format_name", ["csv", "geojson", "gpx", "rtz"])
@pytest.mark.parametrize(("members", "reason"), BAD)
def test_a_bad_current_or_steering_leaves_a_hole(
    format_name: str, members: dict[str, str], reason: str
) -> None:
    body, line = _with(format_name, members)
    reading = read_route(body, "a")
    assert reading.report[1].line == line
    assert reason in (reading.report[1].problem or "")
    assert [one.gap_before for one in reading.waypoints] == [False, True]
