"""What the track is checked against: the loaded dangers."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.types.cells import Cell
from wheelover.core.types.coast import Coast
from wheelover.core.types.dangers import DangerClass
from wheelover.core.types.marks import Mark


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """Single points of dangers, in columns of shape (p,); a danger may have several."""

    hazard: Ints
    lat_deg: Floats
    lon_deg: Floats

    @property
    def count(self) -> int:
        """Return how many points there are."""
        return len(self.hazard)


@dataclass(frozen=True, slots=True, kw_only=True)
class Paths:
    """Lines of dangers and rings of their areas, k of them.

    ``lat_deg`` and ``lon_deg`` hold the vertices of all paths behind one another, and path i those
    from ``starts[i]`` up to ``starts[i + 1]``. Edges between them are straight in longitude and
    latitude (RFC 7946). ``hazard`` is the danger a path belongs to and ``area`` the number of the
    area it bounds, -1 for a line. The rings of one area follow one another and repeat their first
    vertex as their last; those after the first are holes.
    """

    hazard: Ints
    area: Ints
    starts: Ints
    lat_deg: Floats
    lon_deg: Floats

    @property
    def count(self) -> int:
        """Return how many paths there are."""
        return len(self.hazard)


@dataclass(frozen=True, slots=True, kw_only=True)
class Overhead:
    """What is known of the clearance under one danger that crosses above.

    ``hazard`` is its number. ``height_m`` counts from a level called ``datum`` that lies
    ``datum_m`` above chart datum; where that is None nobody says how far. ``electrical_off`` says
    that the electrical distance of a cable is taken off already.
    """

    hazard: int
    height_m: float
    datum: str | None = None
    datum_m: float | None = None
    electrical_off: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WarningTimes:
    """From when to when the warning counts that one danger was taken from, as far as it says so.

    ``hazard`` is its number. Times are seconds since 1970 in UTC.
    """

    hazard: int
    number: str | None = None
    issued_s: float | None = None
    cancel_s: float | None = None


NO_POINTS = Points(hazard=np.empty(0, np.int64), lat_deg=np.empty(0), lon_deg=np.empty(0))
NO_PATHS = Paths(
    hazard=np.empty(0, np.int64),
    area=np.empty(0, np.int64),
    starts=np.zeros(1, np.int64),
    lat_deg=np.empty(0),
    lon_deg=np.empty(0),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Hazards:
    """Dangers in columns, all of one length n, and their shapes.

    ``shapes`` holds the GeoJSON name of each danger's geometry. ``min_clearance_m`` is nan where
    the danger has no limit of its own and ``depth_m`` is nan where its depth is not known; nowhere
    else may a nan stand. Where ``uncertainty_given`` is false nobody stated the uncertainty of the
    position: zero stands there, or what the swing of a floating mark is taken to be, and that is
    an assumption. ``classes`` holds the class of each danger, or nothing at all; where none stands
    the kind says it (core/margins.py). ``overheads`` holds the clearances under those that cross
    above, where they are known, and ``warnings`` the times of warnings that dangers come from.
    """

    ids: tuple[str, ...]
    names: tuple[str | None, ...]
    kinds: tuple[str | None, ...]
    shapes: tuple[str, ...]
    depth_m: Floats
    position_uncertainty_m: Floats
    uncertainty_given: Bools
    min_clearance_m: Floats
    points: Points = NO_POINTS
    paths: Paths = NO_PATHS
    classes: tuple[DangerClass | None, ...] = ()
    overheads: tuple[Overhead, ...] = ()
    warnings: tuple[WarningTimes, ...] = ()

    @property
    def count(self) -> int:
        """Return how many dangers there are."""
        return len(self.ids)


NO_LAND_CHECK = "no land check is asked for"


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """The dangers of one plan.

    ``loaded`` is false when nobody gave any dangers: then nothing was checked, and an empty
    answer must not read as open water. ``sources`` says where they came from. ``hazards`` are the
    dangers that somebody typed or sent; those charted in ``cells`` are found from there.
    ``coast`` is the open coastline; where it is None ``no_coast`` says why. ``marks`` are the
    user's own, to steer by.
    """

    loaded: bool
    hazards: Hazards
    sources: tuple[str, ...] = ()
    cells: tuple[Cell, ...] = ()
    coast: Coast | None = None
    no_coast: str = NO_LAND_CHECK
    marks: tuple[Mark, ...] = ()
