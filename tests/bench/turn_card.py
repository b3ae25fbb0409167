"""How long a turn card and a passage of thirty simulated turns take, beside an empty place.

``python -m tests.bench.turn_card``: a ship fitted to a circle and a zig-zag, a zig-zag passage
among sixty dangers, everything in process.
"""

import asyncio
import math
import statistics
import time
from typing import Any

import httpx
from fastapi import FastAPI

from tests.core.trial_ships import circle, ship_of, trial_set, zig_zag_trial
from wheelover.api import create_app
from wheelover.core.manoeuvre.fit_papers import fitted_responses
from wheelover.core.manoeuvre.known_ships import CONTAINER_SHIP_280
from wheelover.core.types.trials import ShipPapers
from wheelover.core.units import kn_from_m_per_s
from wheelover.usecases.fit_ship import response_document

TURNS = 30
DANGERS = 60
MEMBERS = 200
_ROUNDS = 9
_LEG_NM = 3.0


def response() -> dict[str, Any]:
    """Return the response of the container ship, as fitted to her trials."""
    force = CONTAINER_SHIP_280
    trials = trial_set(
        circle(force, 35.0), circle(force, -35.0), zig_zags=(zig_zag_trial(force, 10.0),)
    )
    (fitted,) = fitted_responses(ShipPapers(ship=ship_of(force), sets=(trials,)))
    if fitted.response is None:
        raise RuntimeError("the trials gave no response")
    return response_document(fitted.response)


def passage(turns: int) -> dict[str, Any]:
    """Return a plan request with so many turns, each to the other side than the one before it."""
    waypoints, lat_deg, lon_deg = [], 45.0, -30.0
    for index in range(turns + 2):
        waypoints.append(
            {"id": f"W{index}", "lat_deg": lat_deg, "lon_deg": lon_deg, "turn_radius_nm": 0.6}
        )
        course = math.radians(60.0 if index % 2 else 0.0 + index)
        lat_deg += _LEG_NM / 60.0 * math.cos(course)
        lon_deg += _LEG_NM / 60.0 * math.sin(course) / math.cos(math.radians(lat_deg))
    features = [
        {
            "type": "Feature",
            "geometry": {
                "type": "Point",
                "coordinates": [
                    waypoints[1 + number % turns]["lon_deg"] + 0.02 * (1 if number % 2 else -1),
                    waypoints[1 + number % turns]["lat_deg"] + 0.004 * (number % 7 - 3),
                ],
            },
            "properties": {"id": f"d{number}"},
        }
        for number in range(DANGERS)
    ]
    force = CONTAINER_SHIP_280
    return {
        "route": {"name": "bench", "waypoints": waypoints},
        "ship": {
            "name": force.name[:40],
            "loa_m": force.length_m,
            "beam_m": 40.0,
            "draught_fore_m": 13.0,
            "draught_aft_m": 13.0,
            "speed_kn": float(kn_from_m_per_s(force.speed_m_per_s)),
            "response": response(),
        },
        "hazards": {"type": "FeatureCollection", "features": features},
        "limits": {"min_clearance_m": 300.0, "max_off_track_m": 150.0},
    }


async def measure() -> None:
    """Print medians of one run."""
    app = create_app()
    empty = FastAPI()

    @empty.get("/")
    def nothing() -> dict[str, str]:
        """Return nothing."""
        return {}

    plan = passage(TURNS)
    card = {"plan": plan, "waypoint_id": "W5", "member_count": MEMBERS}
    asked: list[tuple[str, FastAPI, str, dict[str, Any] | None]] = [
        ("an empty place", empty, "/", None),
        (f"turn card, window and {MEMBERS} members", app, "/api/v1/turns/card", card),
        (
            "what-if, 50 members",
            app,
            "/api/v1/turns/card",
            {**card, "member_count": 50, "tried": {"speed_kn": 12.0}},
        ),
        (
            "what-if by rate, 50 members",
            app,
            "/api/v1/turns/card",
            {**card, "member_count": 50, "tried": {"steering": "rate"}},
        ),
        (f"plan of {TURNS} turns", app, "/api/v1/plan", plan),
    ]
    times: dict[str, list[float]] = {name: [] for name, *_ in asked}
    for _ in range(_ROUNDS):
        for name, place, path, body in asked:
            times[name].append(await _one_s(place, path, body))
    base = statistics.median(times["an empty place"])
    for name, taken in times.items():
        median = statistics.median(taken)
        print(f"{name:40s}{1e3 * median:9.1f} ms {median / base:8.1f} times an empty place")


async def _one_s(place: FastAPI, path: str, body: dict[str, Any] | None) -> float:
    """Return how long one request takes."""
    transport = httpx.ASGITransport(app=place)
    headers = {"X-Wheelover": "1"}
    async with httpx.AsyncClient(
        transport=transport, base_url="http://127.0.0.1", headers=headers
    ) as client:
        start_s = time.perf_counter()
        answer = await (client.get(path) if body is None else client.post(path, json=body))
        taken_s = time.perf_counter() - start_s
    if answer.status_code != 200:
        raise RuntimeError(answer.text)
    return taken_s


if __name__ == "__main__":
    asyncio.run(measure())
