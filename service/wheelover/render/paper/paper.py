"""The paper as a whole: its parts in order, laid out, framed and drawn."""

from collections.abc import Callable

from wheelover.render.exports.stamp import Document, Stamp, remarks
from wheelover.render.paper.cards import cards
from wheelover.render.paper.checklists import checklists
from wheelover.render.paper.cover import cover, replaced_line
from wheelover.render.paper.cue_table import cue_table
from wheelover.render.paper.draw import pdf
from wheelover.render.paper.frame import framed, identity_line
from wheelover.render.paper.keel import keel
from wheelover.render.paper.lines import lines
from wheelover.render.paper.matter import Matter, Printing
from wheelover.render.paper.pilot import pilot_card
from wheelover.render.paper.plan_table import plan_table
from wheelover.render.paper.sheet import Page, Sheet
from wheelover.render.paper.signatures import signatures
from wheelover.render.paper.timetable import timetable
from wheelover.render.paper.type import printable
from wheelover.render.paper.watch import watch
from wheelover.render.paper.working_sheet import working_sheets

Part = Callable[[Matter], Sheet | None]

PARTS: tuple[tuple[str, Part], ...] = (
    ("cover", cover),
    ("plan table", plan_table),
    ("turn cards", cards),
    ("schedule", timetable),
    ("under-keel clearance", keel),
    ("marks and cues", cue_table),
    ("index and clearing lines", lines),
    ("monitoring", watch),
    ("working sheets", working_sheets),
    ("pilot card and exchange", pilot_card),
    ("checklists", checklists),
    ("signatures", signatures),
)
"""What the paper consists of, in its order. A part that a plan has nothing for gives none."""


def paper(
    inputs: Document, result: Document, stamp: Stamp, printing: Printing
) -> tuple[bytes, tuple[str, ...]]:
    """Return a plan as a PDF, and the warnings.

    Parameters
    ----------
    inputs, result : dict
        The plan request, its ship resolved, and the plan made from it, as JSON values.
    stamp : Stamp
        Which plan and revision it is.
    printing : Printing
        When it is printed, her runs through the turns, and who is told how far it is.
    """
    matter = Matter(
        inputs=inputs,
        result=result,
        stamp=stamp,
        said=remarks(inputs, result, stamp),
        printing=printing,
    )
    pages = laid_out(matter)
    title = printable(result["name"] or "Passage plan")
    replaced = replaced_line(matter)
    told = (replaced,) if replaced else ()
    return pdf(pages, title, printable(identity_line(matter))), told


def laid_out(matter: Matter) -> list[Page]:
    """Return the pages of the paper, with head and foot."""
    pages: list[Page] = []
    for index, (name, part) in enumerate(PARTS):
        matter.printing.told(f"laying out: {name}", index, len(PARTS) + 1)
        sheet = part(matter)
        if sheet is not None:
            pages += sheet.pages
    matter.printing.told("writing the pages", len(PARTS), len(PARTS) + 1)
    framed(pages, matter)
    return pages
