"""Files are held against the checksums of their catalogue."""

import zlib

import pytest

from tests.charts.cell_writer import record
from tests.charts.cells import rich_cell
from tests.charts.test_given_files import zipped
from wheelover.charts.catalogue import checksums_of, held_against, is_catalogue
from wheelover.charts.importing import File, Steering, read_apart
from wheelover.charts.messages import Limits
from wheelover.charts.s57 import GivenFile
from wheelover.core.errors import UnreadableFile

CHECKED = b"123456789"
CHECK_VALUE = "CBF43926"
"""The CRC-32 of these nine digits as ITU-T V.42 and IEEE 802.3 have it; from memory, and known as
the check value of this checksum in every list of them."""


def catalogue(*rows: tuple[str, str], name: str = "CATALOG.031") -> GivenFile:
    """Return a catalogue as S-57 part 3 writes it: names with their checksums."""
    body = record([("0000", b"0000;&   \x1f0001CATD")], b"3LE1 09")
    for number, (file, digits) in enumerate(rows, 1):
        box = "BIN50.0\x1f0.0\x1f51.0\x1f1.0"
        said = f"CD{number:010d}{file}\x1f\x1fV01X01\x1f{box}\x1f{digits}\x1f\x1f"
        body += record([("0001", b"\x01\x00"), ("CATD", said.encode())])
    return GivenFile(name=name, body=body)


def test_the_checksum_is_that_of_the_standard() -> None:
    file = GivenFile(name="ZZ5TEST.000", body=CHECKED)
    kept, lines = held_against([file], [catalogue((r"ENC_ROOT\ZZ5TEST.000", CHECK_VALUE))])
    assert kept == [file]
    assert [(one.fate, "1 have the checksum" in one.words) for one in lines] == [("left out", True)]


def test_a_file_that_is_another_is_not_read() -> None:
    bad = GivenFile(name="ZZ5TEST.000", body=b"123456780")
    good = GivenFile(name="ZZ5OTHER.000", body=CHECKED)
    rows = (("ZZ5TEST.000", CHECK_VALUE), ("ZZ5OTHER.000", CHECK_VALUE.lower()))
    kept, lines = held_against([bad, good], [catalogue(*rows)])
    assert kept == [good]
    assert (lines[0].name, lines[0].fate) == ("ZZ5TEST.000", "refused")
    assert f"its catalogue states {CHECK_VALUE}" in lines[0].words
    assert "1 have another" in lines[1].words


def test_what_the_catalogue_does_not_say_is_said() -> None:
    files = [GivenFile(name="ZZ5TEST.000", body=CHECKED), GivenFile(name="NEW.000", body=b"x")]
    rows = (("ZZ5TEST.000", ""), ("ZZ5GONE.001", CHECK_VALUE), ("CATALOG.031", ""))
    kept, (line,) = held_against(files, [catalogue(*rows)])
    assert kept == files
    assert "of 2 it states none" in line.words
    assert "it names ZZ5GONE.001, not given" in line.words


@pytest.mark.parametrize(
    "body",
    [b"", b"catalogue", catalogue(("A.000", "not hex")).body, catalogue(("A", "1")).body[:-9]],
)
def test_a_catalogue_that_cannot_be_read_is_said_and_stops_nothing(body: bytes) -> None:
    file = GivenFile(name="ZZ5TEST.000", body=CHECKED)
    kept, lines = held_against([file], [GivenFile(name="CATALOG.031", body=body)])
    assert kept == [file]
    if body:
        assert lines[0].fate == "refused"
        with pytest.raises(UnreadableFile):
            checksums_of(GivenFile(name="CATALOG.031", body=body))
    else:
        assert "of 1 it states none" in lines[0].words


def test_an_import_takes_no_cell_that_its_catalogue_disowns() -> None:
    body = rich_cell().base()
    wrong = catalogue(("ZZ5TEST.000", f"{zlib.crc32(body) ^ 1:08X}"))
    packed = zipped({"ENC_ROOT/ZZ5TEST.000": body, "ENC_ROOT/CATALOG.031": wrong.body})
    found = read_apart([File(name="set.zip", body=packed.body)], Limits(), Steering())
    assert found.cells == ()
    assert {one["name"]: one["fate"] for one in found.lines} == {
        "ZZ5TEST.000": "refused", "CATALOG.031": "left out",
    }  # fmt: skip
    right = catalogue(("ZZ5TEST.000", f"{zlib.crc32(body):08X}"))
    loose = [File(name="ZZ5TEST.000", body=body), File(name="CATALOG.031", body=right.body)]
    assert len(read_apart(loose, Limits(), Steering()).cells) == 1


def test_names_of_catalogues() -> None:
    assert is_catalogue("catalog.031")
    assert not is_catalogue("ZZCATALOG.031")
