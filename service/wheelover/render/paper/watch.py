"""What the bridge team does on each leg: stage, fixes, watch, points of action, contingencies."""

from wheelover.formats.positions import shown
from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter, inside
from wheelover.render.paper.sheet import Column, Sheet

NOT_SAID = "NOT SAID"


def watch(matter: Matter) -> Sheet | None:
    """Return what is planned for the bridge team, None of a plan that holds none of it."""
    legs = [one for one in matter.result["legs"] if isinstance(one.get("monitoring"), dict)]
    if not legs and not matter.rows("points") and not matter.rows("contingencies"):
        return None
    sheet = Sheet("Monitoring", wide=True)
    if legs:
        sheet.heading("Bridge team on each leg")
        sheet.table(_LEGS, [[_leg(matter, one)] for one in legs])
        rule = matter.result.get("fixing_rule")
        if rule:
            sheet.paragraph(str(rule))
    _aborts(sheet, legs)
    _points(sheet, matter)
    _contingencies(sheet, matter)
    return sheet


_LEGS = (
    Column("Leg to", 84.0, bold=True),
    Column("Stage", 54.0, bold=True),
    Column("Fix by; second", 88.0),
    Column("Every; less than", 92.0),
    Column("Watch", 0.0),
    Column("Machinery", 0.0),
    Column("Pilot; tugs", 0.0),
    Column("Call master", 0.0),
    Column("Notes", 0.0),
)


def _leg(matter: Matter, leg: Document) -> tuple[str, ...]:
    """Return a leg as a row: what nobody has said reads so."""
    one = leg["monitoring"]
    fixing = one["fixing"]
    pilot = "; ".join(str(one[name]) for name in ("pilot", "tugs") if one[name])
    return (
        matter.name_of(leg["to_id"]),
        str(one["stage"] or NOT_SAID),
        f"{_method(fixing['primary'])}; {_method(fixing['secondary'])}",
        _interval(fixing),
        str(one["watch"] or NOT_SAID),
        str(one["machinery"] or ""),
        pilot,
        str(one["call_master"] or NOT_SAID),
        "; ".join([*([str(one["notes"])] if one["notes"] else []), *(fixing.get("notes") or [])]),
    )


def _method(name: str | None) -> str:
    """Return a method of fixing."""
    return NOT_SAID if name is None else name.replace("_", " ")


def _interval(fixing: Document) -> str:
    """Return how often she is fixed, and how often she must be."""
    every = fixing["interval_min"]
    given = NOT_SAID if every is None else fig.given(every, "min")
    longest = fixing["longest_interval_s"]
    if longest is None:
        return f"{given}; {fixing['reason'] or fig.UNKNOWN}"
    word = _JUDGED[fixing["in_time"]]
    reached = inside(fixing, "reaches", "hazard_name") or inside(fixing, "reaches", "what")
    where = reached or "the edge of what was searched"
    return f"{given}; {fig.down(longest, 0, 's')} to {where}, {word}"


_JUDGED = {True: "in time for what is loaded", False: "TOO LONG", None: "not checked"}
"""What is found of an interval; what no data cover was not looked at."""


def _aborts(sheet: Sheet, legs: list[Document]) -> None:
    """Write where the plan can be given up, as computed."""
    columns = (
        Column("Leg to", 84.0, bold=True),
        Column("Abort", 150.0),
        Column("No return", 150.0),
        Column("Room to turn round", 130.0),
        Column("Stopping", 110.0),
        Column("Why not, notes", 0.0),
    )
    groups = [
        [(
            leg["to_id"],
            abort_words(one),
            no_return_words(one),
            _room(one),
            _stop(one["stop"]),
            "; ".join([*one["reasons"], *one["notes"]]),
        )]
        for leg in legs
        if (one := leg["monitoring"].get("abort"))
    ]  # fmt: skip
    if groups:
        sheet.heading("Abort point and point of no return, computed")
        sheet.table(columns, groups)


def no_return_words(one: Document) -> str:
    """Return the point of no return of a leg: none is found only where it was looked for."""
    if one["no_return"] is not None:
        return place_words(one["no_return"], early=True)
    if not one["looked"] or one["reasons"]:
        return fig.UNKNOWN
    return "none found on this leg" if one["room"] else f"{fig.UNKNOWN}: no room on this leg"


def abort_words(one: Document) -> str:
    """Return the abort point of a leg: one that a stopping run does not reach is not known."""
    if one["abort"] is not None:
        return place_words(one["abort"], early=True)
    return no_return_words(one) if one["no_return"] is None else fig.UNKNOWN


def _room(one: Document) -> str:
    """Return where she can turn round, the stretches rounded to their inside."""
    if not one["looked"]:
        return fig.UNKNOWN
    stretches = [
        f"{fig.down(part['from_before_nm'], 2)} - {fig.up(part['to_before_nm'], 2, 'NM')} before, "
        f"to {part['side']}"
        for part in one["room"]
    ]
    return "\n".join([*(stretches or ["none"]), *map(_bend, one["bends"])])


def _bend(one: Document) -> str:
    """Return the room in the turn beside a leg."""
    name = f"in the turn at {one['waypoint_id']}"
    if one["whole"]:
        return f"{name} to {one['side']}"
    parts = [f"{fig.up(part['from_m'], 0)} - {fig.down(part['to_m'], 0, 'm')}"
             for part in one["room"]]  # fmt: skip
    return f"{name} {'; '.join(parts)} along it, to {one['side']}" if parts else f"{name} none"


def _stop(one: Document | None) -> str:
    """Return a stopping run."""
    if one is None:
        return fig.UNKNOWN
    return f"{fig.up(one['run_m'], 0, 'm')} from {fig.given(one['speed_kn'], 'kn')}"


def place_words(one: Document | None, *, early: bool = False) -> str:
    """Return a place of the track; ``early`` ones are rounded to before where they are."""
    if one is None:
        return fig.UNKNOWN
    distance = (fig.up if early else fig.nearest)(one["before_nm"], 2, "NM")
    before = f"{distance} before {one['leg_to_id']}"
    at = one["position"]
    where = "" if at is None else f"\n{shown(at['lat_deg'], at['lon_deg'])}"
    time = "" if not one["at_utc"] else f"\n{fig.minute_short(one['at_utc'])}"
    return f"{before}{where}{time}"


def _points(sheet: Sheet, matter: Matter) -> None:
    """Write the points of action, and what cells chart near the track."""
    columns = (
        Column("Point", 100.0, bold=True),
        Column("What", 0.0),
        Column("Channel", 60.0),
        Column("Where", 160.0),
        Column("Off track", 90.0),
        Column("Notice", 90.0),
    )
    groups = [
        [(
            one["kind"].replace("_", " "),
            "; ".join(str(part) for part in (one["text"], one["reason"]) if part),
            str(one["channel"] or ""),
            place_words(one["place"], early=one["kind"] in ("abort", "no_return")),
            _off(one),
            _notice(one),
        )]
        for one in matter.rows("points")
    ]  # fmt: skip
    groups += [
        [(
            f"charted {one['kind'].replace('_', ' ')}",
            str(one["name"] or one["object_class"]),
            str(one["channel"] or ""),
            place_words(one["place"]),
            _off(one),
            "",
        )]
        for one in matter.rows("points_found")
    ]  # fmt: skip
    sheet.heading("Points of action: calls, reports, machinery, pilot, tugs")
    if groups:
        sheet.table(columns, groups)
    else:
        sheet.paragraph("None is planned.", bold=True)


def _notice(one: Document) -> str:
    """Return how long before a point notice is given, and when."""
    if one["notice_min"] is None:
        return ""
    at = fig.minute_short(one["notice_at_utc"])
    return f"{fig.given(one['notice_min'], 'min')} before\n{at}"


def _off(one: Document) -> str:
    """Return how far a point lies off the track."""
    if one["off_track_nm"] is None:
        return "" if one["place"] is None else "on the track"
    return f"{fig.nearest(one['off_track_nm'], 2, 'NM')} {one['off_track_side'] or ''}".strip()


def _leaving(one: Document) -> str:
    """Return the turn onto the first leg of a contingency: where its wheel-over is, and by when."""
    if one["reason"] is not None or one["turn"] is None:
        return f"NOT COMPUTED: {one['reason'] or 'no turn stands there'}"
    turn = one["turn"]
    lines = [
        f"{fig.nearest(abs(turn['course_change_deg']), 1)} deg to {turn['side']}, WOP "
        f"{fig.up(one['wheel_over_m'], 0, 'm')} before"
    ]
    if one["late_m"] is not None:
        return f"{lines[0]}\nWOP PAST {fig.up(one['late_m'], 0, 'm')} before the leg begins"
    least = turn["least_clearance"]
    if least is not None:
        lines.append(f"clearance {fig.down(least['clearance_m'], 0, 'm')}")
    return "\n".join([*lines, f"decide by {place_words(one['decide'], early=True)}"])


def _contingencies(sheet: Sheet, matter: Matter) -> None:
    """Write contingencies with what came of the checks of their own tracks."""
    columns = (
        Column("Contingency", 120.0, bold=True),
        Column("Leaves at", 130.0),
        Column("Turn there", 150.0),
        Column("NM", 44.0, right=True),
        Column("Least clearance m", 62.0, right=True),
        Column("Resolve; explain; not checked", 84.0),
        Column("Remark, notes", 0.0),
    )
    groups = [
        [(
            f"{one['kind'].replace('_', ' ')}: {one['name']}",
            f"from {one['from_id']}\n{place_words(one['leaves'])}",
            _leaving(one["leaving"]),
            fig.nearest(one["distance_nm"], 2),
            fig.down(one["least_clearance_m"], 0),
            "; ".join(str(one["findings_count"][name])
                      for name in ("must_resolve", "must_explain", "not_checked")),
            "; ".join([*( [one["remark"]] if one["remark"] else []), *one["notes"],
                       *one["leaving"]["notes"]]),
        )]
        for one in matter.rows("contingencies")
    ]  # fmt: skip
    sheet.heading("Contingencies: anchorages, alternatives, refuges")
    if groups:
        sheet.table(columns, groups)
        sheet.paragraph(
            "Their tracks were checked like the main one; the findings stand in the JSON."
        )
    else:
        sheet.paragraph("None is planned.", bold=True)
