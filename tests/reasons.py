"""The master's written reasons as tests give them: one for all open items of a cause."""

from typing import Any

Document = dict[str, Any]


def reasons_for(open_items: list[Document], words: str = "known, and looked at") -> list[Document]:
    """Return a reason for every cause among open items."""
    by_cause: dict[str, list[str]] = {}
    for one in open_items:
        by_cause.setdefault(one["cause"], []).append(one["id"])
    return [{"items": items, "words": words} for items in by_cause.values()]
