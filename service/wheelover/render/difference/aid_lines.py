"""Lines to steer by in a difference: what the lines of a leg or turn come down to, in words."""

from typing import Any

Document = dict[str, Any]

_MOST_NAMED = 4


def _rows(lines: Any, member: str = "rows") -> list[Document]:
    """Return the rows of lines to steer by, none where there are no such lines."""
    return _documents(lines.get(member) if isinstance(lines, dict) else None)


def _documents(rows: Any) -> list[Document]:
    """Return those of some rows that are documents, none where there are no rows."""
    return [one for one in rows if isinstance(one, dict)] if isinstance(rows, list) else []


def index_said(index: Document | None) -> str | None:
    """Return the index lines in use on a leg in words, None without any."""
    rows = [one for one in _rows(index) if one.get("use") != "offered"]
    return _listed([_index_line(one) for one in rows])


def _index_line(row: Document) -> str:
    """Return one index line in words, with its limits."""
    limits = [
        f"{one['word']} {one['range_nm']:.2f}"
        for one in _documents(row.get("limits"))
        if one.get("range_nm") is not None
    ]
    return f"{row['mark_name']} {row['set_nm']:.2f} NM {row['side']}" + (
        f" ({', '.join(limits)})" if limits else ""
    )


def bend_said(index: Document | None) -> str | None:
    """Return the index objects of a turn in words, None without any."""
    return _listed(
        [
            f"{one['mark_name']}, {one['in_range_nm']:.2f} NM {one['in_side']} then "
            f"{one['out_range_nm']:.2f} NM {one['out_side']}"
            for one in _rows(index)
        ]
    )


def clearing_said(clearing: Document | None) -> str | None:
    """Return the clearing lines of a leg in words, None without any."""
    bearings = [
        f"{one['mark_name']} {one['word']} {one['set_deg']:05.1f} T"
        for one in _rows(clearing, "bearings")
    ]
    ranges = [
        f"{one['mark_name']} {one['word']} {one['set_nm']:.2f} NM"
        for one in _rows(clearing, "ranges")
    ]
    transits = [
        f"{one['rear_mark_name']} open to {one['open_side']} of {one['front_mark_name']}"
        for one in _rows(clearing, "transits")
    ]
    return _listed([*bearings, *ranges, *transits])


def transits_said(transits: list[Document] | None) -> str | None:
    """Return the transits of a leg in words, None without any."""
    rows = _documents(transits)
    return _listed([f"{one['name']} {one['bearing_deg']:05.1f} T" for one in rows])


def _listed(said: list[str]) -> str | None:
    """Return a few things as a list, and how many more."""
    more = len(said) - _MOST_NAMED
    text = "; ".join(said[:_MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")
    return text or None
