"""What a page that stands alone is made of beside the plan: the map library, and a coastline."""

from dataclasses import dataclass

Ring = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoastDrawn:
    """A coastline to be drawn behind the track.

    ``frame`` is west, south, east and north of what is drawn: outside it no land is drawn, which
    is not to say that there is none. ``rings`` are longitudes and latitudes, land where they lie
    even-odd; ``words`` say where they come from and how coarse they are.
    """

    rings: tuple[Ring, ...]
    frame: tuple[float, float, float, float]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MapParts:
    """The map library as text, its licence, and the coastline or why there is none."""

    library_script: str
    library_style: str
    library_licence: str
    coast: CoastDrawn | None = None
    no_coast: str = "no coastline is drawn"
