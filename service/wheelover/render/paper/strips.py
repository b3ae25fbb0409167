"""Strip plots of her run through a turn against the run to go: heading, rate, speed, rudder."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter
from wheelover.render.paper.sheet import Mark, Path, Point, Text
from wheelover.render.paper.type import BODY_PT, printable, width_pt, wrapped

Box = tuple[float, float, float, float]

_LABEL_PT = 12.0
_SIDE_PT = 34.0


def strips(matter: Matter, turn: Document, box: Box) -> Iterator[Mark]:
    """Yield the four strips in a box: left, top, width, height."""
    run = matter.printing.runs.get(turn["waypoint_id"])
    left, top, wide, high = box
    if not isinstance(run, dict):
        reason = run or "her run was not asked for"
        for number, line in enumerate(wrapped(f"Run through the turn not drawn: {reason}", wide)):
            yield Text(left, top + 11.0 * (number + 1), line)
        return
    columns = run["columns"]
    to_go = columns["to_go_m"]
    each_w, each_h = (wide - 12.0) / 2, high / 2
    heading = _unwound(columns["heading_deg"])
    plots = (
        ("heading deg T", heading, fig.course_fine, columns["heading_deg"], None),
        ("rate deg/min", columns["rate_deg_per_min"], _whole, columns["rate_deg_per_min"],
         turn["rate_of_turn_deg_per_min"]),
        ("speed kn", columns["speed_kn"], _tenth, columns["speed_kn"], None),
        ("rudder deg", columns["rudder_deg"], _whole, columns["rudder_deg"], None),
    )  # fmt: skip
    for number, (name, values, shown, given, limit) in enumerate(plots):
        x, y = left + (number % 2) * (each_w + 12.0), top + (number // 2) * each_h
        plot = _Strip((x, y, each_w, each_h), to_go, values)
        yield from plot.drawn(name, shown, given)
        if limit is not None:
            yield from plot.level(limit, f"planned {fig.nearest(abs(limit), 1)}")


def _whole(value: float) -> str:
    """Return a number to the whole, with its side."""
    size = fig.nearest(abs(value), 0)
    return "0" if size == "0" else f"{size} {fig.side(value)}"


def _tenth(value: float) -> str:
    """Return a number to a tenth."""
    return fig.nearest(value, 1)


def _unwound(headings_deg: Sequence[float]) -> list[float]:
    """Return headings that run on over north."""
    found = list(headings_deg[:1])
    for before, after in pairwise(headings_deg):
        found.append(found[-1] + (after - before + 180.0) % 360.0 - 180.0)
    return found


class _Strip:
    """One strip: values against the run to go, which ends at the right."""

    def __init__(self, box: Box, to_go_m: Sequence[float], values: Sequence[float]) -> None:
        left, top, wide, high = box
        self.left, self.top = left + _SIDE_PT, top + _LABEL_PT
        self.wide, self.high = wide - 2 * _SIDE_PT, high - _LABEL_PT - 14.0
        self.box = box
        self.to_go_m, self.values = to_go_m, values
        self.low, self.top_value = min(values), max(values)
        if self.top_value - self.low < 1e-6:
            self.low, self.top_value = self.low - 1.0, self.top_value + 1.0

    def at(self, to_go_m: float, value: float) -> Point:
        """Return where a value stands."""
        whole = max(self.to_go_m[0], 1.0)
        share = (value - self.low) / (self.top_value - self.low)
        return (
            self.left + self.wide * (1.0 - to_go_m / whole),
            self.top + self.high * (1.0 - min(max(share, 0.0), 1.0)),
        )

    def drawn(self, name: str, shown: object, given: Sequence[float]) -> Iterator[Mark]:
        """Yield the strip with its first and last value, and the largest between them."""
        if not callable(shown):
            raise TypeError("values are shown by a function")
        left, top, _, _ = self.box
        yield Text(left, top + 9.0, name, BODY_PT, True)
        foot = self.top + self.high
        yield Path(((self.left, self.top), (self.left, foot), (self.left + self.wide, foot)), 0.5)
        pairs = zip(self.to_go_m, self.values, strict=True)
        points = tuple(self.at(to_go, value) for to_go, value in pairs)
        yield Path(points, 1.0)
        yield Text(self.left - 3.0, self._level(points[0]), shown(given[0]), BODY_PT, False, "end")
        yield Text(self.left + self.wide + 3.0, self._level(points[-1]), shown(given[-1]))
        largest = max(range(len(given)), key=lambda one: abs(given[one]))
        if name.startswith(("rate", "rudder")):
            words = f"largest {shown(given[largest])}"
            x = self.box[0] + self.box[2] - width_pt(words, BODY_PT)
            yield Text(x, top + 9.0, words)
        yield Text(
            self.left, foot + 10.5, f"{fig.nearest(self.to_go_m[0] / fig.CAB_M, 1)} cab to go"
        )
        yield Text(self.left + self.wide, foot + 10.5, "0", BODY_PT, False, "end")

    def _level(self, point: Point) -> float:
        """Return the baseline of a label beside a point, within the strip."""
        return min(max(point[1] + 3.0, self.top + 7.0), self.top + self.high)

    def level(self, value: float, words: str) -> Iterator[Mark]:
        """Yield a limit as a labelled line."""
        if not self.low <= value <= self.top_value:
            return
        y = self.at(0.0, value)[1]
        yield Path(((self.left, y), (self.left + self.wide, y)), 0.5, (3.0, 2.0))
        yield Text(self.left + self.wide * 0.5, self.box[1] + 9.0, printable(words), BODY_PT, False,
                   "middle")  # fmt: skip
