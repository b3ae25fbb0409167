"""Where the processor's time of a plan goes, part by part, beside a turn card and an empty place.

``python -m tests.bench.plan_parts [--rounds R]``, with ``service`` on the path. Processor time of
one process, medians of one run, for the demonstration, a plan among 20,000 dangers and an ocean
route of 200 waypoints. In each round the route lies a little elsewhere, so that nothing is known
from the round before. A part's time is all that is spent in it, what it calls included.
"""

import argparse
import asyncio
import copy
import gc
import statistics
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType
from typing import Any

import httpx
from fastapi import FastAPI

from tests.bench.plot import among
from tests.bench.turn_card import passage
from wheelover.api import create_app
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.core import planning
from wheelover.core.aids import lines
from wheelover.core.types.turn_card import Tried
from wheelover.usecases import plan_route as route_use
from wheelover.usecases.canonical import json_bytes
from wheelover.usecases.demonstration import demonstration
from wheelover.usecases.gather import Gathered
from wheelover.usecases.plan_route import PlanInputs, plan_route
from wheelover.usecases.read_route import read_route_file
from wheelover.usecases.turn_card import turn_card

Document = dict[str, Any]

SAMPLES = Path(__file__).parents[2] / "sample_routes"
DANGERS = 20_000
MOVED_DEG = 1e-7

PARTS: tuple[tuple[ModuleType, str], ...] = (
    (route_use, "make_plan"),
    (planning, "settle"),
    (planning, "lay_track"),
    (planning, "clear"),
    (planning, "inside_corridors"),
    (planning, "swept_turns"),
    (planning, "late_helms"),
    (planning, "on_water"),
    (planning, "cues_of_turns"),
    (planning, "sky_of"),
    (planning, "for_the_bridge"),
    (lines, "index_lines"),
    (lines, "bend_lines"),
    (lines, "clearing_lines"),
    (lines, "transit_lines"),
    (planning, "run_checks"),
    (route_use, "plan_document"),
    (route_use, "layers"),
)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=15, metavar="R")
    rounds = parser.parse_args().rounds
    gc.collect()
    gc.freeze()  # as the service does when it listens
    demo = demonstration(SAMPLES)["request"]
    route = read_route_file((SAMPLES / "ocean-200.csv").read_bytes(), "ocean-200.csv")["route"]
    ocean = {"route": {**route, "name": "ocean"}, "ship": demo["ship"], "limits": demo["limits"]}
    print_parts("the demonstration", demo, rounds)
    print_parts(f"a plan among {DANGERS:,} dangers", among(DANGERS), max(rounds // 5, 3))
    print_parts("an ocean route of 200 waypoints", ocean, max(rounds // 5, 3))
    print_cards(demo, max(rounds // 3, 3))
    asyncio.run(print_requests(demo, rounds))


def moved(request: Document, number: int) -> Document:
    """Return a request whose waypoints lie farther north, each a little."""
    other = copy.deepcopy(request)
    for one in other["route"]["waypoints"]:
        one["lat_deg"] += MOVED_DEG * number
    return other


def inputs_of(request: Document) -> PlanInputs:
    """Return what a plan is made from."""
    return PlanRequest.model_validate(request).to_core(Gathered(inputs=request))


@contextmanager
def timed_parts(spent_s: dict[str, list[float]]) -> Iterator[None]:
    """Note for each part how much it takes of the processor meanwhile."""

    def timed(name: str, part: Callable[..., Any]) -> Callable[..., Any]:
        def whole(*given: Any, **named: Any) -> Any:
            start_s = time.process_time()
            try:
                return part(*given, **named)
            finally:
                spent_s.setdefault(name, []).append(time.process_time() - start_s)

        return whole

    kept = [(module, name, getattr(module, name)) for module, name in PARTS]
    for module, name, part in kept:
        setattr(module, name, timed(name, part))
    try:
        yield
    finally:
        for module, name, part in kept:
            setattr(module, name, part)


def print_parts(what: str, request: Document, rounds: int) -> None:
    """Print what a plan and its parts take."""
    spent_s: dict[str, list[float]] = {}
    whole_s = []
    for number in range(rounds + 2):
        inputs = inputs_of(moved(request, number))
        here_s: dict[str, list[float]] = {}
        start_s = time.process_time()
        with timed_parts(here_s):
            document = plan_route(inputs)
        if number >= 2:
            whole_s.append(time.process_time() - start_s)
            for name, times_s in here_s.items():
                spent_s.setdefault(name, []).append(sum(times_s))
    median_s = statistics.median(whole_s)
    print(f"\n{what}: {1e3 * median_s:.1f} ms, {len(json_bytes(document)) / 1e3:.0f} kB")
    for _, name in PARTS:
        part_s = statistics.median(spent_s.get(name, [0.0]))
        print(f"  {name:18s}{1e3 * part_s:9.1f} ms {100.0 * part_s / median_s:6.1f} %")


def print_cards(demo: Document, rounds: int) -> None:
    """Print what turn cards take beside the plan of the same route."""
    long = passage(30)
    asked = (
        ("a card of the demonstration", demo, demo["route"]["waypoints"][3]["id"], None),
        ("a card of a passage, by rudder", long, "W5", None),
        ("the same by rate", long, "W5", Tried(steering="rate")),
        ("the same by radius", long, "W5", Tried(steering="radius")),
    )
    print("\nturn cards with 200 members, beside the plan of the whole route:")
    for name, request, waypoint_id, tried in asked:
        cards_s, plans_s = [], []
        for number in range(rounds + 1):
            inputs = inputs_of(moved(request, number))
            start_s = time.process_time()
            turn_card(inputs, waypoint_id, tried, 200)
            cards_s.append(time.process_time() - start_s)
            inputs = inputs_of(moved(request, -1 - number))
            start_s = time.process_time()
            plan_route(inputs)
            plans_s.append(time.process_time() - start_s)
        card_s, plan_s = (statistics.median(one[1:]) for one in (cards_s, plans_s))
        print(f"  {name:32s}{1e3 * card_s:8.1f} ms {card_s / plan_s:6.2f} of the plan")


async def print_requests(demo: Document, rounds: int) -> None:
    """Print what a request for a plan takes, its parts outside the plan, and an empty place."""
    nothing = FastAPI()

    @nothing.post("/api/v1/plan")
    def _() -> dict[str, str]:
        return {}

    bodies = [json_bytes(moved(demo, number)) for number in range(rounds + 3)]
    plan_s = await _median_s(create_app(), bodies)
    nothing_s = await _median_s(nothing, bodies)
    print(
        f"\nPOST /api/v1/plan of the demonstration: {1e3 * plan_s:.1f} ms, an empty place "
        f"{1e3 * nothing_s:.2f} ms, {plan_s / nothing_s:.0f} times"
    )
    document = plan_route(inputs_of(demo))
    for name, part in (
        ("validate", lambda: PlanRequest.model_validate(demo)),
        ("to the core", lambda: inputs_of(demo)),
        ("write JSON", lambda: json_bytes(document)),
    ):
        times_s = []
        for _ in range(rounds):
            start_s = time.process_time()
            part()
            times_s.append(time.process_time() - start_s)
        print(f"  {name:18s}{1e3 * statistics.median(times_s):9.2f} ms")


async def _median_s(app: FastAPI, bodies: list[bytes]) -> float:
    """Return the median processor time of requests to an application, in process."""
    headers = {"X-Wheelover": "1", "content-type": "application/json"}
    times_s = []
    async with httpx.AsyncClient(
        transport=httpx.ASGITransport(app=app), base_url="http://127.0.0.1", headers=headers
    ) as client:
        for body in bodies:
            start_s = time.process_time()
            response = await client.post("/api/v1/plan", content=body)
            times_s.append(time.process_time() - start_s)
            if response.status_code != 200:
                raise RuntimeError(response.text)
    return statistics.median(times_s[3:])


if __name__ == "__main__":
    main()
