"""What differs in the inputs beside the route: ship, limits, conditions, cases, and the rest."""

from collections.abc import Iterable, Iterator
from typing import Any

from wheelover.render.difference.change import About, Change, Figure
from wheelover.render.difference.named import Places
from wheelover.render.difference.pairs import (
    Both,
    Numbering,
    figures_said,
    keyed,
    last_words,
    leaves,
    matched,
    rest_of,
)
from wheelover.render.difference.words import is_number, was_now, was_now_given, word_and_unit

Document = dict[str, Any]


def ship_changes(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in the ship, whether she is given whole or stored, field by field.

    Parameters
    ----------
    was, now : dict
        Revision documents.
    numbering : Numbering
        Which waypoint has which number.
    """
    (old, at_old, named_old), (new, at_new, named_new) = _ship(was), _ship(now)
    about = About(kind="ship", id=_id_of(named_new or named_old))
    figures = tuple(leaves(named_old, named_new, "/loaded/ship", numbering))
    figures += pointed(was, now, ("ship_id", "ship_edition"))
    if figures:
        said = edition_said(named_old, old), edition_said(named_new, new)
        sentence = f"Ship {was_now(*said)}"
        if said[0] == said[1]:
            sentence = figures_said("Ship as stored", figures, 2)
        yield Change(
            kind="ship", about=about, what="edition", was=said[0], now=said[1],
            sentence=sentence, figures=figures,
        )  # fmt: skip
    if old is None or new is None:
        if old != new:
            word = "taken out" if new is None else "given"
            yield Change(
                kind="ship", about=about, what=word.replace(" ", "-"),
                sentence=f"Ship {word}: was {_name(old)}, now {_name(new)}",
                was=_name(old), now=_name(new),
                figures=(Figure(pointer=at_new if new else at_old, was=old, now=new),),
            )  # fmt: skip
        return
    yield from field_changes("ship", about, "Ship", leaves(old, new, at_new, numbering), at_new)


def _id_of(named: Document | None) -> str | None:
    """Return the id of a stored thing."""
    return None if named is None else named.get("id")


def _ship(document: Document) -> tuple[Any, str, Document | None]:
    """Return the ship of a document, where she stands in it, and what names her in the store."""
    loaded = document["loaded"].get("ship")
    if loaded is None:
        return document["inputs"].get("ship"), "/inputs/ship", None
    named = {member: value for member, value in loaded.items() if member != "ship"}
    return loaded.get("ship"), "/loaded/ship/ship", named


def _name(ship: Any) -> str:
    """Return the name of a ship."""
    return "none" if ship is None else str(ship.get("name"))


def edition_said(named: Document | None, ship: Any) -> str:
    """Return which ship or limit set, and which edition of it where it is stored."""
    if named is None:
        return "none" if ship is None else f"{_name(ship)}, given with the plan"
    return f"{named.get('name')} edition {named.get('edition')} ({named.get('id')})"


def pointed(was: Document, now: Document, members: tuple[str, ...]) -> tuple[Figure, ...]:
    """Return the figures of what the inputs point at."""
    old, new = was["inputs"], now["inputs"]
    return tuple(
        Figure(pointer=f"/inputs/{one}", was=old.get(one), now=new.get(one))
        for one in members
        if old.get(one) != new.get(one)
    )


def field_changes(
    kind: str, about: About, name: str, figures: Iterable[Figure], at: str
) -> Iterator[Change]:
    """Yield every field that differs, each with its own sentence."""
    depth = at.count("/")
    for figure in figures:
        steps = figure.pointer.split("/")[depth + 1 :]
        word, unit = last_words(figure)
        path = [
            f"row {int(one) + 1}" if one.isdigit() else word_and_unit(one)[0] for one in steps[:-1]
        ]
        if steps and steps[-1].isdigit():
            path.append(f"row {int(steps[-1]) + 1}")
        numbers = is_number(figure.was) or is_number(figure.now)
        said = was_now_given(figure.was, figure.now, unit if numbers else "")
        yield Change(
            kind=kind, about=about, what="/".join(steps), was=figure.was, now=figure.now,
            unit=unit or None, sentence=f"{' '.join([name, *path, word])} {said}",
            figures=(figure,),
        )  # fmt: skip


def margin_changes(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in limits and conditions, field by field."""
    for member, name in (("limits", "Limit:"), ("conditions", "Conditions:")):
        old, new = was["inputs"].get(member) or {}, now["inputs"].get(member) or {}
        about = About(kind=member)
        figures = leaves(old, new, f"/inputs/{member}", numbering)
        yield from field_changes(member, about, name, figures, f"/inputs/{member}")


def other_inputs(
    was: Document, now: Document, numbering: Numbering, spoken: frozenset[str]
) -> Iterator[Change]:
    """Yield what differs in inputs that nobody has spoken for."""
    old, new = was["inputs"], now["inputs"]
    for member in [one for one in {**old, **new} if one not in spoken]:
        if old.get(member) == new.get(member):
            continue
        word, unit = word_and_unit(member)
        figures = tuple(leaves(old.get(member), new.get(member), f"/inputs/{member}", numbering))
        said = was_now_given(old.get(member), new.get(member), unit)
        sentence = f"{word[0].upper()}{word[1:]} {said}"
        if isinstance(old.get(member), dict | list) or isinstance(new.get(member), dict | list):
            sentence = figures_said(word[0].upper() + word[1:], figures, 2)
        yield Change(
            kind="input", about=About(kind="input", id=f"/{member}"), what="value",
            was=old.get(member), now=new.get(member), unit=unit or None, sentence=sentence,
            figures=figures,
        )  # fmt: skip


def amendment_change(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield that a plan was amended under way, or amended otherwise."""
    old, new = was["inputs"].get("amendment"), now["inputs"].get("amendment")
    figures = tuple(leaves(old, new, "/inputs/amendment", numbering))
    if figures:
        said = [None if one is None else f"{one['kind']}: {one['reason']}" for one in (old, new)]
        sentence = f"Amended under way {was_now(said[0], said[1])}"
        if said[0] == said[1]:
            sentence = figures_said("Amended under way", figures, 2)
        yield Change(
            kind="route", about=About(kind="plan"), what="amendment", was=said[0], now=said[1],
            sentence=sentence, figures=figures,
        )  # fmt: skip


def alternative_changes(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield which alternative routes were added, removed or laid otherwise."""
    for part, at in (("inputs", "/inputs/alternatives"), ("result", "/result/alternatives")):
        rows = [
            keyed(one[part].get("alternatives") or [], lambda _, row: row.get("id"))
            for one in (was, now)
        ]
        for key, old, new in matched(rows[0], rows[1]):
            about = About(kind="alternative", id=str(key if not isinstance(key, tuple) else key[0]))
            index, row = new or old or (0, {})
            name = f"Alternative {_alternative(row)!r}"
            if old is not None and new is not None:
                both = Both(old[1], new[1], f"{at}/{old[0]}", f"{at}/{new[0]}", numbering)
                name += "" if part == "inputs" else " as laid"
                yield from rest_of("alternative", about, name, both)
                continue
            word = "added" if new else "removed"
            yield Change(
                kind="alternative", about=about, what=f"{part}-{word}",
                sentence=f"{name} {word}" + ("" if part == "inputs" else ", as laid"),
                figures=(
                    Figure(pointer=f"{at}/{index}", was=old and old[1], now=new and new[1]),
                ),
            )  # fmt: skip


def _alternative(row: Document) -> str:
    """Return the name of an alternative, as it was asked for or as it was laid."""
    return str(row.get("name") or (row.get("route") or {}).get("name") or row.get("id"))


def case_changes(
    was: Document, now: Document, numbering: Numbering, places: Places
) -> Iterator[Change]:
    """Yield which cases were kept or taken away, and what comes of the others now."""
    for part, at in (("inputs", "/inputs/cases"), ("result", "/result/cases")):
        rows = [
            keyed(one[part].get("cases") or [], lambda _, row: row.get("name"))
            for one in (was, now)
        ]
        for key, old, new in matched(*rows):
            name = str(key if not isinstance(key, tuple) else key[0])
            about = About(kind="case", id=name)
            row = (new or old or (0, {}))[1]
            where = places.of(row.get("waypoint_id"))
            if old is None or new is None:
                index = (new or old or (0, {}))[0]
                figure = Figure(pointer=f"{at}/{index}", was=old and old[1], now=new and new[1])
                word = "kept" if new else "taken away"
                answer = "" if part == "inputs" else ", with its answer"
                yield Change(
                    kind="case", about=about, what=f"{part}-{word.replace(' ', '-')}",
                    sentence=f"Case {word}{answer}: {name!r}", figures=(figure,), where=where,
                    was=None if new else name, now=name if new else None,
                )  # fmt: skip
                continue
            both = Both(old[1], new[1], f"{at}/{old[0]}", f"{at}/{new[0]}", numbering)
            yield from rest_of("case", about, f"Case {name!r}", both, where=where)
