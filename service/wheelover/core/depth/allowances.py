"""Allowances for waves and for the density of the water she floats in."""

import math

SEA_WATER_KG_PER_M3 = 1025.0
FRESH_WATER_KG_PER_M3 = 1000.0

WAVES_COUNTED = 1000
HIGHEST_WAVE_RATIO = math.sqrt(math.log(WAVES_COUNTED) / 2.0)
"""The highest of a thousand waves over their significant height: 1.86 [LonguetHiggins1952]_."""


def wave_allowance_m(wave_height_m: float) -> float:
    """Return how much a ship may go down in waves, in metres.

    Parameters
    ----------
    wave_height_m : float
        Significant height of sea and swell together.

    Notes
    -----
    Half the highest of a thousand waves [LonguetHiggins1952]_: she is taken to follow the surface.
    A long ship in short waves moves less; one whose roll or pitch the swell meets moves more.

    Examples
    --------
    >>> round(wave_allowance_m(2.0), 2)
    1.86
    """
    return HIGHEST_WAVE_RATIO * wave_height_m / 2.0


def fresh_water_allowance_m(displacement_t: float, tpc_t_per_cm: float) -> float:
    """Return how much deeper she floats in fresh water than in salt, in metres.

    Parameters
    ----------
    displacement_t : float
        Displacement in salt water, tonnes.
    tpc_t_per_cm : float
        Tonnes that sink her one centimetre in salt water.

    Notes
    -----
    D / (4 TPC) in millimetres [LoadLines]_.

    Examples
    --------
    >>> fresh_water_allowance_m(40_000.0, 50.0)
    0.2
    """
    return displacement_t / (4.0 * tpc_t_per_cm) / 1000.0


def density_change_m(allowance_m: float, from_kg_per_m3: float, into_kg_per_m3: float) -> float:
    """Return how much deeper she floats in water of another density, in metres; less is negative.

    Parameters
    ----------
    allowance_m : float
        Her fresh-water allowance.
    from_kg_per_m3, into_kg_per_m3 : float
        Density of the water that her draughts were read in, and of that she comes into.

    Notes
    -----
    Dock-water allowance: in proportion between salt, 1025, and fresh, 1000 [LoadLines]_.

    Examples
    --------
    >>> round(density_change_m(0.2, 1025.0, 1010.0), 6)
    0.12
    """
    span_kg_per_m3 = SEA_WATER_KG_PER_M3 - FRESH_WATER_KG_PER_M3
    return allowance_m * (from_kg_per_m3 - into_kg_per_m3) / span_kg_per_m3


def most_density_change_m(draught_m: float, from_kg_per_m3: float, into_kg_per_m3: float) -> float:
    """Return the most that she can float deeper in lighter water, in metres; zero in denser.

    Parameters
    ----------
    draught_m : float
        Her draught as read.
    from_kg_per_m3, into_kg_per_m3 : float
        As for ``density_change_m``.

    Notes
    -----
    Archimedes: the volume grows as the density falls. A ship's waterplane is never narrower than
    the mean of what lies under it, so the draught grows by less than the volume does. For ships
    whose displacement and TPC are not given. In denser water nothing is credited.

    Examples
    --------
    >>> round(most_density_change_m(10.0, 1025.0, 1000.0), 3)
    0.25
    """
    return max(draught_m * (from_kg_per_m3 / into_kg_per_m3 - 1.0), 0.0)


def most_density_rise_m(draught_m: float, from_kg_per_m3: float, into_kg_per_m3: float) -> float:
    """Return the most that she can float higher in denser water, in metres; zero in lighter.

    Parameters
    ----------
    draught_m : float
        Her draught as read.
    from_kg_per_m3, into_kg_per_m3 : float
        As for ``density_change_m``.

    Notes
    -----
    Archimedes: the volume shrinks as the density grows. What comes out of the water is no narrower
    than the mean of what stays in it, so the draught shrinks by less than the volume does.

    Examples
    --------
    >>> round(most_density_rise_m(10.25, 1000.0, 1025.0), 3)
    0.25
    """
    return max(draught_m * (1.0 - from_kg_per_m3 / into_kg_per_m3), 0.0)
