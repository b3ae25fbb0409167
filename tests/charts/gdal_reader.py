"""The same cells as GDAL reads them: a reader that the service does not use."""

from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio
import pyogrio.raw
import shapely

_ITS_OWN = frozenset(
    ("RCID", "PRIM", "GRUP", "OBJL", "RVER", "AGEN", "FIDN", "FIDS", "LNAM", "LNAM_REFS",
     "FFPT_RIND")
)  # fmt: skip
OPTIONS = {"LIST_AS_STRING": "YES", "UPDATES": "APPLY"}


def layers(path: Path) -> list[str]:
    """Return the classes of a cell, without the table about the cell itself."""
    return [str(name) for name, _ in pyogrio.list_layers(path) if name != "DSID"]


def read(path: Path, name: str) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """Return the columns of a class and its geometries."""
    meta, _, shapes, columns = pyogrio.raw.read(path, layer=name, **OPTIONS)
    named = dict(zip(meta["fields"], columns, strict=True))
    count = len(columns[0])
    return named, np.full(count, None) if shapes is None else shapely.from_wkb(shapes)


def attribute_counts(columns: dict[str, np.ndarray]) -> Counter[str]:
    """Return how many objects have each attribute."""
    found: Counter[str] = Counter()
    for name, values in columns.items():
        if name not in _ITS_OWN:
            found[name] = sum(not _absent(one) for one in values)
    return +found


def object_ids(columns: dict[str, np.ndarray]) -> list[str]:
    """Return the identifier of each object."""
    parts = (columns[name] for name in ("AGEN", "FIDN", "FIDS"))
    return [
        f"{agency}.{np.uint32(number)}.{part}" for agency, number, part in zip(*parts, strict=True)
    ]


def _absent(value: Any) -> bool:
    """Return whether an attribute is not there or empty."""
    return value is None or value == "" or value != value  # noqa: PLR0124  not a number
