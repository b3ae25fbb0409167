"""Array types shared by the core, and the guard that lets no undefined number pass."""

import math
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Generic, TypeAlias, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wheelover.core.errors import OutOfDomain

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Bools: TypeAlias = NDArray[np.bool_]
_ONE = (1,)

Table: TypeAlias = NDArray[np.float64]
"""Columns of several units in one array, as compiled loops take them."""


_MOST_FREE = 2
Lent = TypeVar("Lent")


class Pool(Generic[Lent]):
    """Memory that is lent to one question at a time, and used again for the next."""

    def __init__(self, make: Callable[[], Lent]) -> None:
        self._make = make
        # Taking from a deque and giving back are one step each for all threads.
        self._free: deque[Lent] = deque(maxlen=_MOST_FREE)

    @contextmanager
    def lent(self) -> Iterator[Lent]:
        """Lend what nobody else has meanwhile; what earlier questions left is in it."""
        try:
            one = self._free.pop()
        except IndexError:
            one = self._make()
        try:
            yield one
        finally:
            self._free.append(one)


def as_floats(values: ArrayLike) -> Floats:
    """Return values as a float array of at least one dimension.

    Examples
    --------
    >>> as_floats(3)
    array([3.])
    """
    return np.atleast_1d(np.asarray(values, dtype=np.float64))


def columns(*values: ArrayLike) -> list[Floats]:
    """Return values as float arrays of one common shape (n,).

    Examples
    --------
    >>> columns([1.0, 2.0], 3.0)
    [array([1., 2.]), array([3., 3.])]
    """
    arrays = [np.asarray(value, np.float64) for value in values]
    arrays = [array if array.ndim else array.reshape(1) for array in arrays]
    # Most calls bring one place or columns of one length, which need no broadcasting.
    shapes = {array.shape for array in arrays}
    if len(shapes) == 1:
        return [np.ascontiguousarray(array) for array in arrays]
    if len(shapes) == 2 and _ONE in shapes:
        (shape,) = shapes - {_ONE}
        return [
            np.full(shape, array[0]) if array.shape == _ONE else np.ascontiguousarray(array)
            for array in arrays
        ]
    return [np.ascontiguousarray(array) for array in np.broadcast_arrays(*arrays)]


def side_by_side(*values: Floats) -> Floats:
    """Return columns of one shape as one array, the last axis of which tells them apart.

    As ``np.stack`` does, in a third of the time for the few rows that most calls bring.

    Examples
    --------
    >>> side_by_side(np.array([1.0, 2.0]), np.array([3.0, 4.0]))
    array([[1., 3.],
           [2., 4.]])
    """
    found = np.empty((*values[0].shape, len(values)))
    for number, column in enumerate(values):
        found[..., number] = column
    return found


def numbered(count: Ints) -> tuple[Ints, Ints]:
    """Return the rows of groups behind one another: which group each is in, and its place there.

    Examples
    --------
    >>> numbered(np.array([2, 0, 3]))
    (array([0, 0, 2, 2, 2]), array([0, 1, 0, 1, 2]))
    """
    group = np.repeat(np.arange(count.size, dtype=np.int64), count)
    return group, np.arange(group.size) - np.repeat(np.cumsum(count) - count, count)


def tied_m(length_m: ArrayLike) -> Floats:
    """Return lengths to the micrometre, to be compared: what is equal so is as near.

    Two ways to measure one place differ by some nanometres, and that says of no danger that it is
    nearer than another at the same place.

    Examples
    --------
    >>> tied_m([100.0, 100.0000000004, 100.000002])
    array([100.      , 100.      , 100.000002])
    """
    return np.round(as_floats(length_m), 6)


def require_finite(what: str, values: ArrayLike) -> None:
    """Raise if any value is not a finite number.

    Parameters
    ----------
    what : str
        The quantity, as a reader of the message knows it.
    values : array_like
        The numbers to look at.

    Raises
    ------
    OutOfDomain
        When a value is infinite or not a number. Nothing downstream may compare such a value
        with a limit: every comparison with it is false, and a danger would read as clear.

    Examples
    --------
    >>> require_finite("distance", [1.0, 2.0])
    """
    # One number is asked about far more often than many, and numpy takes its time for it.
    if isinstance(values, float):
        finite = math.isfinite(values)
    else:
        finite = bool(np.isfinite(np.asarray(values, dtype=np.float64)).all())
    if not finite:
        raise OutOfDomain(f"{what} came out undefined; finite numbers are needed here")
