"""``wheelover plan``: the ledger on the screen, the plan in a file, and what is refused."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pypdf
import pytest

from tests.api.conftest import Client
from wheelover.api import create_app
from wheelover.cli import main
from wheelover.formats.strict_json import read_json
from wheelover.usecases.read_route import read_route_file

SAMPLES = Path(__file__).parents[2] / "sample_routes"
HAZARDS = SAMPLES / "demonstration-hazards.geojson"
ROUTE_FORMATS = ["csv", "geojson", "gpx", "rtz"]


@pytest.fixture
def ship(tmp_path: Path) -> Path:
    path = tmp_path / "ship.json"
    setting = read_json((SAMPLES / "demonstration.json").read_bytes())
    path.write_text(json.dumps(setting["ship"]), encoding="utf-8")
    return path


def _plan(*arguments: object) -> int:
    return main(["plan", *(str(one) for one in arguments)])


@pytest.mark.parametrize("kind", ROUTE_FORMATS)
def test_a_route_of_every_format_gives_the_same_passage(
    kind: str, ship: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _plan(SAMPLES / f"demonstration.{kind}", "--ship", ship) == 0
    printed = capsys.readouterr().out
    for words in ("47-31.000N 030-12.000W", "67.3 starboard to 187.3", "DOES NOT FIT", "CAUTIONS"):
        assert words in printed
    assert "least   not known: no loaded danger" in printed
    assert "Nearest dangers: NOT CHECKED, no dangers are loaded." in printed
    assert max(len(line) for line in printed.splitlines()) <= 98


def test_the_ledger_says_what_is_wrong_and_what_was_not_checked(
    ship: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["--ship", ship, "--hazards", HAZARDS, "--min-clearance-m", 926]
    assert _plan(SAMPLES / "demonstration.csv", *arguments) == 0
    printed = capsys.readouterr().out
    assert printed.index("MUST BE RESOLVED (") < printed.index("NOT CHECKED (")
    assert "785 m, Gat wreck, limit 1000 m: NOT MET" in printed
    assert "simulated (default)" in printed
    assert "rule of thumb: 0.383 NM" in printed
    assert "simulated: 0.221 NM, on the new track as simulated" in printed


def test_the_plan_written_is_the_one_the_service_answers_with(ship: Path, tmp_path: Path) -> None:
    out = tmp_path / "plan.json"
    route = SAMPLES / "demonstration.csv"
    assert _plan(route, "--ship", ship, "--hazards", HAZARDS, "--out", out) == 0
    body = {
        "route": read_route_file(route.read_bytes(), route.name)["route"],
        "ship": read_json(ship.read_bytes()),
        "hazards": read_json(HAZARDS.read_bytes()),
    }
    assert read_json(out.read_bytes()) == Client(create_app()).plan(body).json()


@pytest.mark.parametrize("kind", ROUTE_FORMATS)
def test_every_suffix_writes_its_format_and_it_reads_back(
    kind: str, ship: Path, tmp_path: Path
) -> None:
    out = tmp_path / f"plan.{kind}"
    assert _plan(SAMPLES / "demonstration.csv", "--ship", ship, "--out", out) == 0
    back = read_route_file(out.read_bytes(), out.name)
    assert back["format"] == kind
    assert back["rejected_count"] == 0
    first = read_route_file((SAMPLES / "demonstration.csv").read_bytes(), "demonstration.csv")
    for member in ("lat_deg", "lon_deg"):
        places = [one[member] for one in first["route"]["waypoints"]]
        assert [one[member] for one in back["route"]["waypoints"]] == pytest.approx(
            places, abs=1e-7
        )
    assert b"DRAFT" in out.read_bytes()


def test_the_map_is_written_too(ship: Path, tmp_path: Path) -> None:
    out = tmp_path / "plan.html"
    assert _plan(SAMPLES / "demonstration.csv", "--ship", ship, "--out", out) == 0
    assert out.read_bytes().startswith(b"<!DOCTYPE html>")
    assert b">DRAFT</strong>" in out.read_bytes()


@pytest.mark.parametrize(("suffix", "start"), [("pdf", b"%PDF-"), ("xlsx", b"PK")])
def test_paper_and_workbook_are_written_too(
    ship: Path, tmp_path: Path, suffix: str, start: bytes
) -> None:
    out = tmp_path / f"plan.{suffix}"
    assert _plan(SAMPLES / "demonstration.csv", "--ship", ship, "--out", out) == 0
    assert out.read_bytes().startswith(start)
    if suffix == "pdf":
        pages = pypdf.PdfReader(out).pages
        assert all("DRAFT, not approved" in page.extract_text() for page in pages)


def test_rows_not_understood_are_named_and_stay_holes(
    ship: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    route = tmp_path / "holed.csv"
    route.write_text("lat,lon\n47 00.0N,030 00.0W\n47 61.0N,030 00.0W\n47 10.0N,030 00.0W\n")
    out = tmp_path / "plan.gpx"
    assert _plan(route, "--ship", ship) == 0
    printed = capsys.readouterr().out
    assert "2 rows understood, 1 not" in printed
    assert "line 3: NOT UNDERSTOOD" in printed
    assert "HOLE: rows here were not understood" in printed
    assert "leg   " not in printed
    assert _plan(route, "--ship", ship, "--out", out) == 5
    assert not out.exists()
    assert "hole" in capsys.readouterr().err


def _faulty_ship(ship: Path, **members: Any) -> None:
    value = {**read_json(ship.read_bytes()), **members}
    ship.write_text(json.dumps(value), encoding="utf-8")


def test_a_fault_names_its_file_and_its_place(
    ship: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    route = SAMPLES / "demonstration.csv"
    _faulty_ship(ship, loa_m=-1.0, colour="red")
    assert _plan(route, "--ship", ship) == 4
    said = capsys.readouterr().err
    assert f"{ship}: /loa_m: must be more than 0" in said
    assert f"{ship}: /colour: this member is not one that is read here" in said
    _faulty_ship(ship, loa_m=190.0)
    ship.write_text(ship.read_text().replace(', "colour": "red"', ""))
    bad = tmp_path / "dangers.geojson"
    bad.write_text('{"type": "FeatureCollection", "features": [{"type": "Feature"}]}')
    assert _plan(route, "--ship", ship, "--hazards", bad) == 4
    assert f"{bad}: /features/0/geometry: this member is needed" in capsys.readouterr().err
    bad.write_text('{"type": NaN}')
    assert _plan(route, "--ship", ship, "--hazards", bad) == 4
    assert f"{bad}: " in capsys.readouterr().err
    assert _plan(tmp_path / "none.csv", "--ship", ship) == 4
    assert "No such file" in capsys.readouterr().err
    bad.write_bytes(b"lat,lon\nnowhere,at all\n")
    assert _plan(bad, "--ship", ship) == 4
    assert f"{bad}: line 2: " in capsys.readouterr().err
    assert _plan(route, "--ship", ship, "--min-clearance-m", -5) == 4
    assert "options: " in capsys.readouterr().err


@pytest.mark.parametrize("options", [["--set-deg", 10], ["--out", "plan.docx"]])
def test_wrong_use_is_said(
    options: list[object], ship: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _plan(SAMPLES / "demonstration.csv", "--ship", ship, *options) == 2
    assert "wheelover plan: --" in capsys.readouterr().err


def test_no_input_is_written_over(ship: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = ship.read_bytes()
    assert _plan(SAMPLES / "demonstration.csv", "--ship", ship, "--out", ship) == 2
    assert "not written over" in capsys.readouterr().err
    assert ship.read_bytes() == before


def test_a_plan_that_cannot_be_written_leaves_nothing(
    ship: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "no folder" / "plan.json"
    assert _plan(SAMPLES / "demonstration.csv", "--ship", ship, "--out", out) == 5
    assert "not written" in capsys.readouterr().err
    assert sorted(one.name for one in tmp_path.iterdir()) == ["ship.json"]


def test_as_a_process_twice_with_the_same_bytes_and_a_reader_that_leaves(ship: Path) -> None:
    route = SAMPLES / "demonstration.csv"
    command = [sys.executable, "-m", "wheelover", "plan", str(route), "--ship", str(ship)]
    runs = [
        subprocess.run(
            command, check=True, capture_output=True, env={**os.environ, "PYTHONHASHSEED": seed}
        )
        for seed in ("1", "2")
    ]
    assert runs[0].stdout == runs[1].stdout
    assert runs[0].stdout.startswith(b"DRAFT, not stored.")
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as run:
        assert run.stdout is not None
        assert run.stderr is not None
        run.stdout.close()
        assert run.stderr.read() == b""
        assert run.wait() == 0
