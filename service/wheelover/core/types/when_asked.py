"""What is made when somebody asks for it: of much that is found most askers read a part."""

from collections.abc import Callable, Iterator, Sequence
from typing import Generic, TypeVar, overload

from wheelover.core.arrays import Bools, Floats, Ints

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)


class Once(Generic[T]):
    """A value that is made at the first call, and kept."""

    __slots__ = ("_made", "_make")

    def __init__(self, make: Callable[[], T]) -> None:
        self._make: Callable[[], T] | None = make
        self._made: list[T] = []

    def __call__(self) -> T:
        """Return it."""
        make = self._make
        if make is not None:
            # Two threads may make it both: it is the same.
            self._made.append(make())
            self._make = None
        return self._made[0]


class WhenAsked(Sequence[T_co]):
    """Things of which all are made when the first is asked for."""

    __slots__ = ("_all",)

    def __init__(self, make: Callable[[], tuple[T_co, ...]]) -> None:
        self._all = Once(make)

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self._all())

    def __iter__(self) -> Iterator[T_co]:
        """Return them one after another."""
        return iter(self._all())

    @overload
    def __getitem__(self, index: int) -> T_co: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[T_co, ...]: ...
    def __getitem__(self, index: int | slice) -> T_co | tuple[T_co, ...]:
        """Return one, or several."""
        return self._all()[index]

    def __eq__(self, other: object) -> bool:
        """Return whether the same stand in the same order."""
        return tuple(self) == tuple(other) if isinstance(other, Sequence) else NotImplemented

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        """Return them as a tuple shows itself."""
        return repr(self._all())


class Places:
    """Places in columns of shape (n,), reckoned when they are asked for."""

    __slots__ = ("_degrees",)

    def __init__(self, reckon: Callable[[], tuple[Floats, Floats]]) -> None:
        self._degrees = Once(reckon)

    @property
    def lat_deg(self) -> Floats:
        """Return their latitudes."""
        return self._degrees()[0]

    @property
    def lon_deg(self) -> Floats:
        """Return their longitudes."""
        return self._degrees()[1]

    def __getitem__(self, rows: Ints | Bools) -> "Places":
        """Return some of them."""
        return Places(lambda: (self.lat_deg[rows], self.lon_deg[rows]))
