"""Pages to the bytes of a PDF: black, fonts embedded, the same bytes for the same pages."""

import io
import math
from collections.abc import Iterator, Sequence

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from wheelover.render.paper.sheet import Clip, Mark, Page, Path, Point, Text
from wheelover.render.paper.type import BOLD, MORE, PLAIN, fonts, runs, width_pt

# Bytes as they are, not as letters: a fifth less to send, and to make.
rl_config.useA85 = 0

PEN_PT = 0.4
STROKE = 0.035
"""How wide a stroke about letters is that are to look bold, in sizes of the letters."""

HATCH_PT = 4.0
"""From stroke to stroke of a hatch."""


def pdf(pages: Sequence[Page], title: str, subject: str) -> bytes:
    """Return pages as a PDF.

    Parameters
    ----------
    pages : sequence of Page
        Whole, with head and foot.
    title, subject : str
        Told in the file's properties.
    """
    fonts()
    body = io.BytesIO()
    canvas = Canvas(body, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setSubject(subject)
    canvas.setCreator("wheelover")
    canvas.setAuthor("wheelover")
    for page in pages:
        canvas.setPageSize((page.width_pt, page.height_pt))
        for mark in page.marks:
            _mark(canvas, mark, page.height_pt)
        canvas.showPage()
    canvas.save()
    return body.getvalue()


def _mark(canvas: Canvas, mark: Mark, height_pt: float) -> None:
    """Draw one mark; the library counts from the foot of the page."""
    if isinstance(mark, Text):
        _text(canvas, mark, height_pt)
    elif isinstance(mark, Path):
        _path(canvas, mark, height_pt)
    else:
        _clip(canvas, mark, height_pt)


def _text(canvas: Canvas, mark: Text, height_pt: float) -> None:
    """Write a text."""
    usual = BOLD if mark.bold else PLAIN
    x_pt, y_pt = mark.x_pt, height_pt - mark.y_pt
    if mark.anchor != "start":
        wide_pt = width_pt(mark.text, mark.size_pt, mark.bold)
        x_pt -= wide_pt * (0.5 if mark.anchor == "middle" else 1.0)
    for text, third in runs(mark.text):
        font = MORE if third else usual
        canvas.setFont(font, mark.size_pt)
        if third and mark.bold:
            # The third font has one weight: a stroke about the letters makes them heavier.
            canvas.setLineWidth(mark.size_pt * STROKE)
            canvas.drawString(x_pt, y_pt, text, mode=2)
        else:
            canvas.drawString(x_pt, y_pt, text)
        x_pt += canvas.stringWidth(text, font, mark.size_pt)


def _path(canvas: Canvas, mark: Path, height_pt: float) -> None:
    """Draw a line or a shape."""
    if len(mark.points) < 2:
        return
    canvas.setLineWidth(mark.width_pt)
    canvas.setDash(list(mark.dash))
    outline = PDFPathObject(_coded(_thinned(mark.points), height_pt, closed=mark.closed))
    if mark.hatch:
        canvas.saveState()
        canvas.clipPath(outline, stroke=0, fill=0)
        canvas.setLineWidth(0.3)
        canvas.setDash([])
        for (from_x, from_y), (to_x, to_y) in _hatch(mark.points):
            canvas.line(from_x, height_pt - from_y, to_x, height_pt - to_y)
        canvas.restoreState()
    canvas.setFillGray(1.0 if mark.blank else 0.0)
    canvas.drawPath(
        outline, stroke=1 if mark.width_pt > 0.0 else 0, fill=1 if mark.fill or mark.blank else 0
    )
    canvas.setFillGray(0.0)


def _coded(points: Sequence[Point], height_pt: float, *, closed: bool) -> list[str]:
    """Return a line as the file has it, to the hundredth of a point: 0.004 mm of paper.

    Eighty drawn turns have some 80 000 places, and most of the time went into the numbers.
    """
    (first_x, first_y), *rest = points
    start = ["n", f"{first_x:.2f} {height_pt - first_y:.2f} m"]
    lines = [f"{x_pt:.2f} {height_pt - y_pt:.2f} l" for x_pt, y_pt in rest]
    return [*start, *lines, "h"] if closed else [*start, *lines]


def _thinned(points: Sequence[Point]) -> list[Point]:
    """Return a line without what lies closer than a pen is wide to the place before it."""
    kept = [points[0]]
    for one in points[1:-1]:
        if abs(one[0] - kept[-1][0]) + abs(one[1] - kept[-1][1]) > PEN_PT:
            kept.append(one)
    return [*kept, points[-1]]


def _hatch(points: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """Yield slanting strokes over the box about a shape."""
    left, right = min(one[0] for one in points), max(one[0] for one in points)
    top, foot = min(one[1] for one in points), max(one[1] for one in points)
    # Strokes stand on one grid, whatever the shape: neighbours do not clash.
    step = math.floor((left + top) / HATCH_PT) * HATCH_PT
    while step <= right + foot:
        yield (step - top, top), (step - foot, foot)
        step += HATCH_PT


def _clip(canvas: Canvas, mark: Clip, height_pt: float) -> None:
    """Draw what lies inside a frame."""
    left, top, wide, high = mark.frame
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(left, height_pt - top - high, wide, high)
    canvas.clipPath(frame, stroke=0, fill=0)
    for one in mark.marks:
        _mark(canvas, one, height_pt)
    canvas.restoreState()
