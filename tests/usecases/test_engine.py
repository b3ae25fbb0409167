"""By what an engine is told apart from another: everything that it computes with."""

import re
import shutil
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest

import wheelover
from wheelover.usecases import engine

LOCK = Path(__file__).parents[2] / "requirements.lock"
PACKAGE = Path(wheelover.__file__).parent


def test_every_package_of_the_lock_file_counts() -> None:
    locked = set(re.findall(r"^([A-Za-z0-9_.-]+)==", LOCK.read_text(), re.MULTILINE))
    made_with = engine.made_with()
    assert locked <= made_with.keys()
    for name in ("astral", "pygeomag", "utide", "numpy", "pydantic", "sqlalchemy"):
        assert made_with[name] == version(name)
    missing = {name for name, found in made_with.items() if found == "not installed"}
    assert missing <= {"tzdata", "pysqlite3"}  # the lock file has them for some systems only


@pytest.mark.parametrize("name", ["utide", "astral", "source", "coastline", "python"])
def test_another_of_any_of_it_is_another_engine(name: str) -> None:
    made_with = engine.made_with()
    other = engine.engine_id("1.0.0", {**made_with, name: "another"})
    assert other != engine.engine_id("1.0.0", made_with)


@pytest.mark.parametrize("part", ["core", "render", "formats", "api/schemas", "usecases", "charts"])
def test_every_room_of_the_source_counts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, part: str
) -> None:
    digest: Any = engine._source_sha256.__wrapped__
    kept = shutil.ignore_patterns("__pycache__")
    shutil.copytree(PACKAGE, tmp_path / "wheelover", ignore=kept)
    monkeypatch.setattr(engine, "_PACKAGE", str(tmp_path / "wheelover"))
    assert digest() == engine._source_sha256()
    with (tmp_path / "wheelover" / part / "__init__.py").open("a") as file:
        file.write("# otherwise\n")
    assert digest() != engine._source_sha256()
