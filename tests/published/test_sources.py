"""Every published row about geometry is claimed by a test that exists, or says why it is not."""

import re
from pathlib import Path

FOLDER = Path(__file__).parent
ROWS = {
    *("E1", "E2", "E3", "E4", "E6", "E7", "E8"),
    *("M1", "M2", "M3", "M4", "M5", "M6", "M7", "M8", "M14", "M15"),
    *("G1", "G2", "G3", "G5", "G6", "G7", "G8", "G10"),
    *("T1", "T2", "T4", "T5", "T6", "T7", "T8", "T11", "T12", "T13", "T15", "T16", "T18"),
    *("T19", "T21", "T23", "T26", "T27", "T29", "T30", "T31"),
    *("U1", "U2", "U4", "U5", "U6", "U8", "U10", "U11", "U13", "U14", "U17", "U18", "U19"),
    *("F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8", "F9", "F10", "F11", "F12"),
    *("H1", "H2", "H3", "H4", "H5", "H6", "H7", "H9", "H19", "H31", "L1", "L2", "L3"),
    *("H10", "H13", "H14", "H15", "H18"),
    *("S1", "S2", "S4", "S6", "S8", "S9", "S10", "S11", "S13", "S16", "S18", "S31", "S32", "S33"),
}


def _table() -> dict[str, list[str]]:
    lines = (FOLDER / "SOURCES.md").read_text("utf-8").splitlines()
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if "|" in line]
    return {row[0]: row for row in cells if re.fullmatch(r"[EMGTUFHLS]\d+", row[0])}


def test_every_row_has_a_line_and_every_line_a_test() -> None:
    table = _table()
    assert set(table) == ROWS
    tests = {
        name
        for path in FOLDER.parent.rglob("test_*.py")
        for name in re.findall(r"^def (test_\w+)", path.read_text("utf-8"), re.MULTILINE)
    }
    for row, cells in table.items():
        claim = cells[-1]
        if claim.startswith("not usable"):
            assert ": " in claim, row
            continue
        assert set(re.findall(r"`(\w+)`", claim)) <= tests, row
        assert claim.startswith("`"), row
        assert cells[3] in {"read", "memory", "computed"}, row
