"""What is taken out of a zip, and what a zip may not do."""

import io
import zipfile
from pathlib import Path

import pytest

from tests.charts.cells import rich_cell
from wheelover.charts import given_files
from wheelover.charts.given_files import unpacked
from wheelover.charts.s57 import GivenFile


def zipped(files: dict[str, bytes], packing: int = zipfile.ZIP_DEFLATED) -> GivenFile:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", packing) as archive:
        for name, body in files.items():
            archive.writestr(name, body)
    return GivenFile(name="cells.zip", body=held.getvalue())


def test_cells_are_taken_and_the_rest_is_said() -> None:
    body = rich_cell().base()
    found = unpacked(
        [
            zipped(
                {
                    "ENC_ROOT/ZZ/ZZ5TEST.000": body,
                    "ENC_ROOT/CATALOG.031": b"catalogue",
                    "ENC_ROOT/README.TXT": b"text",
                    "ENC_ROOT/ZZ/ZZ5TEST.001": b"update",
                }
            ),
            GivenFile(name="LOOSE.000", body=b"x"),
        ]
    )
    assert [one.name for one in found.files] == ["ZZ5TEST.000", "ZZ5TEST.001", "LOOSE.000"]
    assert [(one.name, one.fate) for one in found.lines] == [
        ("README.TXT", "left out"),
    ]
    assert [one.name for one in found.catalogues] == ["CATALOG.031"]


@pytest.mark.parametrize(
    "name", ["../../etc/ZZ5TEST.000", "/etc/cron.d/ZZ5TEST.000", "..\\..\\ZZ5TEST.000", "C:\\Z.000"]
)
def test_a_name_is_only_a_name(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    found = unpacked([zipped({name: b"body"})])
    assert [one.name for one in found.files] in (["ZZ5TEST.000"], ["Z.000"])
    assert list(tmp_path.rglob("*")) == []


def test_a_bomb_is_refused_before_it_is_unpacked() -> None:
    bomb = zipped({f"ZZ{n}.000": bytes(15 * given_files.MB) for n in range(4)})
    assert len(bomb.body) < 100_000
    found = unpacked([bomb])
    assert found.files == ()
    assert found.lines[0].fate == "refused"
    assert "more than 100 times the zip" in found.lines[0].words


def test_a_file_over_the_limit_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(given_files, "MOST_FILE_BYTES", 1000)
    loose = GivenFile(name="ZZ1.000", body=b"x" * 1001)
    for given in (zipped({"ZZ1.000": b"x" * 1001}, zipfile.ZIP_STORED), loose):
        found = unpacked([given])
        assert (found.files, found.lines[0].fate) == ((), "refused")


def test_too_many_files_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(given_files, "MOST_ZIP_FILES", 3)
    found = unpacked([zipped({f"ZZ{n}.000": b"x" for n in range(4)})])
    assert "holds 4 files, 3 at most" in found.lines[0].words


def test_a_damaged_zip_is_refused() -> None:
    whole = zipped({"ZZ5TEST.000": rich_cell().base()}).body
    for at in range(30, len(whole) - 30, 97):
        body = bytearray(whole)
        body[at] ^= 0x55
        found = unpacked([GivenFile(name="cells.zip", body=bytes(body))])
        assert all(one.fate in ("refused", "left out") for one in found.lines)


def test_a_zip_in_a_zip_stays_shut() -> None:
    inner = zipped({"ZZ5TEST.000": b"x"})
    found = unpacked([zipped({"inner.zip": inner.body})])
    assert (found.files, found.lines[0].fate) == ((), "left out")
