"""What differs in the dangers: those given with the plan, and hazard sets edition by edition."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from wheelover.formats.positions import shown
from wheelover.render.difference.change import About, Change, Figure
from wheelover.render.difference.nearest import nearest
from wheelover.render.difference.pairs import (
    Numbering,
    Row,
    figures_said,
    keyed,
    leaves,
    matched,
)
from wheelover.render.difference.words import moved_said, was_now

Document = dict[str, Any]
Contents = Callable[[str], Document | None]

OF_PLAN = "plan"
MOST_FIGURES = 500
"""So many figures of dangers that are not near the track are given; the others are counted."""

_MOST_NAMED = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """The dangers of one origin: those of the plan or of a hazard set; None where not held."""

    name: str
    label: str
    features: list[Document] | None
    at: str
    named: Document | None = None


@dataclass(slots=True)
class Tally:
    """How many dangers of an origin came, went, moved and changed, and which of them are near."""

    counts: dict[str, int] = field(default_factory=dict)
    near: list[str] = field(default_factory=list)
    figures: list[Figure] = field(default_factory=list)
    left_out_count: int = 0
    same_count: int = 0

    def far(self, figures: tuple[Figure, ...]) -> None:
        """Keep figures of a danger that has no change of its own, as long as there is room."""
        kept = figures[: max(MOST_FIGURES - len(self.figures), 0)]
        self.figures.extend(kept)
        self.left_out_count += len(figures) - len(kept)


def danger_changes(
    was: Document, now: Document, numbering: Numbering, contents: Contents, counts: dict[str, int]
) -> Iterator[Change]:
    """Yield what differs in the dangers of two revisions.

    Parameters
    ----------
    was, now : dict
        Revision documents.
    numbering : Numbering
        Which waypoint has which number.
    contents : callable
        Gives the dangers of a stored edition (a FeatureCollection) by its sha256; None where they
        are not held.
    counts : dict
        Gets the number of unchanged dangers under ``hazard``.
    """
    near = _near(was, now)
    spoken: set[str] = set()
    yield from _members(was, now, numbering)
    for key, old, new in matched(_origins(was, contents), _origins(now, contents)):
        sides = (old[1] if old else None), (new[1] if new else None)
        if sides[0] is not None and sides[1] is not None and _alike(sides[0], sides[1]):
            counts["hazard"] = counts.get("hazard", 0) + len(sides[1].features or ())
            continue
        tally = Tally()
        yield from _dangers(key, sides, near, tally, numbering)
        counts["hazard"] = counts.get("hazard", 0) + tally.same_count
        figures = _origin_figures(key, sides, numbering)
        figures += _editions(was, now, key, spoken)
        if figures or tally.counts:
            yield _origin(key, sides, tally, figures)
    yield from _pointed(was, now, numbering, spoken)


def _alike(old: Origin, new: Origin) -> bool:
    """Return whether an origin is the same on both sides; of a set its digest says so."""
    return old.named == new.named and (old.named is not None or old.features == new.features)


def _origins(document: Document, contents: Contents) -> dict[str, Row]:
    """Return where the dangers of a document come from, by a stable key."""
    found: dict[str, Row] = {}
    given = document["inputs"].get("hazards")
    if given is not None:
        origin = Origin(
            name="Dangers given with the plan",
            label=given.get("name") or "given with the plan",
            features=given.get("features"),
            at="/inputs/hazards/features",
        )
        found[OF_PLAN] = (0, origin)
    for index, row in enumerate(document["loaded"].get("hazard_sets") or []):
        held = contents(row["sha256"])
        origin = Origin(
            name=f"Hazard set {row['name']}",
            label=f"edition {row['edition']}",
            features=None if held is None else held.get("features"),
            at=f"/loaded/hazard_sets/{index}",
            named=row,
        )
        found[row["id"]] = (index, origin)
    return found


def _near(was: Document, now: Document) -> dict[str, Document]:
    """Return the dangers near either track by id, as they are measured now where they are."""
    return {
        row["hazard_id"]: row for document in (was, now) for row in document["result"]["clearances"]
    }


def _members(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in the collection of dangers given with the plan, its features aside."""
    old, new = was["inputs"].get("hazards"), now["inputs"].get("hazards")
    if old is None or new is None:
        return
    sides = [{m: v for m, v in one.items() if m != "features"} for one in (old, new)]
    figures = tuple(leaves(sides[0], sides[1], "/inputs/hazards", numbering))
    if figures:
        yield Change(
            kind="hazards", about=About(kind="hazards", id=OF_PLAN), what="members",
            sentence=figures_said("Dangers given with the plan", figures, 2), figures=figures,
        )  # fmt: skip


def _dangers(
    key: str, sides: tuple[Origin | None, Origin | None], near: dict[str, Document], tally: Tally,
    numbering: Numbering,
) -> Iterator[Change]:  # fmt: skip
    """Yield the changed dangers near the track, and count all of them."""
    if any(one is not None and one.features is None for one in sides):
        return
    rows = [keyed((one.features if one else None) or [], _danger_id) for one in sides]
    at = [one.at if one else "" for one in sides]
    if key != OF_PLAN:
        at = [f"{one.removesuffix('/features')}/features" for one in at]
    for one, old, new in matched(*rows):
        if old is not None and new is not None and old[1] == new[1]:
            tally.same_count += 1
            continue
        what = _what(old, new)
        tally.counts[what] = tally.counts.get(what, 0) + 1
        name = one if isinstance(one, str) else str(one[0])
        row = near.get(name) or near.get(f"{key}/{name}")
        figures = _figures(old, new, at, numbering, whole=row is not None)
        if row is None:
            tally.far(figures)
            continue
        tally.near.append(_name((new or old or (0, {}))[1], name))
        yield _danger(name, (old, new), what, row, figures)


def _danger_id(index: int, feature: Document) -> str:
    """Return the id of a danger: its property, else the feature's, else its place in the list."""
    own = (feature.get("properties") or {}).get("id")
    if own is None:
        own = feature.get("id")
    return f"danger-{index + 1}" if own is None else str(own)


def _name(feature: Document, one: str) -> str:
    """Return what a danger is called."""
    return str((feature.get("properties") or {}).get("name") or one)


def _what(old: Row | None, new: Row | None) -> str:
    """Return what happened to a danger."""
    if old is None or new is None:
        return "added" if old is None else "removed"
    return "moved" if old[1].get("geometry") != new[1].get("geometry") else "changed"


def _figures(
    old: Row | None, new: Row | None, at: list[str], numbering: Numbering, *, whole: bool
) -> tuple[Figure, ...]:
    """Return the figures of a changed danger; of one that is far, its name stands for it whole."""
    if old is not None and new is not None:
        return tuple(leaves(old[1], new[1], f"{at[1]}/{new[0]}", numbering))
    index, feature = new or old or (0, {})
    value = feature if whole else _name(feature, _danger_id(index, feature))
    pointer = f"{at[0] if new is None else at[1]}/{index}"
    return (Figure(pointer=pointer, was=old and value, now=new and value),)


def _danger(
    one: str, rows: tuple[Row | None, Row | None], what: str, near: Document,
    figures: tuple[Figure, ...],
) -> Change:  # fmt: skip
    """Return the change of a danger near the track."""
    old, new = rows
    name = f"Danger {_name((new or old or (0, {}))[1], one)}"
    places = [None if row is None else _place(row[1]) for row in rows]
    at = (nearest(near) or "").partition(", ")[2]
    if what in ("added", "removed"):
        place = places[1] or places[0]
        where = "" if place is None else f" {'at' if new else 'was at'} {_shown(place)}"
        sentence = f"{name} {what}{',' if old else ''}{where} (near the track: {at})"
    elif what == "moved" and places[0] is not None and places[1] is not None:
        said = moved_said(places[0], places[1])[2]
        sentence = f"{name} moved {said} (was {_shown(places[0])}, now {_shown(places[1])})"
        if _only_height(old, new) or places[0] == places[1]:
            sentence = figures_said(name, figures, figures[0].pointer.count("/"))
    else:
        sentence = figures_said(name, figures, _depth(figures))
    return Change(
        kind="danger", about=About(kind="hazard", id=one), what=what, sentence=sentence,
        was=None if old is None or places[0] is None else _shown(places[0]),
        now=None if new is None or places[1] is None else _shown(places[1]),
        figures=figures, where=(places[0], places[1]),
    )  # fmt: skip


def _depth(figures: tuple[Figure, ...]) -> int:
    """Return how many steps of a pointer lead to the danger itself: up to the number behind."""
    steps = figures[0].pointer.split("/")
    return steps.index("features") + 1


def _only_height(old: Row | None, new: Row | None) -> bool:
    """Return whether a moved danger has, to the eye, moved nowhere."""
    places = [None if row is None else _place(row[1]) for row in (old, new)]
    return places[0] == places[1]


def _place(feature: Document) -> Document | None:
    """Return the position of a danger, or of the first vertex of its shape."""
    value = (feature.get("geometry") or {}).get("coordinates")
    while isinstance(value, list) and value and isinstance(value[0], list):
        value = value[0]
    if not isinstance(value, list) or len(value) < 2:
        return None
    return {"lat_deg": float(value[1]), "lon_deg": float(value[0])}


def _shown(place: Document) -> str:
    """Return a position as it is shown."""
    return shown(place["lat_deg"], place["lon_deg"])


def _origin_figures(
    key: str, sides: tuple[Origin | None, Origin | None], numbering: Numbering
) -> tuple[Figure, ...]:
    """Return the figures of an origin itself: that it came or went, its edition and digest."""
    old, new = sides
    if old is None or new is None:
        side = new or old
        if side is None:
            return ()
        value: Any = side.named or {"features": len(side.features or ())}
        at = side.at.removesuffix("/features")
        return (Figure(pointer=at, was=old and value, now=new and value),)
    if key == OF_PLAN:
        return ()
    return tuple(leaves(old.named, new.named, new.at, numbering))


def _origin(
    key: str, sides: tuple[Origin | None, Origin | None], tally: Tally, figures: tuple[Figure, ...]
) -> Change:
    """Return the change of an origin, with how many of its dangers changed."""
    old, new = sides
    name = (new or old or Origin(name="", label="", features=None, at="")).name
    labels = [None if one is None else one.label for one in sides]
    parts = [f"{tally.counts[what]} {what}" for what in ("added", "removed", "moved", "changed")
             if tally.counts.get(what)]  # fmt: skip
    if any(one is not None and one.features is None for one in sides):
        parts = ["its dangers are not held here"]
    counted = ": " + ", ".join(parts) if parts else ""
    near = ", ".join(tally.near[:_MOST_NAMED])
    if len(tally.near) > _MOST_NAMED:
        near += f" and {len(tally.near) - _MOST_NAMED} more"
    nearby = f"; near the track: {near or 'none of them'}" if tally.counts else ""
    said = f" {was_now(labels[0], labels[1])}" if labels[0] != labels[1] else ""
    if not said and not parts:
        said = figures_said("", figures, 3).removeprefix(":")
    return Change(
        kind="hazards", about=About(kind="hazards", id=key), what="dangers",
        sentence=f"{name}{said}{counted}{nearby}", was=labels[0], now=labels[1],
        figures=(*figures, *tally.figures), left_out_count=tally.left_out_count,
    )  # fmt: skip


def _editions(was: Document, now: Document, key: str, spoken: set[str]) -> tuple[Figure, ...]:
    """Return the figures of the inputs that name an origin's edition."""
    old, new = (one["inputs"].get("hazard_set_editions") or {} for one in (was, now))
    figures = []
    if old.get(key) != new.get(key):
        spoken.add(key)
        pointer = f"/inputs/hazard_set_editions/{key}"
        figures.append(Figure(pointer=pointer, was=old.get(key), now=new.get(key)))
    ids = [one["inputs"].get("hazard_set_ids") or [] for one in (was, now)]
    if (key in ids[0]) != (key in ids[1]):
        spoken.add("ids")
        figures.append(Figure(pointer="/inputs/hazard_set_ids", was=ids[0], now=ids[1]))
    return tuple(figures)


def _pointed(
    was: Document, now: Document, numbering: Numbering, spoken: set[str]
) -> Iterator[Change]:
    """Yield what the inputs say otherwise of hazard sets, where no set itself speaks for it."""
    for member in ("hazard_set_ids", "hazard_set_editions"):
        old, new = was["inputs"].get(member), now["inputs"].get(member)
        if member == "hazard_set_ids" and "ids" in spoken:
            continue
        figures = tuple(
            one
            for one in leaves(old or None, new or None, f"/inputs/{member}", numbering)
            if one.pointer.rpartition("/")[2] not in spoken
        )
        if figures and not (member == "hazard_set_editions" and (not old or not new)
                            and {*(old or {}), *(new or {})} <= spoken):  # fmt: skip
            name = "Hazard sets named" if member == "hazard_set_ids" else "Editions named"
            yield Change(
                kind="hazards", about=About(kind="input", id=f"/{member}"), what="named",
                was=old, now=new, sentence=figures_said(name, figures, 2), figures=figures,
            )  # fmt: skip
