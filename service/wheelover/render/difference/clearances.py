"""What differs in the clearances of the dangers near the track."""

from collections.abc import Iterator
from typing import Any

from wheelover.render.difference.change import PLAN, About, Change, Figure
from wheelover.render.difference.nearest import nearest
from wheelover.render.difference.pairs import Both, Numbering, Row, keyed, matched
from wheelover.render.difference.words import both_said, counted, was_now

Document = dict[str, Any]

_JUDGED = ("met", "on_track", "limit_m", "limit_source")
_MOST_NAMED = 5


def clearance_changes(
    was: list[Document], now: list[Document], numbering: Numbering
) -> Iterator[Change]:
    """Yield, for each danger, that it came near or left, or is judged otherwise; the rest as one.

    Parameters
    ----------
    was, now : list of dict
        Dangers near the track as the answer gives them, one row for each.
    numbering : Numbering
        Which waypoint has which number.
    """
    others: list[tuple[str, tuple[Figure, ...]]] = []
    pairs = matched(
        keyed(was, lambda _, one: one["hazard_id"]), keyed(now, lambda _, one: one["hazard_id"])
    )
    for one, old, new in pairs:
        about = About(kind="hazard", id=one if isinstance(one, str) else str(one[0]))
        if old is None or new is None:
            yield _come_or_gone(about, old, new)
        elif old[1] != new[1]:
            at = f"/result/clearances/{old[0]}", f"/result/clearances/{new[0]}"
            both = Both(old[1], new[1], *at, numbering)
            if any(both.differs(member) for member in _JUDGED):
                yield _judged(about, both)
                continue
            figures = both.rest()
            if figures:
                others.append((_row_said(both, figures), figures))
    if others:
        named = "; ".join(said for said, _ in others[:_MOST_NAMED])
        more = f"; and {len(others) - _MOST_NAMED} more" if len(others) > _MOST_NAMED else ""
        yield Change(
            kind="clearance", about=PLAN, what="distances",
            sentence=f"Clearance of {counted(len(others), 'danger')}, judged as before: {named}"
            f"{more}",
            figures=tuple(figure for _, found in others for figure in found),
        )  # fmt: skip


def _name(row: Document) -> str:
    """Return what a danger is called."""
    return str(row.get("hazard_name") or row.get("hazard_id"))


def _row_said(both: Both, figures: tuple[Figure, ...]) -> str:
    """Return the clearance of one danger, or else what differs about it."""
    old, new = both.was.get("clearance_m"), both.now.get("clearance_m")
    if old != new:
        return f"{_name(both.now)} {was_now(old, new, 'm')}"
    old, new = both_said(figures[0].was, figures[0].now)
    member = figures[0].pointer.split("/")[4].replace("_", " ")
    return f"{_name(both.now)} {member} was {old}, now {new}"


def _come_or_gone(about: About, old: Row | None, new: Row | None) -> Change:
    """Return that a danger is among those near the track, or no longer."""
    index, row = new or old or (0, {})
    place = row.get("hazard_point")
    word = "now near the track" if new else "no longer near the track, was"
    said = (nearest(row) or "").removeprefix(f"{_name(row)}, ")
    return Change(
        kind="clearance", about=about, what="near" if new else "gone",
        sentence=f"{_name(row)} {word}: {said}",
        was=None if new else row.get("clearance_m"), now=row.get("clearance_m") if new else None,
        unit="m",
        figures=(
            Figure(pointer=f"/result/clearances/{index}", was=old and old[1], now=new and new[1]),
        ),
        where=(place if old else None, place if new else None),
    )  # fmt: skip


def _judged(about: About, both: Both) -> Change:
    """Return that a danger is judged otherwise."""
    name = _name(both.now)
    said = [(nearest(one) or "").removeprefix(f"{_name(one)}, ") for one in (both.was, both.now)]
    figures = both.rest()
    if said[0] == said[1]:
        member = figures[0].pointer.split("/")[4].replace("_", " ")
        said = list(both_said(figures[0].was, figures[0].now))
        name = f"{name}, {member}"
    return Change(
        kind="clearance", about=about, what="judged", sentence=f"Clearance of {name}: was "
        f"{said[0]}, now {said[1]}",
        was=both.was.get("clearance_m"), now=both.now.get("clearance_m"), unit="m",
        figures=figures, where=(both.was.get("hazard_point"), both.now.get("hazard_point")),
    )  # fmt: skip
