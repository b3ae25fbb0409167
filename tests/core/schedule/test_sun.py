"""The sun by a second library, ephem (its place of the sun is VSOP87), over latitudes and dates."""

import math

import ephem
import numpy as np
import pytest

from wheelover.core.schedule.sun import (
    ASTRONOMICAL_DEG,
    CIVIL_DEG,
    NAUTICAL_DEG,
    RISING_DEG,
    daylight_of,
    is_dark,
    sun_days,
    sun_on,
)
from wheelover.core.types.route import Position
from wheelover.core.types.sky import Above
from wheelover.core.utc import seconds_from_utc

DAY_S = 86_400.0
FIRST_S = seconds_from_utc("2025-01-01T00:00:00Z")
EPHEM_1970 = 25_567.5  # ephem counts days from noon of 31 December 1899
LIMITS_DEG = {
    "up": RISING_DEG,
    "civil": CIVIL_DEG,
    "nautical": NAUTICAL_DEG,
    "astronomical": ASTRONOMICAL_DEG,
}
TOLERANCE_DEG = 0.02
"""The low-precision series is good to 0.01 degree, Smart's equation of time to 4 s (0.017)."""


def height_deg(position: Position, at_s: float) -> float:
    """Return the height of the sun's centre by ephem, without refraction."""
    observer = ephem.Observer()
    observer.lat, observer.lon = math.radians(position.lat_deg), math.radians(position.lon_deg)
    observer.pressure, observer.elevation = 0.0, 0.0
    observer.date = ephem.Date(EPHEM_1970 + at_s / DAY_S)
    return math.degrees(ephem.Sun(observer).alt)


@pytest.mark.parametrize("lat_deg", range(-88, 89, 8))
def test_at_each_time_found_the_sun_stands_where_it_should(lat_deg: int) -> None:
    """Rise, set and twilights from 2025 to 2029, on the date line too."""
    found = 0
    for lon_deg in (-180.0, -60.5, 0.0, 90.0, 179.9):
        position = Position(lat_deg=lat_deg, lon_deg=lon_deg)
        for day in range(0, 1826, 29):
            sun = sun_on(position, FIRST_S + day * DAY_S)
            for name, limit_deg in LIMITS_DEG.items():
                span: Above = getattr(sun, name)
                times_s = [one for one in (span.from_s, span.to_s) if one is not None]
                assert (span.lasting is None) == bool(times_s)
                for at_s in times_s:
                    assert height_deg(position, at_s) == pytest.approx(limit_deg, abs=TOLERANCE_DEG)
                found += len(times_s)
                if span.lasting is not None:
                    _stays(position, sun.noon_s, limit_deg, above=span.lasting == "always")
    assert found > (100 if abs(lat_deg) > 80 else 300)


def _stays(position: Position, noon_s: float, limit_deg: float, *, above: bool) -> None:
    """The second library too sees the sun stay above or below all that day."""
    heights = [height_deg(position, noon_s + hour * 3600.0) for hour in range(-12, 13)]
    most = min(heights) if above else -max(heights)
    assert most >= (limit_deg if above else -limit_deg) - TOLERANCE_DEG


@pytest.mark.parametrize("lat_deg", [-60.0, -33.5, 0.0, 51.5, 60.0])
def test_sunrise_and_sunset_are_those_of_the_other_library(lat_deg: float) -> None:
    """Half a minute: 0.02 degree at the least slope of the sun's path at 60 degrees is 20 s."""
    observer = ephem.Observer()
    observer.lat, observer.lon = math.radians(lat_deg), math.radians(25.0)
    observer.pressure, observer.horizon = 0.0, math.radians(RISING_DEG)
    for day in range(0, 1826, 37):
        sun = sun_on(Position(lat_deg=lat_deg, lon_deg=25.0), FIRST_S + day * DAY_S)
        observer.date = ephem.Date(EPHEM_1970 + sun.noon_s / DAY_S)
        rise = observer.previous_rising(ephem.Sun(), use_center=True)
        setting = observer.next_setting(ephem.Sun(), use_center=True)
        assert sun.up.from_s == pytest.approx((rise - EPHEM_1970) * DAY_S, abs=30.0)
        assert sun.up.to_s == pytest.approx((setting - EPHEM_1970) * DAY_S, abs=30.0)


def test_light_changes_at_the_times_found() -> None:
    position = Position(lat_deg=51.5, lon_deg=-3.0)
    sun = sun_on(position, seconds_from_utc("2026-11-26T00:00:00Z"))
    order = ("night", "astronomical", "nautical", "civil", "day")
    spans = (sun.astronomical, sun.nautical, sun.civil, sun.up)
    for index, span in enumerate(spans):
        assert span.from_s is not None
        assert span.to_s is not None
        for at_s, before, after in ((span.from_s, index, index + 1), (span.to_s, index + 1, index)):
            assert daylight_of(position, at_s - 1.0).light == order[before]
            assert daylight_of(position, at_s + 1.0).light == order[after]
            assert is_dark(position, at_s + 1.0) == (order[after] not in ("day", "civil"))


def test_all_shapes() -> None:
    """None, one and many: each as if alone."""
    assert sun_days([], [], []) == ()
    lat, lon = np.linspace(-89.9, 89.9, 40), np.linspace(-180.0, 180.0, 40)
    at_s = FIRST_S + np.arange(40) * 3.7 * DAY_S
    many = sun_days(lat, lon, at_s)
    assert len(many) == 40
    for index, one in enumerate(many):
        assert one == sun_days(lat[index], lon[index], at_s[index])[0]


def test_where_the_long_day_begins_it_may_set_and_not_rise() -> None:
    """At 69 N the sun comes up for the last time before midsummer on some day in May."""
    position = Position(lat_deg=69.0, lon_deg=19.0)
    seen = {
        (sun.up.from_s is None, sun.up.to_s is None, sun.up.lasting)
        for day in range(365)
        for sun in (sun_on(position, FIRST_S + day * DAY_S),)
    }
    assert {(True, True, "always"), (True, True, "never"), (False, False, None)} <= seen
    assert seen & {(False, True, None), (True, False, None)}
