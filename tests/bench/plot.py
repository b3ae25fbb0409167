"""The Plot with many dangers in view: how long a frame takes while it is panned by the mouse.

``python -m tests.bench.plot [--dangers N] [--moves M]``, with ``service`` on the path. A stored set
of mixed dangers lies about a short route, all of it in view. The mouse drags the Plot to and fro in
Chromium without a head or a graphics processor, so every pixel is made by the processor. The times
are those between ``requestAnimationFrame`` calls, of frames in which the Plot had moved. Also said:
how long the page takes from asking for the plan until the dangers are on the canvas, and what came
over the link.
"""

import argparse
import json
import math
import random
import statistics
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

from tests.browser.conftest import CHROMIUM, FLAGS
from tests.browser.service import SHIP, ask, waypoint
from tests.running import running

Document = dict[str, Any]

WEST_DEG, SOUTH_DEG, WIDE_DEG, HIGH_DEG = -30.4, 46.85, 0.9, 0.45
SIZE = {"width": 1400, "height": 900}
STROKE_PX, STEP_PX = 480, 12

_WATCH = """() => {
  const pane = document.querySelector('.leaflet-map-pane');
  let [last, where] = [performance.now(), pane.style.transform];
  window.frames_ms = [];
  const frame = (now) => {
    if (pane.style.transform !== where) window.frames_ms.push(now - last);
    [last, where] = [now, pane.style.transform];
    window.watching = requestAnimationFrame(frame);
  };
  window.watching = requestAnimationFrame(frame);
}"""
_STOP = "() => { cancelAnimationFrame(window.watching); return window.frames_ms; }"


def dangers(count: int, seed: int = 5) -> Document:
    """Return mixed dangers: of ten, six points, two soundings, a line and an area."""
    rng = random.Random(seed)  # noqa: S311  a scene, not a secret
    return {
        "type": "FeatureCollection",
        "features": [_danger(rng, index) for index in range(count)],
    }


def _danger(rng: random.Random, index: int) -> Document:
    """Return one danger of the scene."""
    lon_deg = round(WEST_DEG + rng.random() * WIDE_DEG, 7)
    lat_deg = round(SOUTH_DEG + rng.random() * HIGH_DEG, 7)
    kind = ("rock", "wreck", "rock", "obstruction", "rock", "buoy", "sounding", "sounding")
    which = index % 10
    properties: Document = {"id": f"d{index}", "name": f"danger {index}"}
    if which < len(kind):
        geometry: Document = {"type": "Point", "coordinates": [lon_deg, lat_deg]}
        properties |= {"kind": kind[which], "depth_m": round(rng.uniform(-1.0, 20.0), 1)}
    else:
        ring = _ring(rng, lon_deg, lat_deg)
        whole = which == len(kind) + 1
        properties["kind"] = "shoal" if whole else "cable"
        geometry = (
            {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}
            if whole
            else {"type": "LineString", "coordinates": ring[:6]}
        )
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def _ring(rng: random.Random, lon_deg: float, lat_deg: float) -> list[list[float]]:
    """Return a ring of twelve corners about a point, half a cable to three across."""
    radius_deg = rng.uniform(0.05, 0.3) / 60.0
    angles = [2.0 * math.pi * corner / 12 for corner in range(12)]
    return [
        [
            round(lon_deg + radius_deg * 1.4 * math.cos(angle) * rng.uniform(0.6, 1.0), 7),
            round(lat_deg + radius_deg * math.sin(angle) * rng.uniform(0.6, 1.0), 7),
        ]
        for angle in angles
    ]


def among(count: int) -> Document:
    """Return the inputs of a plan of a short route among ``count`` dangers, which it holds."""
    places = [(46.9, -30.35), (46.98, -30.1), (47.05, -29.9), (47.2, -29.7), (47.27, -29.55)]
    return {
        "route": {
            "name": "bench",
            "waypoints": [waypoint(f"B{i}", *place) for i, place in enumerate(places)],
        },
        "ship": SHIP,
        "limits": {"min_clearance_m": 100.0},
        "hazards": dangers(count),
    }


def plan_among(server: str, count: int) -> str:
    """Store a set of ``count`` dangers and a short route among them, and return the plan's id."""
    plan = among(count)
    kept = ask(server, "POST", "/hazard-sets", {"name": "bench", "hazards": plan.pop("hazards")})
    plan["hazard_set_ids"] = [kept["id"]]
    plan["hazard_set_editions"] = {kept["id"]: 1}
    return str(ask(server, "POST", "/plans", plan)["id"])


def pan(page: Page, moves: int) -> list[float]:
    """Drag the Plot to and fro by the mouse and return the time of each frame meanwhile, in ms."""
    box = page.get_by_test_id("plot").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2.0, box["y"] + box["height"] / 2.0
    page.mouse.move(x, y)
    page.evaluate(_WATCH)
    page.mouse.down()
    strokes = STROKE_PX // STEP_PX
    for move in range(moves):
        along, back = move % strokes, (move // strokes) % 2
        by = (strokes - along if back else along) * STEP_PX - STROKE_PX // 2
        page.mouse.move(x + by, y + by / 2.0)
    page.mouse.up()
    frames_ms: list[float] = page.evaluate(_STOP)
    return frames_ms


def opened(page: Page, address: str, count: int) -> float:
    """Open a plan and return the time until all its dangers are drawn, in ms."""
    start_s = time.perf_counter()
    page.goto(address)
    page.locator(f'[data-testid="dangers-canvas"][data-total="{count}"]').wait_for(
        state="attached", timeout=120_000
    )
    return 1e3 * (time.perf_counter() - start_s)


def measure(count: int, moves: int) -> None:
    """Print the frames of a pan at three scales."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        address = f"sqlite:///{Path(folder) / 'bench.sqlite3'}"
        with running(address) as server:
            plan_id = plan_among(server, count)
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            page = browser.new_page(viewport=SIZE)
            shown_ms = opened(page, f"{server}/plans/{plan_id}", count)
            page.wait_for_load_state("networkidle")
            computed = page.evaluate(
                "performance.getEntriesByType('resource')"
                ".filter(one => /computed|editions|hazards/.test(one.name))"
                ".map(one => [one.name.replace(/.*v1/, ''), one.transferSize,"
                " Math.round(one.duration)])"
            )
            print(f"{count:,} dangers, on the canvas after {shown_ms:,.0f} ms")
            print(json.dumps(computed))
            for clicks in range(3):
                page.wait_for_timeout(500)
                _report(pan(page, moves), f"whole route and {clicks} steps nearer")
                page.locator(".leaflet-control-zoom-in").click()
            browser.close()


def _report(frames_ms: list[float], words: str) -> None:
    """Print one row of frames."""
    in_order = sorted(frames_ms)
    late = sum(one > 33.0 for one in frames_ms)
    print(
        f"  {words}: {len(frames_ms)} frames, median {statistics.median(frames_ms):.1f} ms, "
        f"95 of 100 below {in_order[int(0.95 * len(in_order))]:.1f} ms, "
        f"longest {in_order[-1]:.1f} ms, {late} over 33 ms"
    )


def main() -> None:
    """Measure what was asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--dangers", type=int, default=20_000, metavar="N")
    parser.add_argument("--moves", type=int, default=400, metavar="M")
    given = parser.parse_args()
    measure(given.dangers, given.moves)


if __name__ == "__main__":
    main()
