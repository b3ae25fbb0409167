"""What differs in the limit set of a plan, and in what is waived of it."""

from collections.abc import Iterator
from typing import Any

from wheelover.render.difference.change import About, Change, Figure
from wheelover.render.difference.given import edition_said, field_changes, pointed
from wheelover.render.difference.pairs import Numbering, figures_said, keyed, leaves, matched
from wheelover.render.difference.words import was_now

Document = dict[str, Any]


def limit_set_changes(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in the limit set, given whole or stored: its edition, then rule by rule.

    Parameters
    ----------
    was, now : dict
        Revision documents.
    numbering : Numbering
        Which waypoint has which number.
    """
    (old, at_old, named_old), (new, at_new, named_new) = _limits(was), _limits(now)
    about = About(kind="limit_set", id=(named_new or named_old or {}).get("id"))
    figures = tuple(leaves(named_old, named_new, "/loaded/limit_set", numbering))
    figures += pointed(was, now, ("limit_set_id", "limit_set_edition"))
    if figures:
        said = edition_said(named_old, old), edition_said(named_new, new)
        sentence = f"Limit set {was_now(*said)}"
        if said[0] == said[1]:
            sentence = figures_said("Limit set as stored", figures, 2)
        yield Change(
            kind="limits", about=about, what="edition", was=said[0], now=said[1],
            sentence=sentence, figures=figures,
        )  # fmt: skip
    if old is None or new is None:
        if old != new:
            word = "taken out" if new is None else "given"
            said = edition_said(None, old), edition_said(None, new)
            yield Change(
                kind="limits", about=about, what=word.replace(" ", "-"), was=said[0], now=said[1],
                sentence=f"Limit set {word}",
                figures=(Figure(pointer=at_new if new else at_old, was=old, now=new),),
            )  # fmt: skip
        return
    yield from field_changes("limits", about, "Rule:", leaves(old, new, at_new, numbering), at_new)


def _limits(document: Document) -> tuple[Any, str, Document | None]:
    """Return the limit set of a document, where it stands, and what names it in the store."""
    loaded = document["loaded"].get("limit_set")
    if loaded is None:
        return document["inputs"].get("limit_set"), "/inputs/limit_set", None
    named = {member: value for member, value in loaded.items() if member != "limits"}
    return loaded.get("limits"), "/loaded/limit_set/limits", named


def waiver_changes(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield which rules were waived, by whom, and which waivers were taken away or written anew."""
    rows = [
        keyed(one["inputs"].get("waivers") or [], lambda index, row: row.get("id") or f"#{index}")
        for one in (was, now)
    ]
    for key, old, new in matched(*rows):
        about = About(kind="waiver", id=str(key if not isinstance(key, tuple) else key[0]))
        if old is not None and new is not None:
            at = f"/inputs/waivers/{new[0]}"
            yield from field_changes(
                "limits", about, f"Waiver of {new[1]['rule']}:",
                leaves(old[1], new[1], at, numbering), at,
            )  # fmt: skip
            continue
        index, row = new or old or (0, {})
        word = "added" if new else "taken away"
        rank = f", {row['by']['rank']}" if row["by"].get("rank") else ""
        yield Change(
            kind="limits", about=about, what=f"waiver-{word.replace(' ', '-')}",
            sentence=f"Waiver {word}: {row['rule']} by {row['by']['name']}{rank}: {row['reason']}",
            figures=(
                Figure(
                    pointer=f"/inputs/waivers/{index}", was=old and old[1], now=new and new[1]
                ),
            ),
        )  # fmt: skip
