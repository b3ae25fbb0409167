"""Every error as ``application/problem+json`` (RFC 9457), from one table."""

import json
import logging
import re
from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException

from wheelover.core.errors import (
    Conflict,
    Damaged,
    Fault,
    InvalidChart,
    InvalidConditions,
    InvalidInput,
    InvalidRoute,
    InvalidShip,
    Locked,
    NoRoom,
    NotAllowed,
    NotFound,
    NotSignedIn,
    OutOfDomain,
    ParcelRefused,
    PenHeld,
    Stale,
    TooManyTries,
    TooOften,
    Unavailable,
    UnknownFormat,
    UnreadableFile,
    WheeloverError,
)
from wheelover.usecases.since_read import since_read

MEDIA_TYPE = "application/problem+json"

_TAG = re.compile(r'(?:W/)?"[^"]*"')

_log = logging.getLogger("wheelover.api")

_TABLE: tuple[tuple[type[WheeloverError], str, int], ...] = (
    (InvalidRoute, "invalid-route", 422),
    (InvalidShip, "invalid-ship", 422),
    (InvalidChart, "invalid-chart", 422),
    (InvalidConditions, "invalid-conditions", 422),
    (InvalidInput, "invalid-input", 422),
    (UnknownFormat, "unknown-format", 415),
    (ParcelRefused, "parcel-refused", 422),
    (UnreadableFile, "unreadable-file", 422),
    (OutOfDomain, "out-of-domain", 422),
    (NotFound, "not-found", 404),
    (NotAllowed, "not-allowed", 403),
    (Stale, "stale", 412),
    (PenHeld, "pen-held", 409),
    (Locked, "session-locked", 401),
    (NotSignedIn, "not-signed-in", 401),
    (TooManyTries, "too-many-tries", 429),
    (TooOften, "too-often", 429),
    (Conflict, "conflict", 409),
    (NoRoom, "no-room", 507),
    (Unavailable, "unavailable", 503),
    (Damaged, "damaged-record", 500),
)
_RETRY = {"Retry-After": "2"}
# RFC 9110, 15.5.2: every 401 says how one may show who one is. A scheme that browsers know would
# open their own window for a password; ours is typed into the page.
_CHALLENGE = {"WWW-Authenticate": 'Bearer realm="wheelover"'}


class DoorError(Exception):
    """A request refused before it reaches anything: its type of content, size or origin."""

    def __init__(self, status: int, kind: str, detail: str) -> None:
        super().__init__(detail)
        self.status = status
        self.kind = kind
        self.detail = detail


def problem(
    status: int,
    kind: str,
    detail: str,
    faults: tuple[Fault, ...] = (),
    headers: Mapping[str, str] | None = None,
    more: Mapping[str, Any] | None = None,
) -> Response:
    """Return a problem document.

    Parameters
    ----------
    status : int
        HTTP status.
    kind : str
        Last part of the problem type.
    detail : str
        What is wrong and what to do, for whoever sent it.
    faults : tuple of Fault
        One for each field or line at fault.
    headers : mapping
        More headers.
    more : mapping
        More members (RFC 9457, 3.2).
    """
    body: dict[str, Any] = {
        "type": f"/problems/{kind}",
        "title": kind.replace("-", " ").capitalize(),
        "status": status,
        "detail": detail,
    }
    if faults:
        body["errors"] = [_fault(fault) for fault in faults]
    body |= more or {}
    return Response(
        content=_utf8(body),
        status_code=status,
        media_type=MEDIA_TYPE,
        headers=dict(headers or {}),
    )


def _utf8(body: dict[str, Any]) -> bytes:
    """Return JSON bytes; half a surrogate pair that came in does not go out."""
    return json.dumps(body, ensure_ascii=False).encode("utf-8", "replace")


def _fault(fault: Fault) -> dict[str, Any]:
    """Return one fault, without the places it does not have."""
    members = {
        "pointer": fault.pointer,
        "message": fault.message,
        "line": fault.line,
        "column": fault.column,
    }
    return {name: value for name, value in members.items() if value is not None}


def install(app: FastAPI) -> None:
    """Make every error of an application a problem document."""
    app.add_exception_handler(WheeloverError, _ours)
    app.add_exception_handler(DoorError, _door)
    app.add_exception_handler(RequestValidationError, _request_validation)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(Exception, _unexpected)


def _ours(_request: Request, error: Exception) -> Response:
    """Answer for an error of ours."""
    if not isinstance(error, WheeloverError):
        raise error
    if isinstance(error, Stale):
        return _stale(_request, error)
    for kind_of, kind, status in _TABLE:
        if isinstance(error, kind_of):
            return problem(status, kind, str(error), error.faults, _headers(error, status))
    return _unexpected(_request, error)


def _stale(request: Request, error: Stale) -> Response:
    """Answer for a change of what was changed meanwhile: the present tag, and both values.

    What differs is told as far as the tag that was sent still names something kept: where it
    cannot be read now, the answer is the same without it.
    """
    more: dict[str, Any] = {"etag": error.etag, "held_by": error.held_by}
    changes: dict[str, Any] = {"changes": None, "changes_left_out_count": 0}
    if error.subject is not None:
        tags = tuple(_TAG.findall(request.headers.get("if-match", "")))
        try:
            changes = since_read(request.app.state.store, error.subject, tags)
        except WheeloverError as unknown:
            _log.warning("what changed since %r is not told: %s", tags, unknown)
    headers = {} if error.etag is None else {"ETag": error.etag}
    return problem(412, "stale", str(error), error.faults, headers, {**more, **changes})


def _headers(error: WheeloverError, status: int) -> Mapping[str, str] | None:
    """Return what an answer of that status carries besides its body."""
    if isinstance(error, TooManyTries | TooOften):
        return {"Retry-After": str(error.wait_s)}
    return {503: _RETRY, 401: _CHALLENGE}.get(status)


def _door(_request: Request, error: Exception) -> Response:
    """Answer for a request refused at the door."""
    if not isinstance(error, DoorError):
        raise error
    return problem(error.status, error.kind, error.detail)


def _request_validation(_request: Request, error: Exception) -> Response:
    """Answer for a parameter or a form field that the framework found missing or wrong."""
    if not isinstance(error, RequestValidationError):
        raise error
    faults = tuple(
        Fault(pointer="/" + "/".join(str(part) for part in one["loc"][1:]), message=one["msg"])
        for one in error.errors()
    )
    detail = f"{faults[0].pointer}: {faults[0].message}" if faults else "The request is not valid."
    return problem(422, "invalid-input", detail, faults)


def _http(request: Request, error: Exception) -> Response:
    """Answer for what the framework refuses itself: no such place, or no such method there."""
    if not isinstance(error, HTTPException):
        raise error
    kinds = {404: "not-found", 405: "method-not-allowed"}
    details = {
        404: f"There is nothing at {request.url.path}.",
        405: f"{request.method} is not possible at {request.url.path}.",
    }
    return problem(
        error.status_code,
        kinds.get(error.status_code, "refused"),
        details.get(error.status_code, str(error.detail)),
        headers=error.headers,
    )


def _unexpected(request: Request, error: Exception) -> Response:
    """Answer for a fault of ours, without telling how the house is built."""
    _log.error("unexpected error at %r", request.url.path, exc_info=error)
    return problem(
        500,
        "internal-error",
        "Something went wrong in the service. Nothing was changed; the log says more.",
    )
