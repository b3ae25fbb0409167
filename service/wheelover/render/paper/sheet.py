"""Pages as texts and lines with their places, before anything is drawn.

Places are in points from the left and the top of the page. A ``Sheet`` is one part of the paper: it
begins a page when what comes next has no room on this one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from wheelover.render.paper.type import BODY_PT, LEADING, width_pt, wrapped

LONG_PT, SHORT_PT = 841.89, 595.28
MARGIN_PT = 34.0
"""12 mm."""

HEAD_PT = 42.0
FOOT_PT = 56.0
"""What every page says at its head and foot stands there (``frame``)."""

GAP_PT = 6.0
CELL_PT = 2.5
ASIDE_PT = 3.5
"""What is left free in a cell above and below, and to its sides."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text, from its baseline. ``anchor`` is what stands at ``x_pt``."""

    x_pt: float
    y_pt: float
    text: str
    size_pt: float = BODY_PT
    bold: bool = False
    anchor: str = "start"


@dataclass(frozen=True, slots=True)
class Path:
    """A line, or the rim of a shape.

    ``hatch`` fills it with strokes, ``fill`` with black, ``blank`` with the white of the paper, so
    that words can be read on it. A rim of width 0 is not drawn.
    """

    points: tuple[Point, ...]
    width_pt: float = 0.5
    dash: tuple[float, ...] = ()
    closed: bool = False
    fill: bool = False
    hatch: bool = False
    blank: bool = False


@dataclass(frozen=True, slots=True)
class Clip:
    """A drawing that shows nothing outside its frame: left, top, width, height."""

    frame: tuple[float, float, float, float]
    marks: tuple["Text | Path", ...]


Mark = Text | Path | Clip


@dataclass(slots=True)
class Page:
    """One page."""

    wide: bool
    part: str
    marks: list[Mark] = field(default_factory=list)

    @property
    def width_pt(self) -> float:
        """Return how wide the page is."""
        return LONG_PT if self.wide else SHORT_PT

    @property
    def height_pt(self) -> float:
        """Return how high the page is."""
        return SHORT_PT if self.wide else LONG_PT


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table; ``share`` of the width that is left, numbers to the right."""

    head: str
    width_pt: float
    right: bool = False
    bold: bool = False


Row = Sequence[str]
Group = Sequence[Row]
"""Rows that stand on one page."""


class Sheet:
    """One part of the paper, written from the top downwards."""

    def __init__(self, part: str, *, wide: bool = False) -> None:
        self.part = part
        self.wide = wide
        self.pages: list[Page] = []
        self.begin()

    def begin(self) -> None:
        """Begin a page."""
        self.pages.append(Page(self.wide, self.part))
        self.y_pt = MARGIN_PT + HEAD_PT

    @property
    def page(self) -> Page:
        """Return the page that is written on."""
        return self.pages[-1]

    @property
    def left_pt(self) -> float:
        """Return where lines begin."""
        return MARGIN_PT

    @property
    def room_pt(self) -> float:
        """Return how wide lines may be."""
        return self.page.width_pt - 2 * MARGIN_PT

    @property
    def whole_pt(self) -> float:
        """Return how high what is written on one page may be."""
        return self.page.height_pt - 2 * MARGIN_PT - HEAD_PT - FOOT_PT

    @property
    def left_over_pt(self) -> float:
        """Return how much of the page is left."""
        return self.page.height_pt - MARGIN_PT - FOOT_PT - self.y_pt

    def need(self, height_pt: float) -> bool:
        """Begin a page where so much is not left of this one, and return whether one was begun."""
        at_top = self.y_pt <= MARGIN_PT + HEAD_PT + 0.01
        if height_pt <= self.left_over_pt or at_top:
            return False
        self.begin()
        return True

    def put(self, *marks: Mark) -> None:
        """Put marks on the page."""
        self.page.marks.extend(marks)

    def skip(self, height_pt: float = GAP_PT) -> None:
        """Leave a space."""
        self.y_pt += height_pt

    def heading(self, text: str, size_pt: float = 11.0, keep_pt: float = 72.0) -> None:
        """Write a heading that does not stand alone at the foot of a page."""
        lines = wrapped(text, self.room_pt, size_pt, bold=True)
        self.need(len(lines) * size_pt * LEADING + GAP_PT + keep_pt)
        self.skip()
        for line in lines:
            self._line(line, size_pt, bold=True, left_pt=self.left_pt)
        self.skip(2.0)

    def paragraph(
        self, text: str, *, size_pt: float = BODY_PT, bold: bool = False, indent_pt: float = 0.0
    ) -> None:
        """Write a text in as many lines as it takes."""
        for line in wrapped(text, self.room_pt - indent_pt, size_pt, bold):
            self.need(size_pt * LEADING)
            self._line(line, size_pt, bold=bold, left_pt=self.left_pt + indent_pt)

    def _line(self, text: str, size_pt: float, *, bold: bool, left_pt: float) -> None:
        """Write one line."""
        self.put(Text(left_pt, self.y_pt + size_pt, text, size_pt, bold))
        self.y_pt += size_pt * LEADING

    def table(self, columns: Sequence[Column], groups: Sequence[Group]) -> None:
        """Write a table: its head on every page, a group of rows never parted between two.

        A table whose columns have no names has no head.
        """
        self.skip(3.0)
        spare_pt = self.room_pt - sum(one.width_pt for one in columns)
        flexible = [one.width_pt == 0.0 for one in columns]
        share_pt = spare_pt / max(1, sum(flexible))
        widths = [share_pt if one.width_pt == 0.0 else one.width_pt for one in columns]
        _Table(self, columns, widths).write(groups)
        self.skip(2.0)


class _Table:
    """A table that is being written."""

    def __init__(self, sheet: Sheet, columns: Sequence[Column], widths: list[float]) -> None:
        self.sheet, self.columns, self.widths = sheet, columns, widths
        self.named = any(one.head for one in columns)
        self.head = self._lines([one.head for one in columns], bold=True)
        self.head_pt = self._row_pt(self.head) if self.named else 0.0

    def write(self, groups: Sequence[Group]) -> None:
        """Write head and rows."""
        made = [[self._lines(row) for row in group] for group in groups]
        first_pt = self._height_pt(made[0]) if made else 0.0
        sheet = self.sheet
        sheet.need(min(self.head_pt + first_pt, sheet.whole_pt))
        self._head()
        for group in made:
            height_pt = self._height_pt(group)
            if height_pt > sheet.whole_pt - self.head_pt:
                self._long(group)
                continue
            if sheet.need(height_pt):
                self._head()
            for row in group:
                self._row(row)
            self._rule(0.25)

    def _lines(self, row: Row, bold: bool = False) -> list[list[str]]:
        """Return a row's cells in lines."""
        pairs = zip(row, self.columns, self.widths, strict=True)
        return [
            wrapped(text, width - 2 * ASIDE_PT, BODY_PT, bold or column.bold)
            for text, column, width in pairs
        ]

    def _height_pt(self, group: list[list[list[str]]]) -> float:
        """Return how high rows are."""
        return sum(self._row_pt(row) for row in group)

    @staticmethod
    def _row_pt(row: list[list[str]]) -> float:
        """Return how high a row is."""
        return max(len(cell) for cell in row) * BODY_PT * LEADING + 2 * CELL_PT

    def _head(self) -> None:
        """Write the head."""
        self._rule(1.0)
        if self.named:
            self._row(self.head, bold=True)
            self._rule(1.0)

    def _rule(self, width_pt: float) -> None:
        """Draw a line across."""
        sheet = self.sheet
        end_pt = sheet.left_pt + sum(self.widths)
        sheet.put(Path(((sheet.left_pt, sheet.y_pt), (end_pt, sheet.y_pt)), width_pt))

    def _row(self, row: list[list[str]], bold: bool = False) -> None:
        """Write one row."""
        sheet, x_pt = self.sheet, self.sheet.left_pt
        for cell, column, width in zip(row, self.columns, self.widths, strict=True):
            y_pt = sheet.y_pt + CELL_PT
            for line in cell:
                y_pt += BODY_PT * LEADING
                heavy = bold or column.bold
                left_pt = x_pt + ASIDE_PT
                if column.right:
                    left_pt = x_pt + width - ASIDE_PT - width_pt(line, BODY_PT, heavy)
                if line:
                    sheet.put(Text(left_pt, y_pt - 2.0, line, BODY_PT, heavy))
            x_pt += width
        sheet.y_pt += self._row_pt(row)

    def _long(self, group: list[list[list[str]]]) -> None:
        """Write a group that is higher than a page: it is parted between lines, head and all."""
        sheet = self.sheet
        for row in group:
            left = [list(cell) for cell in row]
            while any(left):
                room_pt = sheet.left_over_pt - 2 * CELL_PT
                count = int(room_pt / (BODY_PT * LEADING))
                if count < 1:
                    sheet.begin()
                    self._head()
                    continue
                self._row([cell[:count] or [""] for cell in left])
                left = [cell[count:] for cell in left]
        self._rule(0.25)
