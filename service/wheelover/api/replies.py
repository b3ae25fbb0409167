"""Answers of stored things: JSON with its entity tag and place."""

from typing import Any

from fastapi import Request, Response

from wheelover.usecases.canonical import json_bytes


def reply(
    document: dict[str, Any] | bytes,
    tag: str,
    status: int = 200,
    location: str | None = None,
    *,
    lasting: bool = False,
) -> Response:
    """Return a document with its entity tag.

    Parameters
    ----------
    document : dict or bytes
        JSON values, or JSON text.
    tag : str
        Its ETag, in quotes.
    status : int
        HTTP status.
    location : str or None
        Where a thing that was made is found.
    lasting : bool
        Whether it never changes.
    """
    headers = {"ETag": tag}
    if location is not None:
        headers["Location"] = location
    if lasting:
        headers["Cache-Control"] = "private, max-age=31536000, immutable"
    body = document if isinstance(document, bytes) else json_bytes(document)
    return Response(body, status_code=status, media_type="application/json", headers=headers)


def unchanged(request: Request, tag: str) -> Response | None:
    """Return 304 when the sender holds what has this tag already, else None."""
    if not holds(request.headers.get("if-none-match", ""), tag):
        return None
    return Response(status_code=304, headers={"ETag": tag})


def holds(if_none_match: str, tag: str) -> bool:
    """Return whether a header If-None-Match names a tag; weak or not."""
    held = [one.strip().removeprefix("W/") for one in if_none_match.split(",")]
    return held == ["*"] or tag in held
