"""Imports of cells into the store: editions, the same again, older ones, all or nothing."""

import os
import signal
from collections.abc import Iterator

import pytest

from tests.charts.cell_writer import CellWriter
from tests.charts.cells import rich_cell
from tests.charts.test_importing import children, stopping_at
from wheelover.charts.importing import File, Stopped
from wheelover.charts.messages import Limits
from wheelover.core.errors import UnreadableFile
from wheelover.store import Store, open_store
from wheelover.usecases.chart_imports import (
    Imported,
    Watch,
    import_charts,
    refused,
    said_of,
    withdraw_chart,
)
from wheelover.usecases.charts import chart_features, chart_of
from wheelover.usecases.clock import now_utc


@pytest.fixture
def store(store_url: str) -> Iterator[Store]:
    store = open_store(store_url)
    yield store
    store.close()


def imported(store: Store, *bodies: bytes, watch: Watch | None = None) -> Imported:
    files = [File(name=f"file-{number}", body=body) for number, body in enumerate(bodies)]
    more = {} if watch is None else {"watch": watch}
    return import_charts(store, files, Limits(), now_utc, **more)


def fates(found: Imported) -> list[tuple[str, int, str]]:
    return [(one["name"], one["edition"], one["fate"]) for one in found.cells]


def rows(store: Store) -> list[tuple[str, int, int]]:
    with store.reading() as unit:
        return [(one.name, one.edition, one.producer_update) for one in unit.charts.page(50, None)]


def test_the_same_again_makes_no_new_edition(store: Store) -> None:
    body = rich_cell().base()
    assert fates(imported(store, body)) == [("ZZ5TEST", 1, "new")]
    assert fates(imported(store, body)) == [("ZZ5TEST", 1, "unchanged")]
    assert rows(store) == [("ZZ5TEST", 1, 0)]
    with store.reading() as unit:
        assert [row.number for row in unit.audit.chain("own")] == [1]


def test_updates_come_one_by_one_and_missing_ones_later(store: Store) -> None:
    desk = rich_cell()
    base = desk.base()
    updates = []
    for number in (1, 2, 3):
        desk.modify(700, VALSOU=number)
        updates.append(desk.update())
    imported(store, base)
    first = imported(store, updates[0])
    assert (fates(first), first.cells[0]["updates_missing"]) == ([("ZZ5TEST", 2, "renewed")], [])
    gap = imported(store, updates[2])
    assert (fates(gap), gap.cells[0]["updates_missing"]) == ([("ZZ5TEST", 3, "renewed")], [2, 3])
    whole = imported(store, updates[1])
    assert (fates(whole), whole.cells[0]["updates_missing"]) == ([("ZZ5TEST", 4, "renewed")], [])
    assert whole.cells[0]["producer_update"] == 3
    assert rows(store) == [("ZZ5TEST", 4, 3)]


def test_an_older_edition_changes_nothing_and_is_said(store: Store) -> None:
    imported(store, rich_cell(CellWriter(edition=5)).base())
    found = imported(store, rich_cell(CellWriter(edition=4)).base())
    assert fates(found) == [("ZZ5TEST", 1, "unchanged")]
    line = next(one for one in found.files if one["name"] == "file-0" and one["fate"] == "older")
    assert line["words"] == "edition 4, update 0: there is a newer base cell"
    assert rows(store) == [("ZZ5TEST", 1, 0)]


def test_a_new_edition_of_the_producer_is_a_new_edition_here(store: Store) -> None:
    imported(store, rich_cell(CellWriter(edition=4)).base())
    found = imported(store, rich_cell(CellWriter(edition=5)).base())
    assert fates(found) == [("ZZ5TEST", 2, "renewed")]
    with store.reading() as unit:
        cell_id = unit.charts.page(1, None)[0].id
        assert [unit.charts.get(cell_id, n).producer_edition for n in (1, 2)] == [4, 5]


def test_a_damaged_file_changes_nothing_that_is_stored(store: Store) -> None:
    desk = rich_cell()
    base = desk.base()
    imported(store, base)
    desk.modify(700, VALSOU=1)
    found = imported(store, desk.update()[:-30])
    assert fates(found)[0][1:] == (2, "renewed")
    assert found.cells[0]["updates_missing"] == [1]
    beside_sound = imported(store, base[:-30])
    assert "damaged" in [one["fate"] for one in beside_sound.files]
    assert beside_sound.cells[0]["fate"] in ("unchanged", "renewed")
    number = rows(store)[0][1]
    newer = rich_cell(CellWriter(edition=2)).base()
    failed = imported(store, newer[:-30])
    assert failed.failures[0]["words"].startswith("file-0: record")
    assert (fates(failed), rows(store)) == ([], [("ZZ5TEST", number, 0)])


def test_an_import_of_nothing_readable_is_a_failure(store: Store) -> None:
    found = imported(store, b"hello", rich_cell().base()[:-10])
    failure = refused(found)
    assert isinstance(failure, UnreadableFile)
    assert "file-0: record 1" in str(failure)
    assert "file-1: record" in str(failure)
    assert rows(store) == []


def test_all_cells_of_an_import_are_kept_together(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    bodies = [rich_cell(CellWriter(name=name)).base() for name in ("ZZ5ONE", "ZZ5TWO")]
    from wheelover.store.charts import Charts  # noqa: PLC0415

    keep, calls = Charts.keep, []

    def failing(self: Charts, *given: object, **more: object) -> object:
        calls.append(1)
        if len(calls) == 2:
            raise RuntimeError("the power went")
        return keep(self, *given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(Charts, "keep", failing)
    with pytest.raises(RuntimeError, match="the power went"):
        imported(store, *bodies)
    assert rows(store) == []
    monkeypatch.undo()
    assert [name for name, _, _ in fates(imported(store, *bodies))] == ["ZZ5ONE", "ZZ5TWO"]


def test_one_that_is_stopped_or_crashes_keeps_nothing(store: Store) -> None:
    body = rich_cell().base()
    with pytest.raises(Stopped):
        imported(store, body, watch=Watch(told=lambda _s, _p: None, stopped=lambda: True))
    crash = stopping_at("unpacking", lambda: [os.kill(one, signal.SIGKILL) for one in children()])
    with pytest.raises(UnreadableFile, match="nothing was kept"):
        imported(store, body, watch=Watch(told=crash.told, stopped=lambda: False))
    assert rows(store) == []


def test_a_cell_out_of_use_stays_for_who_used_it_and_comes_back(store: Store) -> None:
    body = rich_cell().base()
    cell_id = imported(store, body).cells[0]["id"]
    assert withdraw_chart(store, cell_id, now_utc()).withdrawn_utc is not None
    with store.reading() as unit:
        assert unit.charts.in_use(-90, 90) == []
        assert unit.charts.get(cell_id, 1).edition == 1
    assert fates(imported(store, body)) == [("ZZ5TEST", 1, "back in use")]
    with store.reading() as unit:
        assert [one.id for one in unit.charts.in_use(-90, 90)] == [cell_id]
        entries = [row.entry for row in unit.audit.chain("own")]
    assert ["kept" in entries[0], "withdrawn" in entries[1], "restored" in entries[2]] == [True] * 3


def test_what_a_list_says_needs_no_look_into_the_cell(store: Store) -> None:
    cell_id = imported(store, rich_cell().base()).cells[0]["id"]
    edition = chart_of(store, cell_id)
    said = said_of(edition)
    assert said["counts"]["WRECKS"] == 2
    assert said["outline"]["type"] == "MultiPolygon"
    assert (edition.south_deg, edition.west_deg) == (50.0, -1.52)
    assert [one["name"] for one in said["files"]] == ["file-0"]


def test_objects_of_a_box(store: Store) -> None:
    edition = chart_of(store, imported(store, rich_cell().base()).cells[0]["id"])
    found = chart_features(store, edition, (-1.26, 50.09, -1.24, 50.12), None, 100)
    classes = [one["properties"]["class"] for one in found["features"]]
    assert classes[:2] == ["WRECKS", "WRECKS"]
    assert {"DEPARE", "M_COVR"} <= set(classes)
    assert found["left_out_count"] == 0
    only = chart_features(store, edition, (-180, -90, 180, 90), frozenset({"SOUNDG"}), 2)
    assert [one["properties"]["depth_m"] for one in only["features"]] == [-0.4, 8.0]
    assert only["left_out_count"] == 2
    none = chart_features(store, edition, (170.0, 40, -170.0, 60), None, 100)
    assert none["features"] == []
