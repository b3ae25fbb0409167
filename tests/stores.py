"""A fresh store for a test, in a file and in PostgreSQL: fixtures that tests/conftest.py shares."""

import itertools
import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cluster import QUICK, Cluster, binaries, cluster
from wheelover.store import open_store

ENGINES = ("sqlite", "postgresql")
MISSING = "PostgreSQL is not installed (Debian: postgresql)"
_NUMBERS = itertools.count(1)


@pytest.fixture(scope="session")
def postgres() -> Iterator[Cluster]:
    """Start one PostgreSQL for the session; it has a database to copy fresh ones from."""
    if binaries() is None:
        if os.environ.get("CI") == "true":
            pytest.fail(MISSING)
        pytest.skip(MISSING)
    with cluster(QUICK) as server:
        server.run("CREATE DATABASE model")
        open_store(server.url("model")).close()
        yield server


@pytest.fixture
def postgres_url(postgres: Cluster) -> Iterator[str]:
    """Return the URL of a database of this version's tables with nothing in them."""
    yield from fresh(postgres, "model")


@pytest.fixture
def empty_postgres_url(postgres: Cluster) -> Iterator[str]:
    """Return the URL of a database without tables."""
    yield from fresh(postgres, "template0")


def fresh(server: Cluster, model: str) -> Iterator[str]:
    """Give the URL of a copy of a database, and drop the copy afterwards."""
    name = f"test_{next(_NUMBERS)}"
    server.run(f"CREATE DATABASE {name} TEMPLATE {model}")
    yield server.url(name)
    server.run(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(params=ENGINES)
def engine(request: pytest.FixtureRequest) -> str:
    """Return each engine in turn: what asks for this runs on both."""
    return str(request.param)


@pytest.fixture
def store_url(engine: str, request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return the URL of a store with nothing in it, on each engine in turn."""
    if engine == "postgresql":
        return str(request.getfixturevalue("postgres_url"))
    return f"sqlite:///{tmp_path / 'folder' / 'wheelover.sqlite3'}"
