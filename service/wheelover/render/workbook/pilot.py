"""The sheet of the pilot card: one line for each thing said of the ship, with its unit."""

from collections.abc import Iterator
from typing import NamedTuple

from wheelover.render.exports.stamp import Document
from wheelover.render.workbook.flat import Cell, unfolded


class Fact(NamedTuple):
    """One value of the card: what it is of, its member, which says the unit, and the value."""

    of: str
    member: str
    value: Cell


def pilot_facts(card: Document) -> Iterator[Fact]:
    """Yield every value of a pilot card and of what is agreed with the pilot, in its order."""
    counted: dict[str, int] = {}
    for row in unfolded(card, "", {}, ("exchange",)):
        yield from _facts(row, counted)
    for row in unfolded(card["exchange"], "exchange", {}):
        yield from _facts(row, counted)


def _facts(row: dict[str, Cell], counted: dict[str, int]) -> Iterator[Fact]:
    """Yield the values of a row; rows of a list are numbered."""
    what = str(row["row"])
    counted[what] = counted.get(what, 0) + 1
    listed = what not in ("", "exchange")
    of = f"{what} {counted[what]}" if listed else what or "ship"
    for member, value in row.items():
        if member != "row":
            yield Fact(of, member, value)
