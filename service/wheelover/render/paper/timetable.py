"""The schedule: times at waypoints and wheel-overs, legs with what is steered, sun, areas, fuel."""

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter, inside
from wheelover.render.paper.sheet import Column, Sheet


def timetable(matter: Matter) -> Sheet | None:
    """Return the schedule, None of a plan that holds none."""
    schedule = matter.part("schedule")
    if not schedule:
        return None
    sheet = Sheet("Schedule", wide=True)
    sheet.heading("Schedule")
    sheet.paragraph(
        f"Departure {fig.minute(schedule['departure_utc'])}, arrival "
        f"{fig.minute(schedule['arrival_utc'])}; "
        f"{fig.nearest(schedule['distance_nm'], 2, 'NM')}, takes "
        f"{_long(schedule['duration_s'])}. "
        f"{schedule['reason'] or ''}",
        bold=True,
    )
    sheet.paragraph(
        "Times after the departure in hours and minutes. ETA computed or given, as said."
    )
    _waypoints(sheet, matter, schedule)
    _legs(sheet, schedule)
    _sun(sheet, schedule)
    _windows(sheet, schedule)
    _areas(sheet, schedule)
    _fuel(sheet, matter, schedule)
    return sheet


def _long(span_s: float | None) -> str:
    """Return how long the passage takes."""
    return fig.UNKNOWN if span_s is None else f"{fig.hours(span_s)} h"


def _waypoints(sheet: Sheet, matter: Matter, schedule: Document) -> None:
    """Write waypoints with the wheel-over that is made for each."""
    overs = {one["waypoint_id"]: one for one in schedule["wheel_overs"]}
    columns = (
        Column("Waypoint", 0.0, bold=True),
        Column("Wheel-over", 74.0, right=True),
        Column("After", 44.0, right=True),
        Column("Lost in turn", 46.0, right=True),
        Column("ETA UTC", 74.0, right=True),
        Column("After", 44.0, right=True),
        Column("Zone time", 106.0, right=True),
        Column("ETA is", 58.0),
        Column("Stay h:mm", 40.0, right=True),
        Column("ETD UTC", 74.0, right=True),
        Column("Run NM", 46.0, right=True),
        Column("To go NM", 50.0, right=True),
    )
    groups = []
    for one in schedule["rows"]:
        over = overs.get(one["waypoint_id"]) or {}
        lost = over.get("time_lost_s")
        groups.append([(
            matter.name_of(one["waypoint_id"]) + (f"\n{one['reason']}" if one["reason"] else ""),
            fig.minute_short(over["at_utc"]) if over else "",
            fig.hours(over["after_s"]) if over else "",
            "" if lost is None else fig.nearest(lost, 0, "s"),
            fig.minute_short(one["eta_utc"]),
            fig.hours(one["eta_after_s"]),
            _zone(one),
            str(one["eta_source"] or ""),
            fig.hours(one["stay_s"]) if one["stay_s"] else "",
            fig.minute_short(one["etd_utc"]) if one["stay_s"] else "",
            fig.nearest(one["distance_nm"], 2),
            fig.nearest(one["to_go_nm"], 2),
        )])  # fmt: skip
    sheet.table(columns, groups)


def _zone(one: Document) -> str:
    """Return a time as the clock on board shows it, with its zone."""
    hours = one["zone_description_h"]
    zone = "" if hours is None else f"ZD {hours:+g}"
    at = one["eta_zone"]
    return zone if not at else f"{at[5:10]} {at[11:16]} {zone}"


def _legs(sheet: Sheet, schedule: Document) -> None:
    """Write legs with course to steer, speeds and stream."""
    columns = (
        Column("Leg to", 96.0, bold=True),
        Column("Course T", 50.0, right=True),
        Column("Steer T", 50.0, right=True),
        Column("Speed kn", 46.0, right=True),
        Column("given by", 60.0),
        Column("Over ground kn", 52.0, right=True),
        Column("Stream", 130.0),
        Column("Takes h:mm", 44.0, right=True),
        Column("NM", 44.0, right=True),
        Column("Remark", 0.0),
    )
    groups = [
        [(
            one["to_id"],
            fig.course_fine(one["course_deg"]),
            fig.course_fine(one["steer_deg"]),
            fig.nearest(one["speed_kn"], 1),
            str(one["speed_source"] or ""),
            fig.nearest(one["speed_over_ground_kn"], 1),
            _stream(one),
            fig.hours(one["duration_s"]),
            fig.nearest(one["distance_nm"], 2),
            "; ".join(str(part) for part in (one["reason"], one["note"]) if part),
        )]
        for one in schedule["legs"]
    ]  # fmt: skip
    if groups:
        sheet.heading("Legs")
        sheet.table(columns, groups)


def _stream(one: Document) -> str:
    """Return the stream on a leg."""
    if one["drift_kn"] is None:
        steps = len(one["streams"])
        return f"{steps} times of {one['station'] or 'a table'}" if steps else "none is given"
    return f"sets {fig.course(one['set_deg'])} T, {fig.nearest(one['drift_kn'], 1, 'kn')}"


def _sun(sheet: Sheet, schedule: Document) -> None:
    """Write day or night at waypoints and wheel-overs, with rise, set and twilights."""
    rows = schedule.get("sun")
    if not rows:
        return
    columns = (
        Column("At", 130.0, bold=True),
        Column("UTC", 80.0),
        Column("Light", 110.0, bold=True),
        Column("Sun up", 0.0),
        Column("Civil", 0.0),
        Column("Nautical", 0.0),
    )
    groups = [
        [(
            f"{one['waypoint_id']} {one['part'].replace('_', ' ')}",
            fig.minute_short(one["at_utc"]),
            str(one["light"] or one["reason"] or fig.UNKNOWN).replace("_", " "),
            *(_span(one[name]) for name in ("up", "civil", "nautical")),
        )]
        for one in rows
    ]  # fmt: skip
    sheet.heading("Sun: from when to when it stands above the horizon, 6 and 12 degrees below")
    sheet.table(columns, groups)


def _span(span: Document | None) -> str:
    """Return from when to when, or that it lasts."""
    if span is None:
        return fig.UNKNOWN
    if span["lasting"]:
        return str(span["lasting"]).replace("_", " ")
    return f"{fig.minute_short(span['from_utc'])} to {fig.minute_short(span['to_utc'])}"


def _windows(sheet: Sheet, schedule: Document) -> None:
    """Write windows of arrival."""
    rows = schedule["windows"]
    if not rows:
        return
    columns = (
        Column("Arrival window at", 130.0, bold=True),
        Column("From UTC", 100.0),
        Column("To UTC", 100.0),
        Column("Result", 110.0, bold=True),
        Column("Off", 80.0, right=True),
        Column("Reason", 0.0),
    )
    groups = [
        [(
            one["waypoint_id"],
            fig.minute(one["from_utc"]) if one["from_utc"] else "open",
            fig.minute(one["to_utc"]) if one["to_utc"] else "open",
            str(one["result"]).replace("_", " "),
            "" if one["off_s"] is None else _long(abs(one["off_s"])),
            one["reason"] or "",
        )]
        for one in rows
    ]  # fmt: skip
    sheet.heading("Windows of arrival")
    sheet.table(columns, groups)


def _areas(sheet: Sheet, schedule: Document) -> None:
    """Write when areas are entered and left."""
    sheet.heading("Areas entered and left")
    rows = schedule["areas"]
    if schedule["areas_reason"]:
        sheet.paragraph(f"Not all looked for: {schedule['areas_reason']}")
    if not rows:
        sheet.paragraph("None was found among what is loaded.")
        return
    columns = (
        Column("Area", 0.0, bold=True),
        Column("Class, source", 160.0),
        Column("Enters", 150.0),
        Column("Leaves", 150.0),
    )
    groups = [
        [(
            str(one["name"] or one["area_id"]),
            f"{one['danger_class'] or ''}, {one['source']}".replace("_", " "),
            _edge(one["enters"]),
            _edge(one["leaves"]),
        )]
        for one in rows
    ]  # fmt: skip
    sheet.table(columns, groups)


def _edge(one: Document | None) -> str:
    """Return when an edge is crossed."""
    if one is None:
        return "not on this track"
    return f"{fig.minute_short(one['at_utc'])}, {_long(one['after_s'])} after"


def _fuel(sheet: Sheet, matter: Matter, schedule: Document) -> None:
    """Write fuel by leg and in all."""
    fuel = schedule["fuel"]
    sheet.heading("Fuel")
    if fuel["reason"]:
        sheet.paragraph(f"Not known: {fuel['reason']}")
    legs = matter.result["legs"]
    columns = (
        Column("Leg to", 110.0, bold=True),
        Column("Fuel", 110.0),
        Column("t per day", 70.0, right=True),
        Column("Burnt t", 70.0, right=True),
        Column("In the stay t", 80.0, right=True),
        Column("Remark", 0.0),
    )
    groups = [
        [(
            legs[one["leg_index"]]["to_id"],
            str(one["fuel"] or ""),
            fig.nearest(one["rate_t_per_day"], 1),
            fig.up(one["burnt_t"], 2),
            fig.up(one["stay_t"], 2),
            one["reason"] or "",
        )]
        for one in fuel["legs"]
    ]  # fmt: skip
    if groups:
        sheet.table(columns, groups)
    for one in fuel["fuels"]:
        total = fig.up(one["total_t"], 2, "t")
        known = fig.up(inside(one, "known_t"), 2, "t")
        sheet.paragraph(
            f"{one['fuel'] or 'Fuel'}: {total} in all, known {known}. {one['reason'] or ''}",
            bold=True,
        )
