"""Which engine computes: the version, its own source, and the libraries its figures hang on."""

import hashlib
import os
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

import rfc8785

from wheelover import __version__
from wheelover.charts.land import land_version

_LIBRARIES = ("numpy", "numba", "llvmlite", "pyproj", "scipy", "shapely")
_COMPUTES = ("core", "render", "formats")
"""The folders of this package whose source the figures and their documents come from."""


def made_with() -> dict[str, Any]:
    """Return the libraries whose arithmetic the figures hang on, and how numpy rounds."""
    libraries = {name: version(name) for name in _LIBRARIES}
    disabled = os.environ.get("NPY_DISABLE_CPU_FEATURES", "")
    return {
        **libraries,
        "coastline": land_version(),
        "numpy_disabled": disabled,
        "source": _source_sha256(),
    }


@cache
def _source_sha256() -> str:
    """Return the digest of the source that computes: two builds of one version are told apart."""
    package = Path(__file__).parents[1]
    digest = hashlib.sha256()
    for path in sorted(one for part in _COMPUTES for one in (package / part).rglob("*.py")):
        digest.update(f"{path.relative_to(package)}\0".encode() + path.read_bytes() + b"\0")
    return digest.hexdigest()


def engine_id(engine_version: str | None = None, libraries: dict[str, Any] | None = None) -> str:
    """Return by what two engines are told apart: the version, and a digest of the libraries.

    Parameters
    ----------
    engine_version, libraries : str and dict, or None
        Of a frozen revision; None for the engine at work.
    """
    digest = hashlib.sha256(rfc8785.dumps(made_with() if libraries is None else libraries))
    return f"{engine_version or __version__} ({digest.hexdigest()[:8]})"
