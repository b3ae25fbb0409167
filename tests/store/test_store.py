"""The store on either engine: what it refuses, that frozen rows stay, that a unit is whole."""

import zlib
from collections.abc import Iterator

import pytest
from sqlalchemy.exc import IntegrityError

from tests.store.kept import NOW, draft, started
from wheelover.core.errors import Conflict, Damaged, InvalidInput, NotFound, Unavailable
from wheelover.store import Store, StoreRefused, open_store
from wheelover.store.library import Contents
from wheelover.store.plans import Draft


@pytest.fixture
def store(store_url: str) -> Iterator[Store]:
    opened = open_store(store_url)
    yield opened
    opened.close()


def run(store: Store, *statements: str) -> None:
    """Run statements of an engine of ours, past the store's own methods."""
    with store._writer.begin() as connection:
        for sql in statements:
            connection.exec_driver_sql(sql)


def test_opening_again_keeps_everything(store: Store, store_url: str) -> None:
    started(store)
    store.close()
    again = open_store(store_url)
    assert again.came_from == again.schema
    with again.reading() as unit:
        assert unit.plans.get("plan-1").name == "x"
    again.close()


def test_the_store_says_what_writes_it(store: Store, engine: str) -> None:
    assert {"sqlite": "SQLite 3.", "postgresql": "PostgreSQL "}[engine] in store.ready()


def test_a_database_of_a_newer_version_is_refused(store: Store, store_url: str) -> None:
    run(store, "UPDATE alembic_version SET version_num = 'm9999_from_tomorrow'")
    with pytest.raises(StoreRefused, match="newer version"):
        open_store(store_url)


def test_a_process_that_outlived_its_tables_writes_nothing(store: Store) -> None:
    run(store, "UPDATE alembic_version SET version_num = 'm9999_from_tomorrow'")
    with pytest.raises(Unavailable, match="restart"):
        started(store)
    with store.reading() as unit:
        assert not unit.plans.known("plan-1")


def frozen(store: Store) -> None:
    """Keep one row in every table that takes new rows only."""
    row = started(store)
    with store.writing() as unit:
        unit.library.add("ship", Contents(name="s", body=b"{}"), NOW)
        unit.plans.freeze(row, b"document", "0" * 64, "0", NOW)


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE plan_revision SET number = 7",
        "DELETE FROM plan_revision",
        "UPDATE blob SET size_count = 0",
        "DELETE FROM blob",
        "UPDATE library_edition SET name = 'y'",
        "DELETE FROM library_edition",
    ],
)
def test_what_is_frozen_cannot_be_changed(store: Store, sql: str) -> None:
    frozen(store)
    with pytest.raises(IntegrityError, match="never changed"):
        run(store, sql)


def test_a_damaged_blob_is_not_shown(store: Store, engine: str) -> None:
    with store.writing() as unit:
        sha256 = unit.blobs.put(b"what was frozen")
    names = {"sqlite": "blob_no_update", "postgresql": "blob_frozen ON blob"}
    quoted = {"sqlite": "x'{}'", "postgresql": "'\\x{}'"}
    forged = quoted[engine].format(zlib.compress(b"what was forged").hex())
    run(store, f"DROP TRIGGER {names[engine]}", f"UPDATE blob SET body = {forged}")  # noqa: S608
    with store.reading() as unit, pytest.raises(Damaged):
        unit.blobs.get(sha256)


def test_a_unit_that_fails_keeps_nothing(store: Store) -> None:
    def half_done() -> None:
        with store.writing() as unit:
            unit.plans.add("plan-1", draft(), NOW)
            raise NotFound("the second half")

    with pytest.raises(NotFound):
        half_done()
    with store.reading() as unit, pytest.raises(NotFound):
        unit.plans.get("plan-1")


def test_a_plan_that_was_changed_meanwhile_is_not_changed(store: Store) -> None:
    row = started(store)
    with store.writing() as unit:
        unit.plans.edit(row, draft("one"), NOW)
    with pytest.raises(Conflict), store.writing() as unit:
        unit.plans.edit(row, draft("two"), NOW)


def test_a_reader_sees_one_moment(store: Store) -> None:
    started(store)
    with store.reading() as unit:
        before = unit.plans.page(10, None)
        started(store, "plan-2")
        assert unit.plans.page(10, None) == before
    with store.reading() as unit:
        assert [row.id for row in unit.plans.page(10, None)] == ["plan-2", "plan-1"]


def test_text_that_one_engine_cannot_keep_is_refused_by_both(store: Store) -> None:
    whole = Draft(name="a\0b", waypoint_count=2, demonstration=False, label="x", inputs="{}")
    with pytest.raises(InvalidInput, match="NUL"), store.writing() as unit:
        unit.plans.add("plan-1", whole, NOW)
