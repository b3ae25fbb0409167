"""Give a plan out as a file: a draft as it stands, or a frozen revision as it was."""

from collections.abc import Callable
from typing import Any

from wheelover.render.exports import EXCHANGE_VERSION, ExportFile, Stamp, export_file
from wheelover.render.paper import Printing
from wheelover.store import Store
from wheelover.usecases.drafts import DraftView
from wheelover.usecases.gather import Gathered
from wheelover.usecases.map_parts import parts_for
from wheelover.usecases.record import view_in
from wheelover.usecases.revisions import revision_of
from wheelover.usecases.standing_words import standing_lines


def export_draft(
    format_name: str,
    view: DraftView,
    gathered: Gathered,
    result: dict[str, Any],
    version: str = EXCHANGE_VERSION,
    printing: Printing | None = None,
) -> ExportFile:
    """Return a draft as a file, marked as a draft.

    Parameters
    ----------
    format_name : str
        One of the formats of export.
    view : DraftView
        The draft.
    gathered : Gathered
        Its inputs with what they point at.
    result : dict
        The plan computed from them.
    version : {"1.0", "1.1", "1.2"}
        Of the route exchange format, where that is written.
    printing : Printing or None
        When it is printed, with her runs through the turns, where paper is written.

    Raises
    ------
    NotFound
        For a format that is not written.
    Conflict
        For a route that cannot stand in that format.
    """
    stamp = Stamp(
        plan_id=view.row.id, created_utc=view.row.changed_utc, demonstration=view.row.demonstration
    )
    inputs = gathered.with_ship
    parts = parts_for(format_name, inputs)
    return export_file(
        format_name, inputs, result, stamp, version=version, parts=parts, printing=printing
    )


def export_revision(
    store: Store,
    format_name: str,
    plan_id: str,
    number: int,
    version: str = EXCHANGE_VERSION,
    printing: Callable[[dict[str, Any], dict[str, Any]], Printing] | None = None,
) -> ExportFile:
    """Return a revision as a file: the result that was frozen, nothing computed again.

    The file says where the revision stands now, who approved it and what was said of it, and where
    the vessel's audit log ends.

    Parameters
    ----------
    store : Store
        Where the revision is kept.
    format_name : str
        One of the formats of export.
    plan_id, number : str, int
        The revision.
    version : {"1.0", "1.1", "1.2"}
        Of the route exchange format, where that is written.
    printing : callable or None
        From the frozen inputs, ship resolved, and result to what paper is printed with.

    Raises
    ------
    NotFound
        For a plan, a revision or a format that there is not.
    Conflict
        For a route that cannot stand in that format.
    """
    revision = revision_of(store, plan_id, number)
    document = revision.document
    inputs = dict(document["inputs"])
    ship = document["loaded"].get("ship")
    if ship is not None:
        inputs["ship"] = ship["ship"]
    with store.reading() as unit:
        view = view_in(unit, plan_id, number)
        head = unit.audit.head(view.plan.vessel_id)
    stamp = Stamp(
        plan_id=plan_id,
        revision=number,
        sha256=revision.row.sha256,
        created_utc=revision.row.created_utc,
        demonstration=bool(inputs.get("demonstration", False)),
        standing=standing_lines(view, head),
    )
    result = document["result"]
    return export_file(
        format_name,
        inputs,
        result,
        stamp,
        version=version,
        parts=parts_for(format_name, inputs),
        printing=None if printing is None else printing(inputs, result),
    )
