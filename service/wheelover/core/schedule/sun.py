"""When the sun rises and sets, the twilights, and how light it is at a place and time.

Declination and equation of time come from astral, for each day at 0 h UTC; the rest is the
navigational triangle. Nothing here is an error: where the sun does not rise, that is the answer.
"""

from functools import lru_cache

import numpy as np
from astral.julian import julianday_to_juliancentury
from astral.sun import eq_of_time, sun_declination
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, columns
from wheelover.core.types.route import Position
from wheelover.core.types.sky import DARK, Above, Lasting, Light, SunDay

RISING_DEG = -50.0 / 60.0
"""The sun's centre when its upper limb is on the horizon: 34' of refraction, 16' of radius."""

CIVIL_DEG, NAUTICAL_DEG, ASTRONOMICAL_DEG = -6.0, -12.0, -18.0

_LIMITS_DEG = np.array([RISING_DEG, CIVIL_DEG, NAUTICAL_DEG, ASTRONOMICAL_DEG])
_LIGHTS: tuple[Light, ...] = ("day", "civil", "nautical", "astronomical", "night")
_DAY_S = 86_400.0
_S_PER_DEG = 240.0
_JULIAN_1970 = 2_440_587.5
_HALVINGS = 12
"""Half a day halved so often is ten seconds, in which the height changes along a straight line."""


def declination_deg(at_s: float) -> float:
    """Return the declination of the sun, north positive.

    Parameters
    ----------
    at_s : float
        Seconds since 1970 UTC.

    Notes
    -----
    Low-precision series of the sun's place, good to 0.01 degree from 1950 to 2050 [Meeus]_.
    """
    return float(sun_declination(_century(at_s)))


def equation_of_time_s(at_s: float) -> float:
    """Return by how much the sun is ahead of the mean sun, in seconds.

    Parameters
    ----------
    at_s : float
        Seconds since 1970 UTC.

    Notes
    -----
    Smart's formula [Meeus]_; good to 4 s.
    """
    return float(eq_of_time(_century(at_s))) * 60.0


def sun_days(lat_deg: ArrayLike, lon_deg: ArrayLike, at_s: ArrayLike) -> tuple[SunDay, ...]:
    """Return the light at places and times, with the day by the sun that each falls in.

    Parameters
    ----------
    lat_deg, lon_deg : array_like, shape (n,)
        Places, north and east positive.
    at_s : array_like, shape (n,)
        Times, seconds since 1970 UTC.

    Returns
    -------
    tuple of SunDay, n of them

    Notes
    -----
    Sunrise and sunset are those of the upper limb on a horizon at sea level in a standard
    atmosphere, civil, nautical and astronomical twilight end with the centre 6, 12 and 18 degrees
    below it [Almanac]_. Times are within half a minute below 60 degrees of latitude; elsewhere
    heights are within 0.015 degree (tests/core/schedule/test_sun.py). The dip of the horizon from
    a bridge, which brings sunrise some minutes forward, is left out. From midnight to noon the sun
    is taken to rise all the while, which fails only within a mile or so of a pole.
    """
    lat, lon, when = columns(lat_deg, lon_deg, at_s)
    if lat.size == 0:
        return ()
    noon_s, course = _solar_day(lon, when)
    half_s = _DAY_S / 2.0
    ends = (course.transit_s(noon_s - half_s), noon_s, course.transit_s(noon_s + half_s))
    edges = np.stack(ends)
    sky = _Sky(lat, course)
    heights = sky.sine(edges)
    limits = np.sin(np.radians(_LIMITS_DEG))[:, None]
    up, down = sky.crossings_s(edges, limits)
    has_up = (heights[0] < limits) & (heights[1] >= limits)
    has_down = (heights[2] < limits) & (heights[1] >= limits)
    above = heights[1] >= limits
    altitude, light = _light(sky, when)
    found = []
    for row in range(lat.size):
        spans = [
            _above(
                float(up[one, row]) if has_up[one, row] else None,
                float(down[one, row]) if has_down[one, row] else None,
                above=bool(above[one, row]),
            )
            for one in range(len(_LIMITS_DEG))
        ]
        found.append(
            SunDay(
                light=light[row],
                altitude_deg=float(altitude[row]),
                noon_s=float(noon_s[row]),
                up=spans[0],
                civil=spans[1],
                nautical=spans[2],
                astronomical=spans[3],
            )
        )
    return tuple(found)


def _light(sky: "_Sky", when_s: Floats) -> tuple[Floats, list[Light]]:
    """Return how high the sun stands at times, and how light it is."""
    altitude = np.degrees(np.arcsin(np.clip(sky.sine(when_s), -1.0, 1.0)))
    light = np.sum(altitude[None, :] < _LIMITS_DEG[:, None], axis=0)
    return altitude, [_LIGHTS[one] for one in light.tolist()]


def lights_at(lat_deg: ArrayLike, lon_deg: ArrayLike, at_s: ArrayLike) -> list[Light]:
    """Return how light it is at places and times, as ``sun_days`` has it.

    Parameters
    ----------
    lat_deg, lon_deg, at_s
        As in ``sun_days``.
    """
    lat, lon, when = columns(lat_deg, lon_deg, at_s)
    if lat.size == 0:
        return []
    return _light(_Sky(lat, _solar_day(lon, when)[1]), when)[1]


def daylight_of(position: Position, at_s: float) -> SunDay:
    """Return the light at one place and time, with the day by the sun that it falls in.

    Parameters
    ----------
    position : Position
        The place.
    at_s : float
        Seconds since 1970 UTC.
    """
    return sun_days(position.lat_deg, position.lon_deg, at_s)[0]


def sun_on(position: Position, day_s: float) -> SunDay:
    """Return the sun of one date at a place, the date counted in local mean time.

    Parameters
    ----------
    position : Position
        The place.
    day_s : float
        0 h of the date, seconds since 1970.
    """
    return daylight_of(position, day_s + _DAY_S / 2.0 - position.lon_deg * _S_PER_DEG)


def is_dark(position: Position, at_s: float) -> bool:
    """Return whether it is darker than civil twilight.

    Parameters
    ----------
    position : Position
        The place.
    at_s : float
        Seconds since 1970 UTC.
    """
    return daylight_of(position, at_s).light in DARK


def _above(from_s: float | None, to_s: float | None, *, above: bool) -> Above:
    """Return the span of one height, with what lasts all day where nothing begins or ends."""
    lasting: Lasting | None = None
    if from_s is None and to_s is None:
        lasting = "always" if above else "never"
    return Above(from_s=from_s, to_s=to_s, lasting=lasting)


class _Course:
    """Declination and equation of time of each row, through three days at 0 h."""

    def __init__(self, first_day_index: Floats, lon_deg: Floats) -> None:
        days = first_day_index.astype(np.int64)
        table = {int(day): _of_day(int(day)) for day in np.unique(days + np.arange(3)[:, None])}
        rows = np.array([[table[int(day) + step] for day in days] for step in range(3)])
        self._first_s = first_day_index * _DAY_S
        self._lon_s = lon_deg * _S_PER_DEG
        self._declination, self._equation = rows[:, :, 0], rows[:, :, 1]

    def declination_rad(self, at_s: Floats) -> Floats:
        """Return the declination at times."""
        return self._between(self._declination, at_s)

    def solar_s(self, at_s: Floats) -> Floats:
        """Return apparent solar time at the places, seconds."""
        return at_s + self._lon_s + self._between(self._equation, at_s)

    def transit_s(self, near_s: Floats) -> Floats:
        """Return when the sun is on the upper or lower meridian, nearest to times close to that."""
        wanted = np.rint(2.0 * self.solar_s(near_s) / _DAY_S) / 2.0 * _DAY_S
        found = near_s
        for _ in range(2):
            found = found + wanted - self.solar_s(found)
        return found

    def _between(self, values: Floats, at_s: Floats) -> Floats:
        """Return values between days, along the parabola through three of them."""
        part = (at_s - self._first_s) / _DAY_S
        first, then, last = values
        bend = (last - 2.0 * then + first) / 2.0
        return np.asarray(first + part * (then - first + bend * (part - 1.0)))


def _solar_day(lon_deg: Floats, when_s: Floats) -> tuple[Floats, _Course]:
    """Return the noon of the day by the sun that each time falls in, and the sun's course then."""
    course = _Course(np.floor(when_s / _DAY_S) - 1.0, lon_deg)
    day = np.floor(course.solar_s(when_s) / _DAY_S)
    rough_s = (day + 0.5) * _DAY_S - lon_deg * _S_PER_DEG
    course = _Course(np.floor(rough_s / _DAY_S) - 1.0, lon_deg)
    return course.transit_s(rough_s), course


class _Sky:
    """The height of the sun at places as time goes on."""

    def __init__(self, lat_deg: Floats, course: _Course) -> None:
        self._sin, self._cos = np.sin(np.radians(lat_deg)), np.cos(np.radians(lat_deg))
        self._course = course

    def sine(self, at_s: Floats) -> Floats:
        """Return the sine of the height of its centre, without refraction."""
        declination = self._course.declination_rad(at_s)
        angle = 2.0 * np.pi * (self._course.solar_s(at_s) / _DAY_S - 0.5)
        across = self._cos * np.cos(declination) * np.cos(angle)
        return np.asarray(self._sin * np.sin(declination) + across)

    def crossings_s(self, edges_s: Floats, sines_ratio: Floats) -> Floats:
        """Return when it rises and sets through heights, by halving; only where it does.

        From midnight to noon it is below a height and then above it, after noon the reverse.
        """
        shape = (2, sines_ratio.shape[0], edges_s.shape[1])
        low = np.broadcast_to(np.stack([edges_s[0], edges_s[2]])[:, None, :], shape)
        high = np.broadcast_to(edges_s[1], shape)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            below = self.sine(middle) < sines_ratio
            low, high = np.where(below, middle, low), np.where(below, high, middle)
        under, over = self.sine(low) - sines_ratio, self.sine(high) - sines_ratio
        rises = over - under
        part = np.divide(-under, rises, out=np.zeros_like(under), where=rises != 0.0)
        return np.asarray(low + np.clip(part, 0.0, 1.0) * (high - low))


def _century(since_1970_s: float) -> float:
    """Return Julian centuries since 2000 of seconds since 1970."""
    return float(julianday_to_juliancentury(_JULIAN_1970 + since_1970_s / _DAY_S))


@lru_cache(maxsize=4096)
def _of_day(day: int) -> tuple[float, float]:
    """Return declination in radians and equation of time in seconds at 0 h of a day since 1970."""
    at_s = day * _DAY_S
    return float(np.radians(declination_deg(at_s))), equation_of_time_s(at_s)
