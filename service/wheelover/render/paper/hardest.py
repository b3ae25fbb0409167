"""The hardest places of a plan, each with where it is: what a master looks at first."""

from collections.abc import Iterable
from typing import Any

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter, inside
from wheelover.render.paper.sheet import Column, Sheet


def hardest(sheet: Sheet, matter: Matter) -> None:
    """Write tightest turn, least clearance, least water and shortest time to close."""
    sheet.heading("Hardest places")
    columns = (Column("", 128.0, bold=True), Column("", 120.0, bold=True), Column("", 0.0))
    rows = (_tightest(matter), _clearance(matter), _water(matter), _window(matter))
    sheet.table(columns, [[one] for one in rows])


def _least(rows: Iterable[tuple[Any, str]]) -> tuple[float, str] | None:
    """Return the least of values with their places, None of none."""
    known = [(float(value), place) for value, place in rows if value is not None]
    return min(known) if known else None


def _tightest(matter: Matter) -> tuple[str, str, str]:
    """Return the turn of the least radius."""
    found = _least((one["radius_nm"], one["waypoint_id"]) for one in matter.result["turns"])
    if found is None:
        return ("Tightest turn", fig.UNKNOWN, "no turn has a radius")
    return ("Tightest turn", f"R {fig.nearest(found[0], 2, 'NM')}", matter.name_of(found[1]))


def _clearance(matter: Matter) -> tuple[str, str, str]:
    """Return the least clearance of any piece of the track, of the hull where it was swept."""
    rows = [(one["least_clearance"], f"leg to {one['to_id']}") for one in matter.result["legs"]]
    for turn in matter.result["turns"]:
        least = inside(turn, "hull", "least") or turn["least_clearance"]
        rows.append((least, f"turn {turn['waypoint_id']}"))
    known = [(one, place) for one, place in rows if one is not None]
    if not known:
        return ("Least clearance", fig.UNKNOWN, "no danger was measured near the track")
    one, place = min(known, key=lambda pair: float(pair[0]["clearance_m"]))
    named = one["hazard_name"] or one["hazard_id"]
    words = f"{named}, {place}; {fig.judged(one['met'])}"
    return ("Least clearance", fig.down(one["clearance_m"], 0, "m"), words)


def _water(matter: Matter) -> tuple[str, str, str]:
    """Return the least water under the keel."""
    rows: list[Document] = matter.part("depths").get("keel") or []
    known = [one for one in rows if one["net_ukc_m"] is not None]
    if not known:
        return ("Least UKC", "NOT COMPUTED", "no depth under the track is known")
    one = min(known, key=lambda row: float(row["net_ukc_m"]))
    kind = "turn" if one["piece"]["kind"] == "turn" else "leg to"
    words = f"{kind} {one['waypoint_id']}; {fig.judged(one['met'])}"
    return ("Least UKC", fig.down(one["net_ukc_m"], 2, "m"), words)


def _window(matter: Matter) -> tuple[str, str, str]:
    """Return the shortest time from a wheel-over to the end of its window, or that one is empty."""
    turns = matter.result["turns"]
    empty = [
        one["waypoint_id"]
        for one in turns
        if inside(one, "hull", "window") is not None
        and inside(one, "hull", "window", "latest") is None
    ]
    if empty:
        return ("WO to close", "NO WINDOW", f"turn {', '.join(empty)}")
    found = _least(
        (inside(one, "hull", "window", "latest", "later_s"), one["waypoint_id"]) for one in turns
    )
    if found is None:
        return ("WO to close", fig.UNKNOWN, "no window is computed")
    return ("WO to close", fig.down(found[0], 0, "s"), f"turn {matter.name_of(found[1])}")
