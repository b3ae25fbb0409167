"""Pilot card and the sheet of the exchange of master and pilot, with room for the pilot's part.

The fields are those of A.601(15), appendix 1 (from memory), as far as the plan knows them; what it
does not know is left to be written, never filled in.
"""

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter
from wheelover.render.paper.sheet import Column, Group, Sheet
from wheelover.render.paper.words import order_words, set_nm
from wheelover.render.workbook.flat import Cell, flattened, head_of, unit_of

BLANK = "____________"

_TWO = (Column("", 170.0, bold=True), Column("", 0.0))


def pilot_card(matter: Matter) -> Sheet | None:
    """Return the pilot card and the exchange sheet, None where there is no ship."""
    if not matter.ship:
        return None
    sheet = Sheet("Pilot card and exchange")
    _card(sheet, matter)
    _turning(sheet, matter.ship)
    sheet.begin()
    _exchange(sheet, matter)
    return sheet


def _card(sheet: Sheet, matter: Matter) -> None:
    """Write the ship as she is now, and what somebody fills in."""
    ship = matter.ship
    sheet.heading("Pilot card")
    rows = [
        ("Ship", str(ship.get("name") or BLANK)),
        ("Call sign; IMO number", f"{_word(ship, 'call_sign')}; {_word(ship, 'imo_number')}"),
        ("Length overall; beam", f"{_m(ship, 'loa_m')}; {_m(ship, 'beam_m')}"),
        ("Draught fore; aft", f"{_m(ship, 'draught_fore_m')}; {_m(ship, 'draught_aft_m')}"),
        ("Air draught", _m(ship, "air_draught_m")),
        ("Displacement", _with(ship, "displacement_t", "t")),
        ("Bridge from the bow", _m(ship, "bridge_from_bow_m")),
        ("Rudder: most; hard over at", f"{_with(ship, 'max_rudder_deg', 'deg')}; "
         f"{_with(ship, 'rudder_rate_deg_per_s', 'deg/s')}"),
        ("Propulsion", _word(ship, "propulsion")),
        ("Turn radius: planned; least", f"{_with(ship, 'turn_radius_nm', 'NM')}; "
         f"{_with(ship, 'min_turn_radius_nm', 'NM')}"),
        ("Largest rate of turn", _with(ship, "max_rate_of_turn_deg_per_min", "deg/min")),
    ]  # fmt: skip
    given = matter.part("pilot_card") or ship.get("pilot_card")
    known = flattened(given) if isinstance(given, dict) else {}
    rows += [(head_of(name), _cell(name, value)) for name, value in known.items()]
    if not known:
        rows += [(name, BLANK) for name in _TO_FILL]
    sheet.table(_TWO, [[one] for one in rows])
    for one in given.items() if isinstance(given, dict) else ():
        _list(sheet, *one)


_TO_FILL = (
    "Engine orders, rpm or pitch, speed loaded and ballast",
    "Critical revolutions; astern power",
    "Full ahead to full astern, s",
    "Thrusters; their power",
    "Anchor chain, shackles port; stbd",
    "Equipment checked; defects",
)


def _list(sheet: Sheet, name: str, value: object) -> None:
    """Write a list of the pilot card as a table."""
    if not isinstance(value, list) or not value or not isinstance(value[0], dict):
        return
    rows = [flattened(one) for one in value]
    names = list(rows[0])
    sheet.heading(head_of(name))
    columns = [Column(head_of(one), 0.0) for one in names]
    sheet.table(columns, [[[_cell(one, row.get(one)) for one in names]] for row in rows])


def _cell(name: str, value: Cell) -> str:
    """Return a value of the card with its unit."""
    if value is None or value == "":
        return BLANK
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        unit = unit_of(name)
        return fig.given(float(value), "" if unit in ("count", "ratio", "number") else unit)
    return value


def _word(ship: Document, member: str) -> str:
    """Return a word of the ship, or room to write it."""
    value = ship.get(member)
    return BLANK if value is None else str(value).replace("_", " ")


def _m(ship: Document, member: str) -> str:
    """Return a length of the ship, or room to write it."""
    return _with(ship, member, "m")


def _with(ship: Document, member: str, unit: str) -> str:
    """Return a number of the ship with its unit, or room to write it."""
    value = ship.get(member)
    return f"{BLANK} {unit}" if value is None else fig.given(value, unit)


def _turning(sheet: Sheet, ship: Document) -> None:
    """Write turning tables and stopping trials of the ship's papers."""
    tables = ship.get("turn_tables") or []
    columns = (
        Column("Turning table", 0.0),
        Column("Rudder", 56.0, right=True),
        Column("Speed", 50.0, right=True),
        Column("Heading deg: advance / transfer m", 270.0),
    )
    groups: list[Group] = [
        [(
            ", ".join(str(one[name]) for name in ("loading", "side", "source") if one.get(name)),
            fig.given(one["rudder_deg"], "deg"),
            fig.given(one["speed_kn"], "kn"),
            "; ".join(f"{fig.given(row['heading_change_deg'])}: {fig.given(row['advance_m'])} / "
                      f"{fig.given(row['transfer_m'])}" for row in one["rows"]),
        )]
        for one in tables
    ]  # fmt: skip
    if groups:
        sheet.heading("Turning, from the ship's papers: calm, deep water, as stated")
        sheet.table(columns, groups)
    stops = ship.get("stopping") or []
    if stops:
        sheet.heading("Stopping trials")
        sheet.table(
            (Column("Order", 0.0), Column("Speed", 80.0, right=True),
             Column("Track reach", 90.0, right=True), Column("Time", 80.0, right=True)),
            [[(
                ", ".join(str(one[name]) for name in ("engine_order", "source") if one.get(name)),
                fig.given(one["speed_kn"], "kn"),
                fig.given(one["track_reach_m"], "m"),
                fig.given(one.get("time_s"), "s"),
            )] for one in stops],
        )  # fmt: skip


_AGREED = (
    "Pilot; boarded at, UTC",
    "Berth or anchorage; side to",
    "Tugs: number, power, where made fast",
    "Tide, stream and wind now",
    "Traffic; reporting; channels",
    "Depth limits and UKC agreed",
    "Abort points; contingency agreed",
    "Defects told to the pilot",
)


def _exchange(sheet: Sheet, matter: Matter) -> None:
    """Write what master and pilot compare, with room for the pilot's intentions."""
    sheet.heading("Master and pilot: exchange")
    sheet.paragraph(
        "The ship's plan beside what the pilot intends. A difference in track, speed, tugs or "
        "depth is written down, and the plan is amended before it is followed."
    )
    sheet.table(_TWO, [[(name, BLANK)] for name in _AGREED])
    columns = (
        Column("Leg, turn", 0.0, bold=True),
        Column("Ship's plan", 260.0),
        Column("Pilot intends", 150.0),
    )
    groups: list[Group] = []
    turns = {one["waypoint_id"]: one for one in matter.result["turns"]}
    for leg in matter.result["legs"]:
        speed = fig.given(leg["speed_kn"], "kn")
        pair = [
            (f"leg to {leg['to_id']}", f"{fig.course_fine(leg['course_deg'])} T, {speed}", BLANK)
        ]
        turn = turns.get(leg["to_id"])
        if turn is not None:
            plan = f"WO {fig.nearest(set_nm(turn), 2, 'NM')}; {order_words(turn)}"
            pair.append((f"turn {matter.name_of(leg['to_id'])}", plan, BLANK))
        groups.append(pair)
    sheet.table(columns, groups)
    sheet.skip()
    sheet.need(50.0)
    sheet.table((Column("Master", 0.0), Column("Pilot", 0.0), Column("UTC", 120.0)),
                [[("\n\n", "", "")]])  # fmt: skip
