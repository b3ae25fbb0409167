"""The letters of the paper: fonts that are embedded, widths, and what the fonts have no sign for.

Two fonts are those that come with the library that writes PDF; they are put into the file, so
that it looks the same on every printer. They have no prime, double prime or arrow: ' and " and
words stand for them. A third, read where it is needed, has the letters of more alphabets: Greek,
Cyrillic, more of Latin. A sign that none has is written as its number, {4E2D}, never left out, and
the cover says so.
"""

import unicodedata
from collections.abc import Iterable, Iterator
from functools import lru_cache
from importlib import resources, util
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN, BOLD, MORE = "Vera", "VeraBd", "Noto Sans"

_MORE_FROM = "fontpkg_noto_sans"
"""The package that brings the third font; without it its letters are written as numbers."""

_LETTERS = "LMNPS"
"""What the third font is asked for: letters, accents, digits, signs; nothing that steers a text."""

BODY_PT = 9.0
"""Nothing on the paper is smaller."""

LEADING = 1.22
"""From line to line, in sizes of the letters."""

_NARROW = {"\u2032": "'", "\u2033": '"', "\u2009": " ", "\u00a0": " ", "\u2192": ">", "\t": " "}


@lru_cache(maxsize=1)
def fonts() -> frozenset[str]:
    """Make the fonts known to the library, once, and return the signs that both have."""
    found = []
    for name in (PLAIN, BOLD):
        font = TTFont(name, f"{name}.ttf")
        pdfmetrics.registerFont(font)
        found.append({chr(code) for code in font.face.charToGlyph if code >= 32})
    return frozenset(found[0] & found[1])


@lru_cache(maxsize=1)
def more() -> frozenset[str]:
    """Make the third font known to the library, once, and return the signs that it has beside.

    It has one weight; where a text is bold its letters are drawn with a stroke about them.
    """
    if util.find_spec(_MORE_FROM) is None:
        return frozenset()
    held = resources.files(_MORE_FROM) / "files"
    (upright,) = (one for one in held.iterdir() if one.name.startswith("NotoSans["))
    font = TTFont(MORE, str(upright))
    pdfmetrics.registerFont(font)
    signs = (chr(code) for code in font.face.charToGlyph if code >= 32)
    return frozenset(one for one in signs if unicodedata.category(one)[0] in _LETTERS)


def has(sign: str) -> bool:
    """Return whether a font has a sign; the third is read only for one that the others lack."""
    return sign in fonts() or sign in more()


def runs(text: str) -> Iterator[tuple[str, bool]]:
    """Yield the pieces of a printable text that one font writes, and whether it is the third.

    Examples
    --------
    >>> list(runs("R 0.50 NM"))
    [('R 0.50 NM', False)]
    """
    start = 0
    have = fonts()
    third = [one not in have for one in text]
    for index in range(1, len(text) + 1):
        if index == len(text) or third[index] != third[start]:
            yield text[start:index], third[start]
            start = index


def lacking(*values: Any) -> list[str]:
    """Return every sign in the texts of JSON values that no font has, in their order."""
    found: dict[str, None] = {}
    for text in _texts(values):
        if not text.isascii():
            found |= {one: None for one in text if not has(_NARROW.get(one, one))}
    return list(found)


def _texts(values: Iterable[Any]) -> Iterator[str]:
    """Yield every text of JSON values."""
    for value in values:
        if isinstance(value, str):
            yield value
        elif isinstance(value, dict):
            yield from _texts(value.values())
        elif isinstance(value, list | tuple):
            yield from _texts(value)


@lru_cache(maxsize=65_536)
def printable(text: str) -> str:
    """Return a text in signs that the fonts have, on one line.

    Examples
    --------
    >>> printable("Sund" + chr(0x2033) + " <b>&amp;</b>" + chr(0x4E2D) + chr(0x202E))
    'Sund" <b>&amp;</b>{4E2D}{202E}'
    """
    signs = []
    for one in text:
        kept = _NARROW.get(one, one)
        if kept in "\r\n":
            kept = " "
        signs.append(kept if has(kept) else number_of(one))
    return "".join(signs)


def number_of(sign: str) -> str:
    """Return how a sign is written that no font has.

    Examples
    --------
    >>> number_of(chr(0x4E2D))
    '{4E2D}'
    """
    return f"{{{ord(sign):04X}}}"


@lru_cache(maxsize=131_072)
def width_pt(text: str, size_pt: float, bold: bool = False) -> float:
    """Return how wide a text is, in points."""
    usual = BOLD if bold else PLAIN
    return sum(
        float(pdfmetrics.stringWidth(part, MORE if third else usual, size_pt))
        for part, third in runs(text)
    )


def wrapped(text: str, room_pt: float, size_pt: float = BODY_PT, bold: bool = False) -> list[str]:
    """Return a text in lines that are no wider than the room.

    A text may say itself where lines end. A word that is wider is parted between signs; nothing is
    left out.
    """
    lines: list[str] = []
    for part in text.split("\n"):
        lines += _wrapped(printable(part), room_pt, size_pt, bold)
    return lines


def _wrapped(text: str, room_pt: float, size_pt: float, bold: bool) -> list[str]:
    """Return one paragraph in lines."""
    if width_pt(text, size_pt, bold) <= room_pt:
        return [text]
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if width_pt(longer, size_pt, bold) <= room_pt:
            line = longer
            continue
        if line:
            lines.append(line)
        *whole, line = _parted(word, room_pt, size_pt, bold)
        lines += whole
    return [*lines, line]


def _parted(word: str, room_pt: float, size_pt: float, bold: bool) -> list[str]:
    """Return a word in pieces that are no wider than the room."""
    pieces, piece = [], ""
    for sign in word:
        if piece and width_pt(piece + sign, size_pt, bold) > room_pt:
            pieces.append(piece)
            piece = ""
        piece += sign
    return [*pieces, piece]


def cut(text: str, room_pt: float, size_pt: float = BODY_PT, bold: bool = False) -> str:
    """Return a text that fits, its end left out and marked so where it does not.

    For heads of pages alone, where the whole stands on the first page.
    """
    text = printable(text)
    if width_pt(text, size_pt, bold) <= room_pt:
        return text
    while text and width_pt(f"{text}...", size_pt, bold) > room_pt:
        text = text[:-1]
    return f"{text}..."
