"""What is made when it is asked for: once, whole, and like a tuple to whoever reads it."""

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.types.when_asked import Places, WhenAsked


def test_all_are_made_once_and_not_before_one_is_asked_for() -> None:
    made: list[str] = []

    def make() -> tuple[str, ...]:
        made.append("made")
        return ("a", "b", "c")

    found = WhenAsked(make)
    assert made == []
    assert (len(found), list(found), found[1], found[1:]) == (3, ["a", "b", "c"], "b", ("b", "c"))
    assert made == ["made"]


def test_it_equals_what_holds_the_same_in_the_same_order() -> None:
    found = WhenAsked(lambda: (1, 2))
    assert found == (1, 2)
    assert found == WhenAsked(lambda: (1, 2))
    assert found != (2, 1)
    assert found != 3
    assert repr(found) == "(1, 2)"


def test_places_of_some_rows_are_reckoned_with_the_whole() -> None:
    made: list[str] = []

    def reckon() -> tuple[Floats, Floats]:
        made.append("made")
        return np.array([1.0, 2.0, 3.0]), np.array([4.0, 5.0, 6.0])

    every = Places(reckon)
    some, none = every[np.array([2, 0])], every[np.zeros(3, dtype=np.bool_)]
    assert made == []
    assert (some.lat_deg.tolist(), some.lon_deg.tolist()) == ([3.0, 1.0], [6.0, 4.0])
    assert none.lat_deg.size == 0
    assert every.lat_deg.tolist() == [1.0, 2.0, 3.0]
    assert made == ["made"]
