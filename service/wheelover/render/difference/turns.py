"""What differs in the turns that were computed: circle, wheel-over, window, nearest danger."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from wheelover.render.difference.aid_lines import bend_said
from wheelover.render.difference.change import About, Change, Where
from wheelover.render.difference.legs import Say, come_or_gone, current_said, said_of
from wheelover.render.difference.named import Places, turn_name
from wheelover.render.difference.nearest import (
    both_nearest,
    land_side,
    to_close_s,
    window_said,
)
from wheelover.render.difference.pairs import (
    Both,
    Numbering,
    figures_said,
    keyed,
    matched,
    rest_of,
)
from wheelover.render.difference.route import Asked
from wheelover.render.difference.words import both_said, value_said, was_now

Document = dict[str, Any]

_CIRCLE = (
    "radius_nm",
    "rate_of_turn_deg_per_min",
    "trade_rate_of_turn_deg_per_min",
    "radius_source",
)
_COURSE = ("course_change_deg", "side", "course_in_deg", "course_out_deg")


def turn_changes(
    was: list[Document], now: list[Document], numbering: Numbering, places: Places, asked: Asked
) -> Iterator[Change]:
    """Yield what differs in the turns of two answers; a turn is that at a waypoint.

    Parameters
    ----------
    was, now : list of dict
        Turns as the answer gives them.
    numbering, places : Numbering, Places
        Which waypoint has which number, and where it lies.
    asked : dict
        Wishes that the answer repeats, by kind and waypoint.
    """
    pairs = matched(
        keyed(was, lambda _, one: one["waypoint_id"]),
        keyed(now, lambda _, one: one["waypoint_id"]),
    )
    for one, old, new in pairs:
        at = numbering.about("waypoint", one)
        about = numbering.about("turn", one)
        name, where = turn_name(at), places.of(one)
        if old is None or new is None:
            yield come_or_gone("turn", about, name, (old, new), "turns", where)
        elif old[1] != new[1]:
            both = Both(
                old[1], new[1], f"/result/turns/{old[0]}", f"/result/turns/{new[0]}", numbering,
                asked.get(("turn", one), {}),
            )  # fmt: skip
            yield from _turn(both, about, name, where)


def _turn(both: Both, about: About, name: str, where: Where) -> Iterator[Change]:
    """Yield what differs in a turn that both have."""
    say = said_of("turn", about, name, both, where)
    was, now = both.was, both.now
    yield from say("course-change", _COURSE, f"{name}: change of course", *_apart(_change, both))
    yield from _circle(say, both, name)
    yield from say("speed", ("speed_kn",), f"{name} speed", was.get("speed_kn"),
                   now.get("speed_kn"), "kn")  # fmt: skip
    yield from say("steering", ("steering",), f"{name} steering", was.get("steering"),
                   now.get("steering"))  # fmt: skip
    yield from say("current", ("current",), f"{name} current", current_said(was.get("current")),
                   current_said(now.get("current")))  # fmt: skip
    yield from say("fits", ("fits", "missing_m", "reason"), f"{name}", _room(was), _room(now))
    yield from say("wheel-over", ("planned", "wheel_over_line"), f"{name} wheel-over",
                   *_apart(_planned, both))  # fmt: skip
    yield from say("cues", ("cues",), f"{name} cues", _cues(was), _cues(now))
    bends = bend_said(was.get("index_lines")), bend_said(now.get("index_lines"))
    yield from say("index", ("index_lines",), f"{name} index lines", *bends)
    yield from _hull(both, about, name, where)
    yield from say("land", ("land",), f"{name} beside the coastline", land_side(was.get("land")),
                   land_side(now.get("land")))  # fmt: skip
    least = both_nearest(was.get("least_clearance"), now.get("least_clearance"))
    piece = f"Nearest danger of {name[0].lower()}{name[1:]}"
    yield from say("nearest", ("least_clearance",), piece, *least)  # fmt: skip
    yield from _methods(both, about, name, where)
    yield from rest_of("turn", about, name, both, where=where)


def _apart(words: Any, both: Both) -> tuple[Any, Any]:
    """Return a thing in words, was and now, with finer figures where they would read the same."""
    decimals: int | None = None
    texts = words(both.was, decimals), words(both.now, decimals)
    for decimals in (3, 5, 8):
        if texts[0] != texts[1]:
            break
        texts = words(both.was, decimals), words(both.now, decimals)
    return texts


def _change(turn: Document, decimals: int | None) -> str | None:
    """Return a change of course in words."""
    change_deg = turn.get("course_change_deg")
    if change_deg is None:
        return None
    return f"{value_said(abs(change_deg), 'deg', decimals)} to {turn.get('side')}"


def _planned(turn: Document, decimals: int | None) -> str | None:
    """Return a planned wheel-over in words."""
    planned = turn.get("planned") or {}
    if planned.get("distance_nm") is None:
        return None
    method = str(planned.get("method")).replace("_", " ")
    chosen = ", default" if planned.get("source") == "default" else ""
    said = f"{value_said(planned['distance_nm'], 'NM', decimals)} before ({method}{chosen})"
    off_m = planned.get("off_track_m")
    if off_m is None or planned.get("off_track_side") is None:
        return said
    off = value_said(abs(off_m), "m", decimals)
    return f"{said}, leaves her {off} {planned['off_track_side']} the new track"


def _cues(turn: Document) -> str | None:
    """Return the first and the second cue of a turn in words."""
    cues = turn.get("cues") or {}
    rows = dict(enumerate(cues.get("rows") or []))
    found = [rows.get(cues[order]) for order in ("first", "second") if cues.get(order) is not None]
    said = [f"{one.get('kind')} of {one.get('mark_name')}" for one in found if one]
    return ", then ".join(said) or None


def _room(turn: Document) -> str:
    """Return whether a turn fits."""
    if turn.get("fits"):
        return "a turn that fits"
    missing_m = turn.get("missing_m")
    if missing_m is not None:
        return f"{missing_m:.0f} m short of room"
    return turn.get("reason") or "a turn that does not fit"


def _circle(say: Say, both: Both, name: str) -> Iterator[Change]:
    """Yield that radius or rate of turn are others."""
    rates = [_size(one.get("rate_of_turn_deg_per_min")) for one in (both.was, both.now)]
    radii = both.was.get("radius_nm"), both.now.get("radius_nm")
    said = both_said(*radii, "NM"), both_said(rates[0], rates[1], "deg/min")
    texts = [f"{radius}, {rate}" for radius, rate in zip(*said, strict=True)]
    for one in say("circle", _CIRCLE, f"{name}: R", *texts):
        yield _with(one, *radii, "NM")


def _size(value: Any) -> Any:
    """Return a rate without its sign."""
    return None if value is None else abs(value)


def _with(change: Change, was: Any, now: Any, unit: str) -> Change:
    """Return a change with numbers in place of the words of its sentence."""
    return replace(change, was=was, now=now, unit=unit)


def _hull(both: Both, about: About, name: str, where: Where) -> Iterator[Change]:
    """Yield what differs in the window and in what the hull sweeps."""
    both.taken.add("hull")
    hulls = both.was.get("hull") or {}, both.now.get("hull") or {}
    if hulls[0] == hulls[1]:
        return
    hull = Both(*hulls, f"{both.at_was}/hull", f"{both.at_now}/hull", both.numbering)
    figures = hull.take("window", "window_reason")
    if figures:
        yield _window(hull, figures, about, name, where)
    say = said_of("turn", about, name, hull, where)
    least = both_nearest(hulls[0].get("least"), hulls[1].get("least"))
    yield from say("hull", ("least", "reason"), f"{name} swept by the hull: nearest",
                   least[0] or hulls[0].get("reason"),
                   least[1] or hulls[1].get("reason"))  # fmt: skip
    yield from rest_of("turn", about, f"{name}, hull", hull, where=where)


def _window(hull: Both, figures: tuple[Any, ...], about: About, name: str, where: Where) -> Change:
    """Return that the window is another: the seconds to its closing, then where it lies."""
    windows = hull.was.get("window"), hull.now.get("window")
    seconds = to_close_s(windows[0]), to_close_s(windows[1])
    said = [window_said(one) for one in windows]
    reasons = [one.get("window_reason") for one in (hull.was, hull.now)]
    texts = [text or reason or "none" for text, reason in zip(said, reasons, strict=True)]
    if seconds[0] is not None and seconds[1] is not None and seconds[0] != seconds[1]:
        ends = f" ({texts[0]}; now {texts[1]})" if texts[0] != texts[1] else f" ({texts[0]})"
        sentence = f"{name} window {_to_close(seconds[0], seconds[1])}{ends}"
    elif texts[0] != texts[1]:
        sentence = f"{name} window {was_now(texts[0], texts[1])}"
    else:
        sentence = figures_said(f"{name} window", figures, hull.at_now.count("/"))
    return Change(
        kind="turn", about=about, what="window", sentence=sentence, was=seconds[0],
        now=seconds[1], unit="s", figures=figures, where=where,
    )  # fmt: skip


def _to_close(was_s: float, now_s: float) -> str:
    """Return how long after the planned wheel-over a window closes, or how long before it did.

    Examples
    --------
    >>> _to_close(10.0, 22.0), _to_close(10.0, -4.0)
    ('was 10 s, now 22 s to close', 'was 10 s to close, now closed 4 s before the wheel-over')
    """
    said = both_said(abs(was_s), abs(now_s), "s")
    if was_s >= 0.0 and now_s >= 0.0:
        return f"was {said[0]}, now {said[1]} to close"
    texts = [
        f"{text} to close" if value_s >= 0.0 else f"closed {text} before the wheel-over"
        for text, value_s in zip(said, (was_s, now_s), strict=True)
    ]
    return f"was {texts[0]}, now {texts[1]}"


def _methods(both: Both, about: About, name: str, where: Where) -> Iterator[Change]:
    """Yield what the methods say otherwise, in one change for the turn."""
    both.taken.add("wheel_overs")
    figures: list[Any] = []
    texts: list[str] = []
    rows = [
        keyed(one.get("wheel_overs") or [], lambda _, row: row.get("method"))
        for one in (both.was, both.now)
    ]
    for method, old, new in matched(*rows):
        row = Both(
            old[1] if old else {}, new[1] if new else {},
            f"{both.at_was}/wheel_overs/{old[0] if old else 0}",
            f"{both.at_now}/wheel_overs/{new[0] if new else 0}", both.numbering,
        )  # fmt: skip
        found = row.rest()
        if not found:
            continue
        figures += found
        word = str(method).replace("_", " ")
        values = row.was.get("distance_nm"), row.now.get("distance_nm")
        if values[0] != values[1]:
            texts.append(f"{word} {was_now(*values, 'NM')}")
        else:
            texts.append(figures_said(word, found, row.at_now.count("/")))
    if figures:
        yield Change(
            kind="turn", about=about, what="methods", sentence=f"{name}: {'; '.join(texts)}",
            figures=tuple(figures), where=where,
        )  # fmt: skip
