"""A chart cell (S-57) and its updates to a ``Cell`` and a report of what became of each file.

The records are read here in Python and not by GDAL, whose reader opens a cell anew for each of some
sixty classes (2 s for one of 3 MB), leaves out what it cannot follow without a word, and is native
code in front of files from anywhere. It is what the tests hold this reader against.
"""

import hashlib
import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from wheelover.charts.s57_attributes import attributes_of
from wheelover.charts.s57_numbers import classes
from wheelover.charts.s57_records import (
    BASE,
    REVISION,
    DataSet,
    Feature,
    Ident,
    Parameters,
    read_base,
    read_ident,
)
from wheelover.charts.s57_shapes import shapes_of
from wheelover.charts.s57_tables import KEPT
from wheelover.charts.s57_updates import updated
from wheelover.core.depth.levels import LEVELS
from wheelover.core.errors import Fault, UnreadableFile
from wheelover.core.types.cells import Cell, CellAbout

_NAME = re.compile(r"[A-Z0-9_-]{1,20}", re.ASCII)
_WGS84, _METRES = 2, 1

Told = Callable[[str, int], None]
"""Told what is being done and how much of it is done, per cent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenFile:
    """A file as it was given; its name is only a name."""

    name: str
    body: bytes

    @property
    def sha256(self) -> str:
        """Return its digest."""
        return hashlib.sha256(self.body).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class FileLine:
    """What became of one file: ``fate`` in a word, ``words`` in a sentence."""

    name: str
    sha256: str
    fate: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CellReading:
    """A cell as it was read. ``counts`` are all objects of the file by class, kept or not.

    ``used`` are the files it was made of, and those that wait for an update or end its use.
    """

    cell: Cell
    counts: dict[str, int]
    lines: tuple[FileLine, ...]
    remarks: tuple[str, ...]
    used: tuple[GivenFile, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedFile:
    """A file of which it is known which cell it belongs to."""

    file: GivenFile
    ident: Ident
    cell_name: str

    def line(self, fate: str, words: str) -> FileLine:
        """Return what became of it."""
        return FileLine(name=self.file.name, sha256=self.file.sha256, fate=fate, words=words)


def named_file(file: GivenFile) -> NamedFile:
    """Return a file with what it says of itself.

    Raises
    ------
    UnreadableFile
        For one that is no chart cell and no update of one.
    """
    ident = read_ident(file.body)
    if ident.purpose not in (BASE, REVISION):
        raise UnreadableFile(f"it is neither a base cell nor an update ({ident.purpose})")
    for text in (ident.name, file.name.replace("\\", "/").rpartition("/")[2]):
        stem = text.partition(".")[0].strip().upper()
        if _NAME.fullmatch(stem):
            return NamedFile(file=file, ident=ident, cell_name=stem)
    raise UnreadableFile(f"it does not say which cell it belongs to ({ident.name[:40]!r})")


def read_cell(files: Sequence[NamedFile], told: Told = lambda _what, _percent: None) -> CellReading:
    """Return the cell that a base cell and its updates make.

    Parameters
    ----------
    files : sequence of NamedFile
        All of one cell, in any order.
    told : callable
        Told how far it is.

    Raises
    ------
    UnreadableFile
        When there is no base cell among them, or the newest one cannot be read.
    """
    told("reading", 10)
    base, data, lines = _newest_base(files)
    lines += _not_this_edition(files, base)
    rest = [
        one
        for one in files
        if one.ident.purpose == REVISION and one.ident.edition == base.ident.edition
    ]
    told("applying updates", 40)
    applied = _applied(data, base, rest)
    told("drawing", 60)
    cell, counts, remarks = _cell(applied.data, base, applied.update, applied.missing)
    outdating = _outdating(files, base)
    damaged = {line.sha256 for line in applied.lines if line.fate == "damaged"}
    kept = [one.file for one in (*rest, *outdating) if one.file.sha256 not in damaged]
    return CellReading(
        cell=replace(cell, about=replace(cell.about, superseded=_superseded(outdating))),
        counts=counts,
        lines=(*lines, *applied.lines),
        remarks=(*applied.remarks, *remarks),
        used=(base.file, *kept),
    )


def _newest_base(
    files: Sequence[NamedFile],
) -> tuple[NamedFile, DataSet, list[FileLine]]:
    """Return the base cell of the highest edition, what is in it, and what is said of it.

    One issued again counts by its update. Where a damaged copy came beside a sound one, the sound
    one counts; where all are damaged, no older one stands in for them.
    """
    bases = [one for one in files if one.ident.purpose == BASE]
    if not bases:
        names = ", ".join(one.file.name for one in files[:5])
        raise UnreadableFile(f"{names}: updates without their base cell (.000), and none is stored")
    newest = max(_numbers(one) for one in bases)
    lines: list[FileLine] = []
    first: UnreadableFile | None = None
    for one in sorted(bases, key=lambda one: one.file.sha256):
        if _numbers(one) != newest:
            continue
        try:
            data = read_base(one.file.body)
            _require_units(data.parameters)
        except UnreadableFile as error:
            fault = Fault(message=str(error), pointer=one.file.name)
            first = first or UnreadableFile(f"{one.file.name}: {error}", (fault,))
            lines.append(one.line("damaged", str(error)))
        else:
            edition = one.ident.edition
            return one, data, [*lines, one.line("read", f"base cell, edition {edition}")]
    raise first or UnreadableFile("no base cell")


def _numbers(one: NamedFile) -> tuple[int, int]:
    """Return edition and update of a base cell."""
    return one.ident.edition, one.ident.update


def _outdating(files: Sequence[NamedFile], base: NamedFile) -> list[NamedFile]:
    """Return the updates that cancel a cell or belong to a newer edition."""
    now = range(1, base.ident.edition + 1)
    return [one for one in files if one.ident.purpose == REVISION and one.ident.edition not in now]


def _superseded(outdating: Sequence[NamedFile]) -> str | None:
    """Return in words what puts a cell out of use, None for nothing."""
    editions = {one.ident.edition for one in outdating}
    if 0 in editions:
        return "its producer has cancelled the cell"
    return f"there is edition {max(editions)} of it" if editions else None


def _not_this_edition(files: Sequence[NamedFile], base: NamedFile) -> list[FileLine]:
    """Return what is said of files that belong to another edition."""
    lines = []
    for one in files:
        edition = one.ident.edition
        if one.ident.purpose == BASE and _numbers(one) == _numbers(base):
            continue
        if one.ident.purpose == BASE:
            words = f"edition {edition}, update {one.ident.update}: there is a newer base cell"
            lines.append(one.line("older", words))
        elif edition == 0:
            words = "its producer has cancelled the cell: take it out of use"
            lines.append(one.line("cancelled", words))
        elif edition != base.ident.edition:
            fate = "newer" if edition > base.ident.edition else "older"
            words = (
                f"update {one.ident.update} of edition {edition} does not belong to edition "
                f"{base.ident.edition} and was left out"
            )
            lines.append(one.line(fate, words))
    return lines


@dataclass(frozen=True, slots=True, kw_only=True)
class _Applied:
    """A cell with the updates that could be applied."""

    data: DataSet
    update: int
    missing: tuple[int, ...]
    lines: list[FileLine]
    remarks: list[str]


def _applied(data: DataSet, base: NamedFile, updates: Sequence[NamedFile]) -> _Applied:
    """Return a cell with its updates applied up to the first that is missing or damaged."""
    at = base.ident.update
    lines: list[FileLine] = []
    remarks: list[str] = []
    highest = max((one.ident.update for one in updates), default=at)
    broken: set[int] = set()
    for one in sorted(updates, key=lambda one: (one.ident.update, one.file.sha256)):
        number = one.ident.update
        if number <= at:
            lines.append(one.line("in already", f"update {number} is in already"))
        elif number > at + 1:
            what = "damaged" if at + 1 in broken else "missing"
            words = f"update {number} waits for update {at + 1}, which is {what}"
            lines.append(one.line("waits", words))
        else:
            try:
                data, out_of_step = updated(data, one.file.body, one.ident)
            except UnreadableFile as error:
                broken.add(number)
                lines.append(one.line("damaged", f"update {number} was left out: {error}"))
                continue
            at = number
            lines.append(one.line("applied", f"update {number}"))
            if out_of_step:
                remarks.append(
                    f"{one.file.name}: the versions of {out_of_step} records do not follow"
                )
    missing = tuple(range(at + 1, min(highest, at + 1000) + 1))
    return _Applied(data=data, update=at, missing=missing, lines=lines, remarks=remarks)


def _require_units(parameters: Parameters) -> None:
    """Refuse a cell whose positions or depths are not counted as this reader takes them."""
    depth_unit, _, _, places_in = parameters.units
    if parameters.horizontal_datum != _WGS84:
        raise UnreadableFile(
            f"its positions are on horizontal datum {parameters.horizontal_datum}, not WGS 84 (2)"
        )
    if depth_unit != _METRES:
        raise UnreadableFile(f"its depths are in unit {depth_unit}, not in metres (1)")
    if parameters.units[1] != _METRES:
        raise UnreadableFile(f"its heights are in unit {parameters.units[1]}, not in metres (1)")
    if places_in != 1:
        raise UnreadableFile(f"its positions are in unit {places_in}, not in degrees (1)")


def _cell(
    data: DataSet, base: NamedFile, update: int, missing: tuple[int, ...]
) -> tuple[Cell, dict[str, int], list[str]]:
    """Return the cell of records, the count of all objects by class, and remarks."""
    names = classes()
    counts = Counter(
        names.get(one.class_code, str(one.class_code)) for one in data.features.values()
    )
    remarks = [
        f"{count} objects of class {name} are not in the object catalogue and were left out"
        for name, count in sorted(counts.items())
        if name.isdigit()
    ]
    rows = sorted(
        (names[one.class_code], one.object_id, number)
        for number, one in data.features.items()
        if names.get(one.class_code) in KEPT
    )
    kept = [data.features[number] for _, _, number in rows]
    ids, doubled = _ids(kept)
    if doubled:
        remarks.append(f"{doubled} objects have an identifier that another has too")
    shapes = shapes_of(data, kept, [f"{row[0]} {one}" for row, one in zip(rows, ids, strict=True)])
    read = [attributes_of(one, data) for one in kept]
    wrong = sum(count for _, count in read)
    if wrong:
        remarks.append(f"{wrong} values of attributes are no numbers and count as unknown")
    cell = Cell(
        about=_about(data, base, update, missing),
        classes=tuple(name for name, _, _ in rows),
        ids=ids,
        attributes=tuple(one for one, _ in read),
        geometries=shapes.geometries,
        soundings=shapes.soundings,
    )
    return cell, dict(sorted(counts.items())), remarks + shapes.remarks


def _ids(kept: Sequence[Feature]) -> tuple[tuple[str, ...], int]:
    """Return an identifier for each object, and how many had one that was taken."""
    seen: Counter[str] = Counter()
    found = []
    doubled = 0
    for one in kept:
        name = ".".join(str(part) for part in one.object_id)
        seen[name] += 1
        doubled += seen[name] > 1
        found.append(name if seen[name] == 1 else f"{name}~{seen[name]}")
    return tuple(found), doubled


def _about(data: DataSet, base: NamedFile, update: int, missing: tuple[int, ...]) -> CellAbout:
    """Return what a cell says of itself, after its updates."""
    parameters = data.parameters
    band = base.ident.band if 1 <= base.ident.band <= 6 else None
    return CellAbout(
        id=base.cell_name,
        name=base.cell_name,
        edition=base.ident.edition,
        update=update,
        issued=_date(data.ident.issued) or _date(base.ident.issued),
        scale=parameters.scale,
        band=band,
        depth_datum=LEVELS.get(parameters.depth_datum),
        height_datum=LEVELS.get(parameters.height_datum),
        updates_missing=missing,
    )


def _date(text: str) -> str | None:
    """Return a date of eight digits as RFC 3339 writes it."""
    dated = re.fullmatch(r"\d{8}", text, re.ASCII)
    return f"{text[:4]}-{text[4:6]}-{text[6:]}" if dated else None
