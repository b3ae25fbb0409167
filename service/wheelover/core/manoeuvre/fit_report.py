"""What was given beside what the response gives, in figures and in words."""

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.fit import compared, responses_from
from wheelover.core.manoeuvre.fit_numbers import Number, Trials
from wheelover.core.manoeuvre.fit_own_turns import OwnTurns, largest_miss
from wheelover.core.types.fitted import AnyUnit, Comparison, Percent, Statement, Uncertain

_NAMES = {
    "advance": "advance",
    "transfer": "transfer",
    "tactical_diameter": "tactical diameter",
    "final_diameter": "final diameter",
    "first_overshoot": "first overshoot",
    "second_overshoot": "second overshoot",
    "initial_turning_distance": "distance of the initial turning",
    "course_change_distance": "distance to the new course",
}
_SAME_PERCENT, _SAME_DEG = 0.5, 0.1
_FAR_SCATTERS = 3.0
_SIDES_DIFFER_PERCENT = 2.0
_SIDED = ("advance", "transfer", "tactical_diameter", "final_diameter")


def comparisons_of(trials: Trials, own: OwnTurns, uncertain: Uncertain) -> tuple[Comparison, ...]:
    """Return every number given beside that of the response, in the order given.

    Raises
    ------
    OutOfDomain
        When the response does not come to the end of a trial.
    """
    found = compared(trials, uncertain)
    missed = [
        f"{one.trial} to {one.side}"
        for one, value in zip(trials.numbers, found, strict=True)
        if not np.isfinite(value)
    ]
    if missed:
        raise OutOfDomain(
            "no ship comes near the numbers given: with the nearest response she never ends "
            f"{missed[0]}; look up its numbers, units, rudder angle and speed"
        )
    numbers = tuple(
        _comparison(one, float(value)) for one, value in zip(trials.numbers, found, strict=True)
    )
    return (*numbers, *_of_own_turns(own, uncertain))


def _comparison(one: Number, value: AnyUnit) -> Comparison:
    """Return one number beside that of the response."""
    is_angle = one.unit == "deg"
    off = value - one.value
    percent = None if is_angle or one.value == 0.0 else 100.0 * off / one.value
    return Comparison(
        trial=one.trial,
        quantity=one.quantity,
        side=one.side,
        rudder_deg=one.rudder_deg,
        heading_change_deg=one.heading_change_deg or None,
        unit=one.unit,
        given=one.value,
        computed=value,
        difference_percent=percent,
        words=_words(one, off, percent),
    )


def _words(one: Number, off: AnyUnit, percent: Percent | None) -> str:
    """Return a comparison in words."""
    name = _NAMES.get(one.quantity, f"{one.quantity} at {one.heading_change_deg:g} degrees")
    what = f"{name} to {one.side}"
    more, less = ("high", "low") if one.quantity == "speed" else ("long", "short")
    if percent is None:
        more, less = "more", "less"
        if abs(off) < _SAME_DEG:
            return f"{what} as given"
        return f"{what} {abs(off):.1f} degrees {more if off > 0.0 else less}"
    if abs(percent) < _SAME_PERCENT:
        return f"{what} as given"
    return f"{what} {abs(percent):.0f} % {more if percent > 0.0 else less}"


def _of_own_turns(own: OwnTurns, uncertain: Uncertain) -> tuple[Comparison, ...]:
    """Return the largest misses of every recorded turn; none is the number given."""
    ships = responses_from(np.array(uncertain.theta)[:, None])
    rows: list[Comparison] = []
    for turn in own.turns:
        heading, place = largest_miss(own, turn, ships)
        rows.append(_miss(turn.name, "largest_miss_of_heading", "deg", heading))
        if np.isfinite(place).all():
            rows.append(_miss(turn.name, "largest_miss_of_place", "m", place * own.length_m))
    return tuple(rows)


def _miss(name: str, quantity: str, unit: str, values: Floats) -> Comparison:
    """Return the largest miss in a recorded turn."""
    value = float(values[0])
    sort = "heading" if unit == "deg" else "place"
    named = "degrees" if unit == "deg" else "m"
    return Comparison(
        trial=f"recorded turn {name}",
        quantity=quantity,
        side=None,
        rudder_deg=None,
        heading_change_deg=None,
        unit="deg" if unit == "deg" else "m",
        given=0.0,
        computed=value,
        difference_percent=None,
        words=f"{sort} at most {value:.1f} {named} off the record",
    )


def contradictions(trials: Trials, comparisons: tuple[Comparison, ...]) -> tuple[Statement, ...]:
    """Return a statement where numbers are so far off that the papers do not hang together."""
    far = [
        f"{row.words} ({row.trial})"
        for one, row in zip(trials.numbers, comparisons, strict=False)
        if abs(row.computed - one.value) > _FAR_SCATTERS * one.scatter
    ]
    if not far:
        return ()
    return (
        Statement(
            code="numbers_contradict",
            message="no response comes near all the numbers given; look them up again, with their "
            f"units, rudder angles and speeds: {'; '.join(far)}",
        ),
    )


def side_statement(comparisons: tuple[Comparison, ...]) -> tuple[Statement, ...]:
    """Return how the circles to the two sides differ, where both were given.

    One response stands for both sides; what it is off to either is the difference between them.
    """
    off = {
        side: [
            row.difference_percent
            for row in comparisons
            if row.side == side and row.quantity in _SIDED and row.difference_percent is not None
        ]
        for side in ("port", "starboard")
    }
    if not (off["port"] and off["starboard"]):
        return ()
    port, starboard = (float(np.mean(off[side])) for side in ("port", "starboard"))
    gap = starboard - port
    if abs(gap) < _SIDES_DIFFER_PERCENT:
        message = "circles to port and starboard are alike within 2 %"
    else:
        wider = "port" if gap > 0.0 else "starboard"
        message = f"her circles to {wider} are {abs(gap):.0f} % wider than to the other side"
    return (
        Statement(
            code="sides",
            message=f"{message}; one response stands for both: it is {_signed(port)} to port and "
            f"{_signed(starboard)} to starboard on average",
        ),
    )


def _signed(percent: Percent) -> str:
    """Return a percentage in words."""
    if abs(percent) < _SAME_PERCENT:
        return "as given"
    return f"{abs(percent):.0f} % {'long' if percent > 0.0 else 'short'}"
