"""One cell of an electronic chart as it was imported: what is charted, and how well."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wheelover.core.arrays import Floats, Ints

AttributeValue = str | float | int | tuple[str, ...]
"""The value of an attribute: text, a number, or the members of a list as text."""

Geometries = NDArray[np.object_]
"""shapely geometries, longitude and latitude in degrees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CellAbout:
    """What a cell says of itself.

    ``edition`` and ``update`` are its producer's; ``updates_missing`` those that were not given
    although a later one was, or that could not be applied. ``superseded`` says in words that its
    producer has cancelled the cell or made a newer edition, None where no file does. ``scale`` is
    the denominator of its compilation scale and ``band`` its usage band, 1 overview to 6 berthing.
    The datums are words, None where it names none. ``depth_datum`` is what its depths count from
    and ``height_datum`` what its heights and clearances do.
    """

    id: str
    name: str
    edition: int
    update: int
    issued: str | None
    scale: int
    band: int | None
    depth_datum: str | None
    height_datum: str | None
    updates_missing: tuple[int, ...] = ()
    superseded: str | None = None
    stored_edition: int | None = None
    sha256: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Soundings:
    """Single soundings in columns of shape (s,).

    ``of`` is the object that each belongs to. Depths count down from the datum; a negative one
    dries.
    """

    of: Ints
    lat_deg: Floats
    lon_deg: Floats
    depth_m: Floats

    @property
    def count(self) -> int:
        """Return how many soundings there are."""
        return len(self.of)


NO_SOUNDINGS = Soundings(
    of=np.empty(0, np.int64), lat_deg=np.empty(0), lon_deg=np.empty(0), depth_m=np.empty(0)
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Cell:
    """The objects of a cell in columns, all of one length n.

    ``classes`` holds the six-letter class of each [S57A]_ and ``ids`` its identifier, unique in the
    cell and the same in every edition. ``attributes`` holds what is known of it: an attribute that
    is absent or empty in the file is absent here. ``geometries`` holds None where it has no
    geometry and for soundings, whose depths stand in ``soundings``. Only objects that the plan is
    checked against, or that say how well the rest is known, are kept.
    """

    about: CellAbout
    classes: tuple[str, ...]
    ids: tuple[str, ...]
    attributes: tuple[Mapping[str, AttributeValue], ...]
    geometries: Geometries
    soundings: Soundings = NO_SOUNDINGS

    @property
    def count(self) -> int:
        """Return how many objects there are."""
        return len(self.classes)
