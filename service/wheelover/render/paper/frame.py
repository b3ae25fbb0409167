"""What stands at the head and foot of every page: which plan it is, its state, what to remember."""

from collections.abc import Sequence

from wheelover.render.paper.figures import minute
from wheelover.render.paper.matter import Matter
from wheelover.render.paper.sheet import FOOT_PT, HEAD_PT, MARGIN_PT, Page, Path, Text
from wheelover.render.paper.type import BODY_PT, cut, width_pt, wrapped

UNITS = "1 cab = 0.1 NM = 185.2 m. Positions WGS 84. Courses true unless marked. Times UTC."

_LINE_PT = 11.5


def framed(pages: Sequence[Page], matter: Matter) -> None:
    """Put head and foot on every page."""
    for index, page in enumerate(pages):
        _head(page, matter, f"page {index + 1} of {len(pages)}")
        _foot(page, matter)


def state_line(matter: Matter) -> str:
    """Return the state of the plan as every page says it."""
    stamp = matter.stamp
    if stamp.revision is None:
        return "DRAFT, not approved"
    return stamp.standing[0] if stamp.standing else f"Revision {stamp.revision}, state not known"


def identity_line(matter: Matter) -> str:
    """Return plan, revision and the first 8 of the digest."""
    stamp = matter.stamp
    plan = f"Plan {stamp.plan_id}" if stamp.plan_id else "A plan that is not stored"
    if stamp.revision is None:
        return f"{plan}, draft, inputs sha256 {matter.result['inputs_sha256'][:8]}"
    return f"{plan}, r{stamp.revision}, sha256 {(stamp.sha256 or '')[:8]}"


def printed_line(matter: Matter) -> str:
    """Return when it was printed."""
    printed = matter.printing.printed_utc
    return f"printed {minute(printed)}" if printed else "time of printing not given"


def _head(page: Page, matter: Matter, number: str) -> None:
    """Write the head of a page."""
    left, right = MARGIN_PT, page.width_pt - MARGIN_PT
    name = matter.result["name"] or "A route without a name"
    told = "DEMONSTRATION. " if matter.stamp.demonstration else ""
    part_pt = width_pt(page.part, BODY_PT, True) + 12.0
    y_pt = MARGIN_PT + 9.0
    room_pt = right - left - part_pt
    page.marks.append(Text(left, y_pt, cut(told + name, room_pt, 10.0, True), 10.0, True))
    page.marks.append(Text(right, y_pt, page.part, BODY_PT, True, "end"))
    y_pt += _LINE_PT
    end = f"{printed_line(matter)}, {number}"
    room_pt = right - left - width_pt(end, BODY_PT) - 12.0
    page.marks.append(Text(left, y_pt, cut(identity_line(matter), room_pt)))
    page.marks.append(Text(right, y_pt, end, BODY_PT, False, "end"))
    y_pt += _LINE_PT
    state = state_line(matter)
    page.marks.append(Text(left, y_pt, cut(state, right - left, bold=True), BODY_PT, True))
    y_pt = MARGIN_PT + HEAD_PT - 4.0
    page.marks.append(Path(((left, y_pt), (right, y_pt)), 1.0))


def _foot(page: Page, matter: Matter) -> None:
    """Write the foot of a page: units, basis, and what was not checked."""
    left, right = MARGIN_PT, page.width_pt - MARGIN_PT
    room_pt = right - left - 8.0
    top_pt = page.height_pt - MARGIN_PT - FOOT_PT + 4.0
    foot_pt = page.height_pt - MARGIN_PT
    box = ((left, top_pt), (right, top_pt), (right, foot_pt), (left, foot_pt))
    page.marks.append(Path(box, 0.5, closed=True))
    unchecked = _fitted(not_checked_line(matter), room_pt, 2)
    lines = [cut(UNITS, room_pt), cut(basis_line(matter), room_pt), *unchecked]
    y_pt = top_pt + 11.0
    for index, line in enumerate(lines):
        page.marks.append(Text(left + 4.0, y_pt, line, BODY_PT, index >= 2))
        y_pt += _LINE_PT


def _fitted(text: str, room_pt: float, count: int) -> list[str]:
    """Return a text in so many lines at most, the last of them cut."""
    lines = wrapped(text, room_pt, BODY_PT, bold=True)
    if len(lines) <= count:
        return lines
    return [*lines[: count - 1], cut(" ".join(lines[count - 1 :]), room_pt, BODY_PT, True)]


def basis_line(matter: Matter) -> str:
    """Return how many inputs there are, and which were filled in by default."""
    rows = matter.rows("basis")
    filled = [one["input"].replace("_", " ") for one in rows if one["source"] == "default"]
    told = f"{len(filled)} by DEFAULT: {', '.join(filled)}" if filled else "none by default"
    return f"Basis: {len(rows)} inputs, {told}"


def not_checked_line(matter: Matter) -> str:
    """Return what was not checked, in few words."""
    open_rows = [one for one in matter.rows("findings") if one["grade"] == "not_checked"]
    if not open_rows:
        return "NOT CHECKED: none is reported."
    titles = dict.fromkeys(one["code"].replace("_", " ") for one in open_rows)
    return f"NOT CHECKED: {len(open_rows)} findings, see the cover: {', '.join(titles)}"
