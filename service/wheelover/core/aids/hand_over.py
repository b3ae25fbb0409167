"""Which index objects are used in turn, so that the whole of a leg is served."""

from collections.abc import Sequence
from dataclasses import dataclass

from wheelover.core.types.aid_lines import NotServed

_LEAST_M = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Serves:
    """An object by its number, how good it is (0 the best), and from where to where it serves."""

    number: int
    rank: int
    from_m: float
    to_m: float
    range_m: float


def in_turn(
    objects: Sequence[Serves], from_m: float, to_m: float
) -> tuple[list[Serves], list[NotServed]]:
    """Return the objects to use in sailing order, and the stretches that none serves.

    The best rank serves what it can; what is left is given to the next. Of one rank as few as
    possible are taken: always the one that serves farthest on, of equals the nearer.

    Parameters
    ----------
    objects : sequence of Serves
        What there is.
    from_m, to_m : float
        The stretch to serve, metres along the leg.
    """
    taken: list[Serves] = []
    gaps = [NotServed(from_m=from_m, to_m=to_m)] if to_m - from_m > _LEAST_M else []
    for rank in sorted({one.rank for one in objects}):
        of_rank = [one for one in objects if one.rank == rank]
        left: list[NotServed] = []
        for gap in gaps:
            found, rest = _fill(of_rank, gap)
            taken += [one for one in found if one not in taken]
            left += rest
        gaps = left
    # Where two begin together the one that ends first is used first.
    return sorted(taken, key=lambda one: (one.from_m + one.to_m, one.number)), gaps


def _fill(objects: Sequence[Serves], gap: NotServed) -> tuple[list[Serves], list[NotServed]]:
    """Return the objects that serve a gap, and what is left of it."""
    found: list[Serves] = []
    left: list[NotServed] = []
    here_m = gap.from_m
    while gap.to_m - here_m > _LEAST_M:
        on = [one for one in objects if one.from_m <= here_m + _LEAST_M and one.to_m > here_m]
        on = [one for one in on if one.to_m - here_m > _LEAST_M]
        if on:
            best = min(on, key=lambda one: (-min(one.to_m, gap.to_m), one.range_m, one.number))
            found.append(best)
            here_m = best.to_m
            continue
        later = [one.from_m for one in objects if here_m < one.from_m < gap.to_m]
        next_m = min(later, default=gap.to_m)
        left.append(NotServed(from_m=here_m, to_m=next_m))
        here_m = next_m
    return found, left
