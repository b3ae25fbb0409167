"""What the faults share: a PostgreSQL that keeps its promises, and fresh stores on either."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cluster import Cluster, binaries, cluster
from tests.stores import MISSING, fresh


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark everything in this folder as a fault, and by the number in its file's name.

    Full counts are taken with nothing beside them: their times are kept.
    """
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.fault)
            if config.getoption("--long"):
                item.add_marker(pytest.mark.alone)
            if (marker := marker_of(item.path)) is not None:
                item.add_marker(marker)


def marker_of(path: Path) -> str | None:
    """Return the marker of the fault that a file of tests is about."""
    number = re.match(r"test_(f\d\d)_", path.name)
    return None if number is None else f"fault_{number[1]}"


@pytest.fixture(scope="session")
def durable() -> Iterator[Cluster]:
    """Start a PostgreSQL as it is shipped: it waits for the disk."""
    if binaries() is None:
        if os.environ.get("CI") == "true":
            pytest.fail(MISSING)
        pytest.skip(MISSING)
    with cluster({"max_connections": "60"}) as server:
        yield server


@pytest.fixture
def new_url(engine: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Return the URL of a new database that loses nothing, on each engine in turn."""
    if engine == "postgresql":
        yield from fresh(request.getfixturevalue("durable"), "template0")
    else:
        yield f"sqlite:///{tmp_path / 'store' / 'wheelover.sqlite3'}"


@pytest.fixture
def twin_url(engine: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Return the URL of another, for the twin with a fault built in."""
    if engine == "postgresql":
        yield from fresh(request.getfixturevalue("durable"), "template0")
    else:
        yield f"sqlite:///{tmp_path / 'twin' / 'wheelover.sqlite3'}"


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """Return where services of a test write what they say."""
    return tmp_path / "service.log"


@pytest.fixture
def long_form(request: pytest.FixtureRequest) -> bool:
    """Return whether full counts are asked for."""
    return bool(request.config.getoption("--long"))
