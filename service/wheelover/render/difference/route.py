"""What differs in the route as it was asked for: waypoints, their wishes, their order."""

from collections.abc import Iterator
from typing import Any

from wheelover.formats.positions import shown
from wheelover.render.difference.change import PLAN, Change, Figure, Where, pointer_to
from wheelover.render.difference.named import Places, leg_name, turn_name, waypoint_name
from wheelover.render.difference.pairs import Both, Numbering, Row, keyed, matched, rest_of
from wheelover.render.difference.words import (
    WORDS,
    moved_said,
    number,
    was_now,
    was_now_given,
    word_and_unit,
)

Document = dict[str, Any]
Asked = dict[tuple[str, str], dict[str, Figure]]

_AT = "/inputs/route/waypoints"
_REPEATED = {
    "leg": (
        "line",
        "speed_kn",
        "xtd_port_nm",
        "xtd_starboard_nm",
        "min_clearance_m",
        "set_deg",
        "drift_kn",
        "water",
    ),
    "turn": ("steering",),
}
"""Wishes that the answer repeats under the same name: where both agree, they are said once."""


def route_changes(was: Document, now: Document, numbering: Numbering, places: Places,
                  asked: Asked) -> Iterator[Change]:  # fmt: skip
    """Yield what differs in the route of two documents.

    Parameters
    ----------
    was, now : dict
        Revision documents.
    numbering : Numbering
        Which waypoint has which number.
    places : Places
        Where they lie.
    asked : dict
        Is filled with the wishes that the answer repeats, by kind and waypoint: the change of the
        answer speaks for them.
    """
    both = Both(
        was["inputs"]["route"], now["inputs"]["route"], "/inputs/route", "/inputs/route", numbering
    )
    figures = both.take("name")
    if figures:
        old, new = both.was.get("name"), both.now.get("name")
        yield Change(
            kind="route", about=PLAN, what="name", was=old, now=new, figures=figures,
            sentence=f"Route {was_now(old, new)}",
        )  # fmt: skip
    both.taken.add("waypoints")
    yield from _order(numbering)
    results = _results(was), _results(now)
    pairs = matched(
        keyed(both.was["waypoints"], lambda _, one: one["id"]),
        keyed(both.now["waypoints"], lambda _, one: one["id"]),
    )
    for one, old_row, new_row in pairs:
        if old_row is None or new_row is None:
            yield _come_or_gone(one, old_row, new_row, numbering, places)
        elif old_row[1] != new_row[1]:
            yield from _waypoint(one, old_row, new_row, numbering, places, (results, asked))
    yield from _carried(both)
    yield from rest_of("route", PLAN, "Route", both)


def _results(document: Document) -> dict[tuple[str, str], Document]:
    """Return the legs and turns of the answer, by kind and waypoint."""
    result = document["result"]
    legs = {("leg", one["to_id"]): one for one in result["legs"]}
    return {**legs, **{("turn", one["waypoint_id"]): one for one in result["turns"]}}


def _order(numbering: Numbering) -> Iterator[Change]:
    """Yield, once, that waypoints have other numbers, and that their order is another."""
    old, new = numbering.ids["waypoint"]
    was, now = numbering.places["waypoint"]
    kept = [one for one in new if one in was]
    if kept != [one for one in old if one in now]:
        order = "the waypoints that both have stand in another order"
        yield Change(
            kind="route", about=PLAN, what="order", was=old, now=new,
            sentence=f"Order of the waypoints: {order}, now {_listed(kept)}, "
            f"was {_listed([one for one in old if one in now])}",
            figures=(Figure(pointer=_AT, was=old, now=new),),
        )  # fmt: skip
    runs: list[list[int]] = []
    for one in kept:
        if was[one] == now[one]:
            continue
        last = runs[-1] if runs else None
        if last and (last[1] + 1, last[3] + 1) == (was[one], now[one]):
            last[1], last[3] = was[one], now[one]
        else:
            runs.append([was[one], was[one], now[one], now[one]])
    if runs:
        said = "; ".join(f"{_span(a, b)} now {_span(c, d)}" for a, b, c, d in runs[:6])
        more = f"; and {len(runs) - 6} more" if len(runs) > 6 else ""
        yield Change(
            kind="route", about=PLAN, what="renumbered", sentence=f"Renumbered: {said}{more}",
            figures=tuple(
                Figure(pointer=f"{_AT}/{now[one]}", was=was[one], now=now[one])
                for one in kept if was[one] != now[one]
            ),
        )  # fmt: skip


def _listed(ids: list[str]) -> str:
    """Return ids in a sentence, the first of them where they are many."""
    return ", ".join(ids[:12]) + (" ..." if len(ids) > 12 else "")


def _span(first: int, last: int) -> str:
    """Return one number or a run of numbers."""
    return f"WPT {number(first)}" if first == last else f"WPT {number(first)} to {number(last)}"


def _come_or_gone(
    one: str, old: Row | None, new: Row | None, numbering: Numbering, places: Places
) -> Change:
    """Return that a waypoint was added or removed."""
    about = numbering.about("waypoint", one)
    index, row = new or old or (0, {})
    name = f" {row['name']!r}" if row.get("name") else ""
    place = shown(row["lat_deg"], row["lon_deg"])
    added = new is not None
    word = "added at" if added else "removed, was at"
    return Change(
        kind="waypoint", about=about, what="added" if added else "removed",
        sentence=f"{waypoint_name(about)}{name} {word} {place}",
        was=None if added else place, now=place if added else None,
        figures=(Figure(pointer=f"{_AT}/{index}", was=old and old[1], now=new and new[1]),),
        where=places.of(one),
    )  # fmt: skip


def _waypoint(
    one: str, old: Row, new: Row, numbering: Numbering, places: Places, answers: tuple[Any, Asked]
) -> Iterator[Change]:
    """Yield what differs at a waypoint that both have."""
    about = numbering.about("waypoint", one)
    name, where = waypoint_name(about), places.of(one)
    both = Both(old[1], new[1], f"{_AT}/{old[0]}", f"{_AT}/{new[0]}", numbering)
    figures = both.take("lat_deg", "lon_deg")
    if figures:
        _, _, moved = moved_said(both.was, both.now)
        at = [shown(place["lat_deg"], place["lon_deg"]) for place in (both.was, both.now)]
        yield Change(
            kind="waypoint", about=about, what="position", was=at[0], now=at[1], figures=figures,
            sentence=f"{name} moved {moved} (was {at[0]}, now {at[1]})", where=where,
        )  # fmt: skip
    _speak_once(one, "turn", {"turn_radius_nm": "radius_nm"}, both, answers)
    for member in [m for m in WORDS if m in both.was or m in both.now]:
        yield from _member(f"{name} ", both, member, "waypoint", about, where)
    for mark in ("gap_before", "gap_after"):
        if bool(both.was.get(mark)) != bool(both.now.get(mark)):
            side = mark.removeprefix("gap_")
            was, now = bool(both.was.get(mark)), bool(both.now.get(mark))
            made = f"Hole {side} {name}" if now else f"Hole {side} {name} closed"
            words = "a hole" if was else "none"
            yield Change(
                kind="waypoint", about=about, what=mark, sentence=f"{made} (was {words})",
                was=was, now=now, figures=both.take(mark), where=where,
            )  # fmt: skip
        both.taken.add(mark)
    for part in ("leg", "turn"):
        yield from _wishes(one, part, both, numbering, where, answers)
    yield from rest_of("waypoint", about, name, both, where=where)


def _wishes(
    one: str, part: str, both: Both, numbering: Numbering, where: Where, answers: Any
) -> Iterator[Change]:
    """Yield what differs in the wishes for a leg or a turn."""
    both.taken.add(part)
    was, now = both.was.get(part) or {}, both.now.get(part) or {}
    if was == now:
        return
    at = numbering.about("waypoint", one)
    about = numbering.about(part, one)
    name = leg_name(at) if part == "leg" else turn_name(at)
    wishes = Both(was, now, f"{both.at_was}/{part}", f"{both.at_now}/{part}", numbering)
    _speak_once(one, part, {member: member for member in _REPEATED[part]}, wishes, answers)
    for member in [m for m in WORDS if m in was or m in now]:
        yield from _member(f"{name}, asked for: ", wishes, member, part, about, where)
    yield from rest_of(part, about, f"{name}, asked for", wishes, where=where)


def _member(
    name: str, both: Both, member: str, kind: str, about: Any, where: Where
) -> Iterator[Change]:
    """Yield that one member is another."""
    if member in both.taken:
        return
    figures = both.take(member)
    if not figures:
        return
    word, unit = word_and_unit(member)
    old, new = both.was.get(member), both.now.get(member)
    yield Change(
        kind=kind, about=about, what=f"asked-{member}" if kind in ("leg", "turn") else member,
        sentence=f"{name}{word} {was_now_given(old, new, unit)}", was=old, now=new,
        unit=unit or None, figures=figures, where=where,
    )  # fmt: skip


def _speak_once(
    one: str, kind: str, names: dict[str, str], both: Both, answers: tuple[Any, Asked]
) -> None:
    """Leave to the answer the wishes that it repeats, was and now."""
    (results_was, results_now), asked = answers
    old, new = results_was.get((kind, one)), results_now.get((kind, one))
    if old is None or new is None:
        return
    for member, answer in names.items():
        was, now = both.was.get(member), both.now.get(member)
        if was != now and (was, now) == (old.get(answer), new.get(answer)):
            (figure,) = both.take(member)
            asked.setdefault((kind, one), {})[answer] = figure


def _carried(both: Both) -> Iterator[Change]:
    """Yield which pieces of the file, kept and never interpreted, came and went."""
    both.taken.add("carried")
    was, now = both.was.get("carried") or [], both.now.get("carried") or []
    if was == now:
        return
    old, new = keyed(was, lambda _, one: str(one)), keyed(now, lambda _, one: str(one))
    figures = []
    for _, left, right in matched(old, new):
        if left is None or right is None:
            index, _row = right or left or (0, None)
            at = pointer_to(both.at_now, "carried", index)
            figures.append(Figure(pointer=at, was=left and left[1], now=right and right[1]))
    gone = sum(1 for one in figures if one.now is None)
    words = f"{len(figures) - gone} added, {gone} removed" if figures else "in another order"
    yield Change(
        kind="route", about=PLAN, what="carried", was=len(was), now=len(now),
        sentence=f"Pieces of the route file that no plan uses: {words} "
        f"(was {len(was)}, now {len(now)})",
        figures=tuple(figures) or (Figure(pointer=f"{both.at_now}/carried", was=was, now=now),),
    )  # fmt: skip
