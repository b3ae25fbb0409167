"""Which engine computes: the version, its own source, and everything that it is installed with."""

import hashlib
import os
import platform
import sys
from collections.abc import Iterator
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from typing import Any

import rfc8785

from wheelover import __version__
from wheelover.charts.land import land_version

_LIBRARIES = """
    alembic annotated-doc annotated-types anyio argon2-cffi argon2-cffi-bindings astral
    basemap-data basemap-data-hires branca certifi cffi charset-normalizer click cryptography
    defusedxml django-js-lib-leaflet fastapi folium fontpkg fontpkg-noto-sans h11 httpcore
    httptools httpx idna jinja2 jiter joserfc llvmlite mako markupsafe numba numpy
    opentelemetry-api orjson pillow psycopg psycopg-binary pycparser pydantic pydantic-core
    pygeomag pyotp pyproj pysqlite3 python-multipart reportlab requests rfc8785 scipy setuptools
    shapely sqlalchemy starlette typing-extensions typing-inspection tzdata urllib3 utide
    uvicorn xlsxwriter xyzservices zxcvbn
"""
"""Every package that requirements.lock brings, so that nobody guesses which a figure hangs on."""

_PACKAGE = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
_ENDING = ".dist-info"


def made_with() -> dict[str, Any]:
    """Return what the figures hang on: libraries, Python, source, and how numpy rounds."""
    return dict(_made_with())


@cache
def _made_with() -> dict[str, Any]:
    """Return it, found once: nothing is installed into a process at work."""
    installed = _installed()
    libraries = {name: installed.get(name) or _version(name) for name in _LIBRARIES.split()}
    return {
        **libraries,
        "python": platform.python_version(),
        "coastline": land_version(),
        "numpy_disabled": os.environ.get("NPY_DISABLE_CPU_FEATURES", ""),
        "source": _source_sha256(),
    }


def _installed() -> dict[str, str]:
    """Return the versions of what is installed, by the names of the folders that say so.

    Reading what stands in each takes a tenth of a second; the first found is what is imported.
    """
    found: dict[str, str] = {}
    for folder in sys.path:
        if os.path.isdir(folder):
            for entry in os.listdir(folder):
                if entry.endswith(_ENDING):
                    name, _, number = entry.removesuffix(_ENDING).rpartition("-")
                    found.setdefault(name.lower().replace("_", "-").replace(".", "-"), number)
    return found


def _version(name: str) -> str:
    """Return the version of a package that no folder names; not all are for every system."""
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"


@cache
def _source_sha256() -> str:
    """Return the digest of the whole source: two builds of one version are told apart."""
    digest = hashlib.sha256()
    for place in sorted(_sources(_PACKAGE)):
        with open(place, "rb") as file:
            digest.update(f"{os.path.relpath(place, _PACKAGE)}\0".encode() + file.read() + b"\0")
    return digest.hexdigest()


def _sources(folder: str) -> Iterator[str]:
    """Yield the files of source in a folder and those within it."""
    with os.scandir(folder) as entries:
        for one in entries:
            if one.is_dir():
                yield from _sources(one.path)
            elif one.name.endswith(".py"):
                yield one.path


@cache
def _present() -> str:
    """Return the id of the engine at work."""
    return engine_id(__version__, made_with())


def engine_id(engine_version: str | None = None, libraries: dict[str, Any] | None = None) -> str:
    """Return by what two engines are told apart: the version, and a digest of the libraries.

    Parameters
    ----------
    engine_version, libraries : str and dict, or None
        Of a frozen revision; None for the engine at work.
    """
    if engine_version is None and libraries is None:
        return _present()
    digest = hashlib.sha256(rfc8785.dumps(made_with() if libraries is None else libraries))
    return f"{engine_version or __version__} ({digest.hexdigest()[:8]})"
