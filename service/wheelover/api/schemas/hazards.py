"""The dangers of a request: a GeoJSON FeatureCollection (RFC 7946)."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import AfterValidator, Field

from wheelover.api.schemas.strict import ClearanceLimit, Label, Strict, Word
from wheelover.core.errors import Fault, InvalidChart
from wheelover.core.types.chart import Chart, Hazards
from wheelover.formats.crs84 import is_crs84
from wheelover.formats.geojson_shapes import shapes_of

MOST_FEATURES = 1_000_000


def _on_the_earth(position: list[float]) -> list[float]:
    """Refuse a position that is not longitude, latitude in their ranges."""
    lon_deg, lat_deg = position[0], position[1]
    if not -180.0 <= lon_deg <= 180.0:
        raise ValueError("longitude stands first and must lie in -180 to 180")
    if not -90.0 <= lat_deg <= 90.0:
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


class HazardPropertiesIn(Strict):
    """What is known of a danger. A member not listed here is refused, lest a limit be lost."""

    id: Word | None = None
    name: Label | None = None
    kind: Label | None = None
    depth_m: Annotated[float, Field(ge=-1000.0, le=12_000.0)] | None = None
    position_uncertainty_m: Annotated[float, Field(ge=0.0, le=200_000.0)] | None = None
    min_clearance_m: ClearanceLimit | None = None


class HazardIn(Strict):
    """One danger."""

    type: Literal["Feature"]
    id: Word | int | float | None = None
    geometry: GeometryIn
    properties: HazardPropertiesIn | None = None
    bbox: Box | None = None


class HazardsIn(Strict):
    """The dangers of a plan."""

    type: Literal["FeatureCollection"]
    features: Annotated[list[HazardIn], Field(max_length=MOST_FEATURES)]
    name: Label | None = None
    bbox: Box | None = None
    crs: dict[str, Any] | None = None

    def refuse_other_datums(self) -> None:
        """Refuse another datum than WGS84.

        Raises
        ------
        InvalidChart
            Naming the member.
        """
        if not is_crs84(self.crs):
            message = "only WGS84 longitude and latitude (CRS84) are read"
            raise InvalidChart(message, (Fault(pointer="/hazards/crs", message=message),))

    def with_ids(self) -> list[tuple[str, HazardIn]]:
        """Return the dangers, each with its id.

        Raises
        ------
        InvalidChart
            For an id that two dangers share: an answer could not say which it means.
        """
        first: dict[str, int] = {}
        named = []
        for index, feature in enumerate(self.features):
            one = _id(feature, index)
            if one in first:
                own = feature.properties is not None and feature.properties.id is not None
                message = f"id {one[:60]!r} is already that of danger {first[one]} (counted from 0)"
                pointer = f"/hazards/features/{index}{'/properties' if own else ''}/id"
                raise InvalidChart(message, (Fault(pointer=pointer, message=message),))
            first[one] = index
            named.append((one, feature))
        return named


class HazardSetIn(Strict):
    """A hazard set to be kept: its name, where it is from, and its dangers."""

    name: Word
    source: Label | None = None
    hazards: HazardsIn


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedHazards:
    """The dangers of one origin: those in the request, or those of a stored set."""

    source: str
    hazards: HazardsIn
    set_id: str | None = None


def chart_of(origins: Sequence[NamedHazards]) -> Chart:
    """Return the dangers of all origins as the core takes them.

    An id that dangers of two origins share is told apart by the id of the set.

    Raises
    ------
    InvalidChart
        For another datum than WGS84, or an id that two dangers of one origin share.
    """
    named: dict[str, HazardIn] = {}
    sources = []
    for origin in origins:
        origin.hazards.refuse_other_datums()
        for one, feature in origin.hazards.with_ids():
            named[one if one not in named else f"{origin.set_id}/{one}"] = feature
        sources.append(f"{origin.source}: {len(origin.hazards.features)}")
    return Chart(loaded=bool(origins), hazards=_hazards(named), sources=tuple(sources))


def _id(feature: HazardIn, index: int) -> str:
    """Return the id of a danger: its property, else the feature's, else its place in the list."""
    if feature.properties is not None and feature.properties.id is not None:
        return feature.properties.id
    return f"danger-{index + 1}" if feature.id is None else str(feature.id)


def _hazards(named: dict[str, HazardIn]) -> Hazards:
    """Return dangers in columns, with their shapes."""
    empty = HazardPropertiesIn()
    properties = [feature.properties or empty for feature in named.values()]
    geometries = [feature.geometry for feature in named.values()]
    points, paths = shapes_of((one.type, one.coordinates) for one in geometries)
    return Hazards(
        ids=tuple(named),
        names=tuple(one.name for one in properties),
        kinds=tuple(one.kind for one in properties),
        shapes=tuple(one.type for one in geometries),
        depth_m=_column([one.depth_m for one in properties], np.nan),
        position_uncertainty_m=_column([one.position_uncertainty_m for one in properties], 0.0),
        uncertainty_given=np.array(
            [one.position_uncertainty_m is not None for one in properties], dtype=np.bool_
        ),
        min_clearance_m=_column([one.min_clearance_m for one in properties], np.nan),
        points=points,
        paths=paths,
    )


def _column(values: list[float | None], missing: float) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return values as a column, with a number for those that are missing."""
    return np.array([missing if one is None else one for one in values], dtype=np.float64)
