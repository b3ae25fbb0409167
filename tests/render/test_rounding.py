"""Rounding of columns, held against the decimal arithmetic of Python's ``decimal``."""

from decimal import ROUND_HALF_EVEN, Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelover.render.rounding import rounded, rounded_array

NUMBERS = st.one_of(
    st.floats(-400.0, 400.0),
    st.floats(-1e15, 1e15),
    # As near the middle between two decimals as doubles go.
    st.builds(
        lambda whole, digits, ulps: float(
            np.nextafter((whole + 0.5) / 10.0**digits, np.inf * ulps) if ulps else
            (whole + 0.5) / 10.0**digits
        ),
        st.integers(-10**12, 10**12), st.sampled_from([4, 8, 10]), st.sampled_from([-1, 0, 1]),
    ),
)  # fmt: skip


def _by_decimal(value: float, digits: int) -> float:
    """Return the nearest decimal to what a double is exactly, as a double."""
    return float(Decimal(value).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_EVEN)) + 0.0


@given(st.lists(NUMBERS, min_size=1, max_size=20), st.sampled_from([0, 2, 4, 8, 10]))
def test_a_column_is_rounded_to_the_nearest_decimal(values: list[float], digits: int) -> None:
    found = rounded_array(np.array(values), digits).tolist()
    assert found == [_by_decimal(value, digits) for value in values]
    assert found == [rounded(value, digits) for value in values]


@pytest.mark.parametrize("shape", [(0,), (3,), (4, 2)])
def test_every_shape(shape: tuple[int, ...]) -> None:
    values = np.linspace(-180.0, 180.0, int(np.prod(shape))).reshape(shape)
    assert rounded_array(values, 10).shape == shape


def test_no_negative_zero_and_no_warning_for_the_undefined() -> None:
    found = rounded_array(np.array([-1e-20, np.nan, np.inf]), 4)
    assert not np.signbit(found[0])
    assert np.isnan(found[1])
    assert np.isinf(found[2])
