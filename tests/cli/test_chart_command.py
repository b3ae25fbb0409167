"""``wheelover import-chart``: progress, report and exit codes, also while the service runs."""

from pathlib import Path

import pytest

from tests.api.chart_keeping import water_cell
from tests.api.conftest import Client
from wheelover.api import create_app
from wheelover.cli import main


def written(folder: Path, **bodies: bytes) -> list[str]:
    """Write files and return their paths."""
    paths = []
    for name, body in bodies.items():
        path = folder / name.replace("_", ".")
        path.write_bytes(body)
        paths.append(str(path))
    return paths


def test_a_cell_is_there_for_the_service_that_runs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    url = f"sqlite:///{tmp_path / 'kept.sqlite3'}"
    app = create_app(url)
    files = written(tmp_path, ZZ4GAT_000=water_cell().base())
    assert main(["import-chart", *files, "--database", url]) == 0
    said = capsys.readouterr()
    assert said.out.startswith("ZZ4GAT 1.0: new (edition 1 here)\n  ZZ4GAT.000: read. base cell")
    assert "  0 % unpacking\n" in said.err
    assert "100 % keeping\n" in said.err
    (line,) = Client(app).get("/api/v1/charts").json()["items"]
    assert line["name"] == "ZZ4GAT"
    app.state.store.close()


def test_a_gap_and_a_refused_file_are_told_by_the_exit_code(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    url = f"sqlite:///{tmp_path / 'kept.sqlite3'}"
    desk = water_cell()
    base = desk.base()
    desk.modify(100, VALSOU=1.0)
    desk.update()
    desk.modify(100, VALSOU=2.0)
    files = written(tmp_path, ZZ4GAT_000=base, ZZ4GAT_002=desk.update())
    assert main(["import-chart", *files, "--database", url]) == 1
    assert "updates missing: 1, 2" in capsys.readouterr().out
    cut = written(tmp_path, OTHER_000=water_cell("ZZ4CUT").base()[:-5])
    assert main(["import-chart", *cut, "--database", url]) == 4
    assert "OTHER.000: record" in capsys.readouterr().err
    assert main(["import-chart", str(tmp_path / "none.000"), "--database", url]) == 4


def test_a_database_that_cannot_be_used(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["import-chart", "a.000", "--database", "mysql://x"]) == 3
    assert "Plans are not kept in 'mysql'" in capsys.readouterr().err
