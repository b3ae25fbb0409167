"""What must stand in what came, so that it can be shown: bodies of events, documents of plans."""

from typing import Any

from wheelover.core.errors import UnreadableFile
from wheelover.core.types.dangers import WATER_KINDS
from wheelover.formats.parcel import CarriedEvent, refused
from wheelover.formats.strict_json import read_json

Document = dict[str, Any]

_RESERVED = frozenset({"number", "kind", "at_utc", "by"})
_TEXTS: dict[str, tuple[str, ...]] = {
    "lapsed": ("id", "words"),
    "noted": ("id", "words"),
    "conflict_found": ("id", "what", "words"),
    "conflict_settled": ("id", "pick"),
    "approved": ("sha256", "inputs_sha256", "engine", "words"),
    "explained": ("id", "finding_id", "words", "message"),
    "explanation_answered": ("explanation_id", "answer", "words"),
}
"""Members without which an event of a kind cannot be shown."""


def require_body(event: CarriedEvent) -> None:
    """Refuse an event whose body lacks what is shown of it, or says who made it."""
    body = event.body
    texts = all(isinstance(body.get(name), str) for name in _TEXTS.get(event.kind, ()))
    reasons = body.get("reasons", [])
    if event.kind == "explained" and not isinstance(body.get("written_for"), dict):
        texts = False
    if not texts or not _RESERVED.isdisjoint(body) or not isinstance(reasons, list):
        raise refused("contents", f"Event {event.number} in the parcel has another body than due.")


def require_limit_set(item_id: str, body: bytes) -> None:
    """Refuse contents of a limit set of another shape: a later edition is compared with them."""
    try:
        value: Any = read_json(body)
    except UnreadableFile as error:
        raise refused("contents", f"The limit set {item_id} in the parcel is no JSON.") from error
    waters = [value.get(kind) for kind in WATER_KINDS] if isinstance(value, dict) else [[]]
    for one in waters:
        by_class = one.get("min_clearance_by_class") if isinstance(one, dict) else one
        if not isinstance(one, dict | None) or not isinstance(by_class, dict | None):
            raise refused(
                "contents", f"The limit set {item_id} in the parcel has another shape than due."
            )


def named_digests(document: Document) -> dict[tuple[str, int], str]:
    """Return the digests under which a revision was computed with what it pins."""
    loaded = document.get("loaded")
    if not isinstance(loaded, dict):
        return {}
    named = loaded.get("hazard_sets")
    every = [*(named if isinstance(named, list) else []), loaded.get("ship")]
    every.append(loaded.get("limit_set"))
    return {
        (one["id"], one["edition"]): str(one.get("sha256"))
        for one in every
        if isinstance(one, dict)
        and isinstance(one.get("id"), str)
        and isinstance(one.get("edition"), int)
    }
