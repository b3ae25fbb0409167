"""One danger of a request: a GeoJSON feature (RFC 7946)."""

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from wheelover.api.schemas.strict import ClearanceLimit, Label, Strict, Word
from wheelover.api.schemas.utc import UtcTime

MOST_FEATURES = 1_000_000
MOST_LON_DEG = 180.0
MOST_LAT_DEG = 90.0
_HALF_ROUND_DEG, _WIDEST_DEG, _ROUND_DEG = 180.0, 270.0, 360.0


def _on_the_earth(position: list[float]) -> list[float]:
    """Refuse a position that is not longitude, latitude in their ranges."""
    lon_deg, lat_deg = position[0], position[1]
    if not -MOST_LON_DEG <= lon_deg <= MOST_LON_DEG:
        raise ValueError("longitude stands first and must lie in -180 to 180")
    if not -MOST_LAT_DEG <= lat_deg <= MOST_LAT_DEG:
        raise ValueError("latitude stands second and must lie in -90 to 90")
    return position


def _closed(ring: list[list[float]]) -> list[list[float]]:
    """Refuse a ring that does not end where it began."""
    if ring[0][:2] != ring[-1][:2]:
        raise ValueError("the last position of a ring must repeat the first")
    return ring


def _long_edges(line: list[list[float]], most_deg: float) -> list[tuple[int, float]]:
    """Return the edges that span more degrees of longitude than this, and how many.

    One from -180 to 180 is a whole parallel and means what it says.
    """
    lon_deg = [position[0] for position in line]
    if max(lon_deg) - min(lon_deg) <= most_deg:
        return []
    spans = [abs(other - one) for one, other in pairwise(lon_deg)]
    return [(number, span) for number, span in enumerate(spans) if most_deg < span < _ROUND_DEG]


def _uncut(number: int, span_deg: float) -> ValueError:
    """Return the error of an edge that was meant to cross 180 degrees."""
    return ValueError(
        f"the edge after position {number} (counted from 0) spans {span_deg:g} degrees of "
        "longitude; cut the geometry where it crosses 180 degrees (RFC 7946, 3.1.9)"
    )


def _cut_at_180(line: list[list[float]]) -> list[list[float]]:
    """Refuse an edge that runs around the world the long way."""
    for number, span_deg in _long_edges(line, _HALF_ROUND_DEG):
        raise _uncut(number, span_deg)
    return line


def _ring_cut_at_180(ring: list[list[float]]) -> list[list[float]]:
    """Refuse an edge that spans more of the world than that of an ocean between two others."""
    for number, span_deg in _long_edges(ring, _WIDEST_DEG):
        raise _uncut(number, span_deg)
    return ring


def _wound_as_meant(rings: list[list[list[float]]]) -> list[list[list[float]]]:
    """Refuse an edge of more than 180 degrees in a ring that is not wound as RFC 7946 has it.

    A ring across 180 degrees that was not cut there has the same corners as one the other way
    round the world; wound as it was meant it reads as wound the wrong way.
    """
    for number, ring in enumerate(rings):
        long = _long_edges(ring, _HALF_ROUND_DEG)
        if long and (_twice_area_deg2(ring) > 0.0) != (number == 0):
            raise _uncut(*long[0])
    return rings


def _twice_area_deg2(ring: list[list[float]]) -> float:
    """Return twice the area in a ring, in square degrees, positive anticlockwise."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(ring))


Position = Annotated[list[float], Field(min_length=2, max_length=3), AfterValidator(_on_the_earth)]
Line = Annotated[list[Position], Field(min_length=2), AfterValidator(_cut_at_180)]
Ring = Annotated[
    list[Position], Field(min_length=4), AfterValidator(_closed), AfterValidator(_ring_cut_at_180)
]
Rings = Annotated[list[Ring], Field(min_length=1), AfterValidator(_wound_as_meant)]
Box = Annotated[list[float], Field(min_length=4, max_length=6)]


class PointIn(Strict):
    """A point."""

    type: Literal["Point"]
    coordinates: Position
    bbox: Box | None = None


class LineStringIn(Strict):
    """A line."""

    type: Literal["LineString"]
    coordinates: Line
    bbox: Box | None = None


class PolygonIn(Strict):
    """An area; rings after the first are holes."""

    type: Literal["Polygon"]
    coordinates: Rings
    bbox: Box | None = None


class MultiPointIn(Strict):
    """Several points of one danger."""

    type: Literal["MultiPoint"]
    coordinates: Annotated[list[Position], Field(min_length=1)]
    bbox: Box | None = None


class MultiLineStringIn(Strict):
    """Several lines of one danger."""

    type: Literal["MultiLineString"]
    coordinates: Annotated[list[Line], Field(min_length=1)]
    bbox: Box | None = None


class MultiPolygonIn(Strict):
    """Several areas of one danger."""

    type: Literal["MultiPolygon"]
    coordinates: Annotated[list[Rings], Field(min_length=1)]
    bbox: Box | None = None


GeometryIn = Annotated[
    PointIn | LineStringIn | PolygonIn | MultiPointIn | MultiLineStringIn | MultiPolygonIn,
    Field(discriminator="type"),
]


class WarningIn(Strict):
    """The navigational warning that a danger was taken from: its number, times and words."""

    number: Word | None = None
    issued: Label | None = None
    issued_utc: Label | None = None
    cancel_utc: UtcTime | None = None
    text: Annotated[str, Field(max_length=4000)] | None = None


class HazardPropertiesIn(Strict):
    """What is known of a danger. A member not listed here is refused, lest a limit be lost.

    The clearance height is that under a bridge or cable, above a level called clearance_datum that
    lies clearance_datum_m above chart datum. electrical_off says that the electrical distance of a
    cable is taken off it already.
    """

    id: Word | None = None
    name: Label | None = None
    kind: Label | None = None
    depth_m: Annotated[float, Field(ge=-1000.0, le=12_000.0)] | None = None
    position_uncertainty_m: Annotated[float, Field(ge=0.0, le=200_000.0)] | None = None
    min_clearance_m: ClearanceLimit | None = None
    warning: WarningIn | None = None
    clearance_height_m: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    clearance_datum: Label | None = None
    clearance_datum_m: Annotated[float, Field(ge=-20.0, le=20.0)] | None = None
    electrical_off: bool | None = None


class HazardIn(Strict):
    """One danger."""

    type: Literal["Feature"]
    id: Word | int | float | None = None
    geometry: GeometryIn
    properties: HazardPropertiesIn | None = None
    bbox: Box | None = None
