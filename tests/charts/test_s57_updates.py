"""Updates of a cell: applied in their order, and never left out without a word."""

import pytest

from tests.charts.cell_writer import DELETE, INSERT, MODIFY, CellWriter
from tests.charts.cells import reading_of
from wheelover.charts.s57 import CellReading
from wheelover.core.errors import UnreadableFile

LINE = [(50.0, -1.0), (50.1, -1.0), (50.2, -1.0), (50.3, -1.0)]


def fates(found: CellReading) -> dict[str, str]:
    return {line.name: line.fate for line in found.lines}


def made() -> tuple[CellWriter, list[bytes]]:
    """Return a desk and its base with three updates, each of which moves a wreck."""
    desk = CellWriter()
    wreck = desk.point("WRECKS", (50.0, -1.0), VALSOU=9)
    files = [desk.base()]
    for number in (1, 2, 3):
        desk.move(wreck, (50.0 + number / 10, -1.0))
        desk.modify(wreck, VALSOU=9 - number)
        files.append(desk.update())
    return desk, files


def test_updates_are_applied_in_their_order_however_they_come() -> None:
    _, files = made()
    found = reading_of(files[2], files[0], files[3], files[1])
    assert found.cell.about.update == 3
    assert found.cell.geometries[0].y == 50.3
    assert found.cell.attributes[0] == {"VALSOU": 6.0}
    assert found.remarks == ()


def test_a_missing_update_ends_what_is_applied_and_is_said() -> None:
    _, files = made()
    found = reading_of(files[0], files[1], files[3])
    about = found.cell.about
    assert (about.update, about.updates_missing) == (1, (2, 3))
    assert found.cell.geometries[0].y == 50.1
    assert fates(found) == {"file-0": "read", "file-1": "applied", "file-2": "waits"}
    assert "update 2, which is missing" in found.lines[-1].words
    assert [one.name for one in found.used] == ["file-0", "file-1", "file-2"]


def test_a_damaged_update_ends_what_is_applied_and_names_its_record() -> None:
    _, files = made()
    broken = files[2][:-20]
    found = reading_of(files[0], files[1], broken, files[3])
    assert (found.cell.about.update, found.cell.about.updates_missing) == (1, (2, 3))
    assert found.cell.geometries[0].y == 50.1
    lines = {line.name: line for line in found.lines}
    assert lines["file-2"].fate == "damaged"
    assert "record 4" in lines["file-2"].words
    assert "which is damaged" in lines["file-3"].words


def test_a_sound_copy_stands_in_for_a_damaged_one() -> None:
    _, files = made()
    for pair in ((files[1], files[1][:-20]), (files[1][:-20], files[1])):
        found = reading_of(files[0], *pair)
        assert (found.cell.about.update, found.cell.about.updates_missing) == (1, ())


@pytest.mark.parametrize(("edition", "fate"), [(2, "newer"), (3, "older")])
def test_an_update_of_another_edition_is_left_out_and_said(edition: int, fate: str) -> None:
    desk = CellWriter(edition=5 - edition)
    wreck = desk.point("WRECKS", (50.0, -1.0), VALSOU=9)
    base = desk.base()
    desk.modify(wreck, VALSOU=1)
    other = desk.update(edition={"newer": 9, "older": 1}[fate])
    found = reading_of(base, other)
    assert fates(found)["file-1"] == fate
    assert "does not belong to edition" in found.lines[-1].words
    assert found.cell.attributes[0] == {"VALSOU": 9.0}
    assert found.cell.about.updates_missing == ()
    assert found.cell.about.superseded == {"newer": "there is edition 9 of it", "older": None}[fate]
    # What says so is kept with the cell, so that the next import says it as well.
    assert len(found.used) == {"newer": 2, "older": 1}[fate]


def test_a_cell_that_its_producer_cancelled_is_said() -> None:
    desk = CellWriter(edition=3)
    desk.point("WRECKS", (50.0, -1.0), VALSOU=9)
    found = reading_of(desk.base(), desk.update(edition=0))
    assert fates(found)["file-1"] == "cancelled"
    assert found.cell.about.superseded == "its producer has cancelled the cell"
    assert len(found.used) == 2
    assert found.cell.count == 1


def test_the_newest_base_cell_counts() -> None:
    old, new = CellWriter(edition=3), CellWriter(edition=4)
    for desk, depth_m in ((old, 3.0), (new, 4.0)):
        desk.point("WRECKS", (50.0, -1.0), VALSOU=depth_m)
    bodies = [desk.base() for desk in (old, new)]
    for files in (bodies, bodies[::-1]):
        assert reading_of(*files).cell.about.edition == 4


def test_a_base_cell_issued_again_has_its_updates_in_already() -> None:
    _, files = made()
    again = CellWriter()
    again.point("WRECKS", (50.2, -1.0), VALSOU=7)
    reissued = again.base().replace(b"\x1f1\x1f0\x1f", b"\x1f1\x1f2\x1f")
    found = reading_of(reissued, files[1], files[2])
    assert fates(found) == {"file-0": "read", "file-1": "in already", "file-2": "in already"}
    assert (found.cell.about.update, found.cell.about.updates_missing) == (2, ())
    assert found.cell.attributes[0] == {"VALSOU": 7.0}


def test_updates_alone_are_no_cell() -> None:
    _, files = made()
    with pytest.raises(UnreadableFile, match="updates without their base cell"):
        reading_of(files[1], files[2])


@pytest.mark.parametrize(
    ("what", "index", "places", "count", "expected"),
    [
        (INSERT, 1, [(50.05, -1.1)], 1, [50.0, 50.05, 50.1, 50.2, 50.3]),
        (INSERT, 2, [(50.15, -1.1)], 1, [50.0, 50.1, 50.15, 50.2, 50.3]),
        (MODIFY, 1, [(50.11, -1.1)], 1, [50.0, 50.11, 50.2, 50.3]),
        (DELETE, 1, [], 1, [50.0, 50.2, 50.3]),
    ],
)
def test_vertices_are_put_in_changed_and_taken_out(
    what: int, index: int, places: list[tuple[float, float]], count: int, expected: list[float]
) -> None:
    desk = CellWriter()
    line = desk.line("DEPCNT", LINE, VALDCO=5)
    base = desk.base()
    desk.redraw(line, what, index, places, count)
    found = reading_of(base, desk.update())
    assert found.cell.about.update == 1
    assert [lat for _, lat in found.cell.geometries[0].coords] == expected


@pytest.mark.parametrize(
    ("what", "index", "count"), [(DELETE, 2, 1), (DELETE, 1, 9), (INSERT, 5, 1), (MODIFY, 0, 1)]
)
def test_an_update_of_vertices_that_are_not_there_is_damaged(
    what: int, index: int, count: int
) -> None:
    desk = CellWriter()
    line = desk.line("DEPCNT", LINE, VALDCO=5)
    base = desk.base()
    desk.redraw(line, what, index, [] if what == DELETE else [(1.0, 1.0)], count)
    found = reading_of(base, desk.update())
    assert fates(found)["file-1"] == "damaged"
    assert (found.cell.about.update, found.cell.about.updates_missing) == (0, (1,))


def test_an_update_does_all_it_says_or_nothing() -> None:
    """A damaged update whose first records are sound changes nothing at all."""
    desk = CellWriter()
    one = desk.point("WRECKS", (50.0, -1.0), VALSOU=9)
    two = desk.point("WRECKS", (51.0, -1.0), VALSOU=8)
    base = desk.base()
    desk.modify(one, VALSOU=1)
    desk.delete(two)
    update = desk.update()
    twice = update + update[update.rindex(b"FRID") - 24 :]
    found = reading_of(base, twice)
    assert fates(found)["file-1"] == "damaged"
    assert [given["VALSOU"] for given in found.cell.attributes] == [9.0, 8.0]


def test_versions_out_of_step_are_remarked() -> None:
    desk = CellWriter()
    wreck = desk.point("WRECKS", (50.0, -1.0), VALSOU=9)
    base = desk.base()
    desk.modify(wreck, VALSOU=5)
    desk.update()
    desk.modify(wreck, VALSOU=4)
    found = reading_of(base, desk.update(number=1))
    assert found.cell.attributes[0] == {"VALSOU": 4.0}
    assert found.remarks == ("file-1: the versions of 1 records do not follow",)
