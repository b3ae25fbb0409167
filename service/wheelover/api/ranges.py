"""Bytes that can be asked for in part, so that a download goes on where the link dropped."""

import re
from urllib.parse import quote

from fastapi import Request, Response

from wheelover.api.problems import problem

_RANGE = re.compile(r"bytes=(\d{0,15})-(\d{0,15})")


def attachment(request: Request, body: bytes, tag: str, name: str, media_type: str) -> Response:
    """Return bytes as a file to be kept: whole, or the part that Range asks for (RFC 9110, 14).

    Parameters
    ----------
    request : Request
        Its Range and If-Range are read; more than one range is answered with the whole.
    body : bytes
        The whole.
    tag : str
        Its ETag, in quotes.
    name : str
        What the file is called.
    media_type : str
        Its type.
    """
    headers = {
        "ETag": tag,
        "Accept-Ranges": "bytes",
        "Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}",
        "Content-Security-Policy": "default-src 'none'; sandbox",
    }
    wanted = request.headers.get("range")
    if wanted is None or request.headers.get("if-range", tag) != tag:
        return Response(body, media_type=media_type, headers=headers)
    found = _RANGE.fullmatch(wanted.strip())
    if found is None or found.groups() == ("", ""):
        return Response(body, media_type=media_type, headers=headers)
    start, end = _bounds(found[1], found[2], len(body))
    if start >= end:
        beyond = {"Content-Range": f"bytes */{len(body)}"}
        return problem(416, "beyond-its-end", "That range is not in the file.", headers=beyond)
    headers["Content-Range"] = f"bytes {start}-{end - 1}/{len(body)}"
    return Response(body[start:end], 206, media_type=media_type, headers=headers)


def _bounds(first: str, last: str, size_count: int) -> tuple[int, int]:
    """Return from where to before where a range of the header reaches."""
    if not first:
        return max(0, size_count - int(last)), size_count
    end = int(last) + 1 if last else size_count
    return int(first), min(end, size_count)
