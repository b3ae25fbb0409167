"""The voyage of a plan as JSON values."""

from typing import Any

Document = dict[str, Any]


def voyage_document(given: Document | None) -> Document | None:
    """Return number and ports of a voyage with every member, None where none is given.

    Parameters
    ----------
    given : dict or None
        As the request has it.

    Examples
    --------
    >>> voyage_document({"arrival_port": {"locode": "NOBGO"}})["arrival_port"]
    {'locode': 'NOBGO', 'text': None}
    """
    if not given:
        return None
    return {
        "number": given.get("number"),
        **{name: _port(given.get(name)) for name in ("departure_port", "arrival_port")},
    }


def _port(port: Document | None) -> Document | None:
    """Return a port."""
    return None if port is None else {name: port.get(name) for name in ("locode", "text")}
