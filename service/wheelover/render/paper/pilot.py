"""Pilot card and the sheet of the exchange of master and pilot, with room for the pilot's part.

The fields are those of A.601(15), appendix 1 (from memory), as far as the plan knows them; what it
does not know is left to be written, never filled in.
"""

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter
from wheelover.render.paper.sheet import Column, Group, Sheet
from wheelover.render.paper.watch import place_words
from wheelover.render.paper.words import order_words, set_nm
from wheelover.render.workbook.flat import Cell, unit_of

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
    """Write the ship as she is now, and room for what nobody has said."""
    ship = matter.ship
    card = matter.part("pilot_card") or {**ship, **(ship.get("pilot_card") or {})}
    sheet.heading("Pilot card")
    rows = [(words, "; ".join(_said(card, one) for one in of)) for words, *of in _ROWS]
    rows += [
        ("Bridge from the bow", _m(ship, "bridge_from_bow_m")),
        ("Rudder rate", _with(ship, "rudder_rate_deg_per_s", "deg/s")),
        ("Turn radius: planned; least", f"{_with(ship, 'turn_radius_nm', 'NM')}; "
         f"{_with(ship, 'min_turn_radius_nm', 'NM')}"),
        ("Largest rate of turn", _with(ship, "max_rate_of_turn_deg_per_min", "deg/min")),
    ]  # fmt: skip
    rows += [(words, BLANK) for member, words in _LISTS.items() if not card.get(member)]
    if card.get("missing"):
        rows.append(("NOT SAID", ", ".join(card["missing"])))
    sheet.table(_TWO, [[one] for one in rows])
    for member, words in _LISTS.items():
        _list(sheet, words, _HEADS[member], card.get(member))


_ROWS: tuple[tuple[str, ...], ...] = (
    ("Ship", "name"),
    ("Call sign; IMO number", "call_sign", "imo_number"),
    ("Length overall; beam", "loa_m", "beam_m"),
    ("Draught fore; midships; aft", "draught_fore_m", "draught_midships_m", "draught_aft_m"),
    ("Air draught", "air_draught_m"),
    ("Displacement; loading", "displacement_t", "loading"),
    ("Bulbous bow", "bulbous_bow"),
    ("Chain, shackles: port; starboard; stern", "chain_port_shackles_count",
     "chain_starboard_shackles_count", "chain_stern_shackles_count"),
    ("Engine: type; power", "engine_type", "max_power_kw"),
    ("Propulsion", "propulsion"),
    ("Critical revolutions: from; to", "critical_from_rpm", "critical_to_rpm"),
    ("Power astern over that ahead", "astern_power_ratio"),
    ("Full ahead to full astern", "ahead_to_astern_s"),
    ("Most starts in a row", "most_starts_count"),
    ("Rudder: type; most", "rudder_type", "max_rudder_deg"),
    ("Hard over to hard over; neutral, starboard +", "hard_over_s", "neutral_rudder_deg"),
    ("Defects", "defects"),
)  # fmt: skip
"""Rows of the card: words, and the members whose values stand in it."""

_LISTS = {
    "engine_orders": "Engine orders",
    "thrusters": "Thrusters",
    "equipment": "Equipment checked",
}
_HEADS = {
    "engine_orders": {
        "order": "Order", "propeller_rpm": "Propeller", "pitch_ratio": "Pitch ratio",
        "laden_speed_kn": "Speed laden", "ballast_speed_kn": "Speed in ballast"},
    "thrusters": {"place": "Place", "power_kw": "Power"},
    "equipment": {"item": "Item", "checked": "Checked", "at_utc": "At, UTC", "remark": "Remark"},
}  # fmt: skip
"""Members of the card that are lists; stopping trials stand beside the turning tables."""


def _said(card: Document, member: str) -> str:
    """Return a value of the card with its unit, or room to write both."""
    value = card.get(member)
    if value is None or value == "":
        return f"{BLANK} {_unit(member)}".rstrip()
    return _cell(member, value.replace("_", " ") if member == "propulsion" else value)


def _unit(member: str) -> str:
    """Return the unit of a member of the card."""
    unit = next((word for end, word in _CARD_UNITS.items() if member.endswith(end)), "")
    found = unit or unit_of(member)
    return "" if found in ("count", "ratio", "number") else found


_CARD_UNITS = {"_kw": "kW", "_rpm": "rpm"}


def _list(sheet: Sheet, words: str, heads: dict[str, str], rows: list[Document] | None) -> None:
    """Write a list of the pilot card as a table."""
    if not rows:
        return
    sheet.heading(words)
    columns = [Column(head, 0.0) for head in heads.values()]
    sheet.table(columns, [[tuple(_said(row, name) for name in heads)] for row in rows])


def _cell(name: str, value: Cell) -> str:
    """Return a value of the card with its unit."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return fig.given(float(value), _unit(name))
    return fig.minute(value) if name.endswith("_utc") else str(value)


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
    agreed = matter.part("pilot_card").get("exchange") or {}
    by_leg = {one["to_id"]: one for one in agreed.get("legs") or []}
    turns = {one["waypoint_id"]: one for one in matter.result["turns"]}
    for leg in matter.result["legs"]:
        speed = fig.given(leg["speed_kn"], "kn")
        plan = f"{fig.course_fine(leg['course_deg'])} T, {speed}"
        more = _agreed_words(by_leg.get(leg["to_id"]))
        pair = [(f"leg to {leg['to_id']}", "\n".join([plan, *more]), BLANK)]
        turn = turns.get(leg["to_id"])
        if turn is not None:
            plan = f"WO {fig.nearest(set_nm(turn), 2, 'NM')}; {order_words(turn)}"
            pair.append((f"turn {matter.name_of(leg['to_id'])}", plan, BLANK))
        groups.append(pair)
    sheet.table(columns, groups)
    for member, words in (("point_ids", "Points of action"), ("contingency_ids", "Contingencies")):
        if agreed.get(member):
            sheet.paragraph(f"{words} on these legs: {', '.join(agreed[member])}.")
    sheet.skip()
    sheet.need(50.0)
    sheet.table((Column("Master", 0.0), Column("Pilot", 0.0), Column("UTC", 120.0)),
                [[("\n\n", "", "")]])  # fmt: skip


def _agreed_words(leg: Document | None) -> list[str]:
    """Return what is planned on a leg of pilotage beside course and speed, a line for each."""
    if leg is None:
        return []
    rows = [f"{leg['stage']}, {fig.nearest(leg['distance_nm'], 2, 'NM')}"]
    for member, words in (("order_laden", "laden"), ("order_ballast", "in ballast")):
        order = leg[member]
        if order is not None:
            rows.append(f"{words}: {order['order']}, {fig.given(order['speed_kn'], 'kn')}")
    limits = [
        f"{fig.given(leg[f'xtd_{side}_nm'], 'NM')} {side}"
        for side in ("port", "starboard")
        if leg[f"xtd_{side}_nm"] is not None
    ]
    rows.append(f"cross-track limit: {', '.join(limits) or 'none given'}")
    rows += [f"{name}: {leg[name]}" for name in ("pilot", "tugs", "machinery") if leg[name]]
    for member, words in (("no_return", "no return"), ("abort", "abort")):
        if leg[member] is not None:
            rows.append(f"{words}: {place_words(leg[member], early=True)}".replace("\n", ", "))
    return rows
