"""What goes wrong with cells: each is read as it is meant, or refused with its place."""

import struct

import numpy as np
import pytest

from tests.charts.cell_writer import CellWriter, record
from tests.charts.cells import HOLE, RING, reading_of, rich_cell
from wheelover.core.errors import UnreadableFile


def test_a_depth_that_is_not_known_is_absent() -> None:
    desk = CellWriter()
    desk.point("WRECKS", (50.0, -1.0), VALSOU=None, WATLEV=3)
    desk.point("WRECKS", (50.1, -1.0), WATLEV=3)
    desk.point("WRECKS", (50.2, -1.0), VALSOU="deep", WATLEV=3)
    desk.point("WRECKS", (50.3, -1.0), VALSOU="nan", WATLEV=3)
    desk.point("WRECKS", (50.4, -1.0), VALSOU="1e400", WATLEV=3)
    found = reading_of(desk.base())
    assert found.cell.attributes == ({"WATLEV": 3},) * 5
    assert found.remarks == ("3 values of attributes are no numbers and count as unknown",)


def test_drying_heights_are_negative() -> None:
    desk = CellWriter()
    desk.point("UWTROC", (50.0, -1.0), VALSOU=-1.4)
    desk.area("DEPARE", RING, DRVAL1=-2.5, DRVAL2=0)
    desk.soundings([(50.1, -1.0, -0.7)])
    cell = reading_of(desk.base()).cell
    assert cell.attributes[0] == {"DRVAL1": -2.5, "DRVAL2": 0.0}
    assert cell.attributes[2] == {"VALSOU": -1.4}
    assert cell.soundings.depth_m.tolist() == [-0.7]


def test_soundings_are_split_and_know_their_object() -> None:
    desk = CellWriter(somf=100)
    desk.point("BOYLAT", (50.0, -1.0))
    rows = [(50.0 + step / 1000, -1.0 - step / 1000, 3.33 + step / 10) for step in range(500)]
    desk.soundings(rows[:200], QUASOU=["6"])
    desk.soundings(rows[200:])
    cell = reading_of(desk.base()).cell
    assert cell.classes == ("BOYLAT", "SOUNDG", "SOUNDG")
    assert cell.geometries[1] is None
    assert cell.soundings.of.tolist() == [1] * 200 + [2] * 300
    assert np.allclose(cell.soundings.depth_m, [one[2] for one in rows], atol=5.1e-3, rtol=0)
    assert np.allclose(cell.soundings.lat_deg, [one[0] for one in rows], atol=1e-9, rtol=0)


@pytest.mark.parametrize("comf", [1_000_000, 10_000_000])
def test_positions_are_exact_to_the_last_digit_of_the_file(comf: int) -> None:
    desk = CellWriter(comf=comf)
    desk.point("WRECKS", (50.123456, -1.654321))
    shape = reading_of(desk.base()).cell.geometries[0]
    assert (shape.y, shape.x) == (50.123456, -1.654321)


def test_every_truncation_is_refused_with_its_record() -> None:
    body = rich_cell().base()
    for length in range(0, len(body) - 1, 37):
        with pytest.raises(UnreadableFile) as refused:
            reading_of(body[:length])
        words = str(refused.value)
        assert "record" in words, (length, words)


def test_a_cell_cut_between_two_records_is_refused() -> None:
    body = rich_cell().base()
    at = body.rindex(b"FRID")
    start = max(
        cut
        for cut in range(at - 60, at)
        if body[cut : cut + 5].isdigit() and body[cut + 6 : cut + 7] == b"D"
    )
    with pytest.raises(UnreadableFile, match="it says that it has"):
        reading_of(body[:start])


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"", "it does not describe"),
        (b"<OGRVRTDataSource>" + b" " * 100, "kind of record"),
        (b"%PDF-1.7" + b"\0" * 100, "kind of record"),
        (b"\x1f\x8b" + b"\0" * 300, "kind of record"),
        (record([("0000", b"x")], b"3LE1 09"), "does not describe"),
    ],
)
def test_what_is_no_cell_is_refused(body: bytes, words: str) -> None:
    with pytest.raises(UnreadableFile, match=words):
        reading_of(body)


def test_huge_counts_are_refused_and_cost_nothing() -> None:
    desk = CellWriter()
    line = desk.line("DEPCNT", [(50.0, -1.0), (50.1, -1.0), (50.2, -1.1)], VALDCO=5)
    base = desk.base()
    desk.redraw(line, 2, 1, [], count=65_535)
    found = reading_of(base, desk.update())
    assert found.cell.about.updates_missing == (1,)
    counts = struct.pack("<8I", 0, 0, 1, 0, 0, 2, 1, 0)
    assert counts in base
    huge = base.replace(counts, struct.pack("<8I", *[0xFFFFFFFF] * 8))
    with pytest.raises(UnreadableFile, match="it says that it has 17179869180 records"):
        reading_of(huge)


def test_an_edge_used_ever_again_is_refused_before_it_fills_the_memory() -> None:
    desk = CellWriter()
    places = [(50.0 + step * 1e-6, -1.0) for step in range(2000)]
    line = desk.line("DEPCNT", places, VALDCO=5)
    kind, number = desk._features[line].pointers[0][:2]
    desk._feature("DEPCNT", 2, [(kind, number, 1, 255)] * 9000, {}, None)
    with pytest.raises(UnreadableFile, match="over 6000000 vertices"):
        reading_of(desk.base())


def test_a_vector_that_is_not_there_is_named() -> None:
    desk = CellWriter()
    desk._feature("WRECKS", 1, [(110, 77, 255, 255)], {}, 5)
    with pytest.raises(UnreadableFile, match=r"WRECKS 1\.5\.1.*110/77"):
        reading_of(desk.base())


def test_an_area_that_does_not_close_is_kept_as_lines_and_said() -> None:
    desk = CellWriter()
    line = desk.line("COALNE", RING[:3])
    kind, number = desk._features[line].pointers[0][:2]
    desk._feature("DEPARE", 3, [(kind, number, 1, 1)], {"DRVAL1": 2}, 5)
    found = reading_of(desk.base())
    assert found.cell.geometries[1].geom_type == "LineString"
    assert found.remarks == (
        "the edges of the area DEPARE 1.5.1 do not close; it is kept as lines",
    )


def test_a_position_that_is_not_on_earth_is_refused() -> None:
    desk = CellWriter()
    desk.point("WRECKS", (50.0, -1.0))
    desk.point("OBSTRN", (95.0, -1.0))
    with pytest.raises(UnreadableFile, match=r"OBSTRN 1\.2\.1: a position is not on Earth"):
        reading_of(desk.base())


def test_depths_in_feet_are_refused() -> None:
    desk = CellWriter(depth_unit=2)
    desk.point("WRECKS", (50.0, -1.0))
    with pytest.raises(UnreadableFile, match="depths are in unit 2, not in metres"):
        reading_of(desk.base())


def test_an_identifier_used_twice_is_told_apart_and_said() -> None:
    desk = CellWriter()
    desk.point("WRECKS", (50.0, -1.0), fid=7)
    desk.point("WRECKS", (50.1, -1.0), fid=7)
    found = reading_of(desk.base())
    assert found.cell.ids == ("1.7.1", "1.7.1~2")
    assert found.remarks == ("1 objects have an identifier that another has too",)


def test_rings_in_one_another_keep_their_holes() -> None:
    desk = CellWriter()
    desk.area("LNDARE", RING, holes=[HOLE])
    shape = reading_of(desk.base()).cell.geometries[0]
    assert len(shape.interiors) == 1
    assert not shape.contains(shape.interiors[0].centroid)


def test_an_area_of_two_parts_has_each_hole_in_its_own() -> None:
    desk = CellWriter()
    far = [(lat + 2.0, lon) for lat, lon in RING]
    far_hole = [(lat + 2.0, lon) for lat, lon in HOLE]
    pointers = [(130, *one, 1) for ring in (RING, far) for one in desk._edges([*ring, ring[0]])]
    holes = (HOLE, far_hole)
    pointers += [(130, *one, 2) for ring in holes for one in desk._edges([*ring, ring[0]])]
    desk._feature("LNDARE", 3, pointers, {}, None)
    shape = reading_of(desk.base()).cell.geometries[0]
    assert shape.geom_type == "MultiPolygon"
    assert [len(part.interiors) for part in shape.geoms] == [1, 1]
    assert shape.is_valid
