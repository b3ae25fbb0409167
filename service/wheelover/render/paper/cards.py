"""Turn cards, two to a page: plan view, wheel-over, orders, window, methods and strips."""

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter, inside
from wheelover.render.paper.plan_view import Drawn, plan_view
from wheelover.render.paper.sheet import Path, Sheet, Text
from wheelover.render.paper.strips import strips
from wheelover.render.paper.type import BODY_PT, LEADING, cut, printable, wrapped
from wheelover.render.paper.words import (
    METHODS,
    cue_words,
    index_words,
    off_track_words,
    order_words,
    set_nm,
)
from wheelover.render.paper.working_sheet import turn_title

_VIEW_PT = (236.0, 208.0)
_STRIPS_PT = 94.0
_BIG_PT = 18.0


def cards(matter: Matter) -> Sheet | None:
    """Return the turn cards, None where there is no turn."""
    turns = matter.result["turns"]
    if not turns:
        return None
    sheet = Sheet("Turn cards")
    drawn = Drawn(matter)
    high = sheet.whole_pt / 2
    for index in range(len(turns)):
        matter.printing.told("drawing the turn cards", index, len(turns))
        if index and index % 2 == 0:
            sheet.begin()
        top = sheet.y_pt + (index % 2) * high
        _card(sheet, matter, drawn, index, top, high)
    return sheet


def _card(sheet: Sheet, matter: Matter, drawn: Drawn, index: int, top: float, high: float) -> None:
    """Write one card from a height downwards."""
    turn = matter.result["turns"][index]
    left, wide = sheet.left_pt, sheet.room_pt
    sheet.put(Text(left, top + 11.0, cut(turn_title(matter, turn), wide, 11.0, True), 11.0, True))
    view_w, view_h = _VIEW_PT
    y = top + 16.0
    sheet.put(*plan_view(matter, drawn, index, (left, y, view_w, view_h)))
    _words(sheet, matter, turn, (left + view_w + 8.0, y, wide - view_w - 8.0, view_h))
    y += view_h + 3.0
    sheet.put(*strips(matter, turn, (left, y, wide, _STRIPS_PT)))
    y += _STRIPS_PT + 10.0
    sheet.put(Text(left, y, "Notes"), Path(((left + 30.0, y + 1.0), (left + wide, y + 1.0)), 0.4))
    if index % 2 == 0:
        rule = top + high - 3.0
        sheet.put(Path(((left, rule), (left + wide, rule)), 1.0))


def _words(
    sheet: Sheet, matter: Matter, turn: Document, box: tuple[float, float, float, float]
) -> None:
    """Write what is told of a turn beside its drawing."""
    left, top, wide, high = box
    distance = set_nm(turn)
    big = "NO WHEEL-OVER" if distance is None else f"WO {fig.nearest(distance, 2, 'NM')}"
    y = top + _BIG_PT * 0.85
    sheet.put(Text(left, y, big, _BIG_PT, True))
    y += 5.0
    step = BODY_PT * LEADING
    room = int((top + high - y) / step)
    lines: list[tuple[str, bool]] = []
    parts = _parts(matter, turn)
    for number, (text, bold, most) in enumerate(parts):
        told = wrapped(text, wide, BODY_PT, bold)
        left_over = room - len(lines) - (len(parts) - number - 1)
        count = max(1, min(most, left_over))
        if len(told) > count:
            told = [*told[: count - 1], cut(f"{told[count - 1]} ...", wide, BODY_PT, bold)]
        lines += [(one, bold) for one in told]
    for text, bold in lines[:room]:
        y += step
        sheet.put(Text(left, y - 2.0, text, BODY_PT, bold))


def _parts(matter: Matter, turn: Document) -> list[tuple[str, bool, int]]:
    """Return what is told, whether heavy, and in how many lines at most."""
    planned = turn["planned"]
    rate = turn["rate_of_turn_deg_per_min"]
    rate_words = "" if rate is None else f", {fig.nearest(abs(rate), 1)} deg/min {fig.side(rate)}"
    rows = [
        (_placed(turn), False, 2),
        (f"R {fig.nearest(turn['radius_nm'], 2, 'NM')}{rate_words}, "
         f"{fig.given(turn['speed_kn'], 'kn')}. Ends {off_track_words(planned)}.", False, 2),
        (f"Marks: {cue_words(turn)}", False, 2),
        (f"Index: {index_words(turn) or 'none is chosen'}", False, 1),
        (f"Orders: {order_words(turn)}", True, 3),
        (_window(turn), False, 3),
    ]  # fmt: skip
    rows += [(_method(row), row["method"] == planned["method"], 1) for row in turn["wheel_overs"]]
    if not turn["fits"]:
        rows.insert(1, ("THE TURN DOES NOT FIT", True, 1))
    rows.append((_not_checked(matter, turn), True, 6))
    return rows


def _placed(turn: Document) -> str:
    """Return the planned wheel-over in every unit."""
    planned = turn["planned"]
    if planned["distance_nm"] is None:
        return str(turn["reason"] or "the method chosen gives none")
    metres = planned["distance_nm"] * 1852.0
    word = METHODS.get(planned["method"], planned["method"])
    counted = " by default" if planned["source"] == "default" else ""
    before = planned["before_waypoint_s"]
    time = "" if before is None else f", {fig.nearest(before, 0, 's')}"
    return (
        f"before {printable(turn['waypoint_id'])} ({fig.nearest(metres / fig.CAB_M, 2, 'cab')}, "
        f"{fig.nearest(metres, 0, 'm')}{time}), {word}{counted}"
    )


def _window(turn: Document) -> str:
    """Return between which wheel-overs every limit held."""
    window = inside(turn, "hull", "window")
    if window is None:
        reason = inside(turn, "hull", "window_reason") or inside(turn, "hull", "reason")
        return f"Window not computed: {reason or turn['reason'] or 'no reason given'}"
    first, last = window["earliest"], window["latest"]
    if first is None or last is None:
        tightest = window["tightest"]
        return "No wheel-over tried held every limit" + (
            "" if tightest is None else f"; tightest: {_bound(tightest)}"
        )
    gaps = ", with gaps" if window["window_count"] > 1 else ""
    return (
        f"Window{gaps} opens {_cab(first['distance_nm'])} ({_bound(first['bound'])}), closes "
        f"{_cab(last['distance_nm'])} ({_bound(last['bound'])}). "
        f"WO to close {fig.down(last['later_s'], 0, 's')}"
    )


def _cab(distance_nm: float) -> str:
    """Return miles in cables."""
    return fig.nearest(distance_nm * 10.0, 2, "cab")


def _bound(bound: Document) -> str:
    """Return what ends a window."""
    named = bound["hazard_name"] or bound["hazard_id"]
    kind = bound["kind"].replace("_", " ")
    limit = "" if bound["limit_m"] is None else f" {fig.given(bound['limit_m'], 'm')}"
    return f"{kind} {named}{limit}" if named else f"{kind}{limit}"


def _method(row: Document) -> str:
    """Return one method's wheel-over and where it leaves her."""
    word = METHODS[row["method"]]
    if row["distance_nm"] is None:
        return f"{word} not computed: {row['reason'] or 'no reason given'}"
    metres = fig.nearest(row["distance_nm"] * 1852.0, 0, "m")
    return f"{word} {_cab(row['distance_nm'])}, {metres}; ends {off_track_words(row)}"


def _not_checked(matter: Matter, turn: Document) -> str:
    """Return what was not checked of a turn."""
    rows = [
        one["title"]
        for one in matter.part("checks").get("rows") or []
        if one["result"] == "not_checked"
        and one["subject"]["kind"] == "turn"
        and one["subject"]["id"] == turn["waypoint_id"]
    ]
    if not rows:
        return "NOT CHECKED: none is reported of this turn"
    return f"NOT CHECKED ({len(rows)}): {', '.join(dict.fromkeys(rows))}"
