"""Positions inside running text: where each stands, and what it is in degrees.

Read are the spellings that navigational warnings and messages use: degrees and minutes with
hyphens, signs or spaces, without any separator (DDMM.m and DDDMM.m), with seconds, and decimal
degrees; each with its hemisphere letters. What could be read in two ways, or lacks its other half,
is told with the reason and never guessed.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from wheelover.formats.positions import Axis, NotUnderstood, coordinate_deg, shown

_SIGNS = r"°º'′’\"″”"
_BODY = rf"\d{{1,7}}(?:[ \t]{{0,2}}[-.,{_SIGNS} \t][ \t]?\d{{1,4}}){{0,3}}[ \t]?[{_SIGNS}]{{0,2}}"

_LATITUDE = (
    rf"(?:(?<![A-Za-z0-9.,-]){_BODY}[ \t-]?[NSns](?![A-Za-z])|"
    rf"(?<![A-Za-z0-9.,])[NSns][ \t-]?{_BODY})"
)
# A longitude may follow its latitude without a gap: 5123.4N00112.3E.
_LAST_AFTER = _BODY + "[ \\t-]?[EWew](?![A-Za-z])"
_FIRST_AFTER = "[EWew][ \\t-]?" + _BODY
_LONGITUDE_AFTER = f"(?:{_LAST_AFTER}|{_FIRST_AFTER})"
_BETWEEN = r"[\s,;/–-]{0,8}"
_PAIR = re.compile(rf"(?P<lat>{_LATITUDE})(?:{_BETWEEN})(?P<lon>{_LONGITUDE_AFTER})", re.ASCII)
_HALF = re.compile(
    rf"(?P<lat>{_LATITUDE})|(?P<lon>(?<![A-Za-z0-9.,-]){_LAST_AFTER}|"
    rf"(?<![A-Za-z0-9.,]){_FIRST_AFTER})",
    re.ASCII,
)
_BARE = re.compile(
    r"(?<![A-Za-z0-9.,/-])\d{2}-\d{2}\.\d{1,4}[ \t,/]{1,3}\d{3}-\d{2}\.\d{1,4}(?![A-Za-z0-9])",
    re.ASCII,
)
_PACKED: dict[Axis, tuple[re.Pattern[str], re.Pattern[str]]] = {
    "latitude": (
        re.compile(r"(\d{2})(\d{2}(?:\.\d{1,4})?)", re.ASCII),
        re.compile(r"(\d{2})(\d{2})(\d{2}(?:\.\d{1,4})?)", re.ASCII),
    ),
    "longitude": (
        re.compile(r"(\d{3})(\d{2}(?:\.\d{1,4})?)", re.ASCII),
        re.compile(r"(\d{3})(\d{2})(\d{2}(?:\.\d{1,4})?)", re.ASCII),
    ),
}
_SECONDS_OR_THOUSANDTHS = re.compile(r"(\d{1,3})-(\d{1,2})-(\d{1,3})", re.ASCII)
_COMMA = re.compile(r"(\d),(\d)", re.ASCII)
MOST_POSITIONS = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a position in a text may mean: degrees north and east positive, and as it is shown."""

    lat_deg: float
    lon_deg: float
    words: str

    @property
    def shown(self) -> str:
        """Return it as positions are shown."""
        return shown(self.lat_deg, self.lon_deg)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPosition:
    """A position in a text, from character ``start`` up to ``end``.

    With one reading it is understood. With several it is in question and ``problem`` says why; with
    none it was seen and not understood.
    """

    start: int
    end: int
    raw: str
    readings: tuple[Reading, ...]
    problem: str | None = None


def find_positions(text: str) -> tuple[FoundPosition, ...]:
    """Return every position of a text in the order they stand.

    Examples
    --------
    >>> [one.readings[0].shown for one in find_positions("WRECKS 51-23.4N 001-12.3E 5124N 00113E")]
    ['51-23.400N 001-12.300E', '51-24.000N 001-13.000E']
    >>> find_positions("BUOY IN 51-23.4N UNLIT")[0].problem
    'a latitude without its longitude'
    """
    found = [_pair(match) for match in _PAIR.finditer(text)]
    taken = [(one.start, one.end) for one in found]
    for match in _HALF.finditer(text):
        if _free(match, taken):
            which = ("latitude", "longitude") if match["lat"] else ("longitude", "latitude")
            found.append(_not_read(match, f"a {which[0]} without its {which[1]}"))
    bare = "looks like a position without hemisphere letters"
    found += [_not_read(one, bare) for one in _BARE.finditer(text) if _free(one, taken)]
    found.sort(key=lambda one: one.start)
    return tuple(found[:MOST_POSITIONS])


def _free(match: re.Match[str], taken: list[tuple[int, int]]) -> bool:
    """Return whether a match lies in no position that was found."""
    return all(match.end() <= start or match.start() >= end for start, end in taken)


def _not_read(match: re.Match[str], why: str) -> FoundPosition:
    """Return something that was seen and not understood."""
    return FoundPosition(
        start=match.start(), end=match.end(), raw=match[0], readings=(), problem=why
    )


def _pair(match: re.Match[str]) -> FoundPosition:
    """Return a position of which both halves stand in the text."""
    try:
        lats = list(_ways(match["lat"], "latitude"))
        lons = list(_ways(match["lon"], "longitude"))
    except NotUnderstood as reason:
        return _not_read(match, str(reason))
    # Both halves are written the same way: where either may be read in two, they go together.
    if len(lats) == len(lons):
        both = list(zip(lats, lons, strict=True))
    else:
        both = [(lat, lon) for lat in lats for lon in lons]
    readings = tuple(
        Reading(lat_deg=lat, lon_deg=lon, words=words or other)
        for (lat, words), (lon, other) in both
    )
    doubt = " or ".join(dict.fromkeys(one.words for one in readings))
    return FoundPosition(
        start=match.start(),
        end=match.end(),
        raw=match[0],
        readings=readings,
        problem=f"may be {doubt}" if len(readings) > 1 else None,
    )


def _ways(text: str, axis: Axis) -> Iterator[tuple[float, str]]:
    """Yield what a coordinate may be in degrees, with words where there is more than one way.

    Raises
    ------
    NotUnderstood
        For one that is not read at all.
    """
    body, sign = _without_letter(text)
    packed = _unpacked(body, axis)
    if packed is not None:
        yield sign * _checked(*packed, axis), ""
        return
    if _COMMA.search(body):
        body = _COMMA.sub(r"\1.\2", body)
    doubtful = _SECONDS_OR_THOUSANDTHS.fullmatch(body)
    if doubtful:
        yield from _both_ways(doubtful, sign, axis)
        return
    yield sign * coordinate_deg(f"+{body}", axis), ""


def _without_letter(text: str) -> tuple[str, float]:
    """Return a coordinate without its letter, and the sign that the letter stands for."""
    letter = next(one for one in text.upper() if one in "NSEW")
    body = text.upper().replace(letter, "").strip(" \t-")
    return re.sub(r"\s*-\s*", "-", body), 1.0 if letter in "NE" else -1.0


def _unpacked(body: str, axis: Axis) -> tuple[float, float, float] | None:
    """Return degrees, minutes and seconds of a coordinate without separators; None if it has."""
    for form in _PACKED[axis]:
        match = form.fullmatch(body)
        if match:
            parts = [float(one) for one in match.groups()]
            return parts[0], parts[1], parts[2] if len(parts) > 2 else 0.0
    return None


def _checked(degrees: float, minutes: float, seconds: float, axis: Axis) -> float:
    """Return degrees of parts, refusing what no coordinate has."""
    text = (
        f"+{degrees:03.0f} {minutes:010.7f}"
        if seconds == 0.0
        else (f"+{degrees:03.0f}° {minutes:02.0f}' {seconds:010.7f}\"")
    )
    return coordinate_deg(text, axis)


def _both_ways(match: re.Match[str], sign: float, axis: Axis) -> Iterator[tuple[float, str]]:
    """Yield a coordinate whose last part may be seconds or a fraction of a minute."""
    degrees, minutes, last = match.groups()
    if len(last) <= 2 and int(last) < 60:
        yield sign * _checked(float(degrees), float(minutes), float(last), axis), "seconds"
    fraction = _checked(float(degrees), float(f"{minutes}.{last}"), 0.0, axis)
    yield sign * fraction, "a fraction of a minute"
