"""Charts and their imports as they are answered. Descriptions only."""

from typing import Any, Literal

from pydantic import BaseModel


class ChartLine(BaseModel):
    """One chart cell in a list: its newest edition kept here, and what it says of itself.

    ``edition`` counts what was kept here; ``producer_edition`` and ``producer_update`` are the
    producer's. ``superseded`` says what puts it out of date: a newer edition, or its cancellation.
    ``coverage`` is what it covers (M_COVR), null for a cell that covers nothing, and
    ``box_deg`` west, south, east and north of all that is in it.
    """

    id: str
    name: str
    edition: int
    producer_edition: int
    producer_update: int
    updates_missing: list[int]
    superseded: str | None
    issued: str | None
    scale: int
    band: int | None
    depth_datum: str | None
    height_datum: str | None
    object_count: int
    coverage: dict[str, Any] | None
    coverage_simplified: bool
    box_deg: list[float]
    created_utc: str
    withdrawn_utc: str | None
    sha256: str


class ChartList(BaseModel):
    """A page of charts; ``next_cursor`` is null on the last one."""

    items: list[ChartLine]
    next_cursor: str | None


class ChartFile(BaseModel):
    """A file that an edition was made of, or that waits for a missing update."""

    name: str
    sha256: str


class FileFate(ChartFile):
    """What became of a file: in a word and in a sentence."""

    fate: str
    words: str


class ChartRecord(ChartLine):
    """An edition of a cell. ``counts`` are all objects of the file by class."""

    newest_edition: int
    counts: dict[str, int]
    files: list[ChartFile]
    report: list[FileFate]
    remarks: list[str]


class ChartFeatures(BaseModel):
    """Objects of a cell as GeoJSON, and how many more there are."""

    type: Literal["FeatureCollection"]
    cell: dict[str, Any]
    features: list[dict[str, Any]]
    left_out_count: int


class ImportedCell(BaseModel):
    """A cell that an import read. ``fate`` says whether it is new, renewed, unchanged or older."""

    id: str
    edition: int
    name: str
    producer_edition: int
    producer_update: int
    fate: Literal["new", "renewed", "unchanged", "older", "back in use"]
    updates_missing: list[int]
    superseded: str | None
    remarks: list[str]


class FailedCell(BaseModel):
    """A cell that could not be read; what was stored of it stays as it was."""

    cell: str
    words: str


class ImportResult(BaseModel):
    """What an import made. ``held_by`` says in what the reading process was shut in."""

    cells: list[ImportedCell]
    failures: list[FailedCell]
    files: list[FileFate]
    held_by: list[str]


class ImportFault(BaseModel):
    """One thing wrong; ``line`` is the number of a record."""

    message: str
    line: int | None


class ImportRecord(BaseModel):
    """An import: how far it is and what came of it."""

    id: str
    state: Literal["waiting", "running", "done", "failed", "stopped"]
    stage: str
    percent: int
    files: list[str]
    begun_utc: str
    ended_utc: str | None
    message: str | None
    errors: list[ImportFault]
    result: ImportResult | None
