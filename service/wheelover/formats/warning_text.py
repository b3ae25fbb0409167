"""Navigational warnings as text: the messages in it, their numbers, times and positions.

The forms are those of the worldwide navigational warning service (S-53): a series or area with a
number and year, a day and time group in UTC, positions, and what the message cancels. Nothing read
here is a danger until somebody takes it.
"""

import re
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from wheelover.core.units import NM_M
from wheelover.formats.text_positions import FoundPosition, find_positions

Shape = Literal["points", "line", "area", "circle"]

_MONTHS = ["JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC"]
_NUMBER = re.compile(
    r"(?P<series>(?:NAVAREA|HYDRO(?:LANT|PAC|ARC)|COASTAL|LOCAL|SUBAREA|WZ|AVURNAV|NAVTEX)"
    r"[ \t]*(?:(?:WARNING|WARN|WNG)[ \t]*)?(?:(?:[IVX]{1,5}|[A-Z]{1,12})[ \t]+)?)?"
    r"(?:(?:NR|NO|WARNING)\.?[ \t]*)?(?P<number>\d{1,4}/\d{2}(?:\d{2})?)(?!\d)",
    re.ASCII,
)
_TIME = re.compile(
    rf"(?<!\d)(?P<day>\d{{2}})(?P<hour>\d{{2}})(?P<minute>\d{{2}})[ \t]*(?:UTC|GMT|Z)[ \t]*"
    rf"(?P<month>{'|'.join(_MONTHS)})[A-Z]*(?:[ \t]*(?P<year>\d{{4}}|\d{{2}}))?(?!\d)",
    re.ASCII,
)
_CANCEL = re.compile(r"\bCANCEL(?:S|LED|LING)?\b", re.ASCII)
_THIS = re.compile(r"\bTHIS[ \t]+(?:MSG|MESSAGE|WARNING|NAVWARN)\b", re.ASCII)
_END = re.compile(r"(?m)^[ \t]*(?:N{4}|={2,}|-{3,})[ \t]*$", re.ASCII)
_AREA = re.compile(r"\b(?:AREA|SECTOR|BOUNDED|ENCLOSED|LIMITS)\b", re.ASCII)
_LINE = re.compile(r"\b(?:LINE|TRACK|TRACKLINE|CABLE|PIPELINE|JOINING|BETWEEN|ALONG)\b", re.ASCII)
_CIRCLE = re.compile(
    r"(?:WITHIN|RADIUS(?:[ \t]+OF)?)[ \t]*(?:A[ \t]+)?(?P<size>\d{1,3}(?:\.\d{1,3})?)[ \t]*"
    r"(?P<unit>NM|NAUTICAL[ \t]+MILES?|MILES?|M(?:ETRES?|ETERS?)?\b|CABLES?)",
    re.ASCII,
)
MOST_TEXT = 100_000
_MOST_UNCERTAIN_M = 200_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidTime:
    """A day and time group: as it is written, and RFC 3339 where it names a year."""

    raw: str
    utc: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WarningMessage:
    """One message in a text, from character ``start`` up to ``end``.

    ``number`` is None where it has none; ``cancels`` are the numbers of others it ends, and
    ``cancel`` is when it ends itself. ``shape`` is what its words suggest, ``radius_m`` the radius
    they give; the reader decides.
    """

    start: int
    end: int
    number: str | None
    issued: SaidTime | None
    cancel: SaidTime | None
    cancels: tuple[str, ...]
    positions: tuple[FoundPosition, ...]
    shape: Shape
    radius_m: float | None


def read_warnings(text: str) -> tuple[WarningMessage, ...]:
    """Return the messages of a text in the order they stand.

    A new message begins where a number stands at the start of a line, or after an end mark. What
    stands before the first number is a message too, if it holds a position.

    Parameters
    ----------
    text : str
        As it was received; capitals or not.

    Examples
    --------
    >>> one, = read_warnings("NAVAREA I 123/26 WRECK IN 51-23.4N 001-12.3E. CANCEL NAVAREA I 9/26")
    >>> one.number, one.cancels, one.positions[0].raw
    ('NAVAREA I 123/26', ('NAVAREA I 9/26',), '51-23.4N 001-12.3E')
    """
    upper = _upper(text)
    positions = find_positions(text)
    messages = []
    for start, end in _parts(upper):
        inside = tuple(one for one in positions if start <= one.start < end)
        message = _message(upper, start, end, inside)
        if inside or message.number or message.cancels:
            messages.append(message)
    return tuple(messages)


def _upper(text: str) -> str:
    """Return a text in capitals of the same length, so that places in it stay."""
    return "".join(one.upper() if len(one.upper()) == 1 else one for one in text)


def _parts(upper: str) -> list[tuple[int, int]]:
    """Return from where to where each message goes."""
    starts = {0, len(upper)}
    starts.update(match.end() for match in _END.finditer(upper))
    for match in _NUMBER.finditer(upper):
        line_start = upper.rfind("\n", 0, match.start()) + 1
        if not upper[line_start : match.start()].strip() and not _cancelled(upper, match.start()):
            starts.add(_head(upper, line_start))
    edges = sorted(starts)
    return [(a, b) for a, b in pairwise(edges) if upper[a:b].strip()]


def _head(upper: str, line_start: int) -> int:
    """Return where the lines begin that stand above a number and belong to it: start mark, time."""
    while line_start > 0:
        above = upper.rfind("\n", 0, line_start - 1) + 1
        line = upper[above:line_start].strip()
        if not (line.startswith("ZCZC") or _TIME.fullmatch(line)):
            break
        line_start = above
    return line_start


def _cancelled(upper: str, place: int) -> bool:
    """Return whether a number at a place is one in a list of what is cancelled."""
    before = upper[max(0, place - 80) : place]
    last = list(_CANCEL.finditer(before))
    if not last:
        return False
    rest = _NUMBER.sub("", before[last[-1].end() :])
    return re.sub(r"[\s,;&.]|\bAND\b|\bNAVAREA\b", "", rest) == ""


def _message(
    upper: str, start: int, end: int, positions: tuple[FoundPosition, ...]
) -> WarningMessage:
    """Return what one message says of itself."""
    numbers = list(_NUMBER.finditer(upper, start, end))
    own = next((one for one in numbers if not _cancelled(upper, one.start())), None)
    others = [one for one in numbers if _cancelled(upper, one.start())]
    issued, cancel = _times(upper, start, end)
    circle = _CIRCLE.search(upper, start, end)
    return WarningMessage(
        start=start,
        end=end,
        number=None if own is None else _number(own),
        issued=issued,
        cancel=cancel,
        cancels=tuple(_number(one) for one in others),
        positions=positions,
        shape=_shape(upper[start:end], len(positions), circle is not None),
        radius_m=None if circle is None else _metres(circle),
    )


def _number(match: re.Match[str]) -> str:
    """Return the number of a warning with its series, spaces made single."""
    series = " ".join((match["series"] or "").split())
    return f"{series} {match['number']}".strip()


def _times(upper: str, start: int, end: int) -> tuple[SaidTime | None, SaidTime | None]:
    """Return when a message was issued and when it says that it ends itself."""
    issued = cancel = None
    for match in _TIME.finditer(upper, start, end):
        said = SaidTime(raw=match[0], utc=_utc(match))
        before = upper[max(start, match.start() - 60) : match.start()]
        if _CANCEL.search(before) and _THIS.search(before):
            cancel = cancel or said
        elif issued is None:
            issued = said
    return issued, cancel


def _utc(match: re.Match[str]) -> str | None:
    """Return a time in RFC 3339; None where it names no year, or there is no such time."""
    if match["year"] is None:
        return None
    year = int(match["year"]) + (2000 if len(match["year"]) == 2 else 0)
    month = _MONTHS.index(match["month"]) + 1
    day, hour, minute = (int(match[part]) for part in ("day", "hour", "minute"))
    if not 1 <= day <= _days(year, month) or hour > 23 or minute > 59:
        return None
    return f"{year:04d}-{month:02d}-{day:02d}T{hour:02d}:{minute:02d}:00Z"


def _days(year: int, month: int) -> int:
    """Return how many days a month has."""
    leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return [31, 29 if leap else 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1]


def _shape(upper: str, count: int, circle: bool) -> Shape:
    """Return the shape that the words of a message suggest."""
    if circle and count == 1:
        return "circle"
    if count >= 3 and _AREA.search(upper):
        return "area"
    return "line" if count >= 2 and _LINE.search(upper) else "points"


def _metres(match: re.Match[str]) -> float:
    """Return the radius that a message gives, in metres."""
    unit = match["unit"]
    if unit.startswith("CABLE"):
        size_m = NM_M / 10.0
    else:
        size_m = 1.0 if unit == "M" or unit.startswith("ME") else NM_M
    return min(float(match["size"]) * size_m, _MOST_UNCERTAIN_M)
