"""How well the position of an object is known stands with its vectors (S-57, QUAPOS and POSACC)."""

from dataclasses import replace

import pytest

from tests.charts.cell_writer import EDGE, CellWriter
from tests.charts.cells import RING
from wheelover.charts.s57_attributes import attributes_of
from wheelover.charts.s57_numbers import classes
from wheelover.charts.s57_records import DataSet, read_base
from wheelover.core.types.cells import AttributeValue

_ACCURACY, _QUALITY = 401, 402


def _cell(name: str, *said: dict[int, str]) -> tuple[DataSet, dict[str, AttributeValue]]:
    """Return a cell of one area with edges that say this, and what is known of the area."""
    desk = CellWriter()
    desk.area(name, RING, VALSOU=4)
    data = read_base(desk.base())
    edges = [key for key in data.vectors if key[0] == EDGE]
    assert len(edges) == len(said)
    vectors = {
        **data.vectors,
        **{
            key: data.vectors[key]._replace(attributes=one)
            for key, one in zip(edges, said, strict=True)
        },
    }
    data = replace(data, vectors=vectors)
    (feature,) = data.features.values()
    assert classes()[feature.class_code] == name
    return data, attributes_of(feature, data)[0]


@pytest.mark.parametrize("name", ["OBSTRN", "UWTROC", "WRECKS"])
def test_of_the_edges_of_a_danger_the_worst_counts(name: str) -> None:
    _, found = _cell(name, {_QUALITY: "10", _ACCURACY: "3"}, {_QUALITY: "4", _ACCURACY: "40.5"})
    assert found == {"VALSOU": 4.0, "QUAPOS": 4, "POSACC": 40.5}
    _, found = _cell(name, {}, {_QUALITY: "1"})
    assert found == {"VALSOU": 4.0, "QUAPOS": 1}


def test_edges_of_other_areas_say_nothing_of_the_whole() -> None:
    assert _cell("DEPARE", {_QUALITY: "4"}, {_QUALITY: "4"})[1] == {"VALSOU": 4.0}
