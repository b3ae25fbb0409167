"""The service with accounts, for the tests of access."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.access.people import House
from tests.stores import new_file


@pytest.fixture
def house(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[House]:
    made = House(monkeypatch, new_file(tmp_path / "house.sqlite3"))
    yield made
    made.store.close()
