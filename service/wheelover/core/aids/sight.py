"""How far marks can be made out: over the horizon, through the air, by radar, by day and night."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import scipy
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, as_floats
from wheelover.core.types.cues import Ranges, Sight
from wheelover.core.types.marks import Light, Mark, MarkKind
from wheelover.core.units import nm_from_m

HORIZON_NM_PER_ROOT_M = 2.08
"""Miles of horizon for the root of each metre of height [Horizon]_.

Tables in use print 2.08. Bowditch's 1.17 for feet is 2.12 in metres, and the 2.07 that it prints
for metres does not agree with that; the smaller of the two that agree with a table is taken, for it
promises less. It is used for eye and mark alike and never mixed with another.
"""

RADAR_NM_PER_ROOT_M = 2.21
"""The same for a radar's 3 cm waves, which bend more [RadarHorizon]_."""

DEFAULT_VISIBILITY_NM = 10.0
"""The visibility that nominal ranges are stated for [Luminous]_."""

LEAST_ANGLE_MIN = 3.0
"""A thing that stands lower than so many minutes of arc is not counted on by day: about what it
takes to know one again, common practice of the trade."""

MADE_TO_BE_SEEN: frozenset[MarkKind] = frozenset({"light", "beacon", "buoy"})
"""Aids to navigation: they are put there to be seen by day too, whether or not a chart says that
they are conspicuous. Of anything else it is not known where nobody says it."""

_LN_CONTRAST = math.log(20.0)


def geographical_range_nm(eye_height_m: ArrayLike, height_m: ArrayLike) -> Floats:
    """Return from how far a mark shows above the horizon, nautical miles.

    Parameters
    ----------
    eye_height_m, height_m : array_like, shape (n,) or broadcastable
        Height of eye and of what is seen, above the water, metres.

    Notes
    -----
    Sum of both horizons in mean refraction [Horizon]_; nan for a height that is not known.

    Examples
    --------
    >>> geographical_range_nm(16.0, 25.0).round(2)
    array([18.72])
    """
    return HORIZON_NM_PER_ROOT_M * (np.sqrt(as_floats(eye_height_m)) + np.sqrt(as_floats(height_m)))


def radar_range_nm(antenna_height_m: ArrayLike, height_m: ArrayLike) -> Floats:
    """Return from how far a mark shows above the radar's horizon, nautical miles.

    Parameters
    ----------
    antenna_height_m, height_m : array_like, shape (n,) or broadcastable
        Height of the antenna and of the mark above the water, metres.

    Examples
    --------
    The horizon of an antenna of 25 m [RadarHorizon]_:

    >>> radar_range_nm(25.0, 0.0).round(2)
    array([11.05])
    """
    return RADAR_NM_PER_ROOT_M * (
        np.sqrt(as_floats(antenna_height_m)) + np.sqrt(as_floats(height_m))
    )


def luminous_range_nm(nominal_range_nm: ArrayLike, visibility_nm: float) -> Floats:
    """Return from how far a light is bright enough in a visibility, nautical miles.

    Parameters
    ----------
    nominal_range_nm : array_like, shape (n,)
        Nominal range: its range in a visibility of 10 NM.
    visibility_nm : float
        Meteorological visibility, above zero: contrast falls to a twentieth along it.

    Notes
    -----
    Allard's law: illuminance is intensity over distance squared times the transmission, and the
    same illuminance is needed at both ranges [Luminous]_. With a = ln 20 / (2 V) the range d obeys
    ln d + a d = ln D + a_10 D, solved by Wright's omega function. Glare is left out.

    Examples
    --------
    A light of 15 NM in 11 NM and in 1 NM of visibility; a diagram gives 16 and 2.8 [Luminous]_:

    >>> luminous_range_nm(15.0, 11.0).round(1), luminous_range_nm(15.0, 1.0).round(1)
    (array([16.]), array([2.7]))
    """
    nominal_nm = as_floats(nominal_range_nm)
    per_nm = _LN_CONTRAST / (2.0 * visibility_nm)
    known = np.log(nominal_nm) + _LN_CONTRAST / (2.0 * DEFAULT_VISIBILITY_NM) * nominal_nm
    return np.asarray(scipy.special.wrightomega(known + math.log(per_nm)) / per_nm, np.float64)


@lru_cache(maxsize=4096)
def _luminous_nm(nominal_nm: float, visibility_nm: float) -> float:
    """Return the luminous range of one light: many lights are alike."""
    return float(luminous_range_nm(nominal_nm, visibility_nm)[0])


def vertical_angle_min(height_m: ArrayLike, range_m: ArrayLike) -> Floats:
    """Return how high a mark stands above the water as seen from afar, minutes of arc.

    Parameters
    ----------
    height_m, range_m : array_like, shape (n,) or broadcastable
        Its height and its range, metres.

    Examples
    --------
    50 m at 2 NM stand 46.4 minutes high:

    >>> vertical_angle_min(50.0, 3704.0).round(1)
    array([46.4])
    """
    return np.asarray(60.0 * np.degrees(np.arctan2(as_floats(height_m), as_floats(range_m))))


@dataclass(frozen=True, slots=True, kw_only=True)
class Lookout:
    """From how high things are looked at, and through what air; None is not known.

    ``range_scale_nm`` is the range scale of the radar in use, None where it is the least one that
    shows the mark.
    """

    eye_height_m: float | None = None
    radar_height_m: float | None = None
    visibility_nm: float = DEFAULT_VISIBILITY_NM
    range_scale_nm: float | None = None


def light_towards(mark: Mark, bearing_deg: float) -> Light | None:
    """Return the light of a mark with the longest range that shows towards a ship, None for none.

    Parameters
    ----------
    mark : Mark
        The mark.
    bearing_deg : float
        Its true bearing from the ship: sectors are given so, from seaward.

    Notes
    -----
    Lights that show by day or in fog alone are left out.
    """
    shown = [one for one in mark.lights if one.only_at is None and in_sector(one, bearing_deg)]
    return max(shown, key=lambda one: one.nominal_range_nm or 0.0, default=None)


def in_sector(light: Light, bearing_deg: float) -> bool:
    """Return whether a light shows towards a ship from which it bears so.

    Examples
    --------
    >>> in_sector(Light(sector_from_deg=350.0, sector_to_deg=20.0), 5.0)
    True
    """
    if light.sector_from_deg is None or light.sector_to_deg is None:
        return True
    width_deg = (light.sector_to_deg - light.sector_from_deg) % 360.0
    return (bearing_deg - light.sector_from_deg) % 360.0 <= width_deg


def ranges_of(mark: Mark, bearing_deg: float, range_m: float, lookout: Lookout) -> Ranges:
    """Return how far a mark can be made out from a ship.

    Parameters
    ----------
    mark : Mark
        The mark.
    bearing_deg, range_m : float
        Its true bearing and its range from the ship.
    lookout : Lookout
        Heights of eye and antenna, visibility.
    """
    light = light_towards(mark, bearing_deg) if mark.lights else None
    nominal_nm = mark.nominal_range_nm if not mark.lights else None
    character = mark.light_character if not mark.lights else None
    if light is not None:
        nominal_nm, character = light.nominal_range_nm, light.character
    height_m = mark.height_m
    eye_m, antenna_m = lookout.eye_height_m, lookout.radar_height_m
    return Ranges(
        geographical_nm=None
        if height_m is None or eye_m is None
        else HORIZON_NM_PER_ROOT_M * (math.sqrt(eye_m) + math.sqrt(height_m)),
        luminous_nm=None if nominal_nm is None else _luminous_nm(nominal_nm, lookout.visibility_nm),
        nominal_range_nm=nominal_nm,
        radar_nm=None
        if height_m is None or antenna_m is None
        else RADAR_NM_PER_ROOT_M * (math.sqrt(antenna_m) + math.sqrt(height_m)),
        light_character=character,
        in_sector=None if not mark.lights else light is not None,
        angle_min=None if height_m is None else 60.0 * math.degrees(math.atan2(height_m, range_m)),
    )


def by_day(mark: Mark, ranges: Ranges, range_m: float, lookout: Lookout) -> Sight:
    """Return whether a mark can be seen by day.

    Its height is that above the water: how much of it is the thing and how much the land that it
    stands on is not known, so height alone does not say that it can be told from the land.

    Parameters
    ----------
    mark, ranges, range_m, lookout
        The mark, how far it can be made out, how far off it is, and from where.
    """
    off_nm = nm_from_m(range_m)
    if off_nm > lookout.visibility_nm:
        return Sight(seen="no", why=f"beyond the visibility of {lookout.visibility_nm:g} NM")
    plain = mark.visually_conspicuous is False
    if not plain and ranges.angle_min is not None and ranges.angle_min < LEAST_ANGLE_MIN:
        why = f"its top is {ranges.angle_min:.1f}' above the water, too low to be known again"
        return Sight(seen="no", why=why)
    hidden = _below_horizon(mark, ranges, off_nm, lookout)
    if hidden is not None:
        return hidden
    if plain:
        return Sight(seen="not_known", why="charted as not conspicuous to the eye")
    if mark.visually_conspicuous is None and mark.kind not in MADE_TO_BE_SEEN:
        return Sight(seen="not_known", why="nothing says that it is conspicuous to the eye")
    why = f"its top is {ranges.angle_min or 0.0:.0f}' above the water, and above the horizon"
    return Sight(seen="yes", why=why)


def by_night(mark: Mark, ranges: Ranges, range_m: float, lookout: Lookout) -> Sight:
    """Return whether a mark can be seen by night: by its light alone.

    Parameters
    ----------
    mark, ranges, range_m, lookout
        The mark, how far it can be made out, how far off it is, and from where.
    """
    off_nm = nm_from_m(range_m)
    if not mark.lit:
        return Sight(seen="no", why="unlit")
    if ranges.in_sector is False:
        return Sight(seen="no", why="none of its lights shows towards the ship")
    if ranges.luminous_nm is not None and off_nm > ranges.luminous_nm:
        return Sight(seen="no", why=f"beyond its luminous range of {ranges.luminous_nm:.1f} NM")
    hidden = _below_horizon(mark, ranges, off_nm, lookout)
    if hidden is not None:
        return hidden
    if ranges.luminous_nm is None:
        return Sight(seen="not_known", why="the nominal range of its light is not known")
    return Sight(seen="yes", why=f"luminous range {ranges.luminous_nm:.1f} NM, above the horizon")


def by_radar(mark: Mark, ranges: Ranges, range_m: float, lookout: Lookout) -> Sight:
    """Return whether a radar shows a mark.

    Parameters
    ----------
    mark, ranges, range_m, lookout
        The mark, how far it can be made out, how far off it is, and from where.
    """
    off_nm = nm_from_m(range_m)
    scale_nm = lookout.range_scale_nm
    no = None
    if scale_nm is not None and off_nm > scale_nm:
        no = f"beyond the range scale of {scale_nm:g} NM"
    elif mark.radar_conspicuous is False:
        no = "charted as not conspicuous to radar"
    elif ranges.radar_nm is not None and off_nm > ranges.radar_nm:
        no = f"below the radar horizon, beyond {ranges.radar_nm:.1f} NM"
    if no is not None:
        return Sight(seen="no", why=no)
    if lookout.radar_height_m is None or ranges.radar_nm is None:
        whose = "the height of the radar" if lookout.radar_height_m is None else "its height"
        return Sight(seen="not_known", why=f"{whose} is not known")
    if mark.radar_conspicuous is None:
        return Sight(seen="not_known", why="nothing says that a radar shows it")
    answer = "answers the radar" if mark.racon else "conspicuous to radar"
    return Sight(seen="yes", why=f"{answer}, within its horizon of {ranges.radar_nm:.1f} NM")


def _below_horizon(mark: Mark, ranges: Ranges, off_nm: float, lookout: Lookout) -> Sight | None:
    """Return why a mark is not known to show above the horizon, None where it does."""
    if lookout.eye_height_m is None:
        return Sight(seen="not_known", why="the height of eye is not known")
    if mark.height_m is None or ranges.geographical_nm is None:
        return Sight(seen="not_known", why="its height is not known")
    if off_nm > ranges.geographical_nm:
        why = f"below the horizon, beyond its geographical range of {ranges.geographical_nm:.1f} NM"
        return Sight(seen="no", why=why)
    return None
