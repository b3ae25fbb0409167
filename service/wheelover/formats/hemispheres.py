"""A row whose position lacks its hemisphere, written anew with each that it may mean.

Nobody guesses which: the navigator chooses, and the row is read again as it was written.
"""

from collections.abc import Iterator
from itertools import product

from wheelover.formats.positions import Axis, NotUnderstood, coordinate_deg, has_letter

_LETTERS: dict[Axis, tuple[tuple[str, str], tuple[str, str]]] = {
    "latitude": (("N", "+"), ("S", "-")),
    "longitude": (("E", "+"), ("W", "-")),
}


def with_hemispheres(
    raw: str, latitude: str, longitude: str, *, by_sign: bool
) -> tuple[tuple[str, str], ...]:
    """Return the row with every hemisphere it may mean: what is chosen, and the text then.

    Parameters
    ----------
    raw : str
        The row as it stands in the file.
    latitude, longitude : str
        The two cells of it that make the position.
    by_sign : bool
        Write a sign and not a letter: where other rows are signed degrees, a letter in one would
        make them doubtful.

    Returns
    -------
    tuple of (str, str)
        Empty where a cell cannot be found in the row beyond doubt, or is not a coordinate.

    Examples
    --------
    >>> with_hemispheres("B,47 06.0,+30", "47 06.0", "+30", by_sign=False)
    (('N', 'B,47 06.0 N,+30'), ('S', 'B,47 06.0 S,+30'))
    """
    if raw.count(latitude) != 1 or raw.count(longitude) != 1:
        return ()
    try:
        ways = (
            list(_ways(latitude, "latitude", by_sign)),
            list(_ways(longitude, "longitude", by_sign)),
        )
    except NotUnderstood:
        return ()
    return tuple(
        (
            f"{one[0]} {other[0]}".strip(),
            raw.replace(latitude, one[1]).replace(longitude, other[1]),
        )
        for one, other in product(*ways)
    )


def _ways(text: str, axis: Axis, by_sign: bool) -> Iterator[tuple[str, str]]:
    """Yield the letters a cell may need with the cell then; one without a letter if it has its own.

    Raises
    ------
    NotUnderstood
        For a cell that is no coordinate even then.
    """
    if has_letter(text) or text.startswith(("+", "-")):
        coordinate_deg(text, axis)
        yield "", text
        return
    for letter, sign in _LETTERS[axis]:
        changed = f"{sign}{text}" if by_sign else f"{text} {letter}"
        coordinate_deg(changed, axis)
        yield letter, changed
