"""Sheets of the workbook: heads with units, real numbers with formats, texts that stay texts."""

import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np
from xlsxwriter import Workbook
from xlsxwriter.worksheet import Worksheet

from wheelover.core.utc import seconds_from_utc
from wheelover.render.workbook.flat import Cell, format_of, head_of, names_of, plain_of, unit_of

_OPTIONS = {
    "in_memory": True,
    # A text is a text, also one that begins like a formula or an address.
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
    "nan_inf_to_errors": False,
}

MOST_CELL = 32_000
"""A cell takes 32,767 signs."""

MOST_ROWS = 200_000
"""A sheet takes a million rows; a plan has by far fewer."""

UNKNOWN = "not known"
_A4 = 9
_DAY_S = 86_400.0
_EPOCH_DAYS = 25_569.0
"""1970-01-01 in days of a spreadsheet."""

_NARROW, _WIDE = 9, 60
_FACT_HEADS = (("of", 24), ("item", 36), ("value", 36), ("unit", 9))


class Book:
    """A workbook that is written sheet by sheet."""

    def __init__(self, title: str, line: str, created_utc: str) -> None:
        self._body = io.BytesIO()
        self._book = Workbook(self._body, _OPTIONS)
        self._line = line
        self._head_line = _header(line)
        created: Any = np.datetime64(created_utc.removesuffix("Z").partition(".")[0], "s").item()
        self._book.set_properties({"title": title[:250], "author": "wheelover",
                                   "comments": line[:250], "created": created})  # fmt: skip
        self._formats: dict[str, Any] = {}
        self._bold = self._book.add_format({"bold": True})
        self._head = self._book.add_format(
            {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1}
        )

    def table(
        self,
        name: str,
        rows: Sequence[Mapping[str, Cell]],
        *,
        none: str = "none",
        heads: Mapping[str, str] | None = None,
    ) -> None:
        """Write rows as a sheet.

        Parameters
        ----------
        name : str
            Name of the sheet.
        rows : sequence of mapping
            Values by member; the unit at the end of a member's name says how they are shown.
        none : str
            What stands there when there are no rows.
        heads : mapping or None
            Heads of members whose names do not say enough.
        """
        sheet = self._sheet(name)
        if not rows:
            self.text(sheet, 1, 0, none)
            return
        names = names_of([dict(one) for one in rows])
        for column, member in enumerate(names):
            head = (heads or {}).get(member) or head_of(member)
            sheet.write_string(1, column, head, self._head)
            sheet.set_column(column, column, self._width(head, member, rows))
        for number, row in enumerate(rows[:MOST_ROWS], start=2):
            for column, member in enumerate(names):
                if member in row:
                    self._cell(sheet, number, column, member, row[member])
        sheet.freeze_panes(2, 1)
        sheet.autofilter(1, 0, len(rows) + 1, len(names) - 1)
        sheet.repeat_rows(1)

    def facts(self, name: str, facts: Iterable[tuple[str, str, Cell]]) -> None:
        """Write values one under the other: what each is of, its name, the value, its unit."""
        sheet = self._sheet(name)
        for column, (head, width) in enumerate(_FACT_HEADS):
            sheet.write_string(1, column, head, self._head)
            sheet.set_column(column, column, width)
        for number, (of, member, value) in enumerate(facts, start=2):
            self.text(sheet, number, 0, of)
            self.text(sheet, number, 1, plain_of(member))
            self._cell(sheet, number, 2, member, value)
            self.text(sheet, number, 3, unit_of(member))
        sheet.freeze_panes(2, 1)
        sheet.repeat_rows(1)

    def lines(self, name: str, lines: Sequence[str]) -> None:
        """Write texts as a sheet, one under the other."""
        sheet = self._sheet(name)
        wrap = self._format("General", wrap=True)
        sheet.set_column(0, 0, 120)
        for number, line in enumerate(lines, start=1):
            self.text(sheet, number, 0, line, wrap)

    def close(self) -> bytes:
        """Return the bytes of the workbook."""
        self._book.close()
        return self._body.getvalue()

    def _sheet(self, name: str) -> Worksheet:
        """Return a new sheet, set up for printing, which plan it is of in its first row."""
        sheet: Worksheet = self._book.add_worksheet(name)
        sheet.set_landscape()
        sheet.set_paper(_A4)
        sheet.fit_to_pages(1, 0)
        sheet.set_margins(left=0.47, right=0.47, top=0.75, bottom=0.6)
        sheet.set_header(f"&L{self._head_line}&R&A")
        sheet.set_footer("&L1 cab = 0.1 NM = 185.2 m&Rpage &P of &N")
        self.text(sheet, 0, 0, self._line, self._bold)
        return sheet

    def text(self, sheet: Worksheet, row: int, column: int, text: str, style: Any = None) -> None:
        """Write a text."""
        sheet.write_string(row, column, _printable(text), style)

    def _cell(self, sheet: Worksheet, row: int, column: int, member: str, value: Cell) -> None:
        """Write one value: a number as a number, a time as a time, all else as text."""
        if value is None:
            self.text(sheet, row, column, UNKNOWN)
        elif isinstance(value, bool):
            self.text(sheet, row, column, "yes" if value else "no")
        elif isinstance(value, int | float):
            sheet.write_number(row, column, value, self._format(format_of(member)))
        elif unit_of(member) == "UTC" and _is_time(value):
            days = seconds_from_utc(value) / _DAY_S + _EPOCH_DAYS
            sheet.write_number(row, column, days, self._format(format_of(member)))
        else:
            self.text(sheet, row, column, value)

    def _format(self, shown: str, *, wrap: bool = False) -> Any:
        """Return the format of a cell, each made once."""
        key = f"{shown}/{wrap}"
        if key not in self._formats:
            self._formats[key] = self._book.add_format({"num_format": shown, "text_wrap": wrap})
        return self._formats[key]

    @staticmethod
    def _width(head: str, member: str, rows: Sequence[Mapping[str, Cell]]) -> int:
        """Return how wide a column is."""
        words = max((len(one) for one in head.split()), default=0) + 3
        if unit_of(member) == "UTC":
            return max(20, words)
        longest = max(
            (len(one[member]) for one in rows[:500] if isinstance(one.get(member), str)),  # type: ignore[arg-type]
            default=0,
        )
        return min(max(_NARROW, words, longest + 1), _WIDE)


def _is_time(value: str) -> bool:
    """Return whether a text is a time of the plan."""
    return (
        len(value) >= 20 and value[4] == value[7] == "-" and value[10] == "T" and value[-1] == "Z"
    )


def _printable(text: str) -> str:
    """Return a text without signs that a workbook cannot hold, cut where a cell ends."""
    held = "".join(one if one >= " " or one in "\n\t" else "\ufffd" for one in text)
    held = held.encode("utf-8", "replace").decode("utf-8")
    return held if len(held) <= MOST_CELL else f"{held[:MOST_CELL]} ... cut: the JSON has it whole"


def _header(line: str) -> str:
    """Return a line for the head of printed pages, in which & begins a command."""
    return _printable(line)[:110].replace("&", "&&")
