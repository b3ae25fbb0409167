"""Which engine computes: the version, and the libraries its figures hang on."""

import hashlib
import os
from importlib.metadata import version
from typing import Any

import rfc8785

from wheelover import __version__

_LIBRARIES = ("numpy", "pyproj", "scipy")


def made_with() -> dict[str, Any]:
    """Return the libraries whose arithmetic the figures hang on, and how numpy rounds."""
    libraries = {name: version(name) for name in _LIBRARIES}
    return {**libraries, "numpy_disabled": os.environ.get("NPY_DISABLE_CPU_FEATURES", "")}


def engine_id(engine_version: str | None = None, libraries: dict[str, Any] | None = None) -> str:
    """Return by what two engines are told apart: the version, and a digest of the libraries.

    Parameters
    ----------
    engine_version, libraries : str and dict, or None
        Of a frozen revision; None for the engine at work.
    """
    digest = hashlib.sha256(rfc8785.dumps(made_with() if libraries is None else libraries))
    return f"{engine_version or __version__} ({digest.hexdigest()[:8]})"
