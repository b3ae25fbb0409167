"""A fresh store for a test, in a file and in PostgreSQL: fixtures that tests/conftest.py shares.

Fresh ones are copies of a model that was migrated once: a test of migrations asks for an empty one.
"""

import atexit
import functools
import itertools
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cluster import QUICK, Cluster, binaries, cluster
from wheelover.store import open_store

ENGINES = ("sqlite", "postgresql")
MISSING = "PostgreSQL is not installed (Debian: postgresql)"
_NUMBERS = itertools.count(1)


@functools.cache
def _model_file() -> Path:
    """Return a store in a file with this version's tables and nothing in them."""
    folder = Path(tempfile.mkdtemp(prefix="wo-model-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    model = folder / "model.sqlite3"
    open_store(f"sqlite:///{model}").close()
    return model


def new_file(path: Path) -> str:
    """Let a file be a store with nothing in it, and return its URL."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    shutil.copy(_model_file(), path)
    return f"sqlite:///{path}"


@pytest.fixture(scope="session", autouse=True)
def scratch_files() -> Iterator[None]:
    """Let services of tests without a database of their own begin with a copy of the model."""
    app = sys.modules.get("wheelover.api.app")
    with pytest.MonkeyPatch.context() as patch:
        if app is not None:
            plain = app._scratch_url

            def scratch_url() -> str:
                return new_file(Path(plain().removeprefix("sqlite:///")))

            patch.setattr(app, "_scratch_url", scratch_url)
        yield


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
    return new_file(tmp_path / "folder" / "wheelover.sqlite3")
