"""What a step is called that changes what is given for the bridge team."""

from collections.abc import Callable
from typing import Any

Document = dict[str, Any]

_LONGEST = 60
_FEW = 3


def bridge_said(before: Document, after: Document) -> list[str]:
    """Return what was added, changed and taken away of what is given for the bridge team.

    Parameters
    ----------
    before, after : dict
        Plan requests.

    Examples
    --------
    >>> one = {"id": "p1", "kind": "no_return", "leg_to_id": "B", "before_nm": 1.0}
    >>> bridge_said({}, {"points": [one]})
    ['Action point added: no return p1']
    """
    said = [
        words
        for member, word, name in _LISTS
        for words in _rows(before.get(member) or [], after.get(member) or [], word, name)
    ]
    return [*said, *_ticks(before.get("checklists") or {}, after.get("checklists") or {})]


def _rows(
    before: list[Document], after: list[Document], word: str, name: Callable[[Document], str]
) -> list[str]:
    """Return what became of the rows of one list, known again by their ids."""
    old, new = {one["id"]: one for one in before}, {one["id"]: one for one in after}
    said = [f"{word} added: {name(new[i])}" for i in new if i not in old]
    said += [f"{word} taken away: {name(old[i])}" for i in old if i not in new]
    said += [f"{word} changed: {name(new[i])}" for i in new if i in old and old[i] != new[i]]
    if not said and before != after:
        said.append(f"{word}: order changed")
    return said


def _point(one: Document) -> str:
    """Return what an action point is called."""
    return f"{one['kind'].replace('_', ' ')} {one['id']}"[:_LONGEST]


def _contingency(one: Document) -> str:
    """Return what a contingency is called."""
    return f"{one['kind']} {one['route']['name']!r}"[:_LONGEST]


def _source(one: Document) -> str:
    """Return what a source is called."""
    return repr(one["title"])[:_LONGEST]


def _ticks(before: Document, after: Document) -> list[str]:
    """Return what was said of items of the checklists; of many at once how many."""
    said = []
    for name in dict.fromkeys([*before, *after]):
        old, new = before.get(name) or {}, after.get(name) or {}
        for item in dict.fromkeys([*old, *new]):
            if old.get(item) != new.get(item):
                state = (new.get(item) or {}).get("state") or "not said"
                said.append(f"Checklist {name}, {item}: {state}".replace("_", " "))
    return said if len(said) <= _FEW else [f"Checklists: {len(said)} items said"]


_LISTS: tuple[tuple[str, str, Callable[[Document], str]], ...] = (
    ("points", "Action point", _point),
    ("contingencies", "Contingency", _contingency),
    ("sources", "Source", _source),
)
