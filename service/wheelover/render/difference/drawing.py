"""What differs in how a plan is drawn. Where the thing itself differs, its drawing only follows."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from wheelover.render.difference.change import PLAN, Change, Figure
from wheelover.render.difference.pairs import (
    Both,
    Numbering,
    Row,
    keyed,
    leaves,
    matched,
    only_renumbered,
    rest_of,
)
from wheelover.render.difference.words import counted

Document = dict[str, Any]

_MOST_NAMED = 6


def drawing_changes(
    was: Document, now: Document, numbering: Numbering, changed: set[str]
) -> Iterator[Change]:
    """Yield what differs in the drawing of two answers.

    Parameters
    ----------
    was, now : dict
        Answers with their layers.
    numbering : Numbering
        Which waypoint has which number.
    changed : set of str
        Ids of waypoints and dangers of which a change is told: what is drawn of them is counted.
    """
    layers = was.get("layers") or {}, now.get("layers") or {}
    if layers[0] == layers[1]:
        return
    both = Both(*layers, "/result/layers", "/result/layers", numbering)
    both.taken.add("features")
    for member in ("name", "demonstration", "inputs_sha256", "engine_version", "cautions"):
        if all(
            layer.get(member) == one.get(member)
            for layer, one in zip(layers, (was, now), strict=True)
        ):
            both.taken.add(member)
    followed: Counter[str] = Counter()
    figures: list[Figure] = []
    rows = [_features(layer, numbering, side) for side, layer in enumerate(layers)]
    for key, old, new in matched(*rows):
        if old is not None and new is not None and old[1] == new[1]:
            continue
        found = _feature(old, new, numbering)
        if not found:
            continue
        layer, one, *_ = key if isinstance(key[0], str) else key[0]
        if one in changed:
            followed[str(layer)] += 1
        else:
            figures.append(found)
    if figures or followed:
        yield _drawn(followed, figures)
    yield from rest_of("drawing", PLAN, "Drawing", both)


def _features(layers: Document, numbering: Numbering, side: int) -> dict[Any, Row]:
    """Return the drawn features by what each is drawn for."""
    return keyed(layers.get("features") or [], lambda _, one: _key(one, numbering, side))


def _key(feature: Document, numbering: Numbering, side: int) -> tuple[Any, ...]:
    """Return what a drawn feature is known by: its layer, the thing it is drawn for, its method."""
    own = feature.get("properties") or {}
    layer = own.get("layer")
    one = own.get("waypoint_id") or own.get("to_id") or own.get("hazard_id") or own.get("id")
    if layer == "alternative":
        return layer, own.get("alternative_id"), one, None
    if one is None and layer == "course_line":
        legs, index = numbering.ids["leg"][side], own.get("index")
        one = legs[index] if isinstance(index, int) and 0 <= index < len(legs) else index
    return layer, one, own.get("method"), own.get("planned")


def _feature(old: Any, new: Any, numbering: Numbering) -> Figure | None:
    """Return the first member that differs in a drawn feature, None where only a number does."""
    index, _ = new or old
    at = f"/result/layers/features/{index}"
    if old is None or new is None:
        value = ((new or old)[1].get("properties") or {}).get("layer")
        return Figure(pointer=at, was=old and value, now=new and value)
    for part in ("geometry", "properties"):
        if only_renumbered(old[1].get(part), new[1].get(part), numbering):
            continue
        return next(leaves(old[1], new[1], at, numbering), None)
    others = [{**one[1], "geometry": None, "properties": None} for one in (old, new)]
    return next(leaves(others[0], others[1], at, numbering), None)


def _drawn(followed: Counter[str], figures: list[Figure]) -> Change:
    """Return what is drawn otherwise as one change."""
    parts = []
    if followed:
        kinds = ", ".join(f"{count} of {name}" for name, count in sorted(followed.items()))
        parts.append(f"{counted(sum(followed.values()), 'feature')} of what changed ({kinds})")
    if figures:
        named = "; ".join(f"{one.pointer}" for one in figures[:_MOST_NAMED])
        more = f" and {len(figures) - _MOST_NAMED} more" if len(figures) > _MOST_NAMED else ""
        parts.append(f"{counted(len(figures), 'feature')} besides ({named}{more})")
    return Change(
        kind="drawing", about=PLAN, what="features",
        sentence=f"Drawn otherwise: {', and '.join(parts)}", figures=tuple(figures),
    )  # fmt: skip
