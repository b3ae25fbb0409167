"""The addresses of the page: what a browser that came from elsewhere may be sent on to."""

import re
from urllib.parse import unquote

from wheelover.core.errors import Fault, InvalidInput

MOST_LONG = 1000

_SEGMENT = r"(?:[A-Za-z0-9._~!$&'()*+,;=:@-]|%[0-9A-Fa-f]{2})+"
_PLAN = rf"/plans/{_SEGMENT}(?:/review|/r/[0-9]+(?:/turns/{_SEGMENT}(?:/{_SEGMENT})*)?)?"
_ADDRESS = re.compile(rf"(?P<path>/|{_PLAN})/?(?:\?{_SEGMENT})?(?:#{_SEGMENT})?", re.ASCII)
_DOTS = (".", "..")


def page_address(text: str) -> str:
    """Return an address of the page as it is given, with its query and fragment.

    It is a path of this service and of the page alone: no other host, and no place of the API.
    A browser takes ``..`` and ``%2e%2e`` out of a path, so neither may stand in it.

    Raises
    ------
    InvalidInput
        For any other text.
    """
    found = _ADDRESS.fullmatch(text) if len(text) <= MOST_LONG else None
    if found is None or any(unquote(one) in _DOTS for one in found["path"].split("/")):
        message = "no address of the page of this service; such is /plans/PLAN or /plans/PLAN/r/2"
        raise InvalidInput(f"to: {message}", (Fault(pointer="/to", message=message),))
    return text
