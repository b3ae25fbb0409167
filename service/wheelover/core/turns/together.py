"""Many turns solved in one go, although some of them may have no answer."""

from collections.abc import Callable, Sequence
from typing import TypeVar

from wheelover.core.errors import OutOfDomain

Row = TypeVar("Row")
Answer = TypeVar("Answer")


def each_or_reason(
    solve: Callable[[Sequence[Row]], Sequence[Answer]], rows: Sequence[Row]
) -> list[Answer | OutOfDomain]:
    """Return the answer for each row, or the reason why it has none.

    Parameters
    ----------
    solve : callable
        Answers many rows at once, each for itself, and raises when one of them has no answer.
    rows : sequence
        The rows.

    Notes
    -----
    Where the rows together have no answer, each half is tried, so that one row beside a pole costs
    the others nothing but time.
    """
    if not rows:
        return []
    try:
        return list(solve(rows))
    except OutOfDomain as error:
        if len(rows) == 1:
            return [error]
    middle = len(rows) // 2
    return [*each_or_reason(solve, rows[:middle]), *each_or_reason(solve, rows[middle:])]
