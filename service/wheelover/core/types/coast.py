"""The open coastline that a track is held against where no official chart covers the water."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wheelover.core.arrays import Floats, Ints
from wheelover.core.types.clearance import Piece
from wheelover.core.types.route import Position
from wheelover.core.types.track import Side

LandSource = Literal["coastline", "cells", "both"]
StretchSource = Literal["coastline", "cells"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Coast:
    """Shores as closed rings, cut into chunks of a few edges each, and where the chunks lie.

    ``points_deg`` holds longitude and latitude of the vertices of all rings behind one another,
    shape (n, 2); a ring repeats its first vertex as its last. A place inside an odd number of
    rings is land: rings of lakes lie in rings of land, and islands of lakes in those.

    Chunk i holds ``edge_count[i]`` edges from vertex ``first[i]`` on; its box in degrees is
    ``box_deg[i]``, west, south, east, north. The world is a grid of cells: those chunks whose box
    touches cell i are ``cell_chunks[cell_starts[i]:cell_starts[i + 1]]``. At the lower edge of row
    i of the cells the rings are crossed at the longitudes
    ``line_lon_deg[line_starts[i]:line_starts[i + 1]]``, ascending.
    """

    version: str
    points_deg: NDArray[np.float32]
    first: Ints
    edge_count: Ints
    box_deg: NDArray[np.float32]
    cell_starts: Ints
    cell_chunks: NDArray[np.int32]
    line_starts: Ints
    line_lon_deg: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class LandStretch:
    """A stretch of a piece of the track, metres along it as the piece counts them."""

    from_m: float
    to_m: float

    @property
    def length_m(self) -> float:
        """Return how long it is."""
        return self.to_m - self.from_m


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedStretch(LandStretch):
    """A stretch of a piece of the track, and what its land comes from."""

    source: StretchSource


@dataclass(frozen=True, slots=True, kw_only=True)
class Landfall(LandStretch):
    """A stretch that lies on land of the coastline, with its ends.

    ``canals`` names the canals, known to be closed in the coastline, in whose boxes it lies.
    """

    start: Position
    end: Position
    canals: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NearestCoast:
    """The place of the coastline that is nearest to a piece of the track."""

    distance_m: float
    on_track: Position
    on_coast: Position


@dataclass(frozen=True, slots=True, kw_only=True)
class CorridorLand:
    """Coastline inside the cross-track limit of one side of a leg: the nearest place of it.

    ``waived`` says that it is beside the stretch for which a canal waiver answers: then it is the
    nearest there, and the rest of the leg has a row of its own.
    """

    side: Side
    limit_m: float
    distance_m: float
    on_coast: Position
    waived: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LandRow:
    """What the coastline says of one piece of the track.

    ``nearest`` is None where no coastline lies within ``search_m``. ``used`` says from where to
    where the coastline counts, and where cells do. ``hull_m`` is on a leg what is left of the
    nearest distance beside the hull, in a simulated turn how far the hull stays from the coast;
    None where that is not known or nothing is near. ``unmeasured`` says why nothing was measured.
    ``waived`` is the stretch for which a canal waiver answers, and ``rest_m`` how near the
    coastline comes beside all else of the leg, None where it is not near.
    """

    piece: Piece
    search_m: float
    nearest: NearestCoast | None = None
    on_land: tuple[Landfall, ...] = ()
    used: tuple[UsedStretch, ...] = ()
    corridor: tuple[CorridorLand, ...] = ()
    hull_m: float | None = None
    unmeasured: str | None = None
    waived: LandStretch | None = None
    rest_m: float | None = None

    @property
    def source(self) -> LandSource:
        """Return what the land of the piece comes from."""
        sources = {one.source for one in self.used}
        if sources == {"cells"}:
            return "cells"
        return "both" if len(sources) > 1 else "coastline"


@dataclass(frozen=True, slots=True, kw_only=True)
class Land:
    """The rows of every piece of the track, and the version of the coastline."""

    version: str
    rows: tuple[LandRow, ...]

    def of(self, piece: Piece) -> LandRow | None:
        """Return the row of a piece."""
        return next((one for one in self.rows if one.piece == piece), None)
