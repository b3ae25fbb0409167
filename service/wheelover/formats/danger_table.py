"""Dangers in comma, semicolon or tab separated text, with a header line: one point in each row."""

import re
from dataclasses import dataclass
from typing import Any

from wheelover.core.errors import Fault, UnreadableFile
from wheelover.formats.csv_table import LATITUDES, LONGITUDES, SEPARATORS, Table, read_table
from wheelover.formats.positions import NotUnderstood, coordinate_deg, has_letter, shown

Document = dict[str, Any]

NUMBERS: dict[str, tuple[float, float]] = {
    "depth_m": (-1000.0, 12_000.0),
    "position_uncertainty_m": (0.0, 200_000.0),
    "min_clearance_m": (0.0, 200_000.0),
}
"""Columns of numbers that are read, with their ranges."""

TEXTS = ("id", "name", "kind")
MOST_TEXT = 200
_NUMBER = re.compile(r"-?\d{1,9}(\.\d{1,17})?", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class DangerRow:
    """One row beside the danger it gave, a GeoJSON feature, or the reason why it gave none."""

    line: int
    raw: str
    understood: str | None
    problem: str | None
    feature: Document | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DangerReading:
    """A file of dangers as it was read. ``notes`` are said once for the whole file."""

    rows: tuple[DangerRow, ...]
    read_as: str
    notes: tuple[str, ...]


def read_dangers(body: bytes) -> DangerReading:
    """Return the dangers of a table of points.

    Parameters
    ----------
    body : bytes
        UTF-8 text with a header line. Columns latitude and longitude (or lat and lon) are needed;
        id, name, kind, depth_m, position_uncertainty_m and min_clearance_m are read where present.

    Raises
    ------
    UnknownFormat
        When the text is no table at all.
    UnreadableFile
        When the header lacks a position, or no row was understood.
    """
    table = read_table(body)
    signed = not any(
        has_letter(table.cell(cells, *names))
        for _, _, cells in table.rows
        for names in (LATITUDES, LONGITUDES)
    )
    rows: list[DangerRow] = []
    taken: dict[str, int] = {}
    for number, (line, raw, cells) in enumerate(table.rows, start=1):
        try:
            if table.cut_short and number == len(table.rows):
                raise NotUnderstood("the file ends inside this row")
            feature = _feature(table, cells, f"line {line}", signed)
            name = feature["properties"]["id"]
            if name in taken:
                raise NotUnderstood(f"id {name!r} is already that of line {taken[name]}")
        except NotUnderstood as reason:
            rows.append(
                DangerRow(line=line, raw=raw, understood=None, problem=str(reason), feature=None)
            )
            continue
        taken[name] = line
        lon_deg, lat_deg = feature["geometry"]["coordinates"]
        rows.append(
            DangerRow(
                line=line,
                raw=raw,
                understood=shown(lat_deg, lon_deg),
                problem=None,
                feature=feature,
            )
        )
    _refuse_nothing(rows)
    return DangerReading(
        rows=tuple(rows),
        read_as=f"{SEPARATORS[table.separator]} separated, UTF-8, columns from the header line",
        notes=_notes(table, signed),
    )


def _feature(table: Table, cells: tuple[str, ...], invented_id: str, signed: bool) -> Document:
    """Return the danger of one row."""
    if len(cells) > len(table.columns):
        raise NotUnderstood(f"{len(cells)} cells under {len(table.columns)} columns")
    lat_deg = coordinate_deg(table.cell(cells, *LATITUDES), "latitude", plain_is_signed=signed)
    lon_deg = coordinate_deg(table.cell(cells, *LONGITUDES), "longitude", plain_is_signed=signed)
    properties: Document = {"id": table.cell(cells, "id") or invented_id}
    for column in TEXTS:
        text = table.cell(cells, column)
        if len(text) > MOST_TEXT:
            raise NotUnderstood(f"{column} is longer than {MOST_TEXT} characters")
        if text:
            properties[column] = text
    for column in NUMBERS:
        number = _number(table, cells, column)
        if number is not None:
            properties[column] = number
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [lon_deg, lat_deg]},
        "properties": properties,
    }


def _number(table: Table, cells: tuple[str, ...], column: str) -> float | None:
    """Return a number of a row, None when its cell is empty."""
    text = table.cell(cells, column)
    if not text:
        return None
    if not _NUMBER.fullmatch(text):
        raise NotUnderstood(f"{column} {text[:40]!r} is not a plain number with a decimal point")
    least, most = NUMBERS[column]
    if not least <= float(text) <= most:
        raise NotUnderstood(f"{column} {text} must lie in {least:g} to {most:g}")
    return float(text)


def _refuse_nothing(rows: list[DangerRow]) -> None:
    """Refuse a file in which no row was understood."""
    if any(row.feature is not None for row in rows):
        return
    faults = tuple(Fault(line=row.line, message=row.problem or "") for row in rows[:100])
    raise UnreadableFile("No row of the file was understood.", faults)


def _notes(table: Table, signed: bool) -> tuple[str, ...]:
    """Return what is said once for the whole file."""
    known = {*LATITUDES, *LONGITUDES, *TEXTS, *NUMBERS}
    unused = [column for column in table.columns if column and column not in known]
    notes = []
    if signed:
        notes.append("plain decimal degrees are signed, N and E positive, as the header names them")
    if unused:
        notes.append(f"columns not used: {', '.join(unused)}")
    missing = [column for column in ("kind", "depth_m") if column not in table.columns]
    if missing:
        notes.append(f"not in the file: {', '.join(missing)}; left empty, not invented")
    return tuple(notes)
