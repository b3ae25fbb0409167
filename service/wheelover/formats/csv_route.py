"""Routes in comma, semicolon or tab separated text, with a header line."""

import csv
import io
import re
from dataclasses import dataclass
from typing import TypeAlias

from wheelover.core.errors import Fault, UnknownFormat, UnreadableFile
from wheelover.core.types.route import LegWishes, Waypoint
from wheelover.formats.positions import NotUnderstood, coordinate_deg, has_letter, shown
from wheelover.formats.reading import (
    LINES,
    PartReading,
    ReadRow,
    RouteReading,
    in_range,
    refuse_if_nothing_understood,
    sound_waypoints,
)

MOST_ROWS = 5000
MOST_COLUMNS = 64
MOST_TEXT = 200

_LATITUDES = ("latitude", "lat", "lat_deg")
_LONGITUDES = ("longitude", "lon", "lon_deg")
_LEG_NUMBERS = ("speed_kn", "xtd_port_nm", "xtd_starboard_nm", "min_clearance_m")
_KNOWN = {*_LATITUDES, *_LONGITUDES, *_LEG_NUMBERS, "id", "name", "line", "turn_radius_nm"}
_PARTS_OF_POSITIONS = {
    *("n", "s", "e", "w", "ns", "ew", "hem", "hemi", "hemisphere", "dir", "sign"),
    *("min", "mins", "minute", "minutes", "sec", "secs", "second", "seconds"),
}
_NUMBER = re.compile(r"\d{1,9}(\.\d{1,17})?", re.ASCII)
_SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}


_Row: TypeAlias = tuple[int, str, tuple[str, ...]]
"""First line of a row in the file, its text, and its cells."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Table:
    """The header and the rows of a file, each with the line it starts on and its text.

    ``cut_short`` says that the file ends inside its last row.
    """

    columns: tuple[str, ...]
    rows: tuple[_Row, ...]
    separator: str
    cut_short: bool

    def cell(self, cells: tuple[str, ...], *names: str) -> str:
        """Return the first of the named columns of a row, empty when there is none."""
        for name in names:
            if name in self.columns:
                index = self.columns.index(name)
                return cells[index].strip() if index < len(cells) else ""
        return ""


def read_csv(body: bytes, name: str) -> RouteReading:
    """Return a route file of separated columns as it was read.

    Parameters
    ----------
    body : bytes
        UTF-8 text with a header line. Columns latitude and longitude (or lat and lon) are
        needed; id, name, line, turn_radius_nm, speed_kn, xtd_port_nm, xtd_starboard_nm and
        min_clearance_m are read where present. Leg columns belong to the leg that leads to the
        row's waypoint.
    name : str
        Name of the route.

    Raises
    ------
    UnknownFormat
        When the text is no table at all.
    UnreadableFile
        When the header lacks a position, or no row was understood.
    """
    table = _table(_text(body))
    signed = not any(
        has_letter(table.cell(cells, *names))
        for _, _, cells in table.rows
        for names in (_LATITUDES, _LONGITUDES)
    )
    parts = _parts(table, signed)
    refuse_if_nothing_understood(parts)
    waypoints, notes = sound_waypoints(parts)
    return RouteReading(
        format="csv",
        name=name,
        waypoints=waypoints,
        report=tuple(part.row for part in parts),
        read_as=f"{_SEPARATORS[table.separator]} separated, UTF-8, columns from the header line",
        notes=(*_header_notes(table, signed), *notes),
    )


def _text(body: bytes) -> str:
    """Return the text of a file, which must be UTF-8."""
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = body[: error.start].count(b"\n") + 1
        fault = Fault(line=line, message="this byte is not UTF-8 text")
        message = f"Not a text file: line {line} is not UTF-8"
        raise UnknownFormat(message, (fault,)) from error
    if "\x00" in text:
        raise UnknownFormat("Not a route file of text: it holds zero bytes")
    return text


def _table(text: str) -> _Table:
    """Return the header and rows of a file."""
    first_line = next((line for line in text.splitlines() if line.strip()), None)
    if first_line is None:
        raise UnreadableFile("The file is empty.")
    counts = {separator: first_line.count(separator) for separator in _SEPARATORS}
    separator = max(counts, key=lambda one: counts[one])
    if counts[separator] == 0:
        raise UnknownFormat(
            f"Not a route file that is read here. It begins: {first_line[:80]!r}. Read are CSV "
            "with a header line, and GeoJSON."
        )
    rows = _rows(text, separator)
    if not rows:
        raise UnreadableFile("The file holds separators only, and no header line.")
    columns = tuple(cell.strip().lower() for cell in rows[0][2])
    _refuse_header(columns, rows[0][0])
    _refuse_parted_positions(columns, rows)
    cut_short = not text.endswith(("\n", "\r")) and len(rows[-1][2]) < len(columns)
    return _Table(columns=columns, rows=rows[1:], separator=separator, cut_short=cut_short)


def _rows(text: str, separator: str) -> tuple[_Row, ...]:
    """Return every row that is not blank, with its first line and its text."""
    lines = io.StringIO(text, newline="").readlines()
    reader = csv.reader(lines, delimiter=separator, strict=True)
    rows: list[_Row] = []
    start = 1
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            fault = Fault(line=start, message=str(error))
            raise UnreadableFile(f"Line {start} cannot be read: {error}", (fault,)) from error
        if cells is None:
            return tuple(rows)
        raw = "".join(lines[start - 1 : reader.line_num]).rstrip("\r\n")
        if any(cell.strip() for cell in cells):
            rows.append((start, raw, tuple(cells)))
        if len(rows) > MOST_ROWS + 1 or len(cells) > MOST_COLUMNS:
            fault = Fault(line=start, message="too large")
            raise UnreadableFile(
                f"Line {start}: over the limit of {MOST_ROWS} rows or {MOST_COLUMNS} columns.",
                (fault,),
            )
        start = reader.line_num + 1


def _refuse_header(columns: tuple[str, ...], line: int) -> None:
    """Refuse a header without a position, or with a column that could be either of two."""
    for names, what in ((_LATITUDES, "latitude"), (_LONGITUDES, "longitude")):
        found = [column for column in columns if column in names]
        if len(found) != 1:
            message = f"the header needs one column named {' or '.join(names)}; it has {len(found)}"
            raise UnreadableFile(f"No {what}: {message}.", (Fault(line=line, message=message),))
    doubled = {column for column in columns if column and columns.count(column) > 1}
    if doubled:
        message = f"columns named twice: {', '.join(sorted(doubled))}"
        raise UnreadableFile(f"The header has {message}.", (Fault(line=line, message=message),))


def _refuse_parted_positions(columns: tuple[str, ...], rows: tuple[_Row, ...]) -> None:
    """Refuse a table whose positions may be spread over several columns.

    Reading the degrees and leaving minutes or hemisphere aside would give another place.
    """
    for index, column in enumerate(columns):
        words = set(re.split(r"[^a-z]+", column)) - {""}
        if column not in _KNOWN and words & _PARTS_OF_POSITIONS:
            message = f"column {column!r} looks like a part of a position"
        elif not column and any(len(row[2]) > index and row[2][index].strip() for row in rows[1:]):
            message = f"column {index + 1} holds values and has no name"
        else:
            continue
        raise UnreadableFile(
            f"{message[0].upper()}{message[1:]}. Write each latitude and each longitude whole, "
            "in one column, and name every column.",
            (Fault(line=rows[0][0], message=message),),
        )


def _parts(table: _Table, signed: bool) -> list[PartReading]:
    """Return every row beside the waypoint it gave."""
    parts = []
    taken: dict[str, int] = {}
    given = {table.cell(cells, "id") for _, _, cells in table.rows}
    for number, (line, raw, cells) in enumerate(table.rows, start=1):
        invented = f"WP{number:02d}" if f"WP{number:02d}" not in given else f"line {line}"
        try:
            if table.cut_short and number == len(table.rows):
                raise NotUnderstood("the file ends inside this row")
            waypoint = _waypoint(table, cells, invented, signed)
            if waypoint.id in taken:
                raise NotUnderstood(
                    f"id {waypoint.id!r} is already that of line {taken[waypoint.id]}"
                )
        except NotUnderstood as reason:
            row = ReadRow(line=line, raw=raw, problem=str(reason), in_question=reason.in_question)
            parts.append(PartReading(row=row, waypoint=None))
            continue
        taken[waypoint.id] = line
        understood = shown(waypoint.lat_deg, waypoint.lon_deg)
        parts.append(
            PartReading(
                row=ReadRow(line=line, raw=raw, understood=understood, waypoint_id=waypoint.id),
                waypoint=waypoint,
            )
        )
    return parts


def _waypoint(table: _Table, cells: tuple[str, ...], invented_id: str, signed: bool) -> Waypoint:
    """Return the waypoint of one row."""
    if len(cells) > len(table.columns):
        raise NotUnderstood(f"{len(cells)} cells under {len(table.columns)} columns")
    lat_deg = coordinate_deg(table.cell(cells, *_LATITUDES), "latitude", plain_is_signed=signed)
    lon_deg = coordinate_deg(table.cell(cells, *_LONGITUDES), "longitude", plain_is_signed=signed)
    if abs(lat_deg) == 90.0:
        raise NotUnderstood("latitude 90 is a pole, where no course exists")
    for column in ("id", "name"):
        if len(table.cell(cells, column)) > MOST_TEXT:
            raise NotUnderstood(f"{column} is longer than {MOST_TEXT} characters")
    return Waypoint(
        id=table.cell(cells, "id") or invented_id,
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        name=table.cell(cells, "name") or None,
        turn_radius_nm=_number(table, cells, "turn_radius_nm"),
        leg=_leg(table, cells),
    )


def _leg(table: _Table, cells: tuple[str, ...]) -> LegWishes | None:
    """Return what a row asks of the leg that leads to it, None when it asks nothing."""
    speed, port, starboard, clearance = (_number(table, cells, column) for column in _LEG_NUMBERS)
    kind = table.cell(cells, "line").lower()
    if kind and kind not in LINES:
        raise NotUnderstood(f"line {kind!r} is neither rhumb nor geodesic")
    if not kind and speed is None and port is None and starboard is None and clearance is None:
        return None
    line = LINES.get(kind)
    return LegWishes(
        line=line,
        speed_kn=speed,
        xtd_port_nm=port,
        xtd_starboard_nm=starboard,
        min_clearance_m=clearance,
    )


def _number(table: _Table, cells: tuple[str, ...], column: str) -> float | None:
    """Return a plain number of a row, None when its cell is empty."""
    text = table.cell(cells, column)
    if not text:
        return None
    if not _NUMBER.fullmatch(text):
        raise NotUnderstood(f"{column} {text!r} is not a plain number with a decimal point")
    return in_range(column, float(text))


def _header_notes(table: _Table, signed: bool) -> tuple[str, ...]:
    """Return what is said once for the whole file."""
    unused = [column for column in table.columns if column and column not in _KNOWN]
    notes = []
    if signed:
        notes.append("plain decimal degrees are signed, N and E positive, as the header names them")
    if signed and not any("." in cell for _, _, cells in table.rows for cell in cells):
        notes.append("no position has decimals: were decimal commas read as separators?")
    if unused:
        notes.append(f"columns not used: {', '.join(unused)}")
    missing = [column for column in ("turn_radius_nm", "speed_kn") if column not in table.columns]
    if missing:
        notes.append(f"not in the file: {', '.join(missing)}; left empty, not invented")
    return tuple(notes)
