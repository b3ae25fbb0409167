"""Chart cells: import them, list them, show what is in them."""

import re
from typing import Annotated, Any

from fastapi import Depends, Path, Query, Request, Response

from wheelover.api.access import NOTHING_THERE
from wheelover.api.deps import Now, Page, StoreGiven, Who
from wheelover.api.guarded import guarded
from wheelover.api.import_jobs import ImportJobs, Job
from wheelover.api.openapi import files_body, problem_answers
from wheelover.api.schemas.charts import ChartFeatures, ChartList, ChartRecord, ImportRecord
from wheelover.api.upload import Upload, uploaded_files
from wheelover.charts.importing import File
from wheelover.core.errors import Fault, InvalidInput, NotFound
from wheelover.usecases.chart_imports import withdraw_chart
from wheelover.usecases.charts import (
    Box,
    chart_features,
    chart_line,
    chart_of,
    chart_record,
    charts_listed,
)

router = guarded(prefix="/api/v1/charts", tags=["charts"])

Document = dict[str, Any]
Number = Annotated[int, Path(ge=1, le=2**31)]
Uploads = Annotated[list[Upload], Depends(uploaded_files)]

_CLASSES = re.compile(r"[A-Za-z0-9_]{6}(,[A-Za-z0-9_]{6})*", re.ASCII)
_DECIMAL = re.compile(r"[+-]?\d{1,3}(\.\d{1,15})?", re.ASCII)


def jobs_of(request: Request) -> ImportJobs:
    """Return the imports of the application."""
    jobs = request.app.state.imports
    if not isinstance(jobs, ImportJobs):
        raise TypeError("the application was made without its imports")
    return jobs


Jobs = Annotated[ImportJobs, Depends(jobs_of)]


def job_of(import_id: str, jobs: Jobs, who: Who) -> Job:
    """Return an import of a vessel whose charts one may change.

    Raises
    ------
    NotFound
        For any other.
    """
    job = jobs.get(import_id)
    if not who.may("manage_library", job.actor.vessel_id):
        raise NotFound(NOTHING_THERE)
    return job


JobGiven = Annotated[Job, Depends(job_of)]


@router.post(
    "/imports",
    status_code=202,
    summary="Begin to import chart cells",
    response_model=ImportRecord,
    responses=problem_answers(403, 413, 415, 422, 503),
    openapi_extra=files_body("S-57 cells (.000) and their updates (.001 ...), also in a zip"),
)
def begin(uploads: Uploads, jobs: Jobs, who: Who, response: Response) -> Document:
    """Take the files and read them in a process of its own; the answer says where to ask.

    All of one cell belong together in any order; what is stored of it is read with them. The same
    again makes no new edition.
    """
    job = jobs.begin([File(name=one.name, body=one.body) for one in uploads], who)
    response.headers["Location"] = f"/api/v1/charts/imports/{job.id}"
    return jobs.document(job)


@router.get(
    "/imports/{import_id}",
    summary="How far an import is",
    response_model=ImportRecord,
    responses=problem_answers(404),
)
def watched(job: JobGiven, jobs: Jobs) -> Document:
    """Return state, stage and share done; when it is done, the cells and editions it made."""
    return jobs.document(job)


@router.delete(
    "/imports/{import_id}",
    status_code=202,
    summary="Stop an import",
    response_model=ImportRecord,
    responses=problem_answers(403, 404),
)
def stopped(job: JobGiven, jobs: Jobs) -> Document:
    """Ask it to stop: nothing of it is kept then. One that has ended stays as it ended."""
    jobs.stop(job)
    return jobs.document(job)


@router.get("", summary="List every chart cell", response_model=ChartList)
def listed(store: StoreGiven, who: Who, page: Page) -> Document:
    """Return the newest editions, last changed first, a page at a time."""
    rows, following = charts_listed(store, page.limit, page.before, who.vessels)
    return {
        "items": [chart_line(one) for one in rows],
        "next_cursor": None if following is None else str(following),
    }


@router.get(
    "/{chart_id}",
    summary="Read what is said of a chart cell",
    response_model=ChartRecord,
    responses=problem_answers(404, 503),
)
def read(chart_id: str, store: StoreGiven) -> Document:
    """Return the newest edition with its counts, its files and the report of its import."""
    return chart_record(chart_of(store, chart_id))


@router.get(
    "/{chart_id}/editions/{number}",
    summary="Read what is said of an edition of a chart cell",
    response_model=ChartRecord,
    responses=problem_answers(404, 422, 503),
)
def read_edition(chart_id: str, number: Number, store: StoreGiven) -> Document:
    """Return one edition as it was kept."""
    return chart_record(chart_of(store, chart_id, number))


@router.delete(
    "/{chart_id}",
    summary="Take a chart cell out of use",
    response_model=ChartRecord,
    responses=problem_answers(403, 404, 503),
)
def withdraw(chart_id: str, store: StoreGiven, who: Who, now: Now) -> Document:
    """Let plans with all charts leave it out. Its editions stay for the revisions that used it."""
    return chart_record(withdraw_chart(store, chart_id, now, who))


@router.get(
    "/{chart_id}/features",
    summary="Objects of a chart cell as GeoJSON",
    response_model=ChartFeatures,
    responses=problem_answers(404, 422, 503),
)
def features(
    chart_id: str,
    store: StoreGiven,
    box: Annotated[
        str, Query(description="West, south, east, north in degrees", max_length=100)
    ] = "-180,-90,180,90",
    classes: Annotated[
        str | None, Query(description="Six-letter classes, commas between", max_length=2000)
    ] = None,
    limit: Annotated[int, Query(ge=1, le=20_000)] = 2000,
    edition: Annotated[int | None, Query(ge=1, le=2**31)] = None,
) -> Document:
    """Return the objects that touch a box, points before lines before areas, then soundings.

    `left_out_count` says how many more there are than the limit lets through.
    """
    wanted = None if classes is None else _classes(classes)
    return chart_features(store, chart_of(store, chart_id, edition), _box(box), wanted, limit)


def _box(text: str) -> Box:
    """Return a box of four numbers.

    Raises
    ------
    InvalidInput
        For anything else.
    """
    parts = text.split(",")
    if len(parts) == 4 and all(_DECIMAL.fullmatch(one) for one in parts):
        west, south, east, north = (float(one) for one in parts)
        if max(abs(west), abs(east)) <= 180.0 and -90.0 <= south <= north <= 90.0:
            return west, south, east, north
    message = "box needs west,south,east,north in degrees, south no more than north"
    raise InvalidInput(message, (Fault(pointer="/box", message=message),))


def _classes(text: str) -> frozenset[str]:
    """Return the classes that are asked for.

    Raises
    ------
    InvalidInput
        For what are no names of classes.
    """
    if not _CLASSES.fullmatch(text):
        message = "classes needs names of six letters with commas between, as WRECKS,DEPARE"
        raise InvalidInput(message, (Fault(pointer="/classes", message=message),))
    return frozenset(text.upper().split(","))
