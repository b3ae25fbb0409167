"""The application: routers, door and problem documents put together."""

from importlib.resources import as_file, files
from pathlib import Path

from fastapi import FastAPI
from starlette.middleware.gzip import GZipMiddleware
from starlette.staticfiles import StaticFiles

from wheelover import __version__
from wheelover.api import problems
from wheelover.api.deps import Folders
from wheelover.api.guard import Guard
from wheelover.api.openapi import describe
from wheelover.api.routers import health, page, plan, routes
from wheelover.settings import LOOPBACK_HOSTS, setting


def create_app(database_url: str | None = None) -> FastAPI:
    """Return the service.

    Parameters
    ----------
    database_url : str or None
        Where plans are kept. This version keeps nothing, so only None is taken.

    Raises
    ------
    ValueError
        For a database: taking one and storing nothing in it would look like keeping plans.
    """
    if database_url is not None:
        raise ValueError("this version stores nothing; leave database_url out")
    app = FastAPI(
        title="wheelover",
        version=__version__,
        summary="Passage planning: wheel-over points, clearances and what was not checked",
        openapi_url="/api/v1/openapi.json",
        docs_url=None,
        redoc_url=None,
    )
    folders = Folders(web=Path(setting("web")), samples=Path(setting("samples")))
    app.state.folders = folders
    app.include_router(health.router)
    app.include_router(plan.router)
    app.include_router(routes.router)
    app.include_router(page.router)
    app.mount("/static", StaticFiles(directory=folders.web), name="static")
    app.mount("/vendor/leaflet", StaticFiles(directory=leaflet_folder()), name="leaflet")
    problems.install(app)
    # A ship's link is poor: the page is a quarter of its size this way.
    app.add_middleware(GZipMiddleware, minimum_size=1024, compresslevel=5)
    app.add_middleware(Guard, hosts=LOOPBACK_HOSTS)
    describe(app)
    return app


def leaflet_folder() -> Path:
    """Return where the installed Leaflet package keeps its files."""
    with as_file(files("js_lib_leaflet") / "static" / "js_lib_leaflet") as folder:
        return Path(folder)
