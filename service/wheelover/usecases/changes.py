"""What has changed since a revision was frozen, as far as an approval of it hangs on that."""

from collections.abc import Callable
from typing import Any

from wheelover.core.types.cells import Cell
from wheelover.core.types.record import Event
from wheelover.formats.strict_json import read_json
from wheelover.store import Unit
from wheelover.store.charts import ChartEdition
from wheelover.store.library import Edition, Kind
from wheelover.usecases.canonical import canonical, sha256_of
from wheelover.usecases.change import Change, base_of
from wheelover.usecases.chart_changes import (
    chart_change,
    left_out_change,
    new_chart_change,
    withdrawn_change,
)
from wheelover.usecases.engine import engine_id
from wheelover.usecases.reach import known_as, met_dangers, reach_of
from wheelover.usecases.step_names import limit_set_words, ship_words, step_name
from wheelover.usecases.stored_cells import STORED_CELLS

Document = dict[str, Any]

_MOST_NAMED = 5
_SINGLE: tuple[Kind, ...] = ("ship", "limit_set")


def inputs_id(inputs_sha256: str) -> str:
    """Return the id of the change that inputs of a digest are."""
    return f"changed/inputs@{inputs_sha256[:16]}"


def inputs_change(before: Document, after: Document) -> Change | None:
    """Return how the inputs of a draft differ from those of a revision, None if they do not."""
    if canonical(before) == canonical(after):
        return None
    words = step_name(before, after)
    return Change(id=inputs_id(sha256_of(after)), cause="inputs", words=words)


def ship_change(used: Edition, now: Edition, before: bytes, after: bytes) -> Change | None:
    """Return what a new edition of the stored ship changes."""
    if before == after:
        return None
    words = ship_words(read_json(before), read_json(after))
    return Change(
        id=f"changed/ship/{used.id}@{now.edition}",
        cause="ship",
        words=f"{now.name}: edition {used.edition} to {now.edition}. {words}",
    )


def hazards_change(
    used: Edition, now: Edition, before: bytes, after: bytes, document: Document
) -> Change:
    """Return what a new edition of a hazard set changes near the track of a revision."""
    changed = _changed_features(before, after)
    near = met_dangers(reach_of(document), changed)
    edition = f"{now.name}: edition {used.edition} to {now.edition}"
    if not near:
        words = f"{edition}. {len(changed)} dangers differ, none where this track looks for dangers"
    else:
        words = f"{edition}. {len(near)} dangers differ near the track: {_named(near)}"
    return Change(
        id=f"changed/hazard_set/{used.id}@{now.edition}",
        cause="hazard_set",
        words=words,
        counts=bool(near),
    )


def limits_change(used: Edition, now: Edition, before: bytes, after: bytes) -> Change | None:
    """Return what a new edition of a limit set changes; another source of the same rules does not.

    Parameters
    ----------
    used, now : Edition
        The edition in use, and the new one.
    before, after : bytes
        What is in them.
    """
    old, new = read_json(before), read_json(after)
    words = limit_set_words(old, new)
    if not words:
        return None
    return Change(
        id=f"changed/limit_set/{used.id}@{now.edition}",
        cause="limit_set",
        words=f"{now.name}: edition {used.edition} to {now.edition}. {words}",
    )


def edition_change(
    kind: Kind,
    used: Edition,
    now: Edition,
    bodies: tuple[bytes, bytes],
    document: Callable[[], Document],
) -> Change | None:
    """Return what a new edition of a stored thing changes for a revision that uses another.

    Parameters
    ----------
    kind : {"ship", "hazard_set", "limit_set"}
        What it is an edition of.
    used, now : Edition
        The edition in use, and the new one.
    bodies : tuple of bytes
        What is in them.
    document : callable
        Gives the frozen revision, which only dangers need to be looked for in.
    """
    if kind == "ship":
        return ship_change(used, now, *bodies)
    if kind == "limit_set":
        return limits_change(used, now, *bodies)
    return hazards_change(used, now, *bodies, document())


def _changed_features(before: bytes, after: bytes) -> list[tuple[str, Document]]:
    """Return the features that are in one edition only, each with the id that a plan knows it by.

    A changed one comes as it was and as it is, and so does one that is known by another id now.
    """
    old, new = (
        {(name, canonical(one)): one for name, one in known_as(read_json(body)["features"])}
        for body in (before, after)
    )
    gone = [(key[0], one) for key, one in old.items() if key not in new]
    return gone + [(key[0], one) for key, one in new.items() if key not in old]


def _named(features: list[Document]) -> str:
    """Return some dangers by name or id, each once."""
    names: list[str] = []
    for one in features:
        properties = one.get("properties") or {}
        name = properties.get("name") or properties.get("id") or one.get("id") or "without a name"
        if str(name) not in names:
            names.append(str(name))
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def engine_change(document: Document, events: tuple[Event, ...]) -> Change | None:
    """Return that another engine is at work than made a revision, unless it was run with this one.

    Parameters
    ----------
    document : dict
        The frozen revision.
    events : tuple of Event
        Those of its plan: one may say already what this engine makes of the revision.
    """
    made_by = engine_id(document["engine_version"], document["made_with"])
    present = engine_id()
    known = any(
        one.revision == document["number"]
        and one.kind in ("noted", "lapsed")
        and one.body.get("engine") == present
        for one in events
    )
    if made_by == present or known:
        return None
    return Change(
        id=f"changed/engine@{present}",
        cause="engine",
        words=f"made by engine {made_by}, not yet computed again by {present}",
    )


def changes_since(
    unit: Unit, inputs: Document, document: Document, events: tuple[Event, ...]
) -> tuple[Change, ...]:
    """Return everything that changed since a revision was frozen.

    Parameters
    ----------
    unit : Unit
        The store at one moment.
    inputs : dict
        Of the draft, whole.
    document : dict
        The frozen revision.
    events : tuple of Event
        The record of the plan.
    """
    found = [inputs_change(document["inputs"], inputs), *_of_library(unit, document)]
    found += _of_charts(unit, document, events)
    found.append(engine_change(document, events))
    return tuple(one for one in found if one is not None)


def _of_library(unit: Unit, document: Document) -> list[Change | None]:
    """Return what newer editions of ship, limit set and hazard sets change."""
    loaded = document["loaded"]
    pinned: list[tuple[Kind, Document]] = [
        (kind, loaded[kind]) for kind in _SINGLE if loaded.get(kind)
    ]
    pinned += [("hazard_set", one) for one in loaded.get("hazard_sets", ())]
    found: list[Change | None] = []
    for kind, one in pinned:
        used = unit.library.get(kind, one["id"], one["edition"])
        if used.edition != used.newest:
            now = unit.library.get(kind, used.id)
            bodies = unit.library.body(used), unit.library.body(now)
            found.append(edition_change(kind, used, now, bodies, lambda: document))
    return found


def chart_changes(
    unit: Unit, document: Document, now: ChartEdition, events: tuple[Event, ...]
) -> Change | None:
    """Return what the newest edition of a cell changes for a revision, used by it or not.

    Parameters
    ----------
    unit : Unit
        In which it is kept.
    document : dict
        The frozen revision.
    now : ChartEdition
        The newest edition of a cell: one that is used, one that is new, or one that the plan, which
        names its cells or uses none, leaves out.
    events : tuple of Event
        The record of the plan: approvals may have answered for a cell that is left out.
    """
    used = next((one for one in document["loaded"].get("charts", ()) if one["id"] == now.id), None)
    if used is None and not document["inputs"].get("all_charts"):
        return _left_out(unit, document, now, events)
    if used is None:
        return new_chart_change(now, _cell(unit, now), document)
    if now.withdrawn_utc is not None:
        return withdrawn_change(now)
    if used["edition"] == now.edition:
        return None
    before = unit.charts.get(now.id, used["edition"])
    return chart_change(before, now, _cell(unit, before), _cell(unit, now), document)


def _left_out(
    unit: Unit, document: Document, now: ChartEdition, events: tuple[Event, ...]
) -> Change | None:
    """Return what a cell changes that a plan, which names its cells or uses none, does not name.

    All that is in it, until an approval of the revision gave its reason for it; then what differs
    since.
    """
    change = left_out_change(now, _cell(unit, now), document)
    answered = _answered_editions(change.base, document["number"], events)
    if not answered:
        return change
    if now.edition in answered:
        return None
    before = unit.charts.get(now.id, max(answered))
    return chart_change(before, now, _cell(unit, before), _cell(unit, now), document, left_out=True)


def _answered_editions(base: str, number: int, events: tuple[Event, ...]) -> list[int]:
    """Return the editions of what a change is about that approvals of a revision answered for."""
    items = [
        item["id"]
        for one in events
        if one.kind == "approved" and one.revision == number
        for reason in one.body["reasons"]
        for item in reason["items"]
    ]
    ends = [item.rpartition("@")[2] for item in items if base_of(item) == base]
    return [int(one) for one in ends if one.isdigit()]


def _cell(unit: Unit, edition: ChartEdition) -> Cell:
    """Return the cell of an edition."""
    return STORED_CELLS.of(edition, lambda: unit.charts.body(edition))


def _of_charts(unit: Unit, document: Document, events: tuple[Event, ...]) -> list[Change | None]:
    """Return what newer editions of charts change, cells that are not used, and what is not here.

    Of a plan that is at home elsewhere the cells are kept there: what is not here is said.
    """
    used = document["loaded"].get("charts", ())
    row = unit.plans.get(document["plan_id"])
    here = [one["id"] for one in used if unit.charts.known(one["id"])]
    found: list[Change | None] = [
        _not_here(unit, one, row.vessel_id) for one in used if one["id"] not in here
    ]
    newest = [unit.charts.get(one) for one in here]
    if unit.homes.of_plan(row.id) is None and unit.charts.any_in_use(frozenset({row.vessel_id})):
        there = touched_now(unit, document, row.vessel_id)
        newest += [one for one in there if one.id not in here and _counts_for(document, one)]
    return found + [chart_changes(unit, document, one, events) for one in newest]


def _counts_for(document: Document, cell: ChartEdition) -> bool:
    """Return whether a cell that a revision does not use counts for it.

    One that uses no charts says already that none were looked at: what came since counts.
    """
    inputs = document["inputs"]
    uses_charts = bool(inputs.get("all_charts") or inputs.get("chart_ids"))
    return uses_charts or cell.created_utc >= str(document["created_utc"])


def _not_here(unit: Unit, used: Document, vessel_id: str) -> Change | None:
    """Return that a cell of a revision from elsewhere is not kept here, None if the same is."""
    for owner in (vessel_id, None):
        same = unit.charts.named(used["name"], owner)
        if same is not None and same.sha256 == used["sha256"]:
            return None
    number = f"{used['producer_edition']}.{used['producer_update']}"
    words = f"cell {used['name']} {number} is not kept here (sha256 {used['sha256'][:16]})"
    return Change(
        id=f"changed/chart_cell/{used['id']}@not-here",
        cause="chart_cell",
        words=words,
        counts=False,
    )


def touched_now(unit: Unit, document: Document, vessel_id: str) -> list[ChartEdition]:
    """Return the cells in use that come within reach of a revision."""
    reach = reach_of(document)
    cells = unit.charts.in_use(*reach.heights(), frozenset({vessel_id}))
    return reach.touched_of(cells)
