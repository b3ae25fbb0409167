"""Damaged cells by the hundred: a clear refusal or a report, never another fault."""

import random

import pytest

from tests.charts.cells import reading_of, rich_cell
from wheelover.core.errors import UnreadableFile

SHORT, LONG = 400, 20_000


def damaged(body: bytes, chance: random.Random) -> bytes:
    """Return a file with a few bytes changed, a piece taken out, doubled or moved.

    Half the time that is behind the record which describes the others.
    """
    made = bytearray(body)
    first = chance.choice((0, int(body[:5])))
    for _ in range(chance.choice((1, 1, 2, 5, 20))):
        at = chance.randrange(min(first, len(made) - 1), len(made))
        what = chance.randrange(10)
        if what < 7:
            made[at] = chance.choice((0, 0x1E, 0x1F, 0x7F, 0xFF, 0x30, chance.randrange(256)))
        elif what == 7:
            del made[at : at + chance.randrange(1, 40)]
        elif what == 8:
            made[at:at] = made[at : at + chance.randrange(1, 40)]
        else:
            made[at : at + 4] = chance.randbytes(4)
    return bytes(made)


@pytest.fixture(scope="module")
def files() -> tuple[bytes, bytes]:
    desk = rich_cell()
    base = desk.base()
    desk.delete(900)
    desk.modify(700, VALSOU=2.5)
    desk.move(700, (50.15, -1.24))
    desk.redraw(500, 1, 1, [(50.0, -1.4)])
    desk.point("UWTROC", (50.2, -1.1), VALSOU=1, WATLEV=3)
    return base, desk.update()


def test_damaged_base_cells(files: tuple[bytes, bytes], request: pytest.FixtureRequest) -> None:
    count = LONG if request.config.getoption("--long") else SHORT
    chance = random.Random(57)  # noqa: S311  the same damage each time
    refused = 0
    for _ in range(count):
        try:
            found = reading_of(damaged(files[0], chance))
        except UnreadableFile:
            refused += 1
        else:
            assert found.cell.count <= 21
    assert refused > count / 2


def test_damaged_updates(files: tuple[bytes, bytes], request: pytest.FixtureRequest) -> None:
    """A damaged update is applied whole or not at all; what was before it stays."""
    base, update = files
    before = reading_of(base).cell
    count = LONG if request.config.getoption("--long") else SHORT
    chance = random.Random(58)  # noqa: S311  the same damage each time
    left_out = 0
    for _ in range(count):
        try:
            found = reading_of(base, damaged(update, chance))
        except UnreadableFile:
            continue
        if found.cell.about.update == 0:
            left_out += 1
            assert found.cell.ids == before.ids
            assert found.cell.attributes == before.attributes
            assert all(line.fate != "applied" for line in found.lines)
    assert left_out > count / 8
