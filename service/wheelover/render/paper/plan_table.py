"""The plan table: for each waypoint the leg that leads there and the turn made there."""

from wheelover.formats.positions import shown
from wheelover.render.exports.rows import Row, rows
from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter, inside
from wheelover.render.paper.sheet import Column, Sheet
from wheelover.render.paper.words import cue_words, index_words, order_words, planned_words

COLUMNS = (
    Column("WP", 66.0, bold=True),
    Column("Position", 70.0),
    Column("Course T; M", 46.0, right=True),
    Column("Dist; to go NM", 46.0, right=True),
    Column("Speed; ETA UTC", 50.0, right=True),
    Column("Wheel-over, NM before; by", 96.0),
    Column("R NM; rate deg/min", 54.0, right=True),
    Column("Orders", 92.0),
    Column("Index", 80.0),
    Column("Least clearance; UKC", 94.0),
    Column("Remarks", 0.0),
)


def plan_table(matter: Matter) -> Sheet:
    """Return the plan table: a waypoint's leg and turn are never parted between two pages."""
    sheet = Sheet("Plan table", wide=True)
    times = {one.get("waypoint_id"): one for one in matter.part("schedule").get("rows") or []}
    groups = [_group(row, times.get(row.waypoint["id"]) or {})
              for row in rows(matter.inputs, matter.result)]  # fmt: skip
    sheet.table(COLUMNS, groups)
    return sheet


def _group(row: Row, times: Document) -> list[tuple[str, ...]]:
    """Return the rows of one waypoint: the leg that leads there, then itself with its turn."""
    found = []
    if row.given("gap_before"):
        found.append(_blank("HOLE before", "what stood here was not understood; no leg is drawn"))
    if row.leg is not None:
        found.append(_leg_row(row, row.leg))
    found.append(_waypoint_row(row, times))
    return found


def _blank(first: str, remark: str) -> tuple[str, ...]:
    """Return a row that says one thing."""
    return (first, *([""] * (len(COLUMNS) - 2)), remark)


def _leg_row(row: Row, leg: Document) -> tuple[str, ...]:
    """Return the row of a leg."""
    magnetic = inside(leg, "courses", "magnetic_deg")
    shown_m = "" if magnetic is None else f"\n{fig.course(magnetic)} M"
    kind = "" if leg["line"] == "rhumb" else "great circle"
    xtd = [
        f"{name} {fig.given(leg[f'xtd_{name}_nm'], 'NM')}"
        for name in ("port", "starboard")
        if leg[f"xtd_{name}_nm"] is not None
    ]
    remarks = [kind, f"cross-track limit {', '.join(xtd)}" if xtd else "", _stage(leg)]
    return (
        "leg",
        "",
        f"{fig.course_fine(leg['course_deg'])} T{shown_m}",
        fig.nearest(leg["distance_nm"], 2),
        fig.given(leg["speed_kn"], "kn"),
        "",
        "",
        "",
        index_words(leg),
        _left(leg["least_clearance"], row.leg_keel),
        "; ".join(one for one in remarks if one),
    )


def _waypoint_row(row: Row, times: Document) -> tuple[str, ...]:
    """Return the row of a waypoint and its turn."""
    place = row.waypoint
    at = shown(place["lat_deg"], place["lon_deg"]).replace(" ", "\n")
    to_go = times.get("to_go_nm")
    eta = times.get("eta_utc") or times.get("arrival_utc")
    told = f"{place['id']}\n{place['name']}" if place.get("name") else place["id"]
    turn = row.turn
    head = (
        told,
        at,
        "",
        "" if to_go is None else fig.nearest(to_go, 2),
        "" if not eta else f"{eta[5:10]}\n{eta[11:16]}Z",
    )
    if turn is None:
        gap = "HOLE after: no leg is drawn" if row.given("gap_after") else ""
        return (*head, "", "", "", "", "", gap)
    return (
        *head,
        f"{planned_words(turn)}\n{cue_words(turn)}",
        f"{fig.nearest(turn['radius_nm'], 2)}\n{_rate(turn)}",
        order_words(turn),
        index_words(turn),
        _left(inside(turn, "hull", "least") or turn["least_clearance"], row.turn_keel),
        _turn_remark(turn),
    )


def _rate(turn: Document) -> str:
    """Return the rate of turn with its side."""
    rate = turn["rate_of_turn_deg_per_min"]
    return fig.UNKNOWN if rate is None else f"{fig.nearest(abs(rate), 1)} {fig.side(rate)}"


def _turn_remark(turn: Document) -> str:
    """Return how far the course changes, and what is wrong with the turn."""
    change = turn["course_change_deg"]
    words = []
    if change is not None:
        words.append(f"turn {fig.nearest(abs(change), 1)} deg to {turn['side']}")
    if not turn["fits"]:
        words.append("THE TURN DOES NOT FIT")
    if turn["reason"]:
        words.append(turn["reason"])
    return "; ".join(words)


def _stage(leg: Document) -> str:
    """Return the stage of a leg and what is watched on it, where the plan says it."""
    monitoring = leg.get("monitoring")
    if not isinstance(monitoring, dict):
        return ""
    stage = monitoring.get("stage")
    every = inside(monitoring, "fixing", "interval_min")
    words = [str(stage)] if stage else []
    if isinstance(every, int | float):
        words.append(f"fix every {fig.given(every, 'min')}")
    return ", ".join(words)


def _left(least: Document | None, keel: Document | None) -> str:
    """Return the least clearance with its danger, and the water under the keel."""
    words = "no danger measured"
    if least is not None:
        name = least["hazard_name"] or least["hazard_id"]
        words = f"{fig.down(least['clearance_m'], 0, 'm')} {name}, {fig.judged(least['met'])}"
    if keel is None:
        return f"{words}\nUKC not known"
    return f"{words}\nUKC {fig.down(keel['net_ukc_m'], 2, 'm')}, {fig.judged(keel['met'])}"
