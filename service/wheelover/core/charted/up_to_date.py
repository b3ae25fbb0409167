"""Which of some cells are not up to date, in words."""

from collections.abc import Iterable

from wheelover.core.types.cells import CellAbout
from wheelover.core.types.charted import Charted


def updates_missing(charted: Charted, cells: Iterable[int]) -> str | None:
    """Return which updates some cells lack and which were superseded, in words; None for none.

    Parameters
    ----------
    charted : Charted
        What the cells of a plan say.
    cells : iterable of int
        The numbers of those that are meant.
    """
    abouts = [charted.cells[cell].about for cell in cells]
    return " and ".join(words for one in abouts for words in _out_of_date(one)) or None


def _out_of_date(about: CellAbout) -> list[str]:
    """Return in words what of a cell is not up to date."""
    found = []
    if about.updates_missing:
        plural = "s" if len(about.updates_missing) > 1 else ""
        numbers = ", ".join(map(str, about.updates_missing))
        found.append(f"{about.name} edition {about.edition} lacks update{plural} {numbers}")
    if about.superseded is not None:
        found.append(f"{about.name} edition {about.edition} is out of date: {about.superseded}")
    return found
