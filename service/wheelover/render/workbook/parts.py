"""Parts of a plan as rows of sheets: all that they hold, lists within lists and all."""

from wheelover.render.exports.stamp import Document
from wheelover.render.workbook.flat import Cell, flattened, unfolded

Rows = list[dict[str, Cell]]

TURN_LEAVES = ("wheel_overs", "near", "cues", "index_lines", "land")
"""Members of a turn that have sheets of their own, or stand in others."""

_LEG_LEAVES = ("near", "index_lines", "clearing_lines", "transits", "monitoring", "land")


def schedule_rows(result: Document) -> Rows:
    """Return the schedule: the whole, then all its lists, each row saying what it is."""
    schedule = result.get("schedule")
    if not isinstance(schedule, dict):
        return []
    found: Rows = []
    for row in unfolded(schedule, "", {}):
        found.append({**row, "row": _WORDS.get(str(row["row"]), row["row"])})
    return found


_WORDS = {"": "whole", "row": "waypoint", "fuel fuel": "fuel"}


def cue_rows(result: Document) -> Rows:
    """Return every ranked cue of every turn, which were chosen, and what is set and warned."""
    found: Rows = []
    for turn in result["turns"]:
        cues = turn.get("cues")
        if not isinstance(cues, dict):
            continue
        of: dict[str, Cell] = {"waypoint_id": turn["waypoint_id"]}
        for number, one in enumerate(cues["rows"]):
            chosen = [place for place in ("first", "second") if cues[place] == number]
            found += unfolded(one, "cue", {**of, "chosen": ", ".join(chosen)})
        found += unfolded(cues, "wheel-over", of, ("rows", "first", "second"))
    return found


def watch_rows(result: Document) -> Rows:
    """Return what is planned for the bridge team on every leg."""
    return [
        row
        for leg in result["legs"]
        if isinstance(leg.get("monitoring"), dict)
        for row in unfolded(leg["monitoring"], "leg", {"to_id": leg["to_id"]})
    ]


def contingency_rows(contingencies: list[Document]) -> Rows:
    """Return contingencies, and after each the legs, turns and findings of its own plan."""
    found: Rows = []
    for one in contingencies:
        found += unfolded(one, "contingency", {}, ("plan",))
        of: dict[str, Cell] = {"of_id": one["id"]}
        plan = one["plan"]
        for what, member, leave in (
            ("leg", "legs", _LEG_LEAVES),
            ("turn", "turns", TURN_LEAVES),
            ("finding", "findings", ()),
        ):
            found += [
                {"row": f"contingency, {what}", **of, **flattened(row, leave)}
                for row in plan[member]
            ]
    return found


def listed(found: Document | list[Document], what: str) -> Rows:
    """Return a member as rows, whether it is a list or an object of lists."""
    if isinstance(found, list):
        return [row for one in found for row in unfolded(one, what, {})]
    rows = [row for one in found.get("rows", ()) for row in unfolded(one, what, {})]
    return [*rows, *unfolded(found, "" if not what else f"all {what}s", {}, ("rows",))]
