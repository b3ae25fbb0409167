"""The page at the root, and the demonstration it opens."""

from typing import Any

from fastapi import Request
from starlette.responses import HTMLResponse, RedirectResponse

from wheelover.api.deps import Folders
from wheelover.api.guarded import guarded
from wheelover.api.page_files import STATIC, PageFiles
from wheelover.usecases.demonstration import demonstration

router = guarded(tags=["page"])


def _folders(request: Request) -> Folders:
    """Return the folders the application was made with."""
    folders = request.app.state.folders
    if not isinstance(folders, Folders):
        raise TypeError("the application was made without its folders")
    return folders


def _files(request: Request) -> PageFiles:
    """Return the page's files as the application serves them."""
    files = request.app.state.page_files
    if not isinstance(files, PageFiles):
        raise TypeError("the application was made without the page's files")
    return files


@router.get("/", include_in_schema=False)
@router.get("/plans/{_plan_id}", include_in_schema=False)
@router.get("/plans/{_plan_id}/r/{_number}", include_in_schema=False)
@router.get("/plans/{_plan_id}/review", include_in_schema=False)
@router.get("/plans/{_plan_id}/r/{_number}/turns/{_waypoint_id:path}", include_in_schema=False)
def page(request: Request) -> HTMLResponse:
    """Return the page; its files are asked for under the version that runs, and may be kept."""
    text = (_folders(request).web / "index.html").read_text(encoding="utf-8")
    return HTMLResponse(text.replace(f'"{STATIC}/', f'"{_files(request).place}/'))


@router.get("/favicon.ico", include_in_schema=False)
def favicon() -> RedirectResponse:
    """Send browsers that ask for the old name of the icon to the icon."""
    return RedirectResponse("/static/img/favicon.svg", status_code=308)


@router.get("/api/v1/demonstration", summary="The demonstration passage")
def demonstration_passage(request: Request) -> dict[str, Any]:
    """Return the demonstration: a plan request, and the route file it was read from.

    Ship, marks and dangers are invented, in waters far from land.
    """
    return demonstration(_folders(request).samples)
