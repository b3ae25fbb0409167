"""Latitudes and longitudes as people and systems write them.

Read are degrees, degrees and minutes, and degrees, minutes and seconds, with a hemisphere letter
in front or behind, or with a sign. What could be read in two ways is refused, never guessed.
"""

import re
from dataclasses import dataclass
from typing import Literal

Axis = Literal["latitude", "longitude"]

_HEMISPHERES: dict[Axis, dict[str, float]] = {
    "latitude": {"N": 1.0, "S": -1.0},
    "longitude": {"E": 1.0, "W": -1.0},
}
_MOST_DEG: dict[Axis, float] = {"latitude": 90.0, "longitude": 180.0}

_NUMBER = r"\d{1,3}(?:\.\d{1,17})?"
_WHOLE = r"\d{1,3}"
_SIXTIETHS = r"\d{1,2}(?:\.\d{1,17})?"
_GAP = r"(?:\s*[°º]\s*|-|\s+)"
_FORMS = (
    re.compile(rf"(?P<deg>{_NUMBER})\s*[°º]?", re.ASCII),
    re.compile(rf"(?P<deg>{_WHOLE}){_GAP}(?P<min>{_SIXTIETHS})\s*['′’]?", re.ASCII),
    re.compile(
        rf"(?P<deg>{_WHOLE})\s*[°º]\s*(?P<min>\d{{1,2}})\s*['′’]\s*"
        rf"(?P<sec>{_SIXTIETHS})\s*(?:[\"″”]|''|′′)?",
        re.ASCII,
    ),
    re.compile(
        rf"(?P<deg>{_WHOLE})\s+(?P<min>\d{{2}})\s+(?P<sec>\d{{2}}(?:\.\d{{1,17}})?)", re.ASCII
    ),
    # With hyphens only a decimal point tells seconds from thousandths of a minute.
    re.compile(rf"(?P<deg>{_WHOLE})-(?P<min>\d{{2}})-(?P<sec>\d{{2}}\.\d{{1,17}})", re.ASCII),
)
_TWO_READINGS = re.compile(rf"{_WHOLE}-\d{{1,3}}-\d{{1,3}}", re.ASCII)
_DECIMAL_COMMA = re.compile(r"\d,\d", re.ASCII)
_LETTER = re.compile(r"[A-Za-z]")
_DIGIT = re.compile(r"[0-9]")


class NotUnderstood(Exception):
    """A spelling that is not read, with the reason. ``in_question``: only the sign is missing."""

    def __init__(self, reason: str, *, in_question: bool = False) -> None:
        super().__init__(reason)
        self.in_question = in_question


@dataclass(frozen=True, slots=True, kw_only=True)
class Spelling:
    """One coordinate taken apart: sign or letter, and the degrees without it."""

    size_deg: float
    sign: float | None
    decimal: bool


def has_letter(text: str) -> bool:
    """Return whether a coordinate carries a hemisphere letter.

    Examples
    --------
    >>> has_letter("51 23.4 N"), has_letter("not known")
    (True, False)
    """
    return _DIGIT.search(text) is not None and _LETTER.search(text) is not None


def coordinate_deg(text: str, axis: Axis, *, plain_is_signed: bool = False) -> float:
    """Return a latitude or longitude in degrees, north and east positive.

    Parameters
    ----------
    text : str
        The spelling.
    axis : {"latitude", "longitude"}
        Which of the two it is.
    plain_is_signed : bool
        Take plain decimal degrees without sign or letter as north or east. Only where a standard
        or a header has fixed that.

    Raises
    ------
    NotUnderstood
        With the reason, in a navigator's words.

    Examples
    --------
    >>> coordinate_deg("51 23.400 N", "latitude")
    51.39
    >>> coordinate_deg("+51.39", "latitude")
    51.39
    """
    spelling = _take_apart(text, axis)
    if spelling.sign is not None:
        return spelling.sign * spelling.size_deg + 0.0  # no negative zero
    if plain_is_signed and spelling.decimal:
        return spelling.size_deg
    letters = " or ".join(_HEMISPHERES[axis])
    raise NotUnderstood(f"{axis}: no hemisphere ({letters}) and no sign", in_question=True)


def _take_apart(text: str, axis: Axis) -> Spelling:
    """Return sign and size of a coordinate."""
    rest = text.strip()
    if not rest:
        raise NotUnderstood(f"{axis} is empty")
    rest, signs = _strip_signs(rest, axis)
    if len(signs) > 1:
        raise NotUnderstood(f"{axis}: sign and hemisphere given twice")
    match = next((m for form in _FORMS if (m := form.fullmatch(rest))), None)
    if match is None and _TWO_READINGS.fullmatch(rest):
        raise NotUnderstood(f"{axis}: {rest} may be seconds or thousandths of a minute")
    if match is None and _DECIMAL_COMMA.search(rest):
        raise NotUnderstood(f"{axis}: {rest} has a decimal comma; write a point")
    if match is None:
        raise NotUnderstood(f"{axis} is not a spelling that is read here")
    parts = match.groupdict()
    size_deg = float(parts["deg"]) + _sixtieths(parts.get("min"), "minutes", axis) / 60.0
    size_deg += _sixtieths(parts.get("sec"), "seconds", axis) / 3600.0
    if size_deg > _MOST_DEG[axis]:
        raise NotUnderstood(f"{axis} {size_deg:g} is over {_MOST_DEG[axis]:.0f} degrees")
    return Spelling(
        size_deg=size_deg, sign=signs[0] if signs else None, decimal=parts.get("min") is None
    )


def _strip_signs(text: str, axis: Axis) -> tuple[str, list[float]]:
    """Return the text without sign and hemisphere letters, and what they said."""
    signs = []
    if text[0] in "+-−":
        signs.append(1.0 if text[0] == "+" else -1.0)
        text = text[1:].strip()
    for place in (0, -1):
        if text and _LETTER.fullmatch(text[place]):
            letter = text[place].upper()
            if letter not in _HEMISPHERES[axis]:
                letters = " or ".join(_HEMISPHERES[axis])
                raise NotUnderstood(f"{axis}: {letter} is not {letters}")
            signs.append(_HEMISPHERES[axis][letter])
            text = (text[1:] if place == 0 else text[:-1]).strip()
    return text, signs


def _sixtieths(text: str | None, what: str, axis: Axis) -> float:
    """Return minutes or seconds, which must be under 60."""
    if text is None:
        return 0.0
    value = float(text)
    if value >= 60.0:
        raise NotUnderstood(f"{axis}: {what} {text}, must be under 60")
    return value


def shown(lat_deg: float, lon_deg: float) -> str:
    """Return a position as it is shown: degrees, minutes and thousandths.

    Examples
    --------
    >>> shown(51.39093333, 1.2)
    '51-23.456N 001-12.000E'
    >>> shown(-0.9999999, -179.9999999)
    '01-00.000S 180-00.000W'
    """
    north = _degrees_minutes(abs(lat_deg), 2) + ("S" if lat_deg < 0 else "N")
    return f"{north} {_degrees_minutes(abs(lon_deg), 3)}{'W' if lon_deg < 0 else 'E'}"


def _degrees_minutes(size_deg: float, width: int) -> str:
    """Return degrees and minutes, rounded to a thousandth before they are parted."""
    thousandths = round(size_deg * 60_000)
    degrees, rest = divmod(thousandths, 60_000)
    return f"{degrees:0{width}d}-{rest // 1000:02d}.{rest % 1000:03d}"
