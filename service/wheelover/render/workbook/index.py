"""The sheet of lines to steer by: index lines, clearing lines, transits, bends, what has none."""

from collections.abc import Iterator

from wheelover.render.exports.stamp import Document
from wheelover.render.workbook.flat import Cell, unfolded

Rows = Iterator[dict[str, Cell]]


def index_rows(result: Document) -> Rows:
    """Yield every line to steer by of the legs and turns, and what is told beside them."""
    for leg in result["legs"]:
        of: dict[str, Cell] = {"of": f"leg {leg['to_id']}"}
        yield from _leg_index(leg.get("index_lines"), of)
        yield from _clearing(leg.get("clearing_lines"), of)
        for one in leg.get("transits") or []:
            yield from unfolded(one, "transit", of)
    for turn in result["turns"]:
        yield from _bend(turn.get("index_lines"), {"of": f"turn {turn['waypoint_id']}"})


def _leg_index(index: Document | None, of: dict[str, Cell]) -> Rows:
    """Yield the index lines of a leg, each with its limits, and where there is none."""
    if index is None:
        return
    for line in index["rows"]:
        limits = {one["word"]: one for one in line["limits"]}
        yield from unfolded({**line, **limits}, "index line", of, ("limits",))
    for one in index["not_served"]:
        yield from unfolded(one, "NOT SERVED by an index line", of)
    for one in index["not_usable"]:
        yield from unfolded(one, "gives no index line", of)
    leave = ("rows", "not_served", "not_usable")
    yield from unfolded(index, "index lines of the leg", of, leave)


def _clearing(clearing: Document | None, of: dict[str, Cell]) -> Rows:
    """Yield the clearing bearings and ranges of a leg, and what they do not clear."""
    if clearing is None:
        return
    for word, member in (("bearing", "bearings"), ("range", "ranges")):
        for line in clearing[member]:
            what = f"clearing {word}"
            yield from unfolded(line, what, of, ("not_cleared",))
            known = {**of, "mark_id": line["mark_id"], "mark_name": line["mark_name"]}
            for one in line.get("not_cleared") or []:
                yield from unfolded(one, f"NOT CLEARED by the {what}", known)
    for one in clearing["none_for"]:
        yield from unfolded(one, "NO CLEARING LINE for this danger", of)
    for one in clearing["not_usable"]:
        yield from unfolded(one, "gives no clearing line", of)
    if clearing["reason"] is not None:
        yield {"row": "no clearing line", **of, "reason": clearing["reason"]}


def _bend(bend: Document | None, of: dict[str, Cell]) -> Rows:
    """Yield the index lines of a bend."""
    if bend is None:
        return
    yield from unfolded(bend, "bend", of, ("rows",))
    for one in bend["rows"]:
        yield from unfolded(one, "object in the bend", of)
