"""Importing chart cells: files to stored editions, in one transaction, with a report."""

import hashlib
import re
import zlib
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import orjson

from wheelover.charts.importing import File, Packed, ReadCell, Steering, read_apart
from wheelover.charts.messages import Limits
from wheelover.core.errors import Damaged, UnreadableFile
from wheelover.core.types.cells import Cell
from wheelover.formats.cell_document import cell_of
from wheelover.formats.strict_json import read_json
from wheelover.store import Store, Unit
from wheelover.store.charts import ChartContents, ChartEdition
from wheelover.usecases.lapses import lapse_by_charts
from wheelover.usecases.people import LOCAL_ACTOR, Actor
from wheelover.usecases.stored_cells import STORED_CELLS

Document = dict[str, Any]

_NAME = re.compile(r"[A-Z0-9_-]{1,20}", re.ASCII)
_LEFT_AS_IT_WAS = ("unchanged", "older")
_MOST_UNPACKED = 512 * 1024 * 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """How an import is watched: told how far it is, and asked whether to stop."""

    told: Callable[[str, int], None]
    stopped: Callable[[], bool]


NOBODY_WATCHES = Watch(told=lambda _stage, _percent: None, stopped=lambda: False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What became of an import: JSON values for each cell, failure and file."""

    cells: tuple[Document, ...]
    failures: tuple[Document, ...]
    files: tuple[Document, ...]
    held: tuple[str, ...]

    @property
    def document(self) -> Document:
        """Return it as JSON values."""
        return {
            "cells": list(self.cells),
            "failures": list(self.failures),
            "files": list(self.files),
            "held_by": list(self.held),
        }


def import_charts(
    store: Store,
    files: Sequence[File],
    limits: Limits,
    now_utc: Callable[[], str],
    actor: Actor = LOCAL_ACTOR,
    watch: Watch = NOBODY_WATCHES,
) -> Imported:
    """Read chart cells and keep those that can be read, all in one transaction.

    Files that are stored of the same cells are read with those given: an update alone is enough
    where its base cell came before. The same again makes no new edition, and a cell that is older
    than the one stored changes nothing; the report says so.

    Parameters
    ----------
    store : Store
        Where they are kept.
    files : sequence of File
        Cells, updates and zips, in any order.
    limits : Limits
        What reading them may use.
    now_utc : callable
        The time, RFC 3339.
    actor : Actor
        Who imports them, and for which vessel.
    watch : Watch
        Who is told and may stop it.

    Raises
    ------
    UnreadableFile
        When the process that reads them ended without an answer.
    Stopped
        When it was stopped; nothing was kept.
    """

    def stored(names: Sequence[str]) -> list[File]:
        return [one for name in names for one in _stored_files(store, name, actor.owner)]

    steering = Steering(told=watch.told, stopped=watch.stopped, stored=stored)
    reading = read_apart(files, limits, steering)
    looked_at = [_looked_at(one) for one in reading.cells]
    watch.told("keeping", 100)
    with store.writing() as unit:
        kept = [_keep(unit, one, now_utc(), actor) for one in reading.cells]
        changed = {one.id: one for one, fate in kept if fate not in _LEFT_AS_IT_WAS}
        lapse_by_charts(unit, list(changed.values()), actor.person, now_utc())
    cells = []
    for read, (body, cell), (edition, fate) in zip(reading.cells, looked_at, kept, strict=True):
        if edition.sha256 == read.body.sha256:
            STORED_CELLS.taken(edition, body, cell)
        cells.append(_line(read, edition, fate))
    lines = [*reading.lines, *(one for read in reading.cells for one in read.said["lines"])]
    return Imported(
        cells=tuple(cells), failures=reading.failures, files=tuple(lines), held=reading.held
    )


def _stored_files(store: Store, name: str, owner: str | None) -> list[File]:
    """Return the files that the newest stored edition of a cell was made of."""
    with store.reading() as unit:
        edition = unit.charts.named(name, owner)
        if edition is None:
            return []
        listed = said_of(edition)["files"]
        return [File(name=one["name"], body=unit.blobs.get(one["sha256"])) for one in listed]


def said_of(edition: ChartEdition) -> Document:
    """Return what a list says of an edition."""
    said: Document = read_json(edition.said.encode())
    return said


def _looked_at(read: ReadCell) -> tuple[bytes, Cell]:
    """Return the bytes of a cell, held against their digest, and the cell in them.

    Raises
    ------
    Damaged
        When the process that read them wrote something else than it says.
    """
    if not _NAME.fullmatch(str(read.said["name"])):
        raise Damaged("the process that reads cells gave one without a name")
    body = _unpacked(read.body)
    for one in read.files:
        _unpacked(one)
    return body, cell_of(body)


def _unpacked(packed: Packed) -> bytes:
    """Return the bytes that were packed, held against their digest."""
    opened = zlib.decompressobj()
    body = opened.decompress(packed.packed, _MOST_UNPACKED)
    if hashlib.sha256(body).hexdigest() != packed.sha256 or len(body) != packed.size_count:
        raise Damaged("the process that reads cells wrote something else than it says")
    return body


def _keep(unit: Unit, read: ReadCell, now_utc: str, actor: Actor) -> tuple[ChartEdition, str]:
    """Keep a cell, unless it is stored so already or a newer one is; return what became of it."""
    said = read.said
    about = said["about"]
    known = unit.charts.named(said["name"], actor.owner)
    if known is not None and known.sha256 == said["sha256"]:
        if known.withdrawn_utc is None:
            return known, "unchanged"
        back = unit.charts.withdraw(known.id, None)
        _note(unit, "chart_cell.restored", back, actor, now_utc)
        return back, "back in use"
    numbers = (int(about["edition"]), int(about["update"]))
    if known is not None and (known.producer_edition, known.producer_update) > numbers:
        return known, "older"
    for one in (read.body, *read.files):
        unit.blobs.put_packed(one.sha256, one.size_count, one.packed)
    edition = unit.charts.keep(_contents(read), now_utc, actor.owner)
    _note(
        unit, "chart_cell.kept" if known is None else "chart_cell.renewed", edition, actor, now_utc
    )
    return edition, "new" if known is None else "renewed"


def _contents(read: ReadCell) -> ChartContents:
    """Return a cell as the store takes it."""
    said = read.said
    west, south, east, north = (float(one) for one in said["box_deg"])
    members = ("about", "outline", "outline_simplified", "counts", "files", "lines", "remarks")
    return ChartContents(
        name=said["name"],
        producer_edition=int(said["about"]["edition"]),
        producer_update=int(said["about"]["update"]),
        sha256=said["sha256"],
        object_count=int(said["count"]),
        box_deg=(west, south, east, north),
        said=orjson.dumps({name: said[name] for name in members}).decode(),
    )


def _note(unit: Unit, what: str, edition: ChartEdition, actor: Actor, now_utc: str) -> None:
    """Write what was done with a cell into the audit log."""
    entry = {
        "what": what,
        "item_id": edition.id,
        "edition": edition.edition,
        "name": edition.name,
        "producer_edition": edition.producer_edition,
        "producer_update": edition.producer_update,
        "sha256": edition.sha256,
        "by": asdict(actor.person),
    }
    unit.audit.add(actor.vessel_id, entry, now_utc)


def withdraw_chart(
    store: Store, cell_id: str, now_utc: str, actor: Actor = LOCAL_ACTOR
) -> ChartEdition:
    """Take a cell out of use: new plans with all charts leave it out, its editions stay.

    Approvals of plans that use it lapse. One that is out of use already stays as it is.

    Raises
    ------
    NotFound
        For a cell that is not stored.
    """
    with store.writing() as unit:
        edition = unit.charts.get(cell_id)
        if edition.withdrawn_utc is not None:
            return edition
        edition = unit.charts.withdraw(cell_id, now_utc)
        _note(unit, "chart_cell.withdrawn", edition, actor, now_utc)
        lapse_by_charts(unit, [edition], actor.person, now_utc)
    return edition


def _line(read: ReadCell, edition: ChartEdition, fate: str) -> Document:
    """Return what a report says of a cell."""
    about = read.said["about"]
    return {
        "id": edition.id,
        "edition": edition.edition,
        "name": edition.name,
        "producer_edition": edition.producer_edition,
        "producer_update": edition.producer_update,
        "fate": fate,
        "updates_missing": list(about.get("updates_missing", ())),
        "superseded": about.get("superseded"),
        "remarks": list(read.said["remarks"]),
    }


def refused(imported: Imported) -> UnreadableFile | None:
    """Return the error of an import of which nothing could be read, None where something was."""
    if imported.cells:
        return None
    words = [one["words"] for one in imported.failures]
    words += [f"{one['name']}: {one['words']}" for one in imported.files]
    return UnreadableFile("; ".join(dict.fromkeys(words))[:1000] or "no file of a cell was given")
