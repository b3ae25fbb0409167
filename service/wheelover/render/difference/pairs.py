"""Two documents side by side: what stands in both under one id, and every member that differs."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from wheelover.render.difference.change import About, Change, Figure, Where, pointer_to
from wheelover.render.difference.words import (
    both_said,
    counted,
    is_number,
    is_place,
    word_and_unit,
)

Document = dict[str, Any]
Row = tuple[int, Any]

_FEW = 3
_MOST_NAMED = 8
_INDEX_OF = {"waypoint_index": "waypoint", "piece_index": None, "index": None}
_LAYER_OF = {"leg": "leg", "course_line": "leg", "waypoint": "waypoint"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbering:
    """Which id stands at which number, was and now: a new number of the same thing is no change.

    ``ids`` is, for each kind, the ids that were in order and those that are; ``places`` the other
    way round.
    """

    ids: dict[str, tuple[list[str], list[str]]]
    places: dict[str, tuple[dict[str, int], dict[str, int]]]
    hazards_differ: bool = False

    @classmethod
    def of(
        cls, ids: dict[str, tuple[list[str], list[str]]], *, hazards_differ: bool
    ) -> "Numbering":
        """Return the numbering of ids in order, for each kind as they were and as they are."""
        places = {
            kind: (
                {one: index for index, one in enumerate(was)},
                {one: index for index, one in enumerate(now)},
            )
            for kind, (was, now) in ids.items()
        }
        return cls(ids=ids, places=places, hazards_differ=hazards_differ)

    def same(self, kind: str | None, was: int, now: int) -> bool:
        """Return whether both numbers are of one and the same thing."""
        if kind == "hazard":
            return self.hazards_differ
        old, new = self.ids.get(kind or "", ([], []))
        return 0 <= was < len(old) and 0 <= now < len(new) and old[was] == new[now]

    def about(self, kind: str, one: str) -> About:
        """Return a thing as what a change is about."""
        was, now = self.places.get(kind, ({}, {}))
        return About(kind=kind, id=one, index_was=was.get(one), index_now=now.get(one))


@dataclass(slots=True)
class Both:
    """One thing as it was and as it is now.

    Whoever says something of a member takes it; what is left at the end is said in general, so
    that no member can be forgotten. ``asked`` holds the figures of inputs that an answer repeats.
    """

    was: Document
    now: Document
    at_was: str
    at_now: str
    numbering: Numbering
    asked: dict[str, Figure] = field(default_factory=dict)
    taken: set[str] = field(default_factory=set)

    def differs(self, member: str) -> bool:
        """Return whether a member is another."""
        return bool(self.was.get(member) != self.now.get(member))

    def take(self, *members: str) -> tuple[Figure, ...]:
        """Return the figures of members that differ, and mark them as spoken for."""
        self.taken.update(members)
        found: list[Figure] = []
        for member in members:
            was, now = self.was.get(member), self.now.get(member)
            if was == now or _same_number(member, self.was, self.now, self.numbering):
                continue
            at = self.at_now if member in self.now else self.at_was
            found.extend(leaves(was, now, pointer_to(at, member), self.numbering))
            if member in self.asked:
                found.append(self.asked[member])
        return tuple(found)

    def rest(self) -> tuple[Figure, ...]:
        """Return the figures of all members that nobody took."""
        left = [one for one in {**self.was, **self.now} if one not in self.taken]
        return self.take(*left)


def leaves(was: Any, now: Any, pointer: str, numbering: Numbering) -> Iterator[Figure]:
    """Yield every member that differs between two JSON values."""
    if was == now:
        return
    if isinstance(was, dict) and isinstance(now, dict) and not (is_place(was) and is_place(now)):
        for member in {**was, **now}:
            old, new = was.get(member), now.get(member)
            if old == new or _same_number(member, was, now, numbering):
                continue
            yield from leaves(old, new, pointer_to(pointer, member), numbering)
    elif _alike(was, now):
        for index, (old, new) in enumerate(zip(was, now, strict=True)):
            yield from leaves(old, new, f"{pointer}/{index}", numbering)
    else:
        yield Figure(pointer=pointer, was=was, now=now)


def _alike(was: Any, now: Any) -> bool:
    """Return whether two values are lists that can be compared row by row."""
    if not (isinstance(was, list) and isinstance(now, list) and len(was) == len(now)):
        return False
    return all(isinstance(one, dict | list) for one in (*was, *now))


def _same_number(member: str, was: Document, now: Document, numbering: Numbering) -> bool:
    """Return whether a member is the number of a thing that only stands elsewhere now."""
    if member not in _INDEX_OF:
        return False
    old, new = was.get(member), now.get(member)
    if not (isinstance(old, int) and isinstance(new, int)):
        return False
    kind = _INDEX_OF[member] or was.get("kind") or was.get("piece_kind")
    if kind is None and "layer" in was:
        kind = _LAYER_OF.get(was["layer"], "turn")
    return numbering.same(kind, old, new)


def only_renumbered(was: Any, now: Any, numbering: Numbering) -> bool:
    """Return, quickly, whether nothing differs but the number of a thing that stands elsewhere."""
    if was == now:
        return True
    if not isinstance(was, dict) or not isinstance(now, dict) or "index" not in was:
        return False
    if not _same_number("index", was, now, numbering):
        return False
    return {**was, "index": now["index"]} == now


def keyed(rows: Iterable[Any], key: Callable[[int, Any], Any]) -> dict[Any, Row]:
    """Return rows by a key, each with its number; a key met again is told apart by a count."""
    found: dict[Any, Row] = {}
    for index, row in enumerate(rows):
        name = key(index, row)
        again = 2
        while name in found:
            name = (name, again) if again == 2 else (name[0], again)
            again += 1
        found[name] = (index, row)
    return found


def matched(
    was: dict[Any, Row], now: dict[Any, Row]
) -> Iterator[tuple[Any, Row | None, Row | None]]:
    """Yield each key with what it stood for and what it stands for: as now, then what is gone."""
    for key, row in now.items():
        yield key, was.get(key), row
    for key, row in was.items():
        if key not in now:
            yield key, row, None


def last_words(figure: Figure) -> tuple[str, str]:
    """Return what the member of a figure is called, and its unit."""
    steps = [one for one in figure.pointer.split("/") if one and not one.isdigit()]
    member = steps[-1].replace("~1", "/").replace("~0", "~") if steps else "value"
    return word_and_unit(member)


def figures_said(name: str, figures: tuple[Figure, ...], depth: int) -> str:
    """Return a sentence about figures for which there is none of their own.

    Parameters
    ----------
    name : str
        What they are figures of.
    figures : tuple of Figure
        At least one.
    depth : int
        How many steps of their pointers lead to what has that name.
    """
    if len(figures) <= _FEW:
        return f"{name}: " + "; ".join(_figure_said(one, depth) for one in figures)
    steps = (one.pointer.split("/")[depth + 1 :] for one in figures)
    words = list(dict.fromkeys(word_and_unit(step[0])[0] if step else "value" for step in steps))
    named = ", ".join(words[:_MOST_NAMED])
    more = f" and {len(words) - _MOST_NAMED} more" if len(words) > _MOST_NAMED else ""
    return f"{name}: {counted(len(figures), 'figure')} more differ: {named}{more}"


def _figure_said(figure: Figure, depth: int) -> str:
    """Return one figure with both values, its words from what has a name on."""
    steps = figure.pointer.split("/")[depth + 1 :]
    words, unit = last_words(figure)
    path = [word_and_unit(one)[0] for one in steps[:-1] if not one.isdigit()]
    rows = [f"row {int(one) + 1}" for one in steps if one.isdigit()]
    if is_number(figure.was) or is_number(figure.now):
        old, new = both_said(figure.was, figure.now, unit)
    else:
        old, new = both_said(figure.was, figure.now)
    return " ".join([*path, *([words] if steps else ["value"]), *rows, f"was {old}, now {new}"])


def rest_of(
    kind: str, about: About, name: str, both: Both, where: Where = (None, None)
) -> Iterator[Change]:
    """Yield what nobody spoke for, as one change."""
    figures = both.rest()
    if not figures:
        return
    depth = both.at_now.count("/")
    only = figures[0] if len(figures) == 1 else None
    yield Change(
        kind=kind,
        about=about,
        what="figures" if only is None else "/".join(only.pointer.split("/")[depth + 1 :]),
        sentence=figures_said(name, figures, depth),
        was=None if only is None else only.was,
        now=None if only is None else only.now,
        unit=None if only is None else last_words(only)[1] or None,
        figures=figures,
        where=where,
    )
