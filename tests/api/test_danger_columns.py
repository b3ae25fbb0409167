"""Dangers read in bulk are what the models read; what the models refuse is refused."""

import copy
import math
from dataclasses import fields, is_dataclass
from typing import Annotated, Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import Field, ValidationError

from wheelover.api.schemas import danger_columns
from wheelover.api.schemas.danger import MOST_FEATURES, HazardIn, HazardPropertiesIn, PointIn
from wheelover.api.schemas.danger_columns import Dangers, dangers_of
from wheelover.api.schemas.hazards import HazardsIn
from wheelover.api.schemas.strict import Strict


class _ByModels(Strict):
    """What reads dangers one by one."""

    features: Annotated[list[HazardIn], Field(max_length=MOST_FEATURES)]


_LONGITUDES = st.floats(-180.0, 180.0) | st.integers(-180, 180)
_LATITUDES = st.floats(-90.0, 90.0) | st.integers(-90, 90)
_PLACES = st.tuples(_LONGITUDES, _LATITUDES).map(list)
_PLACES_3 = st.tuples(_LONGITUDES, _LATITUDES, st.floats(-1e4, 1e4) | st.integers(0, 9)).map(list)
_AREA = [[[1, 2], [3, 2], [3, 4], [1, 2]]]
_OTHERS = st.sampled_from(
    [
        {"type": "MultiPoint", "coordinates": [[1, 2], [3.5, 4]]},
        {"type": "LineString", "coordinates": [[1, 2], [3.5, 4.5, 6]]},
        {"type": "MultiLineString", "coordinates": [[[1, 2], [3, 4]], [[5, 6], [7, 8]]]},
        {"type": "Polygon", "coordinates": _AREA},
        {"type": "MultiPolygon", "coordinates": [_AREA, _AREA]},
    ]
)
_PROPERTIES = st.fixed_dictionaries(
    {},
    optional={
        "id": st.none() | st.text(min_size=1, max_size=5),
        "name": st.none() | st.text(max_size=5),
        "kind": st.none() | st.just("rock"),
        "depth_m": st.none() | st.floats(-1000.0, 12_000.0) | st.integers(-1000, 12_000),
        "position_uncertainty_m": st.none() | st.floats(0.0, 200_000.0) | st.just(0),
        "min_clearance_m": st.none() | st.floats(0.0, 200_000.0) | st.just(100),
    },
)


def _features(places: st.SearchStrategy[Any]) -> st.SearchStrategy[list[dict[str, Any]]]:
    """Return good lists of dangers, most of them points."""
    point = st.fixed_dictionaries({"type": st.just("Point"), "coordinates": places})
    return st.lists(
        st.fixed_dictionaries(
            {"type": st.just("Feature"), "geometry": st.one_of(point, point, point, _OTHERS)},
            optional={
                "id": st.none()
                | st.text(min_size=1, max_size=5)
                | st.integers(-(2**53), 2**53)
                | st.floats(allow_nan=False, allow_infinity=False),
                "properties": st.none() | _PROPERTIES,
                "bbox": st.none() | st.just([1, 2, 3.5, 4]),
            },
        ),
        min_size=1,
        max_size=5,
    )


GOOD = _features(_PLACES) | _features(_PLACES_3)


class _Text(str):
    """Text of another class than text."""

    __slots__ = ()


_ODD = st.sampled_from(
    [
        None,
        True,
        False,
        0,
        1,
        -1,
        2,
        5,
        181,
        -90.00000000000001,
        180.00000000000003,
        12_000.1,
        200_001,
        -1000.5,
        1e300,
        10**30,
        10**400,
        math.nan,
        math.inf,
        "",
        "a",
        "1",
        "x" * 200,
        "x" * 201,
        "\U0001f600" * 200,
        "\ud800",
        "Point",
        "Feature",
        "MultiPoint",
        _Text("Point"),
        _Text("a"),
        b"a",
        [],
        [1],
        [1, 2],
        (1, 2),
        [1, 2, 3],
        [1, 2, 3, 4],
        [1, True],
        [1, "2"],
        [1, None],
        [[1, 2]],
        {},
        {"a": 1},
        {1: 2},
        {"id": "a"},
        {"type": "Point", "coordinates": [1, 2]},
        {"type": "Point", "coordinates": [1, 2], "x": 1},
        np.float64(1.5),
        np.int64(1),
    ]
)
_NAMES = st.sampled_from(
    [
        *HazardIn.model_fields,
        *PointIn.model_fields,
        *HazardPropertiesIn.model_fields,
        "crs",
        "",
        "Type",
        1,
        _Text("id"),
    ]
)


def _holders(value: Any) -> list[Any]:
    """Return every object and list in a value."""
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    own = [value] if isinstance(value, dict | list) else []
    return own + [one for part in inner for one in _holders(part)]


def _change(value: Any, data: st.DataObject) -> None:
    """Change something somewhere in a value: another value, one more, or one less."""
    holder = data.draw(st.sampled_from(_holders(value)))
    how = data.draw(st.sampled_from(["set", "add", "drop", "double"]))
    present = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
    if how == "add" or not present:
        if isinstance(holder, dict):
            holder[data.draw(_NAMES)] = copy.deepcopy(data.draw(_ODD))
        else:
            holder.append(copy.deepcopy(data.draw(_ODD)))
        return
    name = data.draw(st.sampled_from(present))
    if how == "set":
        holder[name] = copy.deepcopy(data.draw(_ODD))
    elif how == "drop":
        del holder[name]
    elif isinstance(holder, list):
        holder.append(copy.deepcopy(holder[name]))


def _by_models(value: Any) -> Dangers | list[Any]:
    """Return what the models alone make of a list, or their errors."""
    try:
        return dangers_of(_ByModels.model_validate({"features": value}).features)
    except ValidationError as error:
        return [(one["loc"], one["type"], one["msg"]) for one in error.errors()]


def _as_sent(value: Any) -> Dangers | list[Any]:
    """Return what a request makes of a list, or the errors of the request."""
    try:
        return HazardsIn.model_validate({"type": "FeatureCollection", "features": value}).features
    except ValidationError as error:
        return [(one["loc"], one["type"], one["msg"]) for one in error.errors()]


def _assert_same(one: Any, other: Any) -> None:
    assert type(one) is type(other)
    if is_dataclass(one):
        for field in fields(one):
            _assert_same(getattr(one, field.name), getattr(other, field.name))
    elif isinstance(one, np.ndarray):
        assert one.dtype == other.dtype
        np.testing.assert_array_equal(one, other, strict=True)
        if one.dtype == np.float64:
            assert (np.signbit(one) == np.signbit(other)).all()
    else:
        assert one == other


@given(GOOD)
def test_good_dangers_are_the_same_in_bulk(value: list[Any]) -> None:
    _assert_same(danger_columns._in_bulk(value), _by_models(value))


@settings(max_examples=10 * settings().max_examples)
@given(GOOD, st.integers(1, 2), st.data())
def test_a_changed_list_is_taken_or_refused_as_by_the_models(
    value: list[Any], changes: int, data: st.DataObject
) -> None:
    value = copy.deepcopy(value)
    for _ in range(changes):
        _change(value, data)
    expected = _by_models(value)
    _assert_same(_as_sent(value), expected)
    try:
        in_bulk = danger_columns._in_bulk(value)
    except danger_columns._Unusual:
        return
    _assert_same(in_bulk, expected)


@pytest.mark.parametrize("value", [None, [], {}, (), "features", [None], [[]], [1], [{}, None]])
def test_lists_that_hold_no_dangers(value: Any) -> None:
    _assert_same(_as_sent(value), _by_models(value))
    with pytest.raises(danger_columns._Unusual):
        danger_columns._in_bulk(value)


def test_a_hundred_thousand_points_need_no_models(monkeypatch: pytest.MonkeyPatch) -> None:
    """So many models take seconds; nothing else in a request of this size does."""

    def refuse(_features: Any) -> Dangers:
        raise AssertionError("the models were asked")

    monkeypatch.setattr(danger_columns, "dangers_of", refuse)
    value = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [1e-3 * index, 10]},
            "properties": {"id": f"d{index}", "depth_m": 3} if index % 2 else None,
        }
        for index in range(100_000)
    ]
    found = _as_sent(value)
    assert isinstance(found, Dangers)
    assert found.hazards.count == found.hazards.points.count == 100_000
    assert found.hazards.ids[:2] == ("danger-1", "d1")
    assert np.isnan(found.hazards.depth_m[0])
    assert found.hazards.depth_m[1] == 3.0
