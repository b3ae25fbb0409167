"""Water under the keel and over the mast: what is given, and the open sums made of it."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.clearance import Piece

Catzoc = Literal["A1", "A2", "B", "C", "D", "U"]
"""Category of zone of confidence of charted depths; U is not assessed [S57A]_."""

Between = Literal["cosine", "linear"]
TermSource = Literal["you", "ship", "chart", "default", "computed"]
"""Where a term of a sum comes from; ``you`` is whoever asked for the plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TideHeight:
    """A height of tide above chart datum at a time, in seconds since 1970 UTC."""

    at_s: float
    height_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tide:
    """Heights of tide at a station, in order of time, for the legs from one waypoint to another.

    Without ``from_id`` they count from the first waypoint on, without ``to_id`` to the last.
    ``between`` says how heights between two are found: by half a cosine between high and low
    water, or along a straight line. ``margin_s`` is how much earlier or later than computed she
    may pass.
    """

    station: str
    heights: tuple[TideHeight, ...]
    between: Between = "cosine"
    from_id: str | None = None
    to_id: str | None = None
    margin_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DraughtChange:
    """What is different of her draughts from a waypoint on, and why.

    Draughts are as they read in the water there. Without them those before count, changed by the
    density of the water where another is given.
    """

    from_id: str
    reason: str
    draught_fore_m: float | None = None
    draught_aft_m: float | None = None
    draught_midships_m: float | None = None
    water_density_kg_per_m3: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthUnder:
    """What is charted under a piece of the track: its least depth, and how well it is surveyed.

    ``depth_m`` counts down from chart datum and is None where none is known; ``reason`` says why,
    or what of the piece is not covered by it. ``what`` says in words where it is from.
    """

    piece: Piece
    depth_m: float | None = None
    source: Literal["you", "chart"] = "you"
    catzoc: Catzoc | None = None
    what: str | None = None
    reason: str | None = None
