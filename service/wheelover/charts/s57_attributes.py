"""What is known of an object of a chart cell: its own attributes and those of its place [S57A]_."""

import re
import struct
from collections.abc import Iterator

from wheelover.charts.s57_numbers import attributes
from wheelover.charts.s57_records import STRUCK_OUT, DataSet, Feature, Texts
from wheelover.core.types.cells import AttributeValue

_ACCURACY, _QUALITY = 401, 402
_LOOSE = frozenset("23456789")
_SINGLE = frozenset((86, 153, 159))
"""OBSTRN, UWTROC and WRECKS."""


def attributes_of(feature: Feature, data: DataSet) -> tuple[dict[str, AttributeValue], int]:
    """Return what is known of an object, and how many values were no numbers.

    How well its position is known stands with its vectors and is added: with the node of a point,
    and with the edges of obstructions, rocks and wrecks that are lines or areas, of which the
    worst counts. Other areas have edges of every quality.

    Parameters
    ----------
    feature : Feature
        The object.
    data : DataSet
        The cell with its vectors.
    """
    table = attributes()
    found: dict[str, AttributeValue] = {}
    wrong = 0
    for code, text in {**_of_place(feature, data), **feature.attributes}.items():
        name, kind_of = table.get(code, (str(code), "S"))
        if text == STRUCK_OUT:
            continue
        value = _value(text, kind_of)
        if value is None:
            wrong += 1
        else:
            found[name] = value
    return found, wrong


def _of_place(feature: Feature, data: DataSet) -> Texts:
    """Return how well the position of an object is known, the worst of all its vectors."""
    if feature.primitive != 1 and feature.class_code not in _SINGLE:
        return {}
    said = list(_said_of_vectors(feature, data))
    quality = [one[_QUALITY] for one in said if _QUALITY in one]
    accuracy = [one[_ACCURACY] for one in said if _ACCURACY in one]
    found = {}
    if accuracy:
        found[_ACCURACY] = max(accuracy, key=_metres)
    if quality:
        found[_QUALITY] = next((one for one in quality if one.strip() in _LOOSE), quality[0])
    return found


def _said_of_vectors(feature: Feature, data: DataSet) -> Iterator[Texts]:
    """Yield the attributes of the vectors that an object hangs on: of a point the first node."""
    for kind, number, *_ in struct.iter_unpack("<BIBBB", feature.pointers):
        vector = data.vectors.get((kind, number))
        if vector is not None:
            yield vector.attributes
        if feature.primitive == 1:
            return


def _metres(text: str) -> float:
    """Return a number as it is written, zero for anything else."""
    value = _value(text, "F")
    return value if isinstance(value, float) else 0.0


_WHOLE = re.compile(r"[+-]?\d{1,9}", re.ASCII)
_DECIMAL = re.compile(r"[+-]?(\d{1,12}(\.\d{0,12})?|\.\d{1,12})", re.ASCII)


def _value(text: str, kind: str) -> AttributeValue | None:
    """Return a value of an attribute, None for one that is no number and should be."""
    bare = text.strip()
    if kind in "EI":
        return int(bare) if _WHOLE.fullmatch(bare) else _whole_of(bare)
    if kind == "F":
        return float(bare) + 0.0 if _DECIMAL.fullmatch(bare) else None
    if kind == "L":
        return tuple(one.strip() for one in bare.split(",") if one.strip()) or None
    return text


def _whole_of(text: str) -> int | None:
    """Return a whole number written with decimals, None for anything else."""
    if not _DECIMAL.fullmatch(text) or not float(text).is_integer():
        return None
    return int(float(text))
