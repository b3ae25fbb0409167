"""Squat: how much deeper a ship lies while she runs through shallow or narrow water.

Each published formula is one function with its range and what is known of its error. All that
apply are computed side by side, and the largest is used. Speeds are through the water.
"""

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, columns
from wheelover.core.units import GRAVITY_M_PER_S2, kn_from_m_per_s, m_per_s_from_kn

FULL_BLOCK_RATIO = 0.7
"""Fuller forms squat by the bow, finer ones by the stern [BarrassDerrett]_."""

HIGH_FROUDE_RATIO = 0.7
"""Large merchant ships keep below this Froude depth number [PIANC121]_."""


def froude_depth_ratio(speed_kn: ArrayLike, depth_m: ArrayLike) -> Floats:
    """Return the Froude depth number, V over the square root of g h.

    Parameters
    ----------
    speed_kn : array_like, shape (n,) or broadcastable
        Speed through the water.
    depth_m : array_like, shape (n,) or broadcastable
        Depth of water, above zero.

    Notes
    -----
    [PIANC121]_. As it comes near 1 squat and resistance grow without bound.

    Examples
    --------
    >>> froude_depth_ratio(10.0, 15.0).round(4)
    array([0.4241])
    """
    speed, depth = columns(speed_kn, depth_m)
    return np.asarray(m_per_s_from_kn(speed) / np.sqrt(GRAVITY_M_PER_S2 * depth))


def critical_speed_kn(depth_m: ArrayLike) -> Floats:
    """Return the speed at which the Froude depth number is 1, in knots.

    Parameters
    ----------
    depth_m : array_like, shape (n,)
        Depth of water, above zero.

    Examples
    --------
    >>> critical_speed_kn([10.0, 15.0, 20.0]).round(2)
    array([19.25, 23.58, 27.23])
    """
    (depth,) = columns(depth_m)
    return np.asarray(kn_from_m_per_s(np.sqrt(GRAVITY_M_PER_S2 * depth)))


def blockage_ratio(
    beam_m: ArrayLike, draught_m: ArrayLike, depth_m: ArrayLike, width_m: ArrayLike
) -> Floats:
    """Return the part of a channel's cross-section that the ship takes.

    Parameters
    ----------
    beam_m, draught_m : array_like, shape (n,) or broadcastable
        Of the ship; her midship section is taken as full.
    depth_m, width_m : array_like, shape (n,) or broadcastable
        Of the channel, whose sides are taken as upright.

    Notes
    -----
    [BarrassDerrett]_.

    Examples
    --------
    >>> blockage_ratio(32.0, 12.0, 15.0, 250.0)
    array([0.1024])
    """
    beam, draught, depth, width = columns(beam_m, draught_m, depth_m, width_m)
    return np.asarray(beam * draught / (depth * width))


def barrass_open_m(block_coefficient_ratio: ArrayLike, speed_kn: ArrayLike) -> Floats:
    """Return the greatest squat in open water by the short rule, Cb V^2 / 100, in metres.

    Parameters
    ----------
    block_coefficient_ratio : array_like, shape (n,) or broadcastable
        Block coefficient.
    speed_kn : array_like, shape (n,) or broadcastable
        Speed through the water.

    Notes
    -----
    [BarrassOpen]_. For depths of 1.1 to 1.4 draughts; deeper it is too much. It is meant as an
    upper estimate, and no scatter is published with it.

    Examples
    --------
    >>> barrass_open_m(0.9, [4.0, 8.0, 12.0, 16.0, 20.0])
    array([0.144, 0.576, 1.296, 2.304, 3.6  ])
    """
    block, speed = columns(block_coefficient_ratio, speed_kn)
    return np.asarray(block * speed**2 / 100.0)


def barrass_confined_m(block_coefficient_ratio: ArrayLike, speed_kn: ArrayLike) -> Floats:
    """Return the greatest squat in confined water by the short rule, 2 Cb V^2 / 100, in metres.

    Parameters
    ----------
    block_coefficient_ratio, speed_kn : array_like, shape (n,) or broadcastable
        As for open water.

    Notes
    -----
    [BarrassConfined]_. For channels of which the ship takes 0.1 to 0.265, 1.1 to 1.4 draughts
    deep. It is meant as an upper estimate, and no scatter is published with it.

    Examples
    --------
    >>> barrass_confined_m(0.8, 10.0)
    array([1.6])
    """
    return 2.0 * barrass_open_m(block_coefficient_ratio, speed_kn)


def barrass_general_m(
    block_coefficient_ratio: ArrayLike, blockage: ArrayLike, speed_kn: ArrayLike
) -> Floats:
    """Return the greatest squat by blockage, Cb S^0.81 V^2.08 / 20, in metres.

    Parameters
    ----------
    block_coefficient_ratio, speed_kn : array_like, shape (n,) or broadcastable
        As for open water.
    blockage : array_like, shape (n,) or broadcastable
        Part of the channel's cross-section that the ship takes.

    Notes
    -----
    [BarrassDerrett]_. For blockages of 0.1 to 0.265 and depths of 1.1 to 1.4 draughts. No scatter
    is published with it.

    Examples
    --------
    >>> barrass_general_m(0.8, 0.1024, [6.0, 8.0, 10.0]).round(4)
    array([0.2624, 0.4773, 0.7593])
    """
    block, part, speed = columns(block_coefficient_ratio, blockage, speed_kn)
    return np.asarray(block * part**0.81 * speed**2.08 / 20.0)


def barrass_2004_m(
    block_coefficient_ratio: ArrayLike, blockage: ArrayLike, speed_kn: ArrayLike
) -> Floats:
    """Return the greatest squat by Barrass's rule of 2004, K Cb V^2 / 100, in metres.

    Parameters
    ----------
    block_coefficient_ratio, blockage, speed_kn : array_like, shape (n,) or broadcastable
        As for ``barrass_general_m``.

    Notes
    -----
    K = 5.74 S^0.76, not below 1 (open water) and not above 2 [PIANC121]_. For blockages up to 0.25,
    depths of 1.1 to 1.4 draughts and block coefficients of 0.5 to 0.9. No scatter is published.

    Examples
    --------
    >>> barrass_2004_m(0.8, 0.1024, 10.0).round(4)
    array([0.8125])
    """
    block, part, speed = columns(block_coefficient_ratio, blockage, speed_kn)
    return channel_factor_2004_ratio(part) * barrass_open_m(block, speed)


def channel_factor_2004_ratio(blockage: ArrayLike) -> Floats:
    """Return K of the rule of 2004: 1 in open water, 2 where a quarter of the channel is taken.

    Parameters
    ----------
    blockage : array_like, shape (n,)
        Part of the channel's cross-section that the ship takes.
    """
    (part,) = columns(blockage)
    return np.asarray(np.clip(5.74 * part**0.76, 1.0, 2.0))


def icorels_m(
    block_coefficient_ratio: ArrayLike,
    lpp_m: ArrayLike,
    beam_m: ArrayLike,
    draught_m: ArrayLike,
    depth_m: ArrayLike,
    speed_kn: ArrayLike,
) -> Floats:
    """Return the squat of the bow in open water by the ICORELS formula, in metres.

    Parameters
    ----------
    block_coefficient_ratio, lpp_m, beam_m, draught_m : array_like, shape (n,) or broadcastable
        The ship: her volume is their product.
    depth_m : array_like, shape (n,) or broadcastable
        Depth of water, above zero.
    speed_kn : array_like, shape (n,) or broadcastable
        Speed through the water.

    Returns
    -------
    ndarray, shape (n,)
        2.4 (volume / L^2) F^2 / sqrt(1 - F^2); infinite from the critical speed on.

    Notes
    -----
    [ICORELS]_. For Froude depth numbers below 0.7, depths of 1.1 to 2 draughts, block coefficients
    of 0.6 to 0.8, 2.19 to 3.5 beams a draught and 5.5 to 8.5 lengths a beam. No scatter is
    published with it; how far formulas are apart is what is known of it [Briggs]_.

    Examples
    --------
    >>> icorels_m(0.8, 200.0, 32.0, 12.0, 15.0, [8.0, 10.0]).round(3)
    array([0.451, 0.732])
    """
    block, lpp, beam, draught, depth, speed = columns(
        block_coefficient_ratio, lpp_m, beam_m, draught_m, depth_m, speed_kn
    )
    square = froude_depth_ratio(speed, depth) ** 2
    below = square < 1.0
    rise = np.full(square.shape, np.inf)
    np.divide(square, np.sqrt(np.where(below, 1.0 - square, 1.0)), out=rise, where=below)
    return np.asarray(2.4 * block * beam * draught / lpp * rise)


def huuska_factor_ratio(blockage: ArrayLike) -> Floats:
    """Return the channel factor of Huuska, 7.45 s + 0.76 above a blockage of 0.03, never below 1.

    Parameters
    ----------
    blockage : array_like, shape (n,)
        Part of the channel's cross-section that the ship takes; of a canal without a trench.
    """
    (part,) = columns(blockage)
    return np.asarray(np.where(part <= 0.03, 1.0, np.maximum(7.45 * part + 0.76, 1.0)))


def huuska_m(
    block_coefficient_ratio: ArrayLike,
    lpp_m: ArrayLike,
    beam_m: ArrayLike,
    draught_m: ArrayLike,
    depth_m: ArrayLike,
    speed_kn: ArrayLike,
    blockage: ArrayLike,
) -> Floats:
    """Return the squat of the bow in a channel by Huuska's formula, in metres.

    Parameters
    ----------
    block_coefficient_ratio, lpp_m, beam_m, draught_m, depth_m, speed_kn : array_like, shape (n,)
        As for ``icorels_m``.
    blockage : array_like, shape (n,) or broadcastable
        Part of the channel's cross-section that the ship takes.

    Notes
    -----
    ICORELS times a channel factor [Huuska]_, with the range of that formula. No scatter is
    published with it.

    Examples
    --------
    >>> huuska_m(0.8, 200.0, 32.0, 12.0, 15.0, 10.0, [0.0, 0.1024]).round(3)
    array([0.732, 1.115])
    """
    open_m = icorels_m(block_coefficient_ratio, lpp_m, beam_m, draught_m, depth_m, speed_kn)
    return open_m * huuska_factor_ratio(blockage)
