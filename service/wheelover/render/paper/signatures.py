"""The signature block: prepared, checked, approved, and read by who keeps a watch by it."""

from wheelover.render.paper.frame import identity_line, state_line
from wheelover.render.paper.matter import Matter
from wheelover.render.paper.sheet import Column, Sheet

_ROLES = (
    "Prepared by",
    "Checked by a second person",
    "Master",
    *(["Read, officer of the watch"] * 4),
    "Shore, beside the master",
)


def signatures(matter: Matter) -> Sheet:
    """Return the signature block with what stands on record."""
    sheet = Sheet("Signatures")
    sheet.heading("Signatures")
    sheet.paragraph(f"{identity_line(matter)}. {state_line(matter)}", bold=True)
    sheet.paragraph(
        "A signature is for this revision and this digest alone. What was decided on record stands "
        "on the cover."
    )
    if matter.stamp.demonstration:
        sheet.paragraph("DEMONSTRATION: it cannot be approved.", bold=True)
    sheet.skip()
    columns = (
        Column("", 150.0, bold=True),
        Column("Name, rank", 0.0),
        Column("Signature", 130.0),
        Column("Date, UTC", 100.0),
    )
    sheet.table(columns, [[(role, "\n\n", "", "")] for role in _ROLES])
    sheet.heading("Amendments under way: when, what, why, by whom")
    sheet.table(
        (Column("UTC", 80.0), Column("What and why", 0.0), Column("By", 110.0)),
        [[("\n", "", "")] for _ in range(6)],
    )
    return sheet
