"""The plan view of one turn in line work: track, arc, hull, wheel-overs, window and dangers."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter, inside
from wheelover.render.paper.plane import Frame, along, fitted, metres, shapes
from wheelover.render.paper.sheet import Clip, Mark, Path, Point, Text
from wheelover.render.paper.type import BODY_PT, printable, width_pt
from wheelover.render.paper.words import METHODS

_MARGIN_PT = 40.0
_FLAG_PT = 27.0
_METRES_IN_MILE = 1852.0
_SCALES_CAB = (0.2, 0.5, 1, 2, 5, 10, 20, 50)

Box = tuple[float, float, float, float]


class Drawn:
    """The layers of a plan that plan views draw, sorted once for all turns."""

    def __init__(self, matter: Matter) -> None:
        self.by_index: dict[tuple[str, int], list[Document]] = {}
        self.dangers: list[Document] = []
        for one in inside(matter.result, "layers", "features") or []:
            layer, index = one["properties"]["layer"], one["properties"].get("index")
            if layer in ("hazard", "land", "no_go"):
                self.dangers.append(one)
            elif isinstance(index, int):
                self.by_index.setdefault((layer, index), []).append(one)

    def of(self, layer: str, index: int) -> list[Document]:
        """Return the features of a layer of one leg or turn."""
        return self.by_index.get((layer, index), [])


def plan_view(matter: Matter, drawn: Drawn, index: int, box: Box) -> list[Mark]:
    """Return the drawing of a turn in a box: left, top, width, height."""
    turn = matter.result["turns"][index]
    waypoint = matter.waypoints[turn["waypoint_index"]]
    left, top, wide, high = box
    rim = Path(((left, top), (left + wide, top), (left + wide, top + high), (left, top + high)),
               0.75, closed=True)  # fmt: skip
    if turn["course_in_deg"] is None or turn["course_out_deg"] is None:
        words = printable(f"not drawn: {turn['reason'] or 'the turn has no courses'}")
        return [rim, Text(left + 6.0, top + 16.0, words)]
    run = matter.printing.runs.get(turn["waypoint_id"])
    frame = fitted(waypoint, _shown_m(turn, waypoint, run), box, _MARGIN_PT)
    marks: list[Text | Path] = [
        *_dangers(drawn, frame),
        *_track(matter, drawn, turn, index, frame),
        *_run(run, frame),
        *_line_over(turn, frame),
        *_window(turn, frame),
        *_flags(turn, frame),
        *_bars(turn, frame),
        *_scale(frame),
    ]
    note = "Plot of loaded data. Not a chart."
    plate = width_pt(note, BODY_PT) + 6.0
    marks += [*_plate(left, top + high - 13.0, plate, 13.0),
              Text(left + 3.0, top + high - 3.5, note)]  # fmt: skip
    return [Clip(box, tuple(marks)), rim]


def _shown_m(turn: Document, waypoint: Document, run: object) -> list[Point]:
    """Return the places that a drawing must show, in metres about the waypoint."""
    places = [waypoint, turn["start"], turn["end"], turn["planned"]["position"]]
    places += [row["position"] for row in turn["wheel_overs"]]
    origin = waypoint["lat_deg"], waypoint["lon_deg"]
    found = [metres(*origin, one["lat_deg"], one["lon_deg"]) for one in places if one]
    if isinstance(run, dict):
        pairs = zip(run["columns"]["lat_deg"], run["columns"]["lon_deg"], strict=True)
        found += [metres(*origin, lat, lon) for lat, lon in pairs]
    for end in ("earliest", "latest"):
        distance = inside(turn, "hull", "window", end, "distance_nm")
        if distance is not None:
            found.append(_before(turn, distance))
    return found


def _before(turn: Document, distance_nm: float) -> Point:
    """Return where so many miles before the waypoint is, in metres about it."""
    return along(turn["course_in_deg"], -distance_nm * _METRES_IN_MILE)


def _dangers(drawn: Drawn, frame: Frame) -> Iterator[Text | Path]:
    """Yield the dangers that reach into the frame, with names and least depths."""
    for feature in drawn.dangers:
        named = False
        for kind, coordinates in shapes(feature["geometry"]):
            points = frame.line(coordinates)
            if not frame.shows(points, 12.0):
                continue
            if kind == "point":
                yield from _ring(points[0])
            elif kind == "line":
                yield Path(points, 1.2)
                yield from _teeth(points)
            else:
                yield Path(points, 1.0, closed=True, hatch=True)
            if not named:
                named = True
                yield from _named(feature["properties"], points, frame)


def _ring(middle: Point) -> Iterator[Text | Path]:
    """Yield a ring with eight inward teeth."""
    around = [along(45.0 * one, 6.0) for one in range(8)]
    fine = [along(15.0 * one, 6.0) for one in range(24)]
    yield Path(tuple((middle[0] + x, middle[1] + y) for x, y in fine), 1.0, closed=True)
    for x, y in around:
        inner = (middle[0] + x * 0.5, middle[1] + y * 0.5)
        yield Path(((middle[0] + x, middle[1] + y), inner), 0.7)


def _teeth(points: Sequence[Point]) -> Iterator[Text | Path]:
    """Yield teeth along a line."""
    for (x0, y0), (x1, y1) in pairwise(points):
        length = math.hypot(x1 - x0, y1 - y0)
        for step in range(int(min(length, 400.0) // 8.0)):
            share = (step + 0.5) * 8.0 / length
            at = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
            tip = (at[0] - (y1 - y0) / length * 4.0, at[1] + (x1 - x0) / length * 4.0)
            yield Path((at, tip), 0.5)


def _named(properties: Document, points: Sequence[Point], frame: Frame) -> Iterator[Text | Path]:
    """Yield the name of a danger beside it, inside the frame."""
    name = str(properties.get("name") or properties.get("id") or "")
    depth = properties.get("depth_m")
    words = name if depth is None else f"{name} {fig.down(depth, 1, 'm')}"
    words = printable(words)[:28]
    if not words:
        return
    x_pt = sum(one[0] for one in points) / len(points) + 9.0
    y_pt = sum(one[1] for one in points) / len(points) + 3.0
    wide = width_pt(words, BODY_PT)
    x_pt = min(max(x_pt, frame.left_pt + 3.0), frame.left_pt + frame.wide_pt - wide - 3.0)
    y_pt = min(max(y_pt, frame.top_pt + 12.0), frame.top_pt + frame.high_pt - 16.0)
    yield from _plate(x_pt - 1.0, y_pt - 9.0, wide + 2.0, 11.5, rim=False)
    yield Text(x_pt, y_pt, words)


def _track(
    matter: Matter, drawn: Drawn, turn: Document, index: int, frame: Frame
) -> Iterator[Text | Path]:
    """Yield the legs about a turn, their construction and the arc."""
    here = turn["waypoint_id"]
    for number, leg in enumerate(matter.result["legs"]):
        if here not in (leg["to_id"], leg["from_id"]):
            continue
        yield from _stroked(drawn.of("course_line", number), frame, 0.5, (4.0, 3.0))
        yield from _stroked(drawn.of("leg", number), frame, 1.6)
    yield from _stroked(drawn.of("turn", index), frame, 1.6)


def _stroked(
    features: list[Document], frame: Frame, width_pt: float, dash: tuple[float, ...] = ()
) -> Iterator[Text | Path]:
    """Yield the lines of features; one that crosses 180 deg comes in parts that join there."""
    for one in features:
        for _, coordinates in shapes(one["geometry"]):
            yield Path(frame.line(coordinates), width_pt, dash)


def _run(run: object, frame: Frame) -> Iterator[Text | Path]:
    """Yield the swept edge, the hull at moments, and the way of her midships."""
    if not isinstance(run, dict):
        return
    for ring in (run["strip"]["outer"], *run["strip"]["holes"]):
        pairs = zip(ring["lat_deg"], ring["lon_deg"], strict=True)
        yield Path(tuple(frame.at(lat, lon) for lat, lon in pairs), 0.5, (1.0, 1.5), closed=True)
    last = len(run["outlines"]) - 1
    for number, one in enumerate(run["outlines"]):
        pairs = zip(one["lat_deg"], one["lon_deg"], strict=True)
        points = tuple(frame.at(lat, lon) for lat, lon in pairs)
        yield Path(points, 0.5, closed=True, fill=number in (0, last))
    columns = run["columns"]
    pairs = zip(columns["lat_deg"], columns["lon_deg"], strict=True)
    yield Path(tuple(frame.at(lat, lon) for lat, lon in pairs), 0.7, (5.0, 1.5, 1.0, 1.5))


def _line_over(turn: Document, frame: Frame) -> Iterator[Text | Path]:
    """Yield the wheel-over line, parallel to the new course."""
    line = turn["wheel_over_line"]
    if line is not None:
        yield Path((frame.place(line["from"]), frame.place(line["to"])), 0.75)


def _window(turn: Document, frame: Frame) -> Iterator[Text | Path]:
    """Yield the rail of the window on the inside of the bend, with square stops."""
    ends = [inside(turn, "hull", "window", end, "distance_nm") for end in ("earliest", "latest")]
    if None in ends:
        return
    off = _sideways(turn, 8.0)
    first, last = (
        (point[0] + off[0], point[1] + off[1])
        for point in (frame.of(_before(turn, one)) for one in ends)
    )
    yield Path((first, last), 2.5, (4.0, 2.0))
    for stop in (first, last):
        yield Path(_square(stop, 2.5), 0.75, closed=True, fill=True)


def _square(middle: Point, half: float) -> tuple[Point, ...]:
    """Return a small square about a point."""
    x, y = middle
    return ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))


def _sideways(turn: Document, size: float) -> Point:
    """Return a step across the inbound leg on the page, to the inside of the bend."""
    starboard = turn["course_change_deg"] > 0.0
    x, north = along(turn["course_in_deg"] + (90.0 if starboard else -90.0), size)
    return x, -north


def _flags(turn: Document, frame: Frame) -> Iterator[Text | Path]:
    """Yield each method's word on the outside of the bend, and the planned one on the inside."""
    rows = [row for row in turn["wheel_overs"] if row["position"] is not None]
    rows.sort(key=lambda row: -row["distance_nm"])
    out_x, out_y = _sideways(turn, -1.0)
    way_x, north = along(turn["course_in_deg"], 1.0)
    way = (way_x, -north)
    points = [frame.place(row["position"]) for row in rows]
    middle = (len(rows) - 1) / 2
    if points:
        mean = (sum(one[0] for one in points) / len(points),
                sum(one[1] for one in points) / len(points))  # fmt: skip
    for number, (row, point) in enumerate(zip(rows, points, strict=True)):
        # Plates stand in one row along the leg, in sailing order, so that no leader crosses one.
        step = (number - middle) * (30.0 if abs(way[0]) > 0.5 else 15.0)
        plate = frame.kept((mean[0] + way[0] * step + out_x * _FLAG_PT,
                            mean[1] + way[1] * step + out_y * _FLAG_PT))  # fmt: skip
        yield Path((point, plate), 0.4)
        yield Path(_square(point, 1.2), 0.5, closed=True, fill=True)
        yield from _worded(plate, METHODS[row["method"]])
    planned = turn["planned"]["position"]
    if planned is not None:
        point = frame.place(planned)
        in_x, in_y = _sideways(turn, 22.0)
        plate = frame.kept((point[0] + in_x, point[1] + in_y))
        yield Path((point, plate), 0.8)
        yield Path(_square(point, 2.2), 0.5, closed=True, fill=True)
        yield from _worded(plate, "WO", heavy=True)


def _worded(middle: Point, word: str, *, heavy: bool = False) -> Iterator[Text | Path]:
    """Yield a plate with a word on it."""
    wide = width_pt(word, BODY_PT, heavy) + 5.0
    left, top = middle[0] - wide / 2, middle[1] - 6.0
    yield from _plate(left, top, wide, 12.0)
    yield Text(middle[0], middle[1] + 3.3, word, BODY_PT, heavy, "middle")


def _plate(
    left: float, top: float, wide: float, high: float, *, rim: bool = True
) -> Iterator[Text | Path]:
    """Yield a white plate that words stand on."""
    box = ((left, top), (left + wide, top), (left + wide, top + high), (left, top + high))
    yield Path(box, 0.5 if rim else 0.0, closed=True, blank=True)


def _bars(turn: Document, frame: Frame) -> Iterator[Text | Path]:
    """Yield two bars at the waypoint, square to the bisector, with its id."""
    middle = frame.of((0.0, 0.0))
    bisector = turn["course_in_deg"] + turn["course_change_deg"] / 2.0
    x, north = along(bisector + 90.0, 1.0)
    for sign in (1.0, -1.0):
        near, far = 3.0 * sign, 11.0 * sign
        yield Path(((middle[0] + x * near, middle[1] - north * near),
                    (middle[0] + x * far, middle[1] - north * far)), 1.6)  # fmt: skip
    outward = -20.0 if turn["course_change_deg"] > 0.0 else 20.0
    plate = frame.kept((middle[0] + x * outward, middle[1] - north * outward))
    yield from _worded(plate, printable(turn["waypoint_id"])[:14])


def _scale(frame: Frame) -> Iterator[Text | Path]:
    """Yield a bar of a round number of cables, and where north is."""
    per_cab = fig.CAB_M * frame.scale
    fits = [one for one in _SCALES_CAB if one * per_cab <= 90.0] or [_SCALES_CAB[0]]
    wide = fits[-1] * per_cab
    right, foot = frame.left_pt + frame.wide_pt - 6.0, frame.top_pt + frame.high_pt - 5.0
    yield Path(((right - wide, foot - 4.0), (right - wide, foot), (right, foot),
                (right, foot - 4.0)), 1.0)  # fmt: skip
    yield Text(right, foot - 6.0, f"{fits[-1]:g} cab", BODY_PT, False, "end")
    x, y = frame.left_pt + 12.0, frame.top_pt + 28.0
    yield Path(((x, y + 8.0), (x, y - 10.0)), 1.0)
    yield Path(((x - 3.0, y - 5.0), (x, y - 11.0), (x + 3.0, y - 5.0)), 1.0)
    yield Text(x, y - 14.0, "N", BODY_PT, True, "middle")
