"""Numbers of trials beside the limits of the standards for ship manoeuvrability [MSC137]_, 5.3.

The limits are for the ship fully loaded, in deep water, at her test speed; lengths are between
perpendiculars. Numbers beyond them are no fault of the response: the standard has its exceptions,
and papers their misprints. They are a reason to look again.
"""

import math
from collections.abc import Iterator

import numpy as np

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.fit import responses_from
from wheelover.core.manoeuvre.fit_numbers import Number, computed, trials_of
from wheelover.core.types.fitted import StandardCheck, Uncertain
from wheelover.core.types.trials import (
    CircleTrial,
    InitialTurning,
    TrialSet,
    TrialShip,
    ZigZagTrial,
)
from wheelover.core.units import m_per_s_from_kn

_ADVANCE_LENGTHS, _DIAMETER_LENGTHS, _INITIAL_LENGTHS = 4.5, 5.0, 2.5
_STOP_LENGTHS, _LONGEST_STOP_LENGTHS = 15.0, 20.0
_SMALL_DEG, _LARGE_DEG = 10.0, 20.0
_HARD_OVER_DEG, _LARGE_OVERSHOOT_DEG = 30.0, 25.0


def first_overshoot_limit_deg(length_m: float, speed_m_per_s: float) -> float:
    """Return the limit of the first overshoot of a 10/10 zig-zag.

    Notes
    -----
    10 degrees for L/V under 10 s, 20 from 30 s on, ``5 + L/V / 2`` between [MSC137]_, 5.3.3.

    Examples
    --------
    >>> first_overshoot_limit_deg(160.0, 8.0)
    15.0
    """
    return float(np.clip(5.0 + 0.5 * length_m / speed_m_per_s, 10.0, 20.0))


def second_overshoot_limit_deg(length_m: float, speed_m_per_s: float) -> float:
    """Return the limit of the second overshoot of a 10/10 zig-zag.

    Notes
    -----
    25 degrees for L/V under 10 s, 40 from 30 s on, ``17.5 + 0.75 L/V`` between [MSC137]_, 5.3.3.

    Examples
    --------
    >>> second_overshoot_limit_deg(160.0, 8.0)
    32.5
    """
    return float(np.clip(17.5 + 0.75 * length_m / speed_m_per_s, 25.0, 40.0))


def standard_checks(
    ship: TrialShip, trial_set: TrialSet, uncertain: Uncertain | None
) -> tuple[StandardCheck, ...]:
    """Return the numbers given beside their limits, then those of the response.

    Without a length between perpendiculars that overall is taken.

    Raises
    ------
    OutOfDomain
        When the response does not come to the end of a standard manoeuvre.
    """
    length_m = ship.lpp_m or ship.loa_m
    given = [
        check
        for one in trials_of(ship, trial_set).numbers
        for check in _check(one, one.value, length_m, "given")
    ]
    given.extend(_stops(trial_set, length_m))
    if uncertain is None:
        return tuple(given)
    manoeuvres = _standard_manoeuvres(ship, uncertain.at_speed_kn)
    trials = trials_of(ship, manoeuvres)
    ships = responses_from(np.array(uncertain.theta)[:, None])
    values = computed(trials, ships)[:, 0]
    if not np.isfinite(values).all():
        raise OutOfDomain(
            "no ship comes near the numbers given: the nearest response does not make the standard "
            "manoeuvres; look up the numbers, units, rudder angles and speeds"
        )
    return (
        *given,
        *(
            check
            for one, value in zip(trials.numbers, values.tolist(), strict=True)
            for check in _check(one, value, length_m, "computed")
        ),
    )


def _standard_manoeuvres(ship: TrialShip, speed_kn: float) -> TrialSet:
    """Return the manoeuvres of the standard; the numbers in them stand for nothing."""
    none = math.nan
    return TrialSet(
        loading="",
        draught_fore_m=none,
        draught_aft_m=none,
        circles=(
            CircleTrial(
                side="starboard",
                rudder_deg=ship.max_rudder_deg,
                speed_kn=speed_kn,
                advance_m=none,
                tactical_diameter_m=none,
            ),
        ),
        zig_zags=tuple(
            ZigZagTrial(
                side="starboard",
                rudder_deg=angle_deg,
                heading_change_deg=angle_deg,
                speed_kn=speed_kn,
                first_overshoot_deg=none,
                second_overshoot_deg=none,
            )
            for angle_deg in (_SMALL_DEG, _LARGE_DEG)
        ),
        initial_turnings=(
            InitialTurning(
                side="starboard",
                rudder_deg=_SMALL_DEG,
                heading_change_deg=_SMALL_DEG,
                speed_kn=speed_kn,
                distance_m=none,
            ),
        ),
    )


def _check(one: Number, value: float, length_m: float, by: str) -> Iterator[StandardCheck]:
    """Yield the check of a number, if the standard has a limit for it."""
    limit = _limit(one, length_m)
    if limit is None:
        return
    criterion, most, unit = limit
    measured = value / length_m if unit == "lengths" else value
    yield StandardCheck(
        criterion=criterion,
        by="given" if by == "given" else "computed",
        measured=measured,
        limit=most,
        unit=unit,
        met=measured <= most,
        words=f"{one.trial} to {one.side}: {measured:.2f} {unit}, at most {most:.4g}",
    )


def _limit(one: Number, length_m: float) -> tuple[str, float, str] | None:
    """Return criterion, limit and unit of a number, None where the standard has none."""
    if one.rudder_deg >= _HARD_OVER_DEG:
        hard_over = {
            "advance": ("5.3.1 advance", _ADVANCE_LENGTHS, "lengths"),
            "tactical_diameter": ("5.3.1 tactical diameter", _DIAMETER_LENGTHS, "lengths"),
        }
        return hard_over.get(one.quantity)
    speed_m_per_s = m_per_s_from_kn(one.speed_kn)
    first_deg = first_overshoot_limit_deg(length_m, speed_m_per_s)
    second_deg = second_overshoot_limit_deg(length_m, speed_m_per_s)
    small = {
        "initial_turning_distance": ("5.3.2 initial turning", _INITIAL_LENGTHS, "lengths"),
        "first_overshoot": ("5.3.3 first overshoot 10/10", first_deg, "deg"),
        "second_overshoot": ("5.3.3 second overshoot 10/10", second_deg, "deg"),
    }
    large = {"first_overshoot": ("5.3.3 first overshoot 20/20", _LARGE_OVERSHOOT_DEG, "deg")}
    if one.rudder_deg != one.heading_change_deg:
        return None
    by_angle = {_SMALL_DEG: small, _LARGE_DEG: large}
    return by_angle.get(one.rudder_deg, {}).get(one.quantity)


def _stops(trial_set: TrialSet, length_m: float) -> Iterator[StandardCheck]:
    """Yield the checks of full-astern stops."""
    for stop in trial_set.stoppings:
        if "full astern" not in stop.order.lower():
            continue
        measured = stop.track_reach_m / length_m
        yield StandardCheck(
            criterion="5.3.4 stopping",
            by="given",
            measured=measured,
            limit=_STOP_LENGTHS,
            unit="lengths",
            met=measured <= _STOP_LENGTHS,
            words=f"track reach {measured:.1f} lengths, at most {_STOP_LENGTHS:g}, of large ships "
            f"{_LONGEST_STOP_LENGTHS:g} where the flag allows it",
        )
