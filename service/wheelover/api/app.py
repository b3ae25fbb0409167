"""The application: routers, door and problem documents put together."""

import asyncio
import atexit
import logging
import os
import shutil
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.resources import as_file, files
from pathlib import Path

from fastapi import FastAPI
from starlette.middleware.gzip import DEFAULT_EXCLUDED_CONTENT_TYPES, GZipMiddleware
from starlette.types import Receive, Scope, Send

from wheelover import __version__
from wheelover.api import problems
from wheelover.api.at_once import Ending
from wheelover.api.conditional import Conditional
from wheelover.api.deps import Folders
from wheelover.api.door import Door, SettingRefused, door_from_settings
from wheelover.api.guard import Guard
from wheelover.api.guarded import FIRST, take
from wheelover.api.idempotency import Idempotency
from wheelover.api.import_jobs import ImportJobs
from wheelover.api.openapi import describe
from wheelover.api.page_files import LEAFLET, STATIC, PageFiles
from wheelover.api.progress import Progress
from wheelover.api.push import Pusher
from wheelover.api.rates import RateRefused, rates_from_settings
from wheelover.api.routers import (
    accounts,
    audit,
    changes,
    charts,
    coastline,
    differences,
    exports,
    fit,
    hazards,
    health,
    keys,
    library,
    manoeuvre,
    outside,
    page,
    parcels,
    peers,
    pen,
    plan,
    plans,
    positions,
    record,
    review,
    revisions,
    routes,
    session,
    sync,
    turns,
    vessels,
    warnings,
)
from wheelover.core.errors import Unavailable
from wheelover.formats.parcel import MEDIA_TYPE
from wheelover.settings import setting
from wheelover.store import Store, open_store
from wheelover.usecases.accounts.enrolment import first_code
from wheelover.usecases.clock import now_utc
from wheelover.usecases.recompute import recheck_engine

_log = logging.getLogger("wheelover.api")

_PACKED = (*DEFAULT_EXCLUDED_CONTENT_TYPES, MEDIA_TYPE)

ROUTERS = (
    health.router,
    plan.router,
    routes.router,
    positions.router,
    turns.router,
    manoeuvre.router,
    fit.router,
    coastline.router,
    library.ships,
    library.hazard_sets,
    charts.router,
    library.limit_sets,
    plans.router,
    revisions.router,
    pen.router,
    record.router,
    audit.router,
    changes.router,
    differences.router,
    review.router,
    exports.router,
    exports.progress_router,
    session.router,
    outside.router,
    accounts.router,
    vessels.router,
    warnings.router,
    hazards.router,
    keys.router,
    peers.router,
    parcels.router,
    sync.router,
    page.router,
)


class _Packing(GZipMiddleware):
    """Packs answers, but for those whose digest is of the bytes as they are (RFC 9530)."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, its answer packed where it may be and is not already."""
        path = scope["path"] if scope["type"] == "http" else ""
        as_it_is = path.endswith("/document") or path.startswith((f"{STATIC}/", f"{LEAFLET}/"))
        await (self.app if as_it_is else super().__call__)(scope, receive, send)


def create_app(database_url: str | None = None) -> FastAPI:
    """Return the service.

    Parameters
    ----------
    database_url : str or None
        Where plans are kept: ``sqlite:///`` and a file, or ``postgresql://user@host/database``.
        None keeps them in a scratch place that is gone with the process.

    Raises
    ------
    StoreRefused
        For a database that this version must not open.
    SettingRefused, RateRefused
        For settings that do not go together, or are none.
    """
    url = database_url or _scratch_url()
    store = open_store(url)
    try:
        door = door_from_settings(url)
        rates = rates_from_settings(accounts=door.accounts)
    except (SettingRefused, RateRefused):
        store.close()
        raise
    app = FastAPI(
        title="wheelover",
        version=__version__,
        summary="Passage planning: wheel-over points, clearances and what was not checked",
        openapi_url="/api/v1/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=_closing,
        dependencies=FIRST,
    )
    app.state.store, app.state.clock = store, now_utc
    app.state.fault = None
    app.state.door = door
    app.state.rates = rates
    if door.accounts:
        write_first_code(store, door)
    app.state.pusher = Pusher(store, now_utc)
    app.state.imports = ImportJobs(store, now_utc)
    app.state.progress = Progress()
    app.state.before_closing = [app.state.pusher.stop, app.state.imports.close]
    folders = Folders(web=Path(setting("web")), samples=Path(setting("samples")))
    app.state.folders = folders
    app.state.page_files = PageFiles(folders.web)
    # First, since a page asks for a hundred files and every router before them looks at each.
    app.mount(STATIC, app.state.page_files, name="static")
    app.mount(LEAFLET, PageFiles(leaflet_folder()), name="leaflet")
    for router in ROUTERS:
        take(app, router)
    problems.install(app)
    app.add_middleware(Ending)
    app.add_middleware(Conditional)
    app.add_middleware(Idempotency, store=store, door=door)
    # A ship's link is poor: the page is a quarter of its size this way.
    app.add_middleware(_Packing, minimum_size=1024, compresslevel=5, exclude_content_types=_PACKED)
    app.add_middleware(Guard, door=door)
    describe(app)
    return app


def write_first_code(store: Store, door: Door) -> None:
    """Write the code of the first administrator where only who runs the service can read it.

    There is no default password. The code is the same for every process until it was used or a
    day is over; one that another key file made cannot be said here.
    """
    found = first_code(store, door.seal, now_utc())
    if found.elsewhere:
        _log.warning(
            "the first administrator's code was made elsewhere; `wheelover account reset "
            "administrator` makes another"
        )
    if found.code is None:
        door.first_code.unlink(missing_ok=True)
        return
    door.first_code.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, made = tempfile.mkstemp(prefix=f".{door.first_code.name}.", dir=door.first_code.parent)
    with os.fdopen(handle, "w") as file:
        file.write(found.code + "\n")
    Path(made).replace(door.first_code)


@asynccontextmanager
async def _closing(app: FastAPI) -> AsyncIterator[None]:
    """Look at what another engine approved and bring parcels while the service runs.

    The look goes on beside the first requests: until it is done, what it concerns reads stale.
    The store is closed when the service stops.
    """
    look = asyncio.create_task(asyncio.to_thread(_recheck, app.state.store))
    app.state.pusher.start()
    yield
    await look
    for stop in app.state.before_closing:
        await asyncio.to_thread(stop)
    app.state.store.close()


def _recheck(store: Store) -> None:
    """Compute again what another engine approved; a store that is gone waits for the next start."""
    try:
        recheck_engine(store, plans.compute_document, now_utc)
    except Unavailable as error:
        _log.warning("approved revisions were not computed again: %s", error)
    except Exception:
        # The service goes on and closes its store at its end; what was not looked at reads stale.
        _log.exception("approved revisions were not computed again")


def _scratch_url() -> str:
    """Return the URL of a store in a folder that is removed when the process ends."""
    folder = Path(tempfile.mkdtemp(prefix="wheelover-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return f"sqlite:///{folder / 'scratch.sqlite3'}"


def leaflet_folder() -> Path:
    """Return where the installed Leaflet package keeps its files."""
    with as_file(files("js_lib_leaflet") / "static" / "js_lib_leaflet") as folder:
        return Path(folder)
