"""Plans of awkward shapes on paper, as a workbook and as a map that stands alone."""

import io
import math
import re
from collections.abc import Iterator
from itertools import pairwise, starmap
from typing import Any

import openpyxl
import pypdf
import pytest

from tests.render.paper.plans import FROZEN, demonstration_plan, made, matter, printing
from wheelover.render.exports import export_file
from wheelover.render.paper.paper import laid_out
from wheelover.render.paper.sheet import Clip, Mark, Path
from wheelover.usecases.map_parts import map_parts
from wheelover.usecases.plan_route import plan_route

Document = dict[str, Any]


def _asked(*places: tuple[float, float], **members: Any) -> Document:
    """Return a request for a track through some places, with the demonstration's ship."""
    waypoints = [
        {"id": name, "lat_deg": lat, "lon_deg": lon}
        for name, (lat, lon) in zip("ABCDEF", places, strict=False)
    ]
    ship = demonstration_plan()[0]["ship"]
    asked = {"ship": ship, "departure_utc": "2026-12-04T19:30:00Z", **members}
    return {"route": {"name": "awkward", "waypoints": waypoints}, **asked}


def _with(asked: Document, index: int, **members: Any) -> Document:
    """Return a request with members of one waypoint another."""
    asked["route"]["waypoints"][index].update(members)
    return asked


def _rock(lat_deg: float, lon_deg: float) -> Document:
    """Return a danger at a place."""
    geometry = {"type": "Point", "coordinates": [lon_deg, lat_deg]}
    properties = {"id": "rock", "name": "rock", "kind": "rock"}
    feature = {"type": "Feature", "geometry": geometry, "properties": properties}
    return {"type": "FeatureCollection", "features": [feature]}


def _over(east_deg: float) -> Document:
    """Return a track that crosses 180 degrees before its turn, moved east by so much."""
    places = [(-20.0, 179.9), (-20.02, -179.95), (-19.9, -179.8)]
    moved = [(lat, (lon + east_deg + 180.0) % 360.0 - 180.0) for lat, lon in places]
    lon = (-179.96 + east_deg + 180.0) % 360.0 - 180.0
    near = {"hazards": _rock(-20.05, lon), "limits": {"min_clearance_m": 200.0}}
    return _asked(*moved, **near)


_ANCHORAGE = {
    "id": "roads", "kind": "anchorage", "from_id": "B",
    "route": {"name": "roads", "waypoints": [
        {"id": "x", "lat_deg": -20.05, "lon_deg": 179.98},
        {"id": "y", "lat_deg": -20.1, "lon_deg": 179.9}]},
}  # fmt: skip

_GREAT = {"leg": {"line": "geodesic"}}

PLANS = {
    "eastward over 180": _over(0.0),
    "westward over 180": _asked((-19.9, -179.8), (-20.02, -179.95), (-20.0, 179.9)),
    "a turn on 180": _asked((-20.0, 179.9), (-20.02, 180.0), (-19.9, -179.8)),
    "a contingency over 180": {**_over(0.0), "contingencies": [_ANCHORAGE]},
    "one leg": _asked((50.0, -10.0), (50.0, -9.8)),
    "no ship": _asked((-20.0, 179.9), (-20.02, -179.95), (-19.9, -179.8), ship=None),
    "great circles at 70 N": _with(_with(_asked(
        (70.0, 170.0), (70.0, -170.0), (69.0, -150.0)), 1, **_GREAT), 2, **_GREAT),
    "a turn without arc": _asked((0.0, 0.0), (0.0, 0.002), (0.002, 0.0), (0.1, 0.0)),
    "there and back": _asked((0.0, 0.0), (0.0, 0.1), (0.0, 0.0)),
    "a turn of nothing": _asked((0.0, 0.0), (0.0, 0.1), (0.0, 0.2)),
    "a leg of nothing": _asked((0.0, 0.0), (0.0, 0.0), (0.1, 0.0)),
    "a hole": _with(_asked((50.0, -10.0), (50.0, -9.8), (50.1, -9.7), (50.2, -9.7)),
                    2, gap_before=True),
    "about the pole": _asked((89.0, 0.0), (89.5, 90.0), (89.0, 179.0)),
}  # fmt: skip


@pytest.mark.parametrize("which", sorted(PLANS))
def test_an_awkward_plan_has_its_paper_workbook_and_map(which: str) -> None:
    request = PLANS[which]
    result = plan_route(made(request))
    runs = printing(request, result)
    body = export_file("pdf", request, result, FROZEN, printing=runs).body
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(body)).pages]
    book = openpyxl.load_workbook(
        io.BytesIO(export_file("xlsx", request, result, FROZEN).body), read_only=True
    )
    cells = {cell for row in book["ledger"].iter_rows(values_only=True) for cell in row}
    html = export_file("html", request, result, FROZEN, parts=map_parts(request)).body.decode()
    for one in request["route"]["waypoints"]:
        assert any(one["id"] in text.split() for text in pages)
        assert one["id"] in cells
    assert not re.search(r"[:,\[] ?NaN", html)
    assert not any("nan" in text.lower().split() for text in pages)


def _lines(marks: tuple[Mark, ...] | list[Mark]) -> Iterator[Path]:
    """Yield the lines of the drawings of a page."""
    for one in marks:
        if isinstance(one, Clip):
            yield from (inner for inner in one.marks if isinstance(inner, Path))


def _inked(request: Document) -> list[tuple[float, int, float]]:
    """Return how much line of each width and dash the turn cards' drawings hold, in points."""
    result = plan_route(made(request))
    total: dict[tuple[float, int], float] = {}
    for page in laid_out(matter(request, result, FROZEN)):
        for line in _lines(page.marks) if page.part == "Turn cards" else ():
            key = (line.width_pt, len(line.dash))
            total[key] = total.get(key, 0.0) + sum(starmap(math.dist, pairwise(line.points)))
    return sorted((*key, length) for key, length in total.items())


def test_a_track_over_180_is_drawn_where_the_same_track_elsewhere_is() -> None:
    """The earth of the plan is round about its axis: a plan moved east looks the same on paper."""
    there, here = _inked(_over(0.0)), _inked(_over(-100.0))
    assert len(there) > 5
    for one, other in zip(there, here, strict=True):
        assert one[:2] == other[:2]
        assert one[2] == pytest.approx(other[2], rel=0.001, abs=1.0)
