"""Cells kept ready: the same object for the same bytes, bounded, and never changed."""

import pytest

from tests.charts.cell_writer import CellWriter
from tests.charts.cells import reading_of
from wheelover.formats.cell_document import cell_bytes
from wheelover.store.charts import ChartEdition
from wheelover.usecases.stored_cells import StoredCells


def edition(sha256: str, number: int = 1) -> ChartEdition:
    return ChartEdition(
        id="cell-1", name="ZZ5TEST", edition=number, newest=number, producer_edition=1,
        producer_update=0, sha256=sha256, object_count=1, west_deg=0.0, south_deg=0.0,
        east_deg=0.0, north_deg=0.0, said="{}", created_utc="", withdrawn_utc=None, seq=1,
    )  # fmt: skip


def body(depth_m: float) -> bytes:
    desk = CellWriter()
    desk.point("WRECKS", (50.0, -1.0), VALSOU=depth_m)
    desk.soundings([(50.0, -1.0, depth_m)])
    return cell_bytes(reading_of(desk.base()).cell)


def test_a_cell_is_read_once_and_says_where_it_is_stored() -> None:
    kept = StoredCells()
    asked: list[int] = []

    def bytes_of() -> bytes:
        asked.append(1)
        return body(3.0)

    first = kept.of(edition("a"), bytes_of)
    assert kept.of(edition("a"), bytes_of) is first
    assert len(asked) == 1
    about = first.about
    assert (about.id, about.stored_edition, about.sha256) == ("cell-1", 1, "a")
    assert kept.known(edition("b")) is None


def test_what_is_kept_is_bounded() -> None:
    size = len(body(3.0))
    kept = StoredCells(most_bytes=2 * size + 10)
    for digest in "abc":
        kept.taken(edition(digest), body(3.0))
    assert kept.digests == ("b", "c")
    kept.known(edition("b"))
    kept.taken(edition("d"), body(3.0))
    assert kept.digests == ("b", "d")


def test_one_larger_than_the_bound_is_kept_while_it_is_the_last() -> None:
    kept = StoredCells(most_bytes=1)
    kept.taken(edition("a"), body(3.0))
    assert kept.digests == ("a",)


def test_columns_cannot_be_changed() -> None:
    cell = StoredCells().taken(edition("a"), body(3.0))
    with pytest.raises(ValueError, match="read-only"):
        cell.soundings.depth_m[0] = 9.0
    with pytest.raises(ValueError, match="read-only"):
        cell.geometries[0] = None
