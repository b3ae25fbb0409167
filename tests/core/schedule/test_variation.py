"""The magnetic variation by a second package (wmm-calculator, of NOAA's own), and its zones."""

import numpy as np
import pytest
from wmm import wmm_calc

from wheelover.core.schedule.variation import (
    BLACKOUT_NT,
    CAUTION_NT,
    decimal_year,
    variation_at,
)
from wheelover.core.types.route import Position
from wheelover.core.utc import seconds_from_utc


@pytest.mark.parametrize("day", ["2025-01-01", "2026-11-26", "2029-12-31"])
def test_everywhere_as_the_other_package_has_it(day: str) -> None:
    at_s = seconds_from_utc(f"{day}T12:00:00Z")
    lat, lon = (axis.ravel() for axis in np.mgrid[-88.0:89.0:8.0, -180.0:180.0:20.0])
    other = wmm_calc()
    other.setup_env(lat, lon, np.zeros_like(lat), msl=False)
    other.setup_time(dyear=decimal_year(at_s))
    with pytest.warns(UserWarning, match="zone"):
        declination, horizontal = other.get_Bdec(), other.get_Bh()
    zones = set()
    for index in range(lat.size):
        found = variation_at(Position(lat_deg=lat[index], lon_deg=lon[index]), at_s)
        assert found.value_deg is not None
        apart = (found.value_deg - declination[index] + 180.0) % 360.0 - 180.0
        assert apart == pytest.approx(0.0, abs=1e-6)
        assert found.horizontal_nt == pytest.approx(horizontal[index], abs=0.01)
        # The error model of the report, sqrt(0.26^2 + (5417 / H)^2).
        expected = np.hypot(0.26, 5417.0 / horizontal[index])
        assert found.uncertainty_deg == pytest.approx(expected, rel=1e-6)
        least = horizontal[index]
        zone = "blackout" if least < BLACKOUT_NT else "caution" if least < CAUTION_NT else None
        assert found.zone == zone
        zones.add(zone)
    assert zones == {None, "caution", "blackout"}


def test_at_the_magnetic_poles_lies_the_blackout_zone() -> None:
    """The model's north magnetic pole of 2025: 85.8 N 139 E."""
    found = variation_at(
        Position(lat_deg=85.8, lon_deg=139.0), seconds_from_utc("2026-01-01T00:00:00Z")
    )
    assert found.zone == "blackout"
    assert found.uncertainty_deg is not None
    assert found.uncertainty_deg > 2.7


@pytest.mark.parametrize("at_utc", ["2024-12-31T23:59:59Z", "2030-01-01T00:00:01Z"])
def test_outside_the_years_of_the_model_there_is_no_number(at_utc: str) -> None:
    found = variation_at(Position(lat_deg=50.0, lon_deg=0.0), seconds_from_utc(at_utc))
    assert found.value_deg is None
    assert found.uncertainty_deg is None
    assert found.reason is not None
    assert "2025.0 to 2030.0" in found.reason
    assert at_utc[:10] in found.reason


def test_one_number_for_a_day() -> None:
    """A departure moved by hours changes no course by compass."""
    position = Position(lat_deg=10.0, lon_deg=20.0)
    morning, evening = (
        variation_at(position, seconds_from_utc(f"2027-03-04T{hour:02}:00:00Z")) for hour in (3, 22)
    )
    assert morning == evening
