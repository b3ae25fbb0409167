"""Plans as files for other systems."""

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Path, Query, Response

from wheelover.api.deps import StoreGiven
from wheelover.api.openapi import problem_answers
from wheelover.api.routers.plans import computed
from wheelover.core.errors import Stale
from wheelover.render.exports import EXCHANGE_VERSION, FORMATS, MEDIA_TYPES, ExportFile
from wheelover.usecases.drafts import draft_of
from wheelover.usecases.exporting import export_draft, export_revision

router = APIRouter(prefix="/api/v1/plans/{plan_id}", tags=["exports"])

Number = Annotated[int, Path(ge=1, le=2**31)]
Format = Annotated[str, Path(description=f"One of {', '.join(FORMATS)}")]
Edit = Annotated[int | None, Query(ge=1, description="The edit of the draft that is meant")]
Version = Annotated[str, Query(description="Of the route exchange format: 1.0, 1.1 or 1.2")]
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
    edit: Edit = None,
    version: Version = EXCHANGE_VERSION,
) -> Response:
    """Return the draft as it stands, marked DRAFT; with ``edit``, only if it stands there."""
    view = draft_of(store, plan_id)
    if edit is not None and edit != view.row.edit:
        raise Stale(
            f"The draft was changed meanwhile: it stands at edit {view.row.edit}, not {edit}. Look "
            "at it as it is now, then take the file."
        )
    result, gathered = computed(store, view)
    return _attachment(export_draft(format_name, view, gathered, result, version))


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
    version: Version = EXCHANGE_VERSION,
) -> Response:
    """Return a frozen revision: its own result, nothing is computed again."""
    return _attachment(export_revision(store, format_name, plan_id, number, version))
