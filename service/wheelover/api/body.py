"""Reading a JSON body strictly, and saying where in it a fault lies."""

from collections.abc import Sequence
from typing import Any, TypeVar

from fastapi import Request
from pydantic import BaseModel, ValidationError

from wheelover.api.problems import DoorError
from wheelover.core.errors import Fault, InvalidInput
from wheelover.formats.strict_json import read_json

Model = TypeVar("Model", bound=BaseModel)

_MOST_FAULTS = 50
_SECRET_MEMBERS = ("password", "new_password", "code", "one_time_code", "key")
"""Members whose value is never said back."""
_PLAIN = (
    ("Input should be greater than or equal to", "must be at least"),
    ("Input should be less than or equal to", "must be at most"),
    ("Input should be greater than", "must be more than"),
    ("Input should be less than", "must be less than"),
    ("Input should be a valid number", "must be a number"),
    ("Input should be a valid string", "must be text"),
    ("Input should be a valid integer", "must be a whole number"),
    ("Input should be", "must be"),
)


async def raw_json(request: Request) -> bytes:
    """Return the body of a request that says it is JSON.

    Raises
    ------
    DoorError
        With 415 for a body of another type.
    """
    media_type = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if media_type != "application/json":
        raise DoorError(415, "wrong-content-type", "Send the body as application/json, in UTF-8.")
    return await request.body()


async def raw_if_given(request: Request) -> bytes | None:
    """Return the body of a request that may come without one, None without.

    Raises
    ------
    DoorError
        With 415 for a body of another type than JSON.
    """
    body = await request.body()
    return await raw_json(request) if body else None


def read_model(raw: bytes, model: type[Model]) -> tuple[Model, Any]:
    """Return a body as a model, and the JSON value it was read from.

    Raises
    ------
    UnreadableFile
        When the body is not JSON.
    InvalidInput
        When it is not the JSON wanted; every fault names the member concerned.
    """
    value = read_json(raw)
    return as_model(value, model), value


def as_model(value: Any, model: type[Model]) -> Model:
    """Return a JSON value as a model.

    Raises
    ------
    InvalidInput
        When it is not what the model wants; every fault names the member concerned. Of a stored
        value, that means that an older version kept what this one no longer reads.
    """
    try:
        return model.model_validate(value)
    except ValidationError as error:
        faults = tuple(
            Fault(pointer=pointer(one["loc"], value, one["type"]), message=_message(one))
            for one in error.errors(include_url=False, include_context=False)[:_MOST_FAULTS]
        )
        first = faults[0]
        raise InvalidInput(f"{first.pointer or 'The body'}: {first.message}", faults) from error


def pointer(location: Sequence[int | str], value: Any, kind: str = "") -> str:
    """Return the JSON pointer (RFC 6901) of a fault.

    The validator's location also names the alternatives it tried; only steps that the body really
    has are kept, and the last step of a member that is missing. Where no alternative fits, the
    member that chooses between them is at fault.

    Examples
    --------
    >>> pointer(("geometry", "Point", "coordinates", 0), {"geometry": {"coordinates": [1]}})
    '/geometry/coordinates/0'
    """
    steps: list[str] = []
    here: Any = value
    for number, part in enumerate(location):
        is_last = number == len(location) - 1
        if _has(here, part):
            here = here[part]
        elif not (is_last and kind == "missing"):
            continue
        steps.append(str(part).replace("~", "~0").replace("/", "~1"))
    if kind.startswith("union_tag"):
        steps.append("type")
    return "".join(f"/{step}" for step in steps)


def _has(value: Any, part: int | str) -> bool:
    """Return whether a JSON value has a member or an element of that name."""
    if isinstance(value, dict):
        return part in value
    return isinstance(value, list) and isinstance(part, int) and part < len(value)


def _plain(text: str) -> str:
    """Return a validator's words as a navigator would say them."""
    for words, plain in _PLAIN:
        text = text.replace(words, plain)
    return text


def _message(error: Any) -> str:
    """Return a validator's message, with the value it was about."""
    text = _plain(str(error["msg"]).removeprefix("Value error, "))
    given = error.get("input")
    if error["type"] == "extra_forbidden":
        return "this member is not one that is read here"
    if error["type"] == "missing":
        return "this member is needed"
    if isinstance(given, dict | list) or (
        error["loc"][-1:] and error["loc"][-1] in _SECRET_MEMBERS
    ):
        return text
    return f"{text}; got {str(given)[:60]!r}" if isinstance(given, str) else f"{text}; got {given}"
