"""Plans as files for other systems."""

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Depends, Path, Query, Response

from wheelover.api.body import as_model
from wheelover.api.deps import Now, StoreGiven
from wheelover.api.guarded import guarded
from wheelover.api.openapi import problem_answers
from wheelover.api.progress import Progress, progress_of
from wheelover.api.routers.plans import computed
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.api.schemas.progress import ProgressAnswer
from wheelover.core.errors import Stale
from wheelover.render.exports import EXCHANGE_VERSION, FORMATS, MEDIA_TYPES, ExportFile
from wheelover.render.paper import Printing
from wheelover.render.paper.matter import Told
from wheelover.usecases.drafts import draft_of
from wheelover.usecases.exporting import export_draft, export_revision
from wheelover.usecases.gather import Gathered
from wheelover.usecases.plan_route import PlanInputs
from wheelover.usecases.printing import printing_of

router = guarded(prefix="/api/v1/plans/{plan_id}", tags=["exports"])
progress_router = guarded(prefix="/api/v1/exports", tags=["exports"])

Number = Annotated[int, Path(ge=1, le=2**31)]
Format = Annotated[str, Path(description=f"One of {', '.join(FORMATS)}")]
Edit = Annotated[int | None, Query(ge=1, description="The edit of the draft that is meant")]
Version = Annotated[str, Query(description="Of the route exchange format: 1.0, 1.1 or 1.2")]
Watch = Annotated[
    str | None,
    Query(
        pattern="^[A-Za-z0-9_-]{16,64}$",
        description="A word of who waits, to ask with it how far the file is",
    ),
]
Making = Annotated[Progress, Depends(progress_of)]
_FILE: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The file",
        "content": {
            media_type: {"schema": {"type": "string", "format": "binary"}}
            for media_type in MEDIA_TYPES.values()
        },
    }
}


def _attachment(file: ExportFile) -> Response:
    """Return a file to be kept, not shown, with what could not be put into it in a header."""
    headers = {
        "Content-Disposition": f"attachment; filename*=UTF-8''{quote(file.name)}",
        "Content-Security-Policy": "default-src 'none'; sandbox",
    }
    if file.warnings:
        headers["X-Wheelover-Warnings"] = quote("; ".join(file.warnings), safe=" ;,.:()'")[:4000]
    return Response(file.body, media_type=file.media_type, headers=headers)


def _made(asked: dict[str, Any]) -> PlanInputs:
    """Return the inputs of a plan from a request whose ship stands in it."""
    return as_model(asked, PlanRequest).to_core(Gathered(inputs=asked))


def _printing(
    format_name: str, inputs: dict[str, Any], result: dict[str, Any], now: str, told: Told | None
) -> Printing | None:
    """Return what paper is printed with; other formats need none of it."""
    if format_name != "pdf":
        return None
    return printing_of(_made, inputs, result, now, told)


@router.get(
    "/export/{format_name}",
    summary="The draft as a file",
    response_class=Response,
    responses={**_FILE, **problem_answers(404, 409, 412, 422)},
)
def draft(
    plan_id: str,
    format_name: Format,
    store: StoreGiven,
    now: Now,
    making: Making,
    edit: Edit = None,
    version: Version = EXCHANGE_VERSION,
    watch: Watch = None,
) -> Response:
    """Return the draft as it stands, marked DRAFT; with ``edit``, only if it stands there."""
    view = draft_of(store, plan_id)
    if edit is not None and edit != view.row.edit:
        raise Stale(
            f"The draft was changed meanwhile: it stands at edit {view.row.edit}, not {edit}. Look "
            "at it as it is now, then take the file."
        )
    with making.watched(watch) as told:
        result, gathered = computed(store, view)
        printing = _printing(format_name, gathered.with_ship, result, now, told)
        file = export_draft(format_name, view, gathered, result, version, printing)
    return _attachment(file)


@router.get(
    "/revisions/{number}/export/{format_name}",
    summary="A revision as a file",
    response_class=Response,
    responses={**_FILE, **problem_answers(404, 409, 422)},
)
def revision(
    plan_id: str,
    number: Number,
    format_name: Format,
    store: StoreGiven,
    now: Now,
    making: Making,
    version: Version = EXCHANGE_VERSION,
    watch: Watch = None,
) -> Response:
    """Return a frozen revision: its own result, nothing is computed again.

    Paper draws her runs through the turns as well: those are made anew, and left out, with the
    reason, where they are not those of the frozen result.
    """
    with making.watched(watch) as told:
        file = export_revision(
            store,
            format_name,
            plan_id,
            number,
            version,
            lambda inputs, result: _printing(format_name, inputs, result, now, told) or Printing(),
        )
    return _attachment(file)


@progress_router.get(
    "/{watch}",
    summary="How far a file is that is being made",
    response_model=ProgressAnswer,
    responses=problem_answers(422),
)
def progress(
    watch: Annotated[str, Path(pattern="^[A-Za-z0-9_-]{16,64}$")], making: Making
) -> dict[str, Any]:
    """Return what is being made of the file that was asked for with that word."""
    return making.of(watch)
