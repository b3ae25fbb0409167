"""The description of the API where the framework cannot see it: bodies read by our own door."""

from typing import Any

from fastapi import FastAPI
from pydantic import BaseModel

from wheelover.api.conditional import is_conditional
from wheelover.api.examples import EXAMPLES, PARAMETERS, ROUTE_FILE
from wheelover.api.problems import MEDIA_TYPE
from wheelover.api.rates import COSTS, OF_MACHINES
from wheelover.api.schemas.departures import DeparturesRequest, DraftDeparturesIn
from wheelover.api.schemas.hazards import HazardSetIn
from wheelover.api.schemas.limit_set import LimitSetIn
from wheelover.api.schemas.manoeuvre import HelmOrdersIn, ManoeuvreIn
from wheelover.api.schemas.moved import MovedRequest
from wheelover.api.schemas.parcels import (
    NewKeyIn,
    ParcelStartIn,
    PeerIn,
    SelfIn,
    SettlementIn,
    UploadIn,
)
from wheelover.api.schemas.people import (
    AccountChangeIn,
    AccountIn,
    EnrolmentIn,
    KeyIn,
    NewPasswordIn,
    PenIn,
    SessionsEndIn,
    SignInIn,
    UnlockIn,
    VesselIn,
)
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.api.schemas.positions import OffsetIn, PositionTextIn
from wheelover.api.schemas.record import (
    AmendmentStartIn,
    CourseIn,
    DecisionIn,
    LogLineIn,
    OfferIn,
    SignedIn,
)
from wheelover.api.schemas.review import (
    ExplanationAnswerIn,
    ExplanationIn,
    NoteIn,
    ResolveIn,
    ShoreDecisionIn,
    ThreadIn,
)
from wheelover.api.schemas.ship import ShipIn
from wheelover.api.schemas.trials import FitIn
from wheelover.api.schemas.turn_card import TurnCardRequest
from wheelover.api.schemas.turns import AboutMarkBetweenIn, AboutMarkIn
from wheelover.api.schemas.warnings import WarningTextIn
from wheelover.formats.parcel import MEDIA_TYPE as PARCEL

_REF = "#/components/schemas/{model}"
_REASONS = {
    401: "Nobody is signed in, or the sign-in was not right; a locked session wants its password",
    403: "A foreign page, no header X-Wheelover: 1, or a role that may not do this: it says which",
    404: "Nothing of that id is stored",
    409: "The change cannot be made as things stand",
    412: "It was changed since it was read: If-Match is not its present ETag. The problem gives "
    "that ETag, the holder of the pen, and both values of what differs",
    413: "The body is over the limit",
    421: "The service was asked by another name than one of this machine's own",
    416: "The range asked for is not in the file",
    415: "Another content type or file format than those read",
    422: "A value that no plan can be made from; `errors` names the members or lines",
    429: "Too many passwords were wrong, or this was asked for too often; Retry-After says when",
    428: "If-Match is missing: a change must say what it is a change of",
    503: "The store cannot be reached; try again after Retry-After seconds",
    507: "The disk is full; nothing was kept",
}
_STORED = (
    "/api/v1/ships",
    "/api/v1/hazard-sets",
    "/api/v1/limit-sets",
    "/api/v1/plans",
    "/api/v1/peers",
    "/api/v1/parcels",
    "/api/v1/charts",
)
_REQUESTS: tuple[type[BaseModel], ...] = (
    PlanRequest,
    ShipIn,
    HazardSetIn,
    LimitSetIn,
    PositionTextIn,
    OffsetIn,
    WarningTextIn,
    AboutMarkIn,
    AboutMarkBetweenIn,
    ManoeuvreIn,
    HelmOrdersIn,
    FitIn,
    DeparturesRequest,
    DraftDeparturesIn,
    MovedRequest,
    TurnCardRequest,
    OfferIn,
    DecisionIn,
    SignedIn,
    CourseIn,
    LogLineIn,
    AmendmentStartIn,
    SignInIn,
    EnrolmentIn,
    UnlockIn,
    SessionsEndIn,
    NewPasswordIn,
    AccountIn,
    AccountChangeIn,
    VesselIn,
    KeyIn,
    PenIn,
    ThreadIn,
    NoteIn,
    ResolveIn,
    ExplanationIn,
    ExplanationAnswerIn,
    ShoreDecisionIn,
    SelfIn,
    NewKeyIn,
    PeerIn,
    ParcelStartIn,
    UploadIn,
    SettlementIn,
)
_PROBLEM: dict[str, Any] = {
    "type": "object",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["message"],
                "properties": {
                    "pointer": {"type": "string"},
                    "message": {"type": "string"},
                    "line": {"type": "integer"},
                    "column": {"type": "integer"},
                },
            },
        },
        "etag": {
            "type": ["string", "null"],
            "description": "With 412: the present ETag, which stands in the header too",
        },
        "held_by": {
            "type": ["string", "null"],
            "description": "With 412: who holds the pen of the draft, where somebody does",
        },
        "changes": {
            "type": ["array", "null"],
            "description": "With 412: what differs between what If-Match names and what is stored "
            "now; null where what it names is not known any more",
            "items": {
                "type": "object",
                "required": ["sentence", "was", "now", "unit"],
                "properties": {
                    "sentence": {"type": "string"},
                    "was": {},
                    "now": {},
                    "unit": {"type": ["string", "null"]},
                },
            },
        },
        "changes_left_out_count": {
            "type": "integer",
            "description": "With 412: how many more differ than are told",
        },
    },
}


NOT_CHANGED: dict[int | str, dict[str, Any]] = {
    304: {"description": "If-None-Match holds the present ETag: nothing has changed"}
}
"""The description of an answer without a body, where a place gives an ETag."""


def json_body(model: type[BaseModel], *, required: bool = True) -> dict[str, Any]:
    """Return the description of a body that is read by our own strict door."""
    schema = {"$ref": _REF.format(model=model.__name__)}
    example = {"summary": "Runs as it is", "value": EXAMPLES[model.__name__]}
    content = {"application/json": {"schema": schema, "examples": {"sample": example}}}
    return {"requestBody": {"required": required, "content": content}}


def file_body(description: str, example_file: str = ROUTE_FILE) -> dict[str, Any]:
    """Return the description of a form with one file in it."""
    member = {"type": "string", "format": "binary", "description": description}
    schema = {"type": "object", "required": ["file"], "properties": {"file": member}}
    example = {"summary": "A CSV file", "value": {"file": example_file}}
    content = {"multipart/form-data": {"schema": schema, "examples": {"sample": example}}}
    return {"requestBody": {"required": True, "content": content}}


def files_body(description: str) -> dict[str, Any]:
    """Return the description of a form with several files in it."""
    member = {
        "type": "array",
        "minItems": 1,
        "items": {"type": "string", "format": "binary"},
        "description": description,
    }
    schema = {"type": "object", "required": ["file"], "properties": {"file": member}}
    example = {"summary": "A file that is none", "value": {"file": ["no cell"]}}
    content = {"multipart/form-data": {"schema": schema, "examples": {"sample": example}}}
    return {"requestBody": {"required": True, "content": content}}


def parcel_body(description: str) -> dict[str, Any]:
    """Return the description of a body that is a parcel, or a chunk of one."""
    schema = {"type": "string", "format": "binary", "description": description}
    example = {"summary": "Bytes", "value": "a file fetched from the other side"}
    content = {PARCEL: {"schema": schema, "examples": {"sample": example}}}
    return {"requestBody": {"required": True, "content": content}}


def problem_answers(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return the description of the problems a place answers with."""
    content = {MEDIA_TYPE: {"schema": {"$ref": _REF.format(model="Problem")}}}
    return {status: {"description": _REASONS[status], "content": content} for status in statuses}


def _statuses(path: str, method: str, operation: dict[str, Any]) -> set[int]:
    """Return the problems that every place of an operation's kind may answer with."""
    statuses = {421, 403, 401} | ({422} if path.startswith("/api/v1/") else set[int]())
    if 422 in map(int, operation["responses"]):
        statuses.add(422)
    if (method.upper(), path) in COSTS or (method.upper(), path) in OF_MACHINES:
        statuses |= {429, 503}
    if "requestBody" in operation:
        statuses |= {413, 415}
    if any(path.startswith(start) for start in _STORED):
        statuses |= {422, 503} | ({507} if method in ("post", "put") else set())
    return statuses


def _complete(path: str, method: str, operation: dict[str, Any]) -> None:
    """Add to an operation its examples, and the problems of every place of its kind."""
    for parameter in operation.get("parameters", ()):
        if parameter["name"] in PARAMETERS and parameter["required"]:
            parameter["example"] = PARAMETERS[parameter["name"]]
    content = operation["responses"].get("200", {}).get("content", {})
    if is_conditional(method.upper(), path) and "application/json" in content:
        for status, answer in NOT_CHANGED.items():
            operation["responses"].setdefault(str(status), answer)
    statuses = _statuses(path, method, operation)
    for status, answer in problem_answers(*sorted(statuses)).items():
        if str(status) not in operation["responses"] or status == 422:
            operation["responses"][str(status)] = answer


def describe(app: FastAPI) -> None:
    """Add to the description of an application the models that its routers only name."""
    plain = app.openapi

    def described() -> dict[str, Any]:
        if app.openapi_schema is not None:
            return app.openapi_schema
        schema = plain()
        models = schema.setdefault("components", {}).setdefault("schemas", {})
        for model in _REQUESTS:
            request = model.model_json_schema(ref_template=_REF)
            models.update(request.pop("$defs", {}))
            models[model.__name__] = request
        models["Problem"] = _PROBLEM
        for unused in ("HTTPValidationError", "ValidationError"):
            models.pop(unused, None)
        for path, operations in schema["paths"].items():
            for method, operation in operations.items():
                _complete(path, method, operation)
        return schema

    app.openapi = described  # type: ignore[method-assign]
