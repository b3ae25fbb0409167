"""What differs for the bridge team: action points, contingencies, sources, checklists, pilot card.

What was given is told first, with what the answer repeats of it; what came of it as laid follows.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from wheelover.render.difference.bridge_words import (
    contingency_named,
    contingency_told,
    found_id,
    place,
    place_said,
    point_named,
    point_told,
    source_named,
    source_told,
)
from wheelover.render.difference.change import About, Change, Figure
from wheelover.render.difference.given import field_changes
from wheelover.render.difference.pairs import (
    Both,
    Numbering,
    Row,
    figures_said,
    keyed,
    leaves,
    matched,
    rest_of,
)
from wheelover.render.difference.words import both_said, moved_said, value_said

Document = dict[str, Any]

BRIDGE = ("points", "contingencies", "sources", "checklists")
"""Members of the inputs that are told here; the answer has members of the same names."""

OF_ANSWER = (*BRIDGE, "points_found", "pilot_card")

AS_LAID = "as-laid"
"""How the changes begin of what the answer made of the inputs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    """A list of the inputs and of the answer, in which rows are known again by their ids."""

    kind: str
    member: str
    word: str
    named: Callable[[Document], str]
    told: Callable[[Document], str]
    places: tuple[str, ...] = ()


def bridge_changes(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in what is given for the bridge team, and in what came of it.

    Parameters
    ----------
    was, now : dict
        Revision documents.
    numbering : Numbering
        Which waypoint has which number.
    """
    for of in _KINDS:
        yield from _of_kind(of, was, now, numbering)
    yield from _checklists(was, now, numbering)
    yield from _around(was, now, numbering)


def _of_kind(of: _Kind, was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in one list, row by row, as given and as laid."""
    given = [_by_id(one["inputs"].get(of.member)) for one in (was, now)]
    laid = [_by_id(_rows_of(one["result"].get(of.member))) for one in (was, now)]
    at = f"/result/{of.member}" + ("/rows" if of.member == "sources" else "")
    answers = {key: (old, new) for key, old, new in matched(*laid)}
    for key, old, new in matched(*given):
        row = (new or old or (0, {}))[1]
        about = About(kind=of.kind, id=str(row.get("id", key)))
        name = f"{of.word} {of.named(row)}"
        answer = answers.pop(key, (None, None))
        if old is not None and new is not None:
            both = _both_of(answer, at, numbering)
            if both is None and answer != (None, None):
                yield _come_or_gone(about, f"{name}, as laid,", answer, at, f"{AS_LAID}-")
            yield from _changed(of, about, name, (old, new), both, numbering)
        else:
            change = _come_or_gone(about, name, (old, new), f"/inputs/{of.member}")
            told = of.told(row)
            yield replace(
                change,
                sentence=f"{change.sentence}: {told}" if told else change.sentence,
                figures=(*change.figures, *_figures_of(answer, at, numbering)),
            )
    for key, answer in answers.items():
        row = (answer[1] or answer[0] or (0, {}))[1]
        about = About(kind=of.kind, id=str(row.get("id", key)))
        both = _both_of(answer, at, numbering)
        name = f"{of.word} {of.named(row)}, as laid"
        if both is None:
            yield _come_or_gone(about, f"{name},", answer, at, f"{AS_LAID}-")
        else:
            yield from _as_laid(of, about, name, both)


def _changed(
    of: _Kind, about: About, name: str, given: tuple[Row, Row], both: Both | None,
    numbering: Numbering,
) -> Iterator[Change]:  # fmt: skip
    """Yield what differs in one row as given, with what the answer repeats; then as laid."""
    old, new = given
    at = f"/inputs/{of.member}/{new[0]}"
    figures = list(leaves(old[1], new[1], at, numbering))
    yield from _moved_waypoints(about, name, old[1], new[1], (at, figures))
    for one in field_changes("bridge", about, name, figures, at):
        (figure,) = one.figures
        member = figure.pointer.removeprefix(f"{at}/").split("/")[0]
        repeats = (
            both is not None
            and (both.was.get(member), both.now.get(member)) == (figure.was, figure.now)
        )  # fmt: skip
        more = both.take(member) if both is not None and repeats else ()
        yield replace(one, figures=(figure, *more))
    if both is not None:
        yield from _as_laid(of, about, f"{name}, as laid", both)


def _moved_waypoints(
    about: About, name: str, was: Document, now: Document, told: tuple[str, list[Figure]]
) -> Iterator[Change]:
    """Yield which waypoints of a contingency's own route lie elsewhere; their figures are taken."""
    at, figures = told
    rows = [one.get("route", {}).get("waypoints") or [] for one in (was, now)]
    if [one.get("id") for one in rows[0]] != [one.get("id") for one in rows[1]]:
        return
    for index, (old, new) in enumerate(zip(*rows, strict=True)):
        start = f"{at}/route/waypoints/{index}"
        moved = [one for one in figures if one.pointer in (f"{start}/lat_deg", f"{start}/lon_deg")]
        if not moved:
            continue
        figures[:] = [one for one in figures if one not in moved]
        said = both_said(place(old), place(new))
        yield Change(
            kind="bridge", about=about, what=f"route/waypoints/{new.get('id')}/position",
            sentence=f"{name}: waypoint {new.get('id')} moved {moved_said(old, new)[2]}, "
                     f"was {said[0]}, now {said[1]}",
            was=place(old), now=place(new), figures=tuple(moved),
        )  # fmt: skip


_WHOLE_PARTS = (("plan", "its own plan"), ("leaving", "the turn onto it"))
"""Parts of a contingency's answer with many figures each, told by themselves."""


def _as_laid(of: _Kind, about: About, name: str, both: Both) -> Iterator[Change]:
    """Yield what differs in what the answer made of a row: its places in words, then the rest."""
    for member in of.places:
        figures = both.take(member)
        if figures:
            said = [place_said(one.get(member)) for one in (both.was, both.now)]
            word = "leaves the track" if member == "leaves" else member
            sentence = f"{name}, {word}: was {said[0]}, now {said[1]}"
            if said[0] == said[1]:
                sentence = figures_said(name, figures, both.at_now.count("/"))
            yield Change(kind="bridge", about=about, what=f"{AS_LAID}-{member}", was=said[0],
                         now=said[1], sentence=sentence, figures=figures)  # fmt: skip
    for member, words in _WHOLE_PARTS:
        figures = both.take(member)
        if figures:
            depth = both.at_now.count("/") + 1
            yield Change(
                kind="bridge", about=about, what=f"{AS_LAID}-{member}", figures=figures,
                sentence=figures_said(f"{name}, {words}", figures, depth),
            )  # fmt: skip
    for one in rest_of("bridge", about, name, both):
        yield replace(one, what=f"{AS_LAID}-{one.what}")


def _come_or_gone(
    about: About, name: str, rows: tuple[Row | None, Row | None], at: str, start: str = ""
) -> Change:
    """Return that a row was added or taken away."""
    old, new = rows
    index = (new or old or (0, None))[0]
    word = "added" if new else "taken away"
    figure = Figure(pointer=f"{at}/{index}", was=old and old[1], now=new and new[1])
    return Change(
        kind="bridge", about=about, what=f"{start}{word.replace(' ', '-')}",
        sentence=f"{name} {word}", figures=(figure,),
    )  # fmt: skip


def _both_of(rows: tuple[Row | None, Row | None], at: str, numbering: Numbering) -> Both | None:
    """Return a row of the answer as it was and is; None where it is not in both."""
    old, new = rows
    if old is None or new is None:
        return None
    return Both(old[1], new[1], f"{at}/{old[0]}", f"{at}/{new[0]}", numbering)


def _figures_of(
    rows: tuple[Row | None, Row | None], at: str, numbering: Numbering
) -> tuple[Figure, ...]:
    """Return the figures of a row of the answer that came, went or differs."""
    old, new = rows
    if old is not None and new is not None:
        return tuple(leaves(old[1], new[1], f"{at}/{new[0]}", numbering))
    index = (new or old or (0, None))[0]
    if old is None and new is None:
        return ()
    return (Figure(pointer=f"{at}/{index}", was=old and old[1], now=new and new[1]),)


def _rows_of(member: Any) -> list[Any]:
    """Return the rows of a member of the answer."""
    return member.get("rows") or [] if isinstance(member, dict) else member or []


def _by_id(rows: list[Any] | None) -> dict[Any, Row]:
    """Return rows by their ids."""
    return keyed(_documents(rows), lambda index, row: row.get("id") or f"#{index}")


def _checklists(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what was said of items of the checklists, and what was computed for them."""
    for part, start in (("inputs", ""), ("result", f"{AS_LAID}-")):
        at = f"/{part}/checklists"
        sides = [one[part].get("checklists") or {} for one in (was, now)]
        for figure in leaves(sides[0], sides[1], at, numbering):
            steps = figure.pointer.split("/")[3:5]
            name = "Checklist"
            if part == "result" and len(steps) > 1 and steps[1].isdigit():
                row = (sides[1].get(steps[0]) or sides[0][steps[0]])[int(steps[1])]
                steps[1] = str(row.get("id") if isinstance(row, dict) else row)
                name = f"Checklist item {steps[1].replace('_', ' ')}, computed:"
            about = About(kind="checklist", id="/".join(steps))
            for one in field_changes("bridge", about, name, (figure,), at):
                yield replace(one, what=f"{start}{one.what}")


def _found(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in the points that charts have near the track."""
    at = "/result/points_found"
    sides = [one["result"].get("points_found") or [] for one in (was, now)]
    if not (sides[0] and sides[1]):
        for figure in leaves(sides[0], sides[1], at, numbering):
            yield Change(
                kind="bridge", about=About(kind="point"), what=f"{AS_LAID}-found",
                sentence=f"Points of charts: was {len(sides[0])}, now {len(sides[1])}",
                was=len(sides[0]), now=len(sides[1]), figures=(figure,),
            )  # fmt: skip
        return
    for key, old, new in matched(*(keyed(_documents(one), lambda _, row: found_id(row))
                                   for one in sides)):  # fmt: skip
        about = About(kind="point", id=str(key))
        row = (new or old or (0, {}))[1]
        name = f"Point of the chart, {value_said(row.get('name') or row.get('kind'))}"
        both = _both_of((old, new), at, numbering)
        if both is None:
            yield _come_or_gone(about, name, (old, new), at, f"{AS_LAID}-")
        else:
            yield from _as_laid(_FOUND, about, name, both)


def _around(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in what cells offer, in the ages asked of sources, in the pilot card."""
    yield from _found(was, now, numbering)
    for member, name in (("sources", "Sources"), ("pilot_card", "Pilot card:")):
        sides = [one["result"].get(member) for one in (was, now)]
        if member == "sources":
            sides = [None if one is None else {**one, "rows": None} for one in sides]
        at = f"/result/{member}"
        figures = tuple(leaves(sides[0], sides[1], at, numbering))
        for change in field_changes("bridge", About(kind=member), name, figures, at):
            yield replace(change, what=f"{AS_LAID}-{change.what}")


def _documents(rows: Any) -> list[Document]:
    """Return rows as objects; what is none stands as the one value it is."""
    return [one if isinstance(one, dict) else {"value": one} for one in rows or []]


_FOUND = _Kind(kind="point", member="points_found", word="", named=point_named,
               told=point_told, places=("place",))  # fmt: skip
_KINDS = (
    _Kind(kind="point", member="points", word="Action point", named=point_named,
          told=point_told, places=("place", "notice")),
    _Kind(kind="contingency", member="contingencies", word="Contingency",
          named=contingency_named, told=contingency_told, places=("leaves",)),
    _Kind(kind="source", member="sources", word="Source", named=source_named,
          told=source_told),
)  # fmt: skip
