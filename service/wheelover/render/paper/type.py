"""The letters of the paper: fonts that are embedded, widths, and what the fonts have no sign for.

The two fonts are those that come with the library that writes PDF; they are put into the file, so
that it looks the same on every printer. They have no prime, double prime or arrow: ' and " and
words stand for them. A sign that they lack is written as its number, {0416}, and never left out.
"""

from functools import lru_cache

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN, BOLD = "Vera", "VeraBd"

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


@lru_cache(maxsize=65_536)
def printable(text: str) -> str:
    """Return a text in signs that the fonts have, on one line.

    Examples
    --------
    >>> printable("Sund" + chr(0x2033) + " <b>&amp;</b>" + chr(0x416) + chr(0x202E))
    'Sund" <b>&amp;</b>{0416}{202E}'
    """
    have = fonts()
    signs = []
    for one in text:
        kept = _NARROW.get(one, one)
        if kept in "\r\n":
            kept = " "
        signs.append(kept if kept in have else f"{{{ord(one):04X}}}")
    return "".join(signs)


@lru_cache(maxsize=131_072)
def width_pt(text: str, size_pt: float, bold: bool = False) -> float:
    """Return how wide a text is, in points."""
    fonts()
    return float(pdfmetrics.stringWidth(text, BOLD if bold else PLAIN, size_pt))


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
