"""What differs in the legs that were computed."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from wheelover.render.difference.aid_lines import clearing_said, index_said, transits_said
from wheelover.render.difference.change import About, Change, Figure, Where
from wheelover.render.difference.named import Places, leg_name
from wheelover.render.difference.nearest import both_nearest, canal_side, hull_side, land_side
from wheelover.render.difference.pairs import (
    Both,
    Numbering,
    figures_said,
    keyed,
    matched,
    rest_of,
)
from wheelover.render.difference.route import Asked
from wheelover.render.difference.words import was_now, word_and_unit

Document = dict[str, Any]
Say = Callable[..., Iterator[Change]]


def leg_changes(
    was: list[Document], now: list[Document], numbering: Numbering, places: Places, asked: Asked
) -> Iterator[Change]:
    """Yield what differs in the legs of two answers; a leg is that which leads to a waypoint.

    Parameters
    ----------
    was, now : list of dict
        Legs as the answer gives them.
    numbering, places : Numbering, Places
        Which waypoint has which number, and where it lies.
    asked : dict
        Wishes that the answer repeats, by kind and waypoint.
    """
    pairs = matched(
        keyed(was, lambda _, one: one["to_id"]), keyed(now, lambda _, one: one["to_id"])
    )
    for one, old, new in pairs:
        at = numbering.about("waypoint", one)
        about = numbering.about("leg", one)
        name, where = leg_name(at), places.of(one)
        if old is None or new is None:
            yield come_or_gone("leg", about, name, (old, new), "legs", where)
        elif old[1] != new[1]:
            both = Both(
                old[1], new[1], f"/result/legs/{old[0]}", f"/result/legs/{new[0]}", numbering,
                asked.get(("leg", one), {}),
            )  # fmt: skip
            yield from _leg(both, about, name, where)


def come_or_gone(
    kind: str, about: About, name: str, rows: tuple[Any, Any], place: str, where: Where
) -> Change:
    """Return that a leg or a turn was added or removed, with what it mainly is."""
    old, new = rows
    index, row = new or old
    course_deg = row.get("course_deg") if kind == "leg" else row.get("course_out_deg")
    length = row.get("distance_nm") if kind == "leg" else row.get("radius_nm")
    parts = [] if course_deg is None else [f"{round(course_deg) % 360:03d} T"]
    if length is not None:
        parts.append(f"{length:.2f} NM" if kind == "leg" else f"R {length:.2f} NM")
    said = ", ".join(parts)
    added = new is not None
    return Change(
        kind=kind, about=about, what="added" if added else "removed",
        sentence=f"{name} {'added' if added else 'removed, was'} {said}".rstrip(", "),
        was=None if added else said, now=said if added else None,
        figures=(
            Figure(pointer=f"/result/{place}/{index}", was=old and old[1], now=new and new[1]),
        ),
        where=where,
    )  # fmt: skip


def said_of(kind: str, about: About, name: str, both: Both, where: Where) -> Say:
    """Return a function that says one thing of a leg or turn, if it differs at all.

    It takes what the change is called, the members it speaks for, what stands before both values,
    both values in words or as numbers with their unit, and yields the change.
    """

    def say(what: str, members: tuple[str, ...], before: str, was: Any, now: Any,
            unit: str = "") -> Iterator[Change]:  # fmt: skip
        figures = both.take(*members)
        if not figures:
            return
        sentence = f"{before} {was_now(was, now, unit)}"
        if was == now:
            sentence = figures_said(name, figures, both.at_now.count("/"))
        yield Change(
            kind=kind, about=about, what=what, was=was, now=now, unit=unit or None,
            sentence=sentence, figures=figures, where=where,
        )  # fmt: skip

    return say


def _leg(both: Both, about: About, name: str, where: Where) -> Iterator[Change]:
    """Yield what differs in a leg that both have."""
    say = said_of("leg", about, name, both, where)

    def plain(what: str, *members: str) -> Iterator[Change]:
        """Say a member by its word and unit, for itself and those that hang on it."""
        word, unit = word_and_unit(members[0])
        values = both.was.get(members[0]), both.now.get(members[0])
        yield from say(what, members, f"{name} {word}", *values, unit)

    was, now = both.was, both.now
    yield from say("from", ("from_id",), f"{name} leads from waypoint", was.get("from_id"),
                   now.get("from_id"))  # fmt: skip
    yield from _course(say, both, name)
    yield from plain("distance", "distance_nm", "track_distance_nm")
    yield from plain("line", "line")
    yield from plain("speed", "speed_kn", "speed_source")
    yield from plain("xtd-port", "xtd_port_nm")
    yield from plain("xtd-starboard", "xtd_starboard_nm")
    yield from plain("min-clearance", "min_clearance_m")
    yield from plain("water", "water")
    yield from say("current", ("set_deg", "drift_kn", "current_source"), f"{name} current",
                   _current(was), _current(now))  # fmt: skip
    least = both_nearest(was.get("least_clearance"), now.get("least_clearance"))
    yield from say("nearest", ("least_clearance",),
                   f"Nearest danger of {name[0].lower()}{name[1:]}",
                   *least)  # fmt: skip
    yield from say("hull", ("hull",), f"{name} swept by the hull", hull_side(was.get("hull")),
                   hull_side(now.get("hull")))  # fmt: skip
    yield from say("land", ("land",), f"{name} beside the coastline", land_side(was.get("land")),
                   land_side(now.get("land")))  # fmt: skip
    yield from say("canal", ("canal",), f"{name} land in a canal", canal_side(was.get("canal")),
                   canal_side(now.get("canal")))  # fmt: skip
    yield from _lines(say, name, was, now)
    yield from rest_of("leg", about, name, both, where=where)


def _lines(say: Say, name: str, was: Document, now: Document) -> Iterator[Change]:
    """Yield what differs in the lines to steer by along a leg."""
    told = (
        ("index", "index_lines", "index lines", index_said),
        ("clearing", "clearing_lines", "clearing lines", clearing_said),
        ("transits", "transits", "transits", transits_said),
    )
    for what, member, words, said in told:
        yield from say(
            what, (member,), f"{name} {words}", said(was.get(member)), said(now.get(member))
        )


def _course(say: Say, both: Both, name: str) -> Iterator[Change]:
    """Yield that the course is another; courses are read without a unit."""
    members = ("course_deg", "arrival_course_deg")
    old, new = both.was.get(members[0]), both.now.get(members[0])
    for one in say("course", members, f"{name} course", old, new, "T"):
        yield one if old == new else _without_unit(one)


def _without_unit(change: Change) -> Change:
    """Return a change of a course as it is read: 078, now 080."""
    return replace(change, sentence=change.sentence.replace(" T,", ",").removesuffix(" T"))


def _current(row: Document) -> str | None:
    """Return the current on a leg or in a turn."""
    if row.get("drift_kn") is None or row.get("set_deg") is None:
        return None
    source = row.get("current_source") or row.get("source")
    return f"sets {row['set_deg']:03.0f} T, {round(row['drift_kn'], 2):g} kn, of the {source}"


def current_said(row: Document | None) -> str | None:
    """Return the current in a turn in words, None without one."""
    return None if row is None else _current(row)
