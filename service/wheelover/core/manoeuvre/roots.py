"""Where a continuous function of one number comes to nothing, for compiled loops.

Compiled functions that are kept on disk take no functions as arguments, so whoever seeks looks for
itself: ``open_bracket``, then as long as the bracket is open a look at ``bracket[LOOK]`` of which
``note_look`` is told the value, and the root is in ``bracket[ROOT]``.
"""

import math

from wheelover.core.arrays import Table
from wheelover.core.compiled import inlined

LOOK, ROOT, _LOOKS, _FIRST, _FIRST_VALUE, _SECOND, _SECOND_VALUE, BRACKET_COUNT = range(8)
"""Places of a bracket. ROOT is nan while it is sought, and when there is none in the bracket."""

_MOST_LOOKS = 100
_SMALLEST = 2.0**-52


@inlined
def open_bracket(bracket: Table, first: tuple[float, float], second: tuple[float, float]) -> bool:
    """Begin between two places, each given with the value there; return whether to look.

    The first look is where the chord comes to nothing: what is sought here is close to straight.
    """
    bracket[_LOOKS] = 0.0
    bracket[_FIRST], bracket[_FIRST_VALUE] = first
    bracket[_SECOND], bracket[_SECOND_VALUE] = second
    bracket[ROOT] = math.nan
    if first[1] == 0.0:
        bracket[ROOT] = first[0]
        return False
    # Not so for undefined values either.
    crosses = first[1] < 0.0 <= second[1] or first[1] > 0.0 >= second[1]
    if crosses:
        bracket[LOOK] = first[0] + first[1] / (first[1] - second[1]) * (second[0] - first[0])
    return crosses


@inlined
def note_look(bracket: Table, value: float, near: tuple[float, float]) -> bool:
    """Narrow the bracket by the value at LOOK; return whether to look again.

    The bracket always shrinks. The next look is on the inverse parabola through three places where
    Chandrupatla's test says that it can be trusted, else in the middle [Chandrupatla1997]_. A root
    is found when the bracket is as narrow, or the value as near to nothing, as ``near`` says. An
    undefined value ends the search without a root.
    """
    bracket[_LOOKS] += 1.0
    if math.isnan(value) or bracket[_LOOKS] > _MOST_LOOKS:
        return False
    place, first, one = bracket[LOOK], bracket[_FIRST], bracket[_FIRST_VALUE]
    second, two = bracket[_SECOND], bracket[_SECOND_VALUE]
    if (value > 0.0) == (one > 0.0):
        third, three = first, one
    else:
        third, three = second, two
        second, two = first, one
    first, one = place, value
    bracket[_FIRST], bracket[_FIRST_VALUE] = first, one
    bracket[_SECOND], bracket[_SECOND_VALUE] = second, two
    best, least = (second, abs(two)) if abs(two) < abs(one) else (first, abs(one))
    width = abs(second - first)
    allowed = near[0] + 2.0 * _SMALLEST * abs(best)
    if width <= 2.0 * allowed or least <= near[1]:
        bracket[ROOT] = best
        return False
    share = _next_share((first, second, third), (one, two, three))
    share = min(max(share, allowed / width), 1.0 - allowed / width)
    bracket[LOOK] = first + share * (second - first)
    return True


@inlined
def _next_share(places: tuple[float, float, float], values: tuple[float, float, float]) -> float:
    """Return how far from the last place towards the other end of the bracket to look next."""
    first, second, third = places
    one, two, three = values
    if three in (one, two):
        return 0.5
    across = (first - second) / (third - second)
    up = (one - two) / (three - two)
    if not (up * up < across and (1.0 - up) * (1.0 - up) < 1.0 - across):
        return 0.5
    straight = one / (two - one) * three / (two - three)
    bent = (third - first) / (second - first) * one / (three - one) * two / (three - two)
    return straight + bent
