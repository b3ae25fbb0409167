"""Reading all cells of an import inside the process that is shut in."""

import hashlib
import sys
import zlib
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path

import orjson

from wheelover.charts.catalogue import held_against
from wheelover.charts.coverage import coverage_of
from wheelover.charts.given_files import unpacked
from wheelover.charts.messages import GIVEN, RESULT, Document
from wheelover.charts.s57 import CellReading, FileLine, GivenFile, NamedFile, named_file, read_cell
from wheelover.core.errors import UnreadableFile
from wheelover.formats.cell_document import cell_bytes
from wheelover.formats.strict_json import read_json

NO_MEMORY = 3


def say(**message: object) -> None:
    """Say something to whoever started this process."""
    sys.stdout.buffer.write(orjson.dumps(message, option=orjson.OPT_APPEND_NEWLINE))
    sys.stdout.buffer.flush()


def read_all(folder: Path, held: tuple[str, ...]) -> int:
    """Read the files of a folder and write what was made of them into it; return an exit code."""
    try:
        _read_all(folder, held)
    except MemoryError:
        say(failure="the files need more memory than an import may have")
        return NO_MEMORY
    return 0


def _read_all(folder: Path, held: tuple[str, ...]) -> None:
    """Read everything."""
    say(stage="unpacking", percent=0, held=held)
    found = unpacked(_listed(folder, GIVEN))
    whole, of_catalogues = held_against(found.files, found.catalogues)
    lines = [*found.lines, *of_catalogues]
    given: dict[str, list[NamedFile]] = defaultdict(list)
    for file in _each_once(whole):
        try:
            named = named_file(file)
        except UnreadableFile as error:
            lines.append(_refused(file, str(error)))
        else:
            given[named.cell_name].append(named)
    say(stored=sorted(given))
    answer = sys.stdin.buffer.readline().strip().decode("ascii")
    stored = [named_file(file) for file in _listed(folder, answer)] if answer else []
    cells, failures = [], []
    for number, (name, files) in enumerate(sorted(given.items())):
        _tell(name, number, len(given), "reading", 0)
        ours = [one for one in stored if one.cell_name == name]
        try:
            reading = read_cell(
                _with_stored(files, ours),
                lambda what, percent, n=number, of=name: _tell(of, n, len(given), what, percent),  # type: ignore[misc]
            )
            cells.append(_kept(folder, number, reading))
        except UnreadableFile as error:
            failures.append({"cell": name, "words": str(error)})
            known = {one.sha256 for one in lines}
            lines += [
                one.line("refused", str(error)) for one in files if one.file.sha256 not in known
            ]
    result = {"cells": cells, "failures": failures, "lines": [asdict(one) for one in lines]}
    (folder / RESULT).write_bytes(orjson.dumps(result))
    say(stage="read", percent=100)


def _tell(name: str, number: int, count: int, what: str, percent: int) -> None:
    """Say how far the reading is."""
    say(stage=f"{what} {name}", percent=(100 * number + percent) // count)


def _each_once(files: Iterable[GivenFile]) -> list[GivenFile]:
    """Return files without those that came a second time."""
    return list({one.sha256: one for one in files}.values())


def _with_stored(files: list[NamedFile], stored: list[NamedFile]) -> list[NamedFile]:
    """Return the files given with those stored that are not among them."""
    known = {one.file.sha256 for one in files}
    return files + [one for one in stored if one.file.sha256 not in known]


def _refused(file: GivenFile, words: str) -> FileLine:
    """Return that a file is not a cell that can be read."""
    return FileLine(name=file.name, sha256=file.sha256, fate="refused", words=words)


def _listed(folder: Path, name: str) -> list[GivenFile]:
    """Return the files that a list in the folder names."""
    listed = read_json((folder / name).read_bytes())
    return [GivenFile(name=one["name"], body=(folder / one["file"]).read_bytes()) for one in listed]


def _kept(folder: Path, number: int, reading: CellReading) -> Document:
    """Write a cell into the folder and return what is said of it."""
    cell = reading.cell
    body = cell_bytes(cell)
    (folder / f"cell-{number}").write_bytes(zlib.compress(body, 1))
    files = []
    for index, file in enumerate(reading.used):
        (folder / f"used-{number}-{index}").write_bytes(zlib.compress(file.body, 1))
        files.append({"name": file.name[-200:], "sha256": file.sha256, "size": len(file.body)})
    coverage = coverage_of(cell)
    about = {name: value for name, value in asdict(cell.about).items() if value is not None}
    return {
        "number": number,
        "name": cell.about.name,
        "sha256": hashlib.sha256(body).hexdigest(),
        "size": len(body),
        "about": about,
        "count": cell.count,
        "counts": reading.counts,
        "outline": coverage.outline,
        "outline_simplified": coverage.simplified,
        "box_deg": coverage.box_deg,
        "lines": [asdict(one) for one in reading.lines],
        "remarks": reading.remarks,
        "files": files,
    }
