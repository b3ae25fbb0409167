"""Water under the keel and over the mast: every sum with its terms, open to be added up."""

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter
from wheelover.render.paper.sheet import Column, Sheet


def keel(matter: Matter) -> Sheet | None:
    """Return the sums of depth; of a plan without any the cover says that none is computed."""
    sums = matter.part("depths")
    rows, over = sums.get("keel") or [], sums.get("mast") or []
    if not rows and not over:
        return None
    sheet = Sheet("Under-keel clearance", wide=True)
    sheet.heading("Under-keel clearance")
    if rows:
        sheet.paragraph(
            "Terms in metres, each rounded to the centimetre in the cautious direction before it "
            "is added; what is taken off is negative. Net is what is left under way."
        )
        sheet.table(_KEEL, [[_keel(one)] for one in rows])
    _missing(sheet, matter, rows)
    if over:
        sheet.heading("Clearance over the mast")
        sheet.table(_MAST, [[_mast(one)] for one in over])
    return sheet


_KEEL = (
    Column("Of", 62.0, bold=True),
    Column("Terms", 0.0),
    Column("Static m", 46.0, right=True),
    Column("Net m", 44.0, right=True, bold=True),
    Column("Required m; by", 92.0),
    Column("", 56.0, bold=True),
    Column("Tide needed m", 48.0, right=True),
    Column("Speed; limit kn", 52.0, right=True),
    Column("Not known, notes", 170.0),
)

_MAST = (
    Column("Of", 62.0, bold=True),
    Column("Beneath", 120.0, bold=True),
    Column("Terms", 0.0),
    Column("Clearance m", 62.0, right=True, bold=True),
    Column("Required m; by", 110.0),
    Column("", 60.0, bold=True),
    Column("Not known", 150.0),
)


def _of(one: Document) -> str:
    """Return which piece a sum is of."""
    return f"{'turn' if one['piece']['kind'] == 'turn' else 'leg to'} {one['waypoint_id']}"


def _terms(one: Document) -> str:
    """Return the terms of a sum with their sources."""
    told = []
    for term in one["terms"]:
        value = fig.nearest(term["value_m"], 2)
        source = f" ({term['source']})" if term["source"] else ""
        told.append(f"{term['term'].replace('_', ' ')} {value}{source}")
    return "; ".join(told)


def _required(one: Document, member: str) -> str:
    """Return what is required and by whom."""
    if one[member] is None:
        return "none is required"
    by = one["required_by"]
    return f"{fig.up(one[member], 2)}\n{by or ''}".strip().replace("_", " ")


def _keel(one: Document) -> tuple[str, ...]:
    """Return a sum of water under the keel."""
    speeds = f"{fig.nearest(one['speed_kn'], 1)}\n{fig.down(one['limiting_speed_kn'], 1)}"
    left_out = [f"left out: {name}" for name in one["left_out"]]
    return (
        _of(one),
        _terms(one),
        fig.down(one["static_ukc_m"], 2),
        fig.down(one["net_ukc_m"], 2),
        _required(one, "required_ukc_m"),
        fig.judged(one["met"]),
        fig.up(one["tide_needed_m"], 2),
        speeds,
        "; ".join([*left_out, *one["notes"]]),
    )


def _mast(one: Document) -> tuple[str, ...]:
    """Return a sum of clearance over the mast."""
    return (
        _of(one),
        str(one["hazard_name"] or one["hazard_id"]),
        _terms(one),
        fig.down(one["clearance_m"], 2),
        _required(one, "required_m"),
        fig.judged(one["met"]),
        ", ".join(one["left_out"]),
    )


def _missing(sheet: Sheet, matter: Matter, rows: list[Document]) -> None:
    """Write of which legs and turns no depth is known."""
    known = {(one["piece"]["kind"], one["waypoint_id"]) for one in rows}
    legs = [one["to_id"] for one in matter.result["legs"] if ("leg", one["to_id"]) not in known]
    turns = [
        one["waypoint_id"]
        for one in matter.result["turns"]
        if ("turn", one["waypoint_id"]) not in known
    ]
    for kind, names in (("legs to", legs), ("turns", turns)):
        if names:
            sheet.paragraph(f"No sum for {kind} {', '.join(names)}.")
