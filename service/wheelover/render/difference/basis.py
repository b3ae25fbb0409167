"""What differs in the basis, the cautions, and the engine that computed the plan."""

from collections.abc import Iterator
from typing import Any

from wheelover.core.geo import geodesic
from wheelover.render.difference.change import About, Change, Figure
from wheelover.render.difference.pairs import (
    Both,
    Numbering,
    figures_said,
    keyed,
    matched,
    rest_of,
)
from wheelover.render.difference.words import given_said, was_now

Document = dict[str, Any]

NEAR_M = 5.0
"""Under another engine, turns that lie further apart than this are counted."""


def basis_changes(
    was: list[Document], now: list[Document], numbering: Numbering
) -> Iterator[Change]:
    """Yield what differs in the basis: inputs, each with the word for where it came from."""
    pairs = matched(
        keyed(was, lambda _, one: one["input"]), keyed(now, lambda _, one: one["input"])
    )
    for key, old, new in pairs:
        about = About(kind="basis", id=str(key if not isinstance(key, tuple) else key[0]))
        name = f"Basis: {about.id}"
        if old is not None and new is not None:
            both = Both(
                old[1], new[1], f"/result/basis/{old[0]}", f"/result/basis/{new[0]}", numbering
            )
            yield from _basis(both, about, name)
            continue
        index, row = new or old or (0, {})
        said = _basis_said(row)
        yield Change(
            kind="basis", about=about, what="added" if new else "removed",
            sentence=f"{name} added, {said}" if new else f"{name} removed, was {said}",
            was=None if new else row.get("value"), now=row.get("value") if new else None,
            unit=row.get("unit"),
            figures=(Figure(pointer=f"/result/basis/{index}", was=old and old[1],
                            now=new and new[1]),),
        )  # fmt: skip


def _basis(both: Both, about: About, name: str) -> Iterator[Change]:
    """Yield what differs in one row of the basis."""
    was, now = both.was, both.now
    figures = both.take("value", "unit", "source")
    if figures:
        said = [_basis_said(one) for one in (was, now)]
        sentence = f"{name} was {said[0]}, now {said[1]}"
        if said[0] == said[1]:
            sentence = figures_said(name, figures, 3)
        yield Change(
            kind="basis", about=about, what="value", was=was.get("value"), now=now.get("value"),
            unit=now.get("unit"), figures=(*figures, *both.take("note")), sentence=sentence,
        )  # fmt: skip
    yield from rest_of("basis", about, name, both)


def _basis_said(row: Document) -> str:
    """Return the value of an input with its source word."""
    return f"{given_said(row.get('value'), row.get('unit') or '')}, {row.get('source')}"


def engine_changes(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in the engine and the libraries it computes with.

    Where the inputs are the same, it is said how many turns lie more than 5 m apart.
    """
    old, new = was.get("engine_version"), now.get("engine_version")
    about = About(kind="engine")
    figures = tuple(
        Figure(pointer=f"{at}/engine_version", was=one.get("engine_version"),
               now=other.get("engine_version"))
        for at, one, other in (("", was, now), ("/result", was["result"], now["result"]))
        if one.get("engine_version") != other.get("engine_version")
    )  # fmt: skip
    if figures:
        said = was_now(figures[0].was, figures[0].now)
        turns, shared = _moved_turns(was, now)
        apart = f"{turns or 'no'} {'turn' if turns == 1 else 'turns'} of {shared}"
        verb = "differs" if turns == 1 else "differ"
        same = was["inputs"] == now["inputs"] and was["loaded"] == now["loaded"]
        lead = "Same plan, new engine" if same else "New engine"
        yield Change(
            kind="engine", about=about, what="version", was=old, now=new, figures=figures,
            sentence=f"{lead} ({said}): {apart} {verb} by more than {NEAR_M:.0f} m",
        )  # fmt: skip
    made = Both(
        was.get("made_with") or {}, now.get("made_with") or {}, "/made_with", "/made_with",
        numbering,
    )  # fmt: skip
    for member in {**made.was, **made.now}:
        libraries = made.take(member)
        if libraries:
            values = made.was.get(member), made.now.get(member)
            yield Change(
                kind="engine", about=about, what=f"library-{member}", was=values[0],
                now=values[1], figures=libraries,
                sentence=f"Made with {member.replace('_', ' ')}: {was_now(*values)}",
            )  # fmt: skip


def _moved_turns(was: Document, now: Document) -> tuple[int, int]:
    """Return how many turns lie further apart than ``NEAR_M``, and how many both have."""
    old = {one["waypoint_id"]: one for one in was["result"]["turns"]}
    new = {one["waypoint_id"]: one for one in now["result"]["turns"]}
    shared = [one for one in new if one in old]
    ends: list[tuple[str, tuple[Document, Document]]] = []
    moved = set()
    for one in shared:
        for places in zip(_marks(old[one]), _marks(new[one]), strict=True):
            if places[0] is not None and places[1] is not None:
                ends.append((one, places))
            elif places[0] != places[1]:
                moved.add(one)
    if ends:
        columns = [
            [places[side][axis] for _, places in ends]
            for side in (0, 1)
            for axis in ("lat_deg", "lon_deg")
        ]
        _, _, distance_m = geodesic.inverse(*columns)
        moved |= {
            one for (one, _), far_m in zip(ends, distance_m.tolist(), strict=True) if far_m > NEAR_M
        }
    return len(moved), len(shared)


def _marks(turn: Document) -> tuple[Any, ...]:
    """Return the places that a turn is steered by: its ends and its planned wheel-over."""
    return turn.get("start"), turn.get("end"), (turn.get("planned") or {}).get("position")


def caution_changes(was: Any, now: Any, numbering: Numbering) -> Iterator[Change]:
    """Yield which cautions were added, removed or worded anew."""
    pairs = matched(
        keyed(was or [], lambda _, one: one.get("id")),
        keyed(now or [], lambda _, one: one.get("id")),
    )
    for key, old, new in pairs:
        about = About(kind="caution", id=str(key if not isinstance(key, tuple) else key[0]))
        if old is not None and new is not None:
            at = f"/result/cautions/{old[0]}", f"/result/cautions/{new[0]}"
            yield from rest_of(
                "caution", about, f"Caution {about.id}", Both(old[1], new[1], *at, numbering)
            )
            continue
        index, row = new or old or (0, {})
        yield Change(
            kind="caution", about=about, what="added" if new else "removed",
            sentence=f"Caution {'added' if new else 'removed'}: {row.get('text')}",
            was=None if new else row.get("text"), now=row.get("text") if new else None,
            figures=(Figure(pointer=f"/result/cautions/{index}", was=old and old[1],
                            now=new and new[1]),),
        )  # fmt: skip
