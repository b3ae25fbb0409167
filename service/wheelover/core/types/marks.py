"""Marks: what the bridge team can see, or the radar can show, and know again on the chart."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.route import Position

MarkKind = Literal["light", "beacon", "buoy", "structure", "landmark", "point_of_land", "other"]
"""What a mark is; ``point_of_land`` is an end or edge of charted land that the radar shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Light:
    """One light of a mark; several sectors are several lights.

    ``sector_from_deg`` and ``sector_to_deg`` are true bearings of the light from seaward, clockwise
    from the one to the other [S57A]_; both None for a light without a sector. ``height_m`` is that
    of its focal plane. ``only_at`` says when else than by night alone it is shown.
    """

    nominal_range_nm: float | None = None
    height_m: float | None = None
    character: str | None = None
    sector_from_deg: float | None = None
    sector_to_deg: float | None = None
    only_at: Literal["day", "fog"] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One mark. What is None is not known, and nothing that hangs on it is said to hold.

    ``height_m`` is the height above the water from which it is seen (of a light: its focal plane),
    ``nominal_range_nm`` the range of its light where one sees 10 NM by day [S57A]_.
    ``floating`` marks swing and move. ``leading_deg`` is the bearing of the line that it leads on,
    seen from seaward. ``source`` names who says so: ``you``, or a cell or hazard set by its name.
    ``what`` says in words what it is. Of a mark with several ``lights`` height, range and character
    are those of the one with the longest range. ``racon`` marks answer a radar.
    """

    id: str
    name: str
    position: Position
    kind: MarkKind
    source: str
    floating: bool = False
    lit: bool = False
    height_m: float | None = None
    nominal_range_nm: float | None = None
    light_character: str | None = None
    visually_conspicuous: bool | None = None
    radar_conspicuous: bool | None = None
    position_uncertainty_m: float | None = None
    leading_deg: float | None = None
    what: str | None = None
    lights: tuple[Light, ...] = ()
    racon: bool = False
