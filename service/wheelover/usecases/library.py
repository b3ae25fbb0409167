"""Ships, hazard sets and limit sets: keep them, make new editions, list and read them."""

from dataclasses import asdict
from typing import Any

from wheelover.formats.strict_json import read_json
from wheelover.store import Store, Unit
from wheelover.store.library import Contents, Edition, Kind
from wheelover.usecases.canonical import canonical, require_tag, tag_of
from wheelover.usecases.lapses import lapse_by_edition
from wheelover.usecases.people import LOCAL_ACTOR, Actor

__all__ = [
    "Contents",
    "Edition",
    "Kind",
    "edition_tag",
    "hazard_set_contents",
    "keep",
    "limit_set_contents",
    "listed",
    "read",
    "renew",
    "ship_contents",
]

Document = dict[str, Any]


def edition_tag(edition: Edition) -> str:
    """Return the entity tag of an edition; an old one is told apart by what is newest now."""
    tag = tag_of(edition.edition, edition.sha256)
    return tag if edition.edition == edition.newest else f'{tag[:-1]}-of-{edition.newest}"'


def ship_contents(ship: Document) -> Contents:
    """Return a ship as the store takes it."""
    return Contents(name=ship["name"], body=canonical(ship))


def hazard_set_contents(name: str, hazards: Document, source: str | None) -> Contents:
    """Return a hazard set as the store takes it."""
    count = len(hazards["features"])
    return Contents(name=name, body=canonical(hazards), item_count=count, source=source)


def limit_set_contents(limit_set: Document, rule_count: int) -> Contents:
    """Return a limit set as the store takes it."""
    return Contents(
        name=limit_set["name"],
        body=canonical(limit_set),
        item_count=rule_count,
        source=limit_set.get("source"),
    )


def keep(
    store: Store, kind: Kind, contents: Contents, now_utc: str, actor: Actor = LOCAL_ACTOR
) -> tuple[Edition, Document]:
    """Keep a new thing; return its first edition and what is in it."""
    with store.writing() as unit:
        edition = unit.library.add(kind, contents, now_utc, actor.owner)
        _note(unit, f"{kind}.kept", edition, actor, now_utc)
    return edition, read_json(contents.body)


def renew(
    store: Store,
    kind: Kind,
    item_id: str,
    contents: Contents,
    tags: tuple[str, ...],
    now_utc: str,
    actor: Actor = LOCAL_ACTOR,
) -> tuple[Edition, Document]:
    """Make a new edition of a thing. The same contents again make none.

    Approvals that it touches lapse in the same transaction.

    Raises
    ------
    NotFound
        For an id that is not stored.
    Stale
        When another edition has been made since the sender read it.
    """
    with store.writing() as unit:
        present = unit.library.get(kind, item_id)
        what = kind.replace("_", " ")
        require_tag(tags, edition_tag(present), what, subject=(kind, item_id))
        same = (present.name, present.source, unit.library.body(present)) == (
            contents.name,
            contents.source,
            contents.body,
        )
        if same:
            return present, read_json(contents.body)
        edition = unit.library.renew(kind, item_id, contents, now_utc)
        _note(unit, f"{kind}.renewed", edition, actor, now_utc)
        lapse_by_edition(unit, kind, edition, actor.person, now_utc)
    return edition, read_json(contents.body)


def _note(unit: Unit, what: str, edition: Edition, actor: Actor, now_utc: str) -> None:
    """Write a new edition into the audit log."""
    entry = {
        "what": what,
        "item_id": edition.id,
        "edition": edition.edition,
        "sha256": edition.sha256,
        "by": asdict(actor.person),
    }
    unit.audit.add(actor.vessel_id, entry, now_utc)


def read(
    store: Store, kind: Kind, item_id: str, number: int | None = None
) -> tuple[Edition, Document]:
    """Return an edition of a thing and what is in it, the newest unless a number is given.

    Raises
    ------
    NotFound
        For an id or a number that is not stored.
    """
    with store.reading() as unit:
        edition = unit.library.get(kind, item_id, number)
        body = unit.library.body(edition)
    return edition, read_json(body)


def listed(
    store: Store,
    kind: Kind,
    limit: int,
    before_seq: int | None,
    vessels: frozenset[str] | None = None,
) -> tuple[list[Edition], int | None]:
    """Return a page of the newest editions of some vessels, and where the next page starts."""
    with store.reading() as unit:
        rows = unit.library.page(kind, limit + 1, before_seq, vessels)
    more = len(rows) > limit
    return rows[:limit], rows[limit - 1].seq if more else None
