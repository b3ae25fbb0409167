"""A plan by JSON: where the time goes with 100,000 dangers, and what the demonstration costs.

``python -m tests.bench.plan_by_json [--hazards N] [--rounds R]``, with ``service`` on the path. All
in process: stages called one by one, and whole requests through the application without a socket,
beside an application whose one place does nothing.
"""

import argparse
import asyncio
import json
import statistics
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
from fastapi import FastAPI

from tests.bench import scene
from wheelover.api import create_app
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.core.planning import make_plan
from wheelover.formats.strict_json import read_json
from wheelover.render.document import plan_document
from wheelover.render.layers import layers
from wheelover.usecases.canonical import json_bytes
from wheelover.usecases.demonstration import demonstration
from wheelover.usecases.gather import Gathered
from wheelover.usecases.plan_route import inputs_sha256

SAMPLES = Path(__file__).parents[2] / "sample_routes"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hazards", type=int, default=100_000, metavar="N")
    parser.add_argument("--rounds", type=int, default=5, metavar="R")
    asked = parser.parse_args()
    for setting in scene.SETTINGS:
        _print_stages(setting, asked.hazards, asked.rounds)
    asyncio.run(_print_demonstration(20 * asked.rounds))


def request_of(setting: scene.Setting, count: int) -> bytes:
    """Return a plan request of a scene with so many point dangers in its body."""
    track = scene.track_of(setting)
    route = scene.route_of(setting)
    lat_deg, lon_deg = scene.point_hazards(setting, track.pieces, count)
    waypoints = [
        {
            "id": one.id,
            "lat_deg": one.lat_deg,
            "lon_deg": one.lon_deg,
            "turn_radius_nm": one.turn_radius_nm,
        }
        for one in route.waypoints
    ]
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [lon, lat]},
            "properties": {"id": f"H{number}", "name": f"Rock {number}", "kind": "rock"},
        }
        for number, (lat, lon) in enumerate(zip(lat_deg.tolist(), lon_deg.tolist(), strict=True))
    ]
    body = {
        "route": {"name": setting.name, "waypoints": waypoints},
        "hazards": {"type": "FeatureCollection", "features": features},
        "limits": {"min_clearance_m": 50.0},
    }
    return json.dumps(body).encode()


def _print_stages(setting: scene.Setting, count: int, rounds: int) -> None:
    """Print the median time of each stage of one plan."""
    raw = request_of(setting, count)
    stages: dict[str, list[float]] = {}

    def timed(name: str, make: Callable[[], Any]) -> Any:
        start_s = time.perf_counter()
        made = make()
        stages.setdefault(name, []).append(time.perf_counter() - start_s)
        return made

    for _ in range(rounds):
        value = timed("read JSON", lambda: read_json(raw))
        request = timed("validate", lambda value=value: PlanRequest.model_validate(value))
        inputs = timed("to the core", lambda v=value, r=request: r.to_core(Gathered(inputs=v)))
        five = (inputs.route, inputs.ship, inputs.chart, inputs.conditions, inputs.limits)
        plan = timed("plan", lambda five=five: make_plan(*five))
        timed("digest", lambda inputs=inputs: inputs_sha256(inputs.as_given))
        chart = inputs.chart
        document = timed("document", lambda p=plan, c=chart: plan_document(p, c))
        drawn = timed("layers", lambda p=plan, c=chart: layers(p, c, {}))
        text = timed("write JSON", lambda d=document, v=drawn: json_bytes({**d, "layers": v}))
    medians_s = {name: statistics.median(times_s) for name, times_s in stages.items()}
    total_s = sum(medians_s.values())
    print(
        f"\n{setting.name}, {count:,} dangers in {len(raw) / 1e6:.1f} MB; answer with "
        f"{len(document['clearances']):,} rows in {len(text) / 1e6:.1f} MB: {total_s:.2f} s"
    )
    for name, median_s in medians_s.items():
        print(f"  {name:12s} {1e3 * median_s:8.1f} ms  {100.0 * median_s / total_s:5.1f} %")


async def _print_demonstration(rounds: int) -> None:
    """Print what a plan of the demonstration takes beside a request that does nothing."""
    nothing = FastAPI()

    @nothing.post("/api/v1/plan")
    def _() -> dict[str, str]:
        return {}

    body = json_bytes(demonstration(SAMPLES)["request"])
    plan_s = await _median_s(create_app(), body, rounds)
    nothing_s = await _median_s(nothing, body, rounds)
    print(
        f"\nthe demonstration by POST /api/v1/plan: median {1e3 * plan_s:.1f} ms, an empty "
        f"place {1e3 * nothing_s:.2f} ms, {plan_s / nothing_s:.0f} times"
    )


async def _median_s(app: FastAPI, body: bytes, rounds: int) -> float:
    """Return the median time of a request to an application, in process."""
    headers = {"X-Wheelover": "1", "content-type": "application/json"}
    transport = httpx.ASGITransport(app=app)
    times_s = []
    async with httpx.AsyncClient(
        transport=transport, base_url="http://127.0.0.1", headers=headers
    ) as client:
        for number in range(rounds + 3):
            start_s = time.perf_counter()
            response = await client.post("/api/v1/plan", content=body)
            assert response.status_code == 200, response.text
            if number >= 3:
                times_s.append(time.perf_counter() - start_s)
    return statistics.median(times_s)


if __name__ == "__main__":
    main()
