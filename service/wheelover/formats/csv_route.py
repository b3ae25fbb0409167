"""Routes in comma, semicolon or tab separated text, with a header line."""

import re

from wheelover.core.types.route import LegWishes, Waypoint
from wheelover.formats.csv_table import (
    EXPORT_REMARKS,
    EXPORT_STATUS,
    EXPORTED,
    KNOWN,
    LATITUDES,
    LEG_NUMBERS,
    LONGITUDES,
    SEPARATORS,
    Table,
    read_table,
)
from wheelover.formats.hemispheres import with_hemispheres
from wheelover.formats.more_wishes import asked
from wheelover.formats.positions import NotUnderstood, coordinate_deg, has_letter, shown
from wheelover.formats.reading import (
    CLASS_COLUMN,
    LINES,
    MOST_TEXT,
    WATER_COLUMN,
    PartReading,
    ReadRow,
    RouteReading,
    current,
    in_range,
    leg_limits,
    refuse_if_nothing_understood,
    sound_waypoints,
    turn_wishes,
    wheel_over_choice,
    zone,
)

MOST_REMARKS = 20_000

_NUMBER = re.compile(r"\d{1,9}(\.\d{1,17})?", re.ASCII)


def read_csv(body: bytes, name: str) -> RouteReading:
    """Return a route file of separated columns as it was read.

    Parameters
    ----------
    body : bytes
        UTF-8 text with a header line. Columns latitude and longitude (or lat and lon) are
        needed; id, name, line, turn_radius_nm, speed_kn, xtd_port_nm, xtd_starboard_nm and
        min_clearance_m are read where present, charted_depth_m, catzoc and channel_width_m,
        leg_set_deg and leg_drift_kn, turn_steering,
        turn_rudder_deg, turn_set_deg and turn_drift_kn too, and wheel_over_method or
        wheel_over_distance_nm, gap_before, gap_after and route_name as our export writes them. Leg
        columns belong to the leg that leads to the row's waypoint.
    name : str
        Name of the route.

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
    parts = _parts(table, signed)
    refuse_if_nothing_understood(parts)
    waypoints, notes = sound_waypoints(parts)
    return RouteReading(
        format="csv",
        name=_route_name(table) or name,
        waypoints=waypoints,
        report=tuple(part.row for part in parts),
        read_as=f"{SEPARATORS[table.separator]} separated, UTF-8, columns from the header line",
        notes=(*_header_notes(table, signed), *notes),
    )


def _parts(table: Table, signed: bool) -> list[PartReading]:
    """Return every row beside the waypoint it gave."""
    parts = []
    taken: dict[str, int] = {}
    given = {table.text(cells, "id") for _, _, cells in table.rows}
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
            row = ReadRow(
                line=line,
                raw=raw,
                problem=str(reason),
                in_question=reason.in_question,
                choices=_choices(table, cells, raw, signed) if reason.in_question else (),
            )
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


def _choices(
    table: Table, cells: tuple[str, ...], raw: str, signed: bool
) -> tuple[tuple[str, str], ...]:
    """Return a row with every hemisphere it may mean."""
    latitude, longitude = table.cell(cells, *LATITUDES), table.cell(cells, *LONGITUDES)
    return with_hemispheres(raw, latitude, longitude, by_sign=signed)


def _waypoint(table: Table, cells: tuple[str, ...], invented_id: str, signed: bool) -> Waypoint:
    """Return the waypoint of one row."""
    if len(cells) > len(table.columns):
        raise NotUnderstood(f"{len(cells)} cells under {len(table.columns)} columns")
    lat_deg = coordinate_deg(table.cell(cells, *LATITUDES), "latitude", plain_is_signed=signed)
    lon_deg = coordinate_deg(table.cell(cells, *LONGITUDES), "longitude", plain_is_signed=signed)
    if abs(lat_deg) == 90.0:
        raise NotUnderstood("latitude 90 is a pole, where no course exists")
    for column in ("id", "name"):
        if len(table.text(cells, column)) > MOST_TEXT:
            raise NotUnderstood(f"{column} is longer than {MOST_TEXT} characters")
    return Waypoint(
        id=table.text(cells, "id") or invented_id,
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        name=table.text(cells, "name") or None,
        turn_radius_nm=_number(table, cells, "turn_radius_nm"),
        gap_before=_yes(table, cells, "gap_before"),
        gap_after=_yes(table, cells, "gap_after"),
        wheel_over=wheel_over_choice(
            table.cell(cells, "wheel_over_method"),
            _number(table, cells, "wheel_over_distance_nm"),
        ),
        leg=_leg(table, cells),
        turn=turn_wishes(
            table.cell(cells, "turn_steering").lower(),
            lambda column: _number(table, cells, column),
            lambda column: table.text(cells, column),
        ),
        **asked("waypoint", lambda column: table.text(cells, column)),
    )


def _yes(table: Table, cells: tuple[str, ...], column: str) -> bool:
    """Return whether a cell says yes; empty and no say no."""
    text = table.cell(cells, column).lower()
    if text not in ("", "yes", "no"):
        raise NotUnderstood(f"{column} {text[:40]!r} is neither yes nor no")
    return text == "yes"


def _route_name(table: Table) -> str:
    """Return the name of the route where the table gives one."""
    return next(
        (name for _, _, cells in table.rows if (name := table.text(cells, "route_name"))), ""
    )[:MOST_TEXT]


def _leg(table: Table, cells: tuple[str, ...]) -> LegWishes | None:
    """Return what a row asks of the leg that leads to it, None when it asks nothing."""
    speed, port, starboard, clearance = (_number(table, cells, column) for column in LEG_NUMBERS)
    kind = table.cell(cells, "line").lower()
    if kind and kind not in LINES:
        raise NotUnderstood(f"line {kind!r} is neither rhumb nor geodesic")
    set_deg, drift_kn = current("leg", lambda column: _number(table, cells, column))
    water, by_class = leg_limits(
        *(table.cell(cells, column).lower() for column in (WATER_COLUMN, CLASS_COLUMN))
    )
    wishes = LegWishes(
        line=LINES.get(kind),
        speed_kn=speed,
        xtd_port_nm=port,
        xtd_starboard_nm=starboard,
        min_clearance_m=clearance,
        set_deg=set_deg,
        drift_kn=drift_kn,
        charted_depth_m=_depth(table, cells),
        catzoc=zone(table.cell(cells, "catzoc")),
        channel_width_m=_number(table, cells, "channel_width_m"),
        water=water,
        min_clearance_by_class=by_class,
        **asked("leg", lambda column: table.text(cells, column)),
    )
    return None if wishes == LegWishes() else wishes


def _depth(table: Table, cells: tuple[str, ...]) -> float | None:
    """Return the charted depth of a row, negative where it dries."""
    text = table.cell(cells, "charted_depth_m")
    if not text.startswith("-"):
        return _number(table, cells, "charted_depth_m")
    if not _NUMBER.fullmatch(text[1:]):
        raise NotUnderstood(f"charted_depth_m {text!r} is not a plain number with a decimal point")
    return in_range("charted_depth_m", float(text))


def _number(table: Table, cells: tuple[str, ...], column: str) -> float | None:
    """Return a plain number of a row, None when its cell is empty."""
    text = table.cell(cells, column)
    if not text:
        return None
    if not _NUMBER.fullmatch(text):
        raise NotUnderstood(f"{column} {text!r} is not a plain number with a decimal point")
    return in_range(column, float(text))


def _export_notes(table: Table) -> tuple[str, ...]:
    """Return what an export of ours says of itself."""
    if not table.is_export:
        return ()
    status, remarks = (
        list(
            dict.fromkeys(text for _, _, cells in table.rows if (text := table.text(cells, column)))
        )
        for column in (EXPORT_STATUS, EXPORT_REMARKS)
    )
    state = " / ".join(status)[:MOST_TEXT] or "none"
    return (
        f"an export of wheelover, status: {state}; its computed columns (plan_...) are not read, "
        "the plan is computed again",
        f"it says: {' | '.join(remarks)[:MOST_REMARKS] or 'nothing'}",
    )


def _header_notes(table: Table, signed: bool) -> tuple[str, ...]:
    """Return what is said once for the whole file."""
    read_or_ours = KNOWN | EXPORTED if table.is_export else KNOWN
    unused = [column for column in table.columns if column and column not in read_or_ours]
    notes = list(_export_notes(table))
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
