"""Separated text as a table: which line and text every row has, and which columns there are."""

import csv
import io
import re
from dataclasses import dataclass
from typing import TypeAlias

from wheelover.core.errors import Fault, UnknownFormat, UnreadableFile
from wheelover.formats.more_wishes import NAMES

MOST_ROWS = 5000
MOST_COLUMNS = 200

LATITUDES = ("latitude", "lat", "lat_deg")
LONGITUDES = ("longitude", "lon", "lon_deg")
LEG_NUMBERS = ("speed_kn", "xtd_port_nm", "xtd_starboard_nm", "min_clearance_m")
KNOWN = {
    *(*LATITUDES, *LONGITUDES, *LEG_NUMBERS, "id", "name", "line", "turn_radius_nm"),
    *("wheel_over_method", "wheel_over_distance_nm", "gap_before", "gap_after", "route_name"),
    *("leg_set_deg", "leg_drift_kn", "charted_depth_m", "catzoc", "channel_width_m"),
    *("leg_set_deg", "leg_drift_kn", "leg_water", "leg_min_clearance_by_class"),
    *("turn_steering", "turn_rudder_deg", "turn_set_deg", "turn_drift_kn"),
    *NAMES,
}
"""The columns of a route file that are read."""

EXPORT_STATUS = "export_status"
EXPORT_REMARKS = "export_remarks"
COMPUTED = (
    *("plan_course_deg", "plan_arrival_course_deg", "plan_leg_distance_nm", "plan_speed_kn"),
    *("plan_leg_clearance_m", "plan_leg_clearance_of", "plan_leg_clearance_limit_m"),
    *("plan_leg_clearance_met", "plan_course_change_deg", "plan_radius_nm"),
    *("plan_rate_of_turn_deg_per_min", "plan_wheel_over_method", "plan_wheel_over_distance_nm"),
    *("plan_wheel_over_lat_deg", "plan_wheel_over_lon_deg", "plan_wheel_over_position"),
    *("plan_reach_m", "plan_reach_source", "plan_wheel_over_line_offset_nm", "plan_turn_fits"),
    *("plan_turn_clearance_m", "plan_turn_clearance_of", "plan_turn_clearance_limit_m"),
    *("plan_turn_clearance_met",),
    *("plan_leg_ukc_m", "plan_leg_ukc_required_m", "plan_leg_ukc_met", "plan_leg_tide_needed_m"),
    *("plan_leg_limiting_speed_kn", "plan_turn_ukc_m", "plan_turn_ukc_required_m"),
    *("plan_turn_ukc_met",),
    *("plan_eta_utc", "plan_etd_utc", "plan_run_nm", "plan_to_go_nm", "plan_leg_steer_deg"),
    *("plan_leg_speed_over_ground_kn", "plan_wheel_over_utc", "plan_distance_to_go_set_nm"),
    *("plan_cue", "plan_second_cue", "plan_leg_index", "plan_leg_watch", "plan_leg_reports"),
    *("plan_leg_longest_fix_interval_s", "plan_findings"),
)
"""Columns of our export that are results. They are never read: the plan is computed again."""
EXPORTED = {*COMPUTED, EXPORT_STATUS, EXPORT_REMARKS}

GUARD = "'"
"""Put before a text that a spreadsheet would take for a formula, or a reader would trim."""

_PARTS_OF_POSITIONS = {
    *("n", "s", "e", "w", "ns", "ew", "hem", "hemi", "hemisphere", "dir", "sign"),
    *("min", "mins", "minute", "minutes", "sec", "secs", "second", "seconds"),
}
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}

Row: TypeAlias = tuple[int, str, tuple[str, ...]]
"""First line of a row in the file, its text, and its cells."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The header and the rows of a file, each with the line it starts on and its text.

    ``cut_short`` says that the file ends inside its last row.
    """

    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    separator: str
    cut_short: bool

    def cell(self, cells: tuple[str, ...], *names: str) -> str:
        """Return the first of the named columns of a row, empty when there is none."""
        for name in names:
            if name in self.columns:
                index = self.columns.index(name)
                return cells[index].strip() if index < len(cells) else ""
        return ""

    @property
    def is_export(self) -> bool:
        """Return whether the table is an export of ours, whose texts may carry a guard."""
        return EXPORT_STATUS in self.columns

    def text(self, cells: tuple[str, ...], name: str) -> str:
        """Return a text cell; of the guard only what our export puts there is taken off."""
        if self.is_export and name in self.columns:
            index = self.columns.index(name)
            whole = cells[index] if index < len(cells) else ""
            if whole.startswith(GUARD) and needs_guard(whole[1:]):
                return whole[1:]
        return self.cell(cells, name)


def needs_guard(text: str) -> bool:
    """Return whether a text must not stand in a cell as it is.

    A spreadsheet takes what begins with one of these signs for a formula (OWASP ASVS 5.0,
    1.2.10), and readers trim white space.

    Examples
    --------
    >>> needs_guard("=1+1"), needs_guard("Ness buoy"), needs_guard("'quoted'")
    (True, False, True)
    """
    return text != text.strip() or text.startswith(("=", "+", "-", "@", "\t", "\r", GUARD))


def guarded(text: str) -> str:
    """Return a text as it may stand in a cell.

    Examples
    --------
    >>> guarded("=1+1"), guarded("Ness buoy")
    ("'=1+1", 'Ness buoy')
    """
    return GUARD + text if needs_guard(text) else text


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
        raise UnknownFormat("Not a file of text: it holds zero bytes")
    return text


def separated_rows(body: bytes, unknown: str) -> tuple[str, str, tuple[Row, ...]]:
    """Return the text of a file, what separates its columns, and every row that is not blank.

    Parameters
    ----------
    body : bytes
        UTF-8 text, with or without a byte order mark.
    unknown : str
        What is said of text without columns; ``{start}`` stands for how it begins.

    Raises
    ------
    UnknownFormat
        When it is no table at all.
    UnreadableFile
        When it is empty, or a row cannot be parted into cells.
    """
    text = _text(body)
    first_line = next((line for line in text.splitlines() if line.strip()), None)
    if first_line is None:
        raise UnreadableFile("The file is empty.")
    counts = {separator: first_line.count(separator) for separator in SEPARATORS}
    separator = max(counts, key=lambda one: counts[one])
    if counts[separator] == 0:
        raise UnknownFormat(unknown.format(start=repr(first_line[:80])))
    rows = _rows(text, separator)
    if not rows:
        raise UnreadableFile("The file holds separators only, and no header line.")
    return text, separator, rows


def read_table(body: bytes) -> Table:
    """Return the header and rows of a file.

    Parameters
    ----------
    body : bytes
        UTF-8 text, with or without a byte order mark.

    Raises
    ------
    UnknownFormat
        When it is no table at all.
    UnreadableFile
        When it is empty, or its header leaves open where the positions are.
    """
    text, separator, rows = separated_rows(
        body,
        "Not a route file that is read here. It begins: {start}. Read are CSV with a header line, "
        "GeoJSON, GPX and route exchange XML.",
    )
    columns = tuple(cell.strip().lower() for cell in rows[0][2])
    _refuse_header(columns, rows[0][0])
    _refuse_parted_positions(columns, rows)
    cut_short = not text.endswith(("\n", "\r")) and len(rows[-1][2]) < len(columns)
    return Table(columns=columns, rows=rows[1:], separator=separator, cut_short=cut_short)


def _rows(text: str, separator: str) -> tuple[Row, ...]:
    """Return every row that is not blank, with its first line and its text."""
    lines = io.StringIO(text, newline="").readlines()
    reader = csv.reader(lines, delimiter=separator, strict=True)
    rows: list[Row] = []
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
    for names, what in ((LATITUDES, "latitude"), (LONGITUDES, "longitude")):
        found = [column for column in columns if column in names]
        if len(found) != 1:
            message = f"the header needs one column named {' or '.join(names)}; it has {len(found)}"
            raise UnreadableFile(f"No {what}: {message}.", (Fault(line=line, message=message),))
    doubled = {column for column in columns if column and columns.count(column) > 1}
    if doubled:
        message = f"columns named twice: {', '.join(sorted(doubled))}"
        raise UnreadableFile(f"The header has {message}.", (Fault(line=line, message=message),))


def _refuse_parted_positions(columns: tuple[str, ...], rows: tuple[Row, ...]) -> None:
    """Refuse a table whose positions may be spread over several columns.

    Reading the degrees and leaving minutes or hemisphere aside would give another place.
    """
    for index, column in enumerate(columns):
        if EXPORT_STATUS in columns and column in EXPORTED:
            continue
        words = set(re.split(r"[^a-z]+", column)) - {""}
        if column not in KNOWN and words & _PARTS_OF_POSITIONS:
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
