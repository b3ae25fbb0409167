"""How well charted depths and dangers are known: zones of confidence [CATZOC]_."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, Ints, as_floats, columns
from wheelover.core.charted.attributes import Attributes, codes_of, number_of
from wheelover.core.types.cells import AttributeValue
from wheelover.core.types.charted import Zone

ZONES: tuple[Zone, ...] = ("A1", "A2", "B", "C", "D", "U")
"""Zones by their code in charts, which counts from 1, the best first."""

_DEPTH_M: Mapping[Zone, tuple[float, float]] = MappingProxyType(
    {"A1": (0.5, 0.01), "A2": (1.0, 0.02), "B": (1.0, 0.02), "C": (2.0, 0.05)}
)
_POSITION_M: Mapping[Zone, tuple[float, float]] = MappingProxyType(
    {"A1": (5.0, 0.05), "A2": (20.0, 0.0), "B": (50.0, 0.0), "C": (500.0, 0.0)}
)


def stated(zone: Zone | None) -> bool:
    """Return whether a zone states figures. D and U do not: they are worse, and by how much no
    one says.

    Parameters
    ----------
    zone : Zone or None
        The zone; None where none is charted.
    """
    return zone in _DEPTH_M


def depth_allowance_m(zone: Zone | None, depth_m: ArrayLike) -> Floats:
    """Return how much less water there may be than is charted, in metres.

    Parameters
    ----------
    zone : {"A1", "A2", "B", "C", "D", "U"} or None
        Zone of confidence; None where none is charted. In D, in U and without one nothing is
        stated: that of C is taken as the least (``stated`` says so), and the truth may be worse.
    depth_m : array_like, shape (n,)
        Charted depth, metres below the datum; one that dries has the allowance of no depth.

    Returns
    -------
    ndarray, shape (n,)
        Allowance, positive.

    Notes
    -----
    A1 0.5 m and 1 % of the depth, A2 and B 1 m and 2 %, C 2 m and 5 % [CATZOC]_.

    Examples
    --------
    >>> round(float(depth_allowance_m("A1", 18.8)[0]), 3)
    0.688
    """
    fixed_m, share = _DEPTH_M[zone if zone is not None and stated(zone) else "C"]
    return np.asarray(fixed_m + share * np.maximum(as_floats(depth_m), 0.0))


def position_allowance_m(zone: Zone | None, depth_m: ArrayLike) -> Floats:
    """Return how far from its charted place a sounding or danger may lie, in metres.

    Parameters
    ----------
    zone : {"A1", "A2", "B", "C", "D", "U"} or None
        Zone of confidence; None where none is charted. In D, in U and without one that of C is
        taken as the least.
    depth_m : array_like, shape (n,)
        Charted depth, metres below the datum.

    Returns
    -------
    ndarray, shape (n,)
        Allowance, positive.

    Notes
    -----
    A1 5 m and 5 % of the depth, A2 20 m, B 50 m, C 500 m [CATZOC]_.

    Examples
    --------
    >>> position_allowance_m("A1", [20.0, 0.0]), position_allowance_m("B", 9.0)
    (array([6., 5.]), array([50.]))
    """
    fixed_m, share = _POSITION_M[zone if zone is not None and stated(zone) else "C"]
    return np.asarray(fixed_m + share * np.maximum(as_floats(depth_m), 0.0))


_LOOSE = frozenset(range(2, 10))
"""Qualities of position from unsurveyed to estimated [QUAPOS]_."""


def loosely_placed(attributes: Attributes) -> bool:
    """Return whether a position is charted as anything but surveyed, calculated or precisely known.

    Parameters
    ----------
    attributes : mapping
        What is known of an object.

    Notes
    -----
    Unsurveyed, inadequately surveyed, approximate, doubtful, unreliable, reported or estimated
    [QUAPOS]_.

    Examples
    --------
    >>> [loosely_placed({"QUAPOS": code}) for code in (1, 2, 4, 9, 10, 11)]
    [False, True, True, True, False, False]
    """
    return bool(codes_of(attributes, "QUAPOS") & _LOOSE)


def own_allowance_m(attributes: Attributes) -> float:
    """Return how far from its charted place an object says itself that it may lie, in metres.

    Parameters
    ----------
    attributes : mapping
        What is known of an object.

    Returns
    -------
    float
        The accuracy that is charted of its position (POSACC), and no less than that of zone C where
        it is charted as approximate or worse; zero where nothing is said.

    Examples
    --------
    >>> own_allowance_m({"POSACC": 40.0}), own_allowance_m({"POSACC": 40.0, "QUAPOS": 4})
    (40.0, 500.0)
    """
    least_m = _POSITION_M["C"][0] if loosely_placed(attributes) else 0.0
    return max(number_of(attributes, "POSACC") or 0.0, least_m)


def zone_of(attributes: Mapping[str, AttributeValue]) -> Zone | None:
    """Return the zone that an area of quality names, None where it names none.

    Parameters
    ----------
    attributes : mapping
        Of an object of class M_QUAL.
    """
    code = number_of(attributes, "CATZOC")
    if code is None or not 1 <= code <= len(ZONES):
        return None
    return ZONES[int(code) - 1]


def allowances_m(rank: Ints, depth_m: Floats) -> Floats:
    """Return the position allowance of each of many, by the number of its zone in ``ZONES``.

    Parameters
    ----------
    rank : ndarray, shape (n,)
        Number of the zone; ``len(ZONES)`` where none is charted.
    depth_m : ndarray, shape (n,)
        Charted depth, metres.
    """
    depth, found_m = columns(depth_m, np.empty(rank.size))
    for number in np.unique(rank).tolist():
        here = rank == number
        zone = ZONES[number] if number < len(ZONES) else None
        found_m[here] = position_allowance_m(zone, depth[here])
    return found_m
