"""The dangers of a request in columns.

The models of ``danger`` are the authority on what a danger is, and on the words of every refusal.
Made for each of a hundred thousand dangers they take seconds. So a list is first looked at member
by member: each member of all dangers is one column, which the type that it has in its model
validates in one call; positions of points are compared as arrays. Where a column is refused, or
anything is other than it mostly is, the models read the list from its start.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from operator import itemgetter
from typing import Annotated, Any, get_type_hints

import numpy as np
from pydantic import BaseModel, FailFast, Field, GetCoreSchemaHandler, TypeAdapter, ValidationError
from pydantic_core import CoreSchema, core_schema

from wheelover.api.schemas.danger import (
    MOST_FEATURES,
    MOST_LAT_DEG,
    MOST_LON_DEG,
    GeometryIn,
    HazardIn,
    HazardPropertiesIn,
    PointIn,
)
from wheelover.api.schemas.strict import Strict
from wheelover.api.schemas.utc import utc_time
from wheelover.core.arrays import Bools, Floats
from wheelover.core.types.chart import Hazards, Overhead, Paths, Points, WarningTimes
from wheelover.core.types.dangers import DangerClass
from wheelover.core.utc import seconds_from_utc
from wheelover.formats.geojson_shapes import joined_shapes, shapes_of

Row = dict[str, Any]
Columns = dict[str, list[Any]]

_MOST_WHOLE = 2.0**53
_NOTHING_KNOWN: Row = {}


class _Unusual(Exception):
    """Something in a list of dangers that the models must look at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dangers:
    """The dangers of one list, found good, in the order of the list.

    ``hazards`` has the id of each: its property, else the feature's, else its place in the list.
    ``id_in_properties``, shape (n,), says for which of them it was the first.
    """

    hazards: Hazards
    id_in_properties: Bools

    @classmethod
    def __get_pydantic_core_schema__(
        cls, _source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Return a schema that reads, and is described as, a list of dangers."""
        rows = handler.generate_schema(Annotated[list[HazardIn], Field(max_length=MOST_FEATURES)])
        return core_schema.no_info_wrap_validator_function(_read, rows)


def _read(value: Any, read_by_models: Callable[[Any], list[HazardIn]]) -> Dangers:
    """Return a JSON list of dangers in columns, or raise the error of the models."""
    try:
        return _in_bulk(value)
    except _Unusual:
        return dangers_of(read_by_models(value))


def dangers_of(features: Sequence[HazardIn]) -> Dangers:
    """Return dangers that the models have read in columns."""
    nothing = HazardPropertiesIn()
    properties = [nothing if one.properties is None else one.properties for one in features]
    points, paths = shapes_of((one.geometry.type, one.geometry.coordinates) for one in features)
    return _dangers(
        [one.id for one in features],
        {
            name: [getattr(one, name) for one in properties]
            for name in HazardPropertiesIn.model_fields
        },
        (tuple(one.geometry.type for one in features), points, paths),
    )


def _dangers(
    feature_ids: list[Any], properties: Columns, shapes: tuple[tuple[str, ...], Points, Paths]
) -> Dangers:
    """Return dangers of good columns; a member that no danger has may have no column."""
    count = len(feature_ids)
    none = [None] * count
    own_ids = properties.get("id", none)
    given = properties.get("position_uncertainty_m", none)
    kinds, points, paths = shapes
    return Dangers(
        hazards=Hazards(
            ids=tuple(map(_id, range(count), own_ids, feature_ids)),
            names=tuple(properties.get("name", none)),
            kinds=tuple(properties.get("kind", none)),
            shapes=kinds,
            depth_m=_numbers(properties.get("depth_m", none), np.nan),
            position_uncertainty_m=_numbers(given, 0.0),
            uncertainty_given=_given(given),
            min_clearance_m=_numbers(properties.get("min_clearance_m", none), np.nan),
            points=points,
            paths=paths,
            overheads=_overheads(properties),
            warnings=_warnings(properties),
        ),
        id_in_properties=_given(own_ids),
    )


def _overheads(properties: Columns) -> tuple[Overhead, ...]:
    """Return the clearances under those dangers of which one is given."""
    heights = properties.get("clearance_height_m")
    if heights is None:
        return ()
    none = [None] * len(heights)
    return tuple(
        Overhead(
            hazard=index,
            height_m=height_m,
            datum=properties.get("clearance_datum", none)[index],
            datum_m=properties.get("clearance_datum_m", none)[index],
            electrical_off=bool(properties.get("electrical_off", none)[index]),
        )
        for index, height_m in enumerate(heights)
        if height_m is not None
    )


def _warnings(properties: Columns) -> tuple[WarningTimes, ...]:
    """Return the times of the warnings that say when they were issued or are cancelled."""
    found = []
    for index, one in enumerate(properties.get("warning") or ()):
        if one is None:
            continue
        issued, cancel = _time(one.issued_utc), _time(one.cancel_utc)
        if issued is not None or cancel is not None:
            found.append(
                WarningTimes(hazard=index, number=one.number, issued_s=issued, cancel_s=cancel)
            )
    return tuple(found)


def _time(text: str | None) -> float | None:
    """Return a time in seconds, None for none and for words that are none."""
    try:
        return None if text is None else seconds_from_utc(utc_time(text))
    except ValueError:
        return None


def _id(index: int, own: str | None, of_feature: str | float | None) -> str:
    """Return the id of a danger: its property, else the feature's, else its place in the list."""
    if own is not None:
        return own
    return f"danger-{index + 1}" if of_feature is None else str(of_feature)


def _numbers(values: list[float | None], missing: float) -> Floats:
    """Return values as a column, with a number for those that are missing."""
    return np.array([missing if one is None else one for one in values], dtype=np.float64)


def _given(values: list[Any]) -> Bools:
    """Return which values are not missing."""
    return np.array([one is not None for one in values], dtype=np.bool_)


def joined_hazards(parts: Sequence[Hazards], ids: tuple[str, ...]) -> Hazards:
    """Return dangers of several lists behind one another, under new ids.

    Parameters
    ----------
    parts : sequence of Hazards
        n dangers in all.
    ids : tuple of str
        Their ids, n of them.
    """
    if len(parts) == 1 and parts[0].ids == ids:
        return parts[0]
    points, paths = joined_shapes([(one.count, one.points, one.paths) for one in parts])
    empty_m = np.empty(0)
    return Hazards(
        ids=ids,
        names=tuple(chain.from_iterable(one.names for one in parts)),
        kinds=tuple(chain.from_iterable(one.kinds for one in parts)),
        shapes=tuple(chain.from_iterable(one.shapes for one in parts)),
        depth_m=np.concatenate([empty_m, *(one.depth_m for one in parts)]),
        position_uncertainty_m=np.concatenate(
            [empty_m, *(one.position_uncertainty_m for one in parts)]
        ),
        uncertainty_given=np.concatenate(
            [np.empty(0, np.bool_), *(one.uncertainty_given for one in parts)]
        ),
        min_clearance_m=np.concatenate([empty_m, *(one.min_clearance_m for one in parts)]),
        points=points,
        paths=paths,
        classes=_classes(parts),
        overheads=_joined_overheads(parts),
        warnings=_joined_warnings(parts),
    )


def _joined_warnings(parts: Sequence[Hazards]) -> tuple[WarningTimes, ...]:
    """Return the times of warnings of several lists, by the numbers of their dangers in all."""
    found, before = [], 0
    for part in parts:
        found += [replace(one, hazard=one.hazard + before) for one in part.warnings]
        before += part.count
    return tuple(found)


def _joined_overheads(parts: Sequence[Hazards]) -> tuple[Overhead, ...]:
    """Return the clearances under dangers of several lists, by their numbers in all of them."""
    found, before = [], 0
    for part in parts:
        found += [replace(one, hazard=one.hazard + before) for one in part.overheads]
        before += part.count
    return tuple(found)


def _classes(parts: Sequence[Hazards]) -> tuple[DangerClass | None, ...]:
    """Return the classes of dangers of several lists, nothing where no list gives any."""
    if not any(one.classes for one in parts):
        return ()
    return tuple(chain.from_iterable(one.classes or (None,) * one.count for one in parts))


def _list_of(kind: Any) -> TypeAdapter[list[Any]]:
    """Return what validates a column, and stops at the first value that is not good."""
    return TypeAdapter(Annotated[list[kind], FailFast()], config=Strict.model_config)


_APART = frozenset({"geometry", "properties", "coordinates"})
"""Members that are looked at by themselves, not as a column."""

_COLUMNS: dict[type[BaseModel], dict[str, TypeAdapter[list[Any]]]] = {
    model: {
        name: _list_of(kind)
        for name, kind in get_type_hints(model, include_extras=True).items()
        if name in model.model_fields and name not in _APART
    }
    for model in (HazardIn, PointIn, HazardPropertiesIn)
}
_GEOMETRIES = _list_of(GeometryIn)


def _in_bulk(value: Any) -> Dangers:
    """Return a list of dangers in columns.

    Raises
    ------
    _Unusual
        For whatever is not surely good.
    """
    if type(value) is not list or not 0 < len(value) <= MOST_FEATURES:
        raise _Unusual
    features = _columns(value, HazardIn)
    properties = [row.get("properties") for row in value]
    return _dangers(
        features.get("id", [None] * len(value)),
        _columns(
            [_NOTHING_KNOWN if one is None else one for one in properties], HazardPropertiesIn
        ),
        _shapes_in_bulk([row["geometry"] for row in value]),
    )


def _columns(rows: list[Any], model: type[BaseModel]) -> Columns:
    """Return every member of rows that some row has as a column, None where a row lacks it.

    None stands only where the model takes a null for the member as it takes its absence.
    """
    if set(map(type, rows)) - {dict}:
        raise _Unusual
    known = model.model_fields
    needed = {name for name, field in known.items() if field.is_required()}
    kinds_of_row = [frozenset(names) for names in set(map(tuple, rows))]
    if not all(needed <= names <= known.keys() for names in kinds_of_row):
        raise _Unusual
    everywhere = frozenset(known).intersection(*kinds_of_row)
    return {
        name: _found_good(
            _COLUMNS[model][name],
            list(map(itemgetter(name), rows))
            if name in everywhere
            else [row.get(name) for row in rows],
        )
        for name in frozenset().union(*kinds_of_row) - _APART
    }


def _found_good(column: TypeAdapter[list[Any]], values: list[Any]) -> list[Any]:
    """Return a column as its type reads it."""
    try:
        return column.validate_python(values)
    except ValidationError as error:
        raise _Unusual from error


def _shapes_in_bulk(geometries: list[Any]) -> tuple[tuple[str, ...], Points, Paths]:
    """Return the kinds of geometries, with their points and paths in columns."""
    if set(map(type, geometries)) - {dict}:
        raise _Unusual
    single = np.array([row.get("type") == "Point" for row in geometries], dtype=np.bool_)
    at_single, at_other = np.flatnonzero(single), np.flatnonzero(~single)
    rows = [geometries[index] for index in at_single.tolist()] if len(at_other) else geometries
    _columns(rows, PointIn)
    places_deg = _positions_deg([row["coordinates"] for row in rows])
    others = _found_good(_GEOMETRIES, [geometries[index] for index in at_other.tolist()])
    points, paths = shapes_of((one.type, one.coordinates) for one in others)
    hazard = np.concatenate([at_single, at_other[points.hazard]])
    order = np.argsort(hazard, kind="stable")
    kinds = np.full(len(geometries), "Point", dtype=object)
    kinds[at_other] = [one.type for one in others]
    return (
        tuple(kinds.tolist()),
        Points(
            hazard=hazard[order],
            lat_deg=np.concatenate([places_deg[:, 1], points.lat_deg])[order],
            lon_deg=np.concatenate([places_deg[:, 0], points.lon_deg])[order],
        ),
        Paths(
            hazard=at_other[paths.hazard],
            area=paths.area,
            starts=paths.starts,
            lat_deg=paths.lat_deg,
            lon_deg=paths.lon_deg,
        ),
    )


def _positions_deg(positions: list[Any]) -> Floats:
    """Return positions as longitude, latitude and what else they all carry, shape (n, 2 or 3)."""
    if not positions:
        return np.empty((0, 2))
    if set(map(type, positions)) != {list}:
        raise _Unusual
    lengths = set(map(len, positions))
    numbers = list(chain.from_iterable(positions))
    # A truth value is a number to numpy and none to the models: types are compared, not classes.
    if lengths not in ({2}, {3}) or set(map(type, numbers)) - {int, float}:
        raise _Unusual
    try:
        places_deg = np.array(numbers, dtype=np.float64).reshape(len(positions), -1)
    except OverflowError as error:
        raise _Unusual from error
    in_range = np.abs(places_deg) <= [MOST_LON_DEG, MOST_LAT_DEG, _MOST_WHOLE][: max(lengths)]
    if not in_range.all():
        raise _Unusual
    return places_deg
