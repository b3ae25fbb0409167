"""One danger of a request: a GeoJSON feature (RFC 7946)."""

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from wheelover.api.schemas.strict import ClearanceLimit, Label, Strict, Word
from wheelover.api.schemas.utc import UtcTime

MOST_FEATURES = 1_000_000
MOST_LON_DEG = 180.0
MOST_LAT_DEG = 90.0


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


def _cut_at_180(line: list[list[float]]) -> list[list[float]]:
    """Refuse an edge that runs around the world the long way: it was meant to cross 180 degrees.

    One from -180 to 180 is a whole parallel and means what it says.
    """
    for number, (one, other) in enumerate(pairwise(line)):
        span_deg = abs(other[0] - one[0])
        if 180.0 < span_deg < 360.0:
            raise ValueError(
                f"the edge after position {number} (counted from 0) spans {span_deg:g} degrees of "
                "longitude; cut the geometry where it crosses 180 degrees (RFC 7946, 3.1.9)"
            )
    return line


Position = Annotated[list[float], Field(min_length=2, max_length=3), AfterValidator(_on_the_earth)]
Line = Annotated[list[Position], Field(min_length=2), AfterValidator(_cut_at_180)]
Ring = Annotated[
    list[Position], Field(min_length=4), AfterValidator(_closed), AfterValidator(_cut_at_180)
]
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
    coordinates: Annotated[list[Ring], Field(min_length=1)]
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
    coordinates: Annotated[list[Annotated[list[Ring], Field(min_length=1)]], Field(min_length=1)]
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
