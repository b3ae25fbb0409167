"""Damaged and hostile XML: every kind gets a reason and a place, none gets a route."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.formats.test_exchange_route import A, B, C, route, waypoint
from wheelover.core.errors import UnknownFormat, UnreadableFile
from wheelover.formats.route_file import read_route

WHOLE = route(A, B, C)
BOMB = b'<!DOCTYPE r [<!ENTITY a "ha">' + b"".join(
    f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">'.encode() for n in range(1, 10)
)


def _with(old: bytes, new: bytes) -> bytes:
    assert old in WHOLE
    return WHOLE.replace(old, new, 1)


KINDS: dict[str, tuple[bytes, str, int | None]] = {
    "nothing": (b"", "empty", None),
    "white space only": (b" \n\t", "empty", None),
    "a byte order mark only": (b"\xef\xbb\xbf", "empty", None),
    "a declaration only": (b"<?xml version='1.0'?>", "no element found", 1),
    "a lone sign": (b"<", "not well formed", 1),
    "cut in the middle": (WHOLE[: len(WHOLE) // 2], "not well formed", 5),
    "cut before its end": (WHOLE[:-3], "not well formed", 8),
    "an end that does not fit": (_with(b"</waypoints>", b"</waypoint>"), "mismatched tag", 8),
    "an attribute twice": (_with(b'id="1"', b'id="1" id="1"'), "duplicate attribute", 5),
    "an attribute without quotes": (_with(b'id="1"', b"id=1"), "not well formed", 5),
    "two roots": (WHOLE + WHOLE[39:], "junk after document element", 8),
    "text after the root": (WHOLE + b"\nmore", "junk after document element", 9),
    "a bare ampersand": (_with(b"Zoo passage", b"Zoo & Co"), "not well formed", 3),
    "an entity not known": (_with(b"Zoo passage", b"&zoo;"), "undefined entity", 3),
    "a prefix not declared": (_with(b"<waypoints>", b"<x:y/><waypoints>"), "unbound prefix", 4),
    "a control character": (_with(b"Zoo passage", b"Zoo \x01"), "not well formed", 3),
    "a zero byte": (_with(b"Zoo passage", b"Zoo \x00"), "not well formed", 3),
    "a reference to a control character": (_with(b"Zoo passage", b"&#1;"), "not well formed", 3),
    "bytes that are not UTF-8": (_with(b"Zoo passage", b"\xff\xfe"), "not UTF-8 text", 3),
    "an encoding not known": (_with(b"UTF-8", b"EBCDIC-CP"), "encoding 'ebcdic-cp'", 1),
    "UTF-7": (_with(b"UTF-8", b"UTF-7"), "encoding 'utf-7'", 1),
    "UTF-16 in name only": (_with(b"UTF-8", b"UTF-16"), "byte order mark", 1),
    "UTF-16 cut in a character": (WHOLE.decode().encode("utf-16") + b"\x00", "not UTF-16", None),
    "a document type": (_with(b"<route ", b"<!DOCTYPE route>\n<route "), "DOCTYPE", 2),
    "a document type elsewhere": (
        _with(b"<route ", b'<!DOCTYPE route SYSTEM "file:///etc/hostname">\n<route '),
        "DOCTYPE",
        2,
    ),
    "an entity of its own": (
        _with(b"<route ", b'<!DOCTYPE r [<!ENTITY a "47">]>\n<route '),
        "DOCTYPE",
        2,
    ),
    "an entity of a file": (
        _with(b"<route ", b'<!DOCTYPE r [<!ENTITY a SYSTEM "file:///etc/passwd">]>\n<route '),
        "DOCTYPE",
        2,
    ),
    "a parameter entity": (
        _with(b"<route ", b'<!DOCTYPE r [<!ENTITY % a "x"> %a;]>\n<route '),
        "DOCTYPE",
        2,
    ),
    "a million laughs": (BOMB + b"]><route>&a9;</route>", "DOCTYPE", 1),
    "one huge entity": (
        b'<!DOCTYPE r [<!ENTITY a "' + b"x" * 100_000 + b'">]><r>&a;&a;&a;</r>',
        "DOCTYPE",
        1,
    ),
    "nested without end": (b"<route>" * 100_000, "nested deeper than 32", 1),
    "nested in an extension": (
        _with(b"</waypoints>", b"</waypoints>" + b"<a>" * 40 + b"</a>" * 40),
        "element 'a' is nested deeper than 32",
        8,
    ),
    "an attribute too long": (_with(b"Zoo passage", b"x" * 16_385), "'routeName' of element", 3),
    "too many attributes": (
        _with(b"<routeInfo", b"<routeInfo " + b" ".join(b'a%d=""' % n for n in range(300))),
        "200 attributes",
        3,
    ),
    "too many elements": (_with(b"</route>", b"<x/>" * 200_001 + b"</route>"), "200000 elem", 8),
    "too many waypoints": (
        route(*[waypoint(n, n / 100, 0) for n in range(5001)]),
        "5001 waypoint elements, over the limit of 5000",
        5005,
    ),
    "too many bytes": (WHOLE + b" " * 5_000_000, "over the limit of 5000000", None),
    "no waypoints": (b'<route version="1.1"></route>', "0 elements waypoints", 1),
    "two lists of waypoints": (_with(b"<waypoints>", b"<waypoints/><waypoints>"), "2 elements", 2),
    "no position understood": (route(waypoint(1, "x", 1)), "None of the 1 rows", 5),
}
UNKNOWN: dict[str, bytes] = {
    "another root": b"<html><body/></html>",
    "a drawing": b'<svg xmlns="http://www.w3.org/2000/svg"/>',
    "a later exchange version": _with(b'version="1.2"', b'version="2.0"'),
    "an exchange version that is no version": _with(b'version="1.2"', b'version="one"'),
    "a route of another vocabulary": b'<route xmlns="urn:busline"><stop/></route>',
    "an older GPX": b'<gpx version="1.0" xmlns="http://www.topografix.com/GPX/1/0"/>',
}


@pytest.mark.parametrize("kind", KINDS)
def test_damaged_files_are_refused_with_their_place(kind: str) -> None:
    body, says, line = KINDS[kind]
    with pytest.raises(UnreadableFile, match=says) as raised:
        read_route(body, "a.rtz")
    assert not isinstance(raised.value, UnknownFormat)
    if line is not None:
        assert raised.value.faults[0].line == line
        assert f"line {line}" in str(raised.value).lower()
    if "not well formed" in str(raised.value):
        assert raised.value.faults[0].column is not None


@pytest.mark.parametrize("kind", UNKNOWN)
def test_other_vocabularies_are_unknown_formats(kind: str) -> None:
    with pytest.raises(UnknownFormat) as raised:
        read_route(UNKNOWN[kind], "a.rtz")
    assert raised.value.faults[0].line is not None


@pytest.mark.parametrize(
    "body",
    [
        b"\xef\xbb\xbf" + WHOLE,
        WHOLE.decode().replace("UTF-8", "UTF-16").encode("utf-16"),
        WHOLE.decode().encode("utf-16"),
        WHOLE.decode().replace("UTF-8", "ISO-8859-1").replace("Zoo", "Zoë").encode("latin-1"),
        b"\n\n" + WHOLE,
        WHOLE.replace(b"\n", b"\r\n"),
        WHOLE.replace(b"<waypoints>", b"<!-- a > b --><?zoo x?><waypoints>"),
        WHOLE.replace(b"Zoo passage", b"&#90;oo"),
    ],
)
def test_sound_files_in_other_dress_are_read(body: bytes) -> None:
    reading = read_route(body, "a.rtz")
    assert [w.id for w in reading.waypoints] == ["1", "2", "3"]
    assert reading.name.startswith("Zo")


def test_blank_lines_in_front_count() -> None:
    assert read_route(b"\n\n" + WHOLE, "a").report[0].line == 7


@given(st.integers(0, len(WHOLE) - 1), st.binary(min_size=1, max_size=4))
def test_no_damage_breaks_the_reader(place: int, put: bytes) -> None:
    """A damaged file is refused with a reason, or read with every waypoint in the report."""
    body = WHOLE[:place] + put + WHOLE[place + len(put) :]
    with contextlib.suppress(UnreadableFile):
        reading = read_route(body, "a.rtz")
        assert len(reading.waypoints) <= len(reading.report)
        assert all(row.understood or row.problem for row in reading.report)


def test_namespaces_are_counted() -> None:
    """Each element that declares one would hold them all: 0.7 MB of this once took 2 GB."""
    many = b"".join(b' xmlns:a%d="u"' % one for one in range(40_000))
    body = (
        b'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"' + many + b"><rte>"
        b'<rtept lat="1" lon="1"/><rtept lat="1.1" lon="1"/></rte></gpx>'
    )
    with pytest.raises(UnreadableFile, match="namespaces"):
        read_route(body, "a.gpx")
    some = b"".join(b' xmlns:a%d="u"' % one for one in range(60))
    each = b'<q xmlns:b="c"/>' * 5_000
    body = (
        b'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"' + some + b"><rte>"
        b'<rtept lat="1" lon="1"/><rtept lat="1.1" lon="1"/></rte>' + each + b"</gpx>"
    )
    with pytest.raises(UnreadableFile, match="namespaces"):
        read_route(body, "a.gpx")


@pytest.mark.parametrize(
    "body",
    [
        b'<gpx version="1.1" xmlns:g="http://www.topografix.com/GPX/1/1"><rte>'
        b'<rtept lat="1" lon="1"/><g:rtept lat="40" lon="40"/><rtept lat="2" lon="1"/></rte></gpx>',
        b'<route version="1.0" xmlns="http://www.cirm.org/RTZ/1/0"><routeInfo routeName="x"/>'
        b'<waypoints><waypoint id="1"><position lat="1" lon="1"/></waypoint>'
        b'<x:waypoint xmlns:x="http://www.cirm.org/RTZ/1/2" id="9"><x:position lat="40" lon="40"/>'
        b'</x:waypoint><waypoint id="2"><position lat="2" lon="1"/></waypoint></waypoints></route>',
    ],
)
def test_a_waypoint_of_another_version_is_no_piece_to_be_kept(body: bytes) -> None:
    """Written back it would become a waypoint that the plan never had."""
    with pytest.raises(UnreadableFile, match="another version"):
        read_route(body, "a.xml")
