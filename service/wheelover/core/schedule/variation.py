"""Magnetic variation from the World Magnetic Model, with what it is not sure of and where it ends.

The model holds the field of the earth's core. What lies in the ground near by is not in it, nor a
storm of the day: local anomalies stand on charts and in sailing directions.
"""

from functools import lru_cache

import numpy as np
from pygeomag import GeoMag
from pygeomag.wmm.wmm_2025 import WMM_2025

from wheelover.core.types.route import Position
from wheelover.core.types.sky import MagneticZone, Variation
from wheelover.core.utc import utc_from_seconds

MODEL = "WMM2025"
VALID_FROM_YEAR, VALID_TO_YEAR = 2025.0, 2030.0

BLACKOUT_NT, CAUTION_NT = 2000.0, 6000.0
"""Below these horizontal intensities compasses are unreliable, and to be used with caution."""

_DAY_S = 86_400.0


def variation_at(position: Position, at_s: float) -> Variation:
    """Return the variation at a place on the day of a time, east positive.

    Parameters
    ----------
    position : Position
        The place, at sea level.
    at_s : float
        Seconds since 1970 UTC.

    Returns
    -------
    Variation
        Outside the years of the model with the reason instead of a number.

    Notes
    -----
    World Magnetic Model 2025, degree and order 12, valid from 2025.0 to 2030.0; its error, one
    standard deviation, is sqrt(0.26^2 + (5417 / H)^2) degrees with H in nT. Below 2000 nT lies the
    blackout zone, below 6000 nT the zone of caution [WMM2025]_. The model is taken at noon of the
    day: it changes by some tenths of a degree in a year.

    Examples
    --------
    >>> found = variation_at(Position(lat_deg=80.0, lon_deg=0.0), 1735689600.0)
    >>> round(found.value_deg, 1), found.zone
    (1.3, None)
    """
    year = decimal_year(at_s)
    if not VALID_FROM_YEAR <= year <= VALID_TO_YEAR:
        return Variation(
            reason=f"{MODEL} holds from {VALID_FROM_YEAR:.1f} to {VALID_TO_YEAR:.1f}, and she is "
            f"there on {utc_from_seconds(at_s)[:10]}"
        )
    value_deg, horizontal_nt, uncertainty_deg = _field(
        position.lat_deg, position.lon_deg, _of_noon(at_s)
    )
    zone: MagneticZone | None = None
    if horizontal_nt < CAUTION_NT:
        zone = "caution" if horizontal_nt >= BLACKOUT_NT else "blackout"
    return Variation(
        value_deg=value_deg,
        uncertainty_deg=uncertainty_deg,
        horizontal_nt=horizontal_nt,
        zone=zone,
    )


def decimal_year(at_s: float) -> float:
    """Return a time as a year with its part.

    Parameters
    ----------
    at_s : float
        Seconds since 1970 UTC.

    Examples
    --------
    >>> decimal_year(1735689600.0), decimal_year(1735689600.0 + 182.5 * 86400.0)
    (2025.0, 2025.5)
    """
    year = np.array(int(at_s // 1.0)).astype("datetime64[s]").astype("datetime64[Y]")
    first = float(year.astype("datetime64[s]").astype(np.int64))
    after = float((year + 1).astype("datetime64[s]").astype(np.int64))
    return 1970.0 + float(year.astype(np.int64)) + (at_s - first) / (after - first)


def _of_noon(at_s: float) -> float:
    """Return the year of noon of the day of a time, inside the years of the model."""
    noon_s = (at_s // _DAY_S + 0.5) * _DAY_S
    return min(max(decimal_year(noon_s), VALID_FROM_YEAR), VALID_TO_YEAR)


@lru_cache(maxsize=1)
def _model() -> GeoMag:
    """Return the model, its coefficients read once."""
    return GeoMag(coefficients_data=WMM_2025)


@lru_cache(maxsize=8192)
def _field(lat_deg: float, lon_deg: float, in_year: float) -> tuple[float, float, float]:
    """Return declination, horizontal intensity and the error of the declination."""
    found = _model().calculate(glat=lat_deg, glon=lon_deg, alt=0.0, time=in_year)
    return float(found.d), float(found.h), float(found.calculate_uncertainty().d)
