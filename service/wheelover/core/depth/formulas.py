"""The formulas of squat side by side: which apply, what each says, and for what each is made."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats
from wheelover.core.depth import squat
from wheelover.core.types.depth import FormulaName

CONFINED_BLOCKAGE_RATIO = 0.1
"""From here on water counts as confined by the short rules of Barrass."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """A ship running through water, or many, in columns of shape (n,).

    ``depth_m`` is that of the water, above zero, and ``width_m`` that of the channel, nan in open
    water.
    """

    block_ratio: Floats
    lpp_m: Floats
    beam_m: Floats
    draught_m: Floats
    depth_m: Floats
    width_m: Floats
    speed_kn: Floats

    @property
    def blockage_ratio(self) -> Floats:
        """Return what the ship takes of the channel, zero in open water."""
        in_channel = ~np.isnan(self.width_m)
        width = np.where(in_channel, self.width_m, 1.0)
        part = squat.blockage_ratio(self.beam_m, self.draught_m, self.depth_m, width)
        return np.asarray(np.where(in_channel, part, 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """One published formula: where it applies, its squat, and whether it is within its range."""

    name: FormulaName
    range: str
    applies: Callable[[Running], Bools]
    squat: Callable[[Running], Floats]
    in_range: Callable[[Running], Bools]


def _within(values: Floats, low_ratio: float, high_ratio: float) -> Bools:
    """Return which numbers lie in a range, its ends included."""
    return np.asarray((values >= low_ratio) & (values <= high_ratio))


def _shallow(one: Running) -> Bools:
    """Return where the depth is that for which Barrass gives his rules."""
    return _within(one.depth_m / one.draught_m, 1.1, 1.4)


def _of_icorels(one: Running) -> Bools:
    """Return where ship, depth and speed are those for which ICORELS and Huuska are given."""
    return (
        _within(one.block_ratio, 0.6, 0.8)
        & _within(one.beam_m / one.draught_m, 2.19, 3.5)
        & _within(one.lpp_m / one.beam_m, 5.5, 8.5)
        & _within(one.depth_m / one.draught_m, 1.1, 2.0)
        & (squat.froude_depth_ratio(one.speed_kn, one.depth_m) <= 0.7)
    )


def _always(one: Running) -> Bools:
    """Return that a formula applies everywhere."""
    return np.ones(one.speed_kn.shape, dtype=np.bool_)


def _channel(one: Running) -> Bools:
    """Return where there is a channel."""
    return ~np.isnan(one.width_m)


def _icorels_m(one: Running) -> Floats:
    """Return the squat by ICORELS."""
    return squat.icorels_m(
        one.block_ratio, one.lpp_m, one.beam_m, one.draught_m, one.depth_m, one.speed_kn
    )


_ICORELS_RANGE = "Cb 0.6 to 0.8, B/T 2.19 to 3.5, L/B 5.5 to 8.5, h/T 1.1 to 2, Froude depth to 0.7"

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="barrass_open",
        range="h/T 1.1 to 1.4",
        applies=_always,
        squat=lambda one: squat.barrass_open_m(one.block_ratio, one.speed_kn),
        in_range=_shallow,
    ),
    Formula(
        name="icorels",
        range=_ICORELS_RANGE,
        applies=_always,
        squat=_icorels_m,
        in_range=_of_icorels,
    ),
    Formula(
        name="huuska",
        range=f"channels, {_ICORELS_RANGE}",
        applies=_channel,
        squat=lambda one: _icorels_m(one) * squat.huuska_factor_ratio(one.blockage_ratio),
        in_range=_of_icorels,
    ),
    Formula(
        name="barrass_confined",
        range="blockage 0.1 to 0.265, h/T 1.1 to 1.4",
        applies=lambda one: _channel(one) & (one.blockage_ratio >= CONFINED_BLOCKAGE_RATIO),
        squat=lambda one: squat.barrass_confined_m(one.block_ratio, one.speed_kn),
        in_range=lambda one: _shallow(one) & _within(one.blockage_ratio, 0.1, 0.265),
    ),
    Formula(
        name="barrass_general",
        range="blockage 0.1 to 0.265, h/T 1.1 to 1.4",
        applies=_channel,
        squat=lambda one: squat.barrass_general_m(
            one.block_ratio, one.blockage_ratio, one.speed_kn
        ),
        in_range=lambda one: _shallow(one) & _within(one.blockage_ratio, 0.1, 0.265),
    ),
    Formula(
        name="barrass_2004",
        range="blockage to 0.25, h/T 1.1 to 1.4, Cb 0.5 to 0.9",
        applies=_channel,
        squat=lambda one: squat.barrass_2004_m(one.block_ratio, one.blockage_ratio, one.speed_kn),
        in_range=lambda one: (
            _shallow(one)
            & _within(one.blockage_ratio, 0.0, 0.25)
            & _within(one.block_ratio, 0.5, 0.9)
        ),
    ),
)
"""In open water the first two apply, in a channel those below as well."""


def squats_m(one: Running) -> Floats:
    """Return what each formula says, in metres.

    Parameters
    ----------
    one : Running
        n ships.

    Returns
    -------
    ndarray, shape (k, n)
        A row for each of ``FORMULAS``: nan where it does not apply, infinite from the critical
        speed on where the formula has no answer there.
    """
    return np.array([np.where(row.applies(one), row.squat(one), np.nan) for row in FORMULAS])


def ranges(one: Running) -> Bools:
    """Return whether each formula is within its range, shape (k, n).

    Parameters
    ----------
    one : Running
        n ships.
    """
    return np.array([row.in_range(one) for row in FORMULAS])


def greatest_m(found_m: Floats) -> Floats:
    """Return the largest squat of the formulas that apply, shape (n,).

    Parameters
    ----------
    found_m : ndarray, shape (k, n)
        As ``squats_m`` returns them; at least one applies everywhere.
    """
    return np.asarray(np.fmax.reduce(found_m, axis=0))
