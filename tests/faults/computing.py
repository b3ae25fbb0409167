"""Many plans computed in a process of its own; it prints the digest of each (F21).

``python -m tests.faults.computing FIRST AFTER WORKERS SEED``: the plans from FIRST up to AFTER, by
so many threads at once, their dangers in an order of chance; with SEED 0 as they stand.

What says in which order the dangers came in is not compared: the digest of the inputs, and the
order of what is drawn of them.
"""

import copy
import hashlib
import random
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import rfc8785

from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.usecases.demonstration import demonstration
from wheelover.usecases.gather import Gathered
from wheelover.usecases.plan_route import plan_route

ROOT = Path(__file__).parents[2]
_NEAR_COUNT = 40
_APART_DEG = 0.05


def request_of(number: int, seed: int) -> dict[str, Any]:
    """Return the demonstration elsewhere, among dangers of chance, two of them in one place."""
    request = copy.deepcopy(demonstration(ROOT / "sample_routes")["request"])
    request.pop("demonstration")
    chance = random.Random(number)  # noqa: S311  the same plans in every process
    shift_deg = chance.uniform(-100.0, 25.0)
    waypoints = request["route"]["waypoints"]
    for waypoint in waypoints:
        waypoint["lat_deg"] += shift_deg
    features = request["hazards"]["features"]
    for index in range(_NEAR_COUNT):
        near = chance.choice(waypoints)
        place = [near[name] + chance.gauss(0.0, _APART_DEG) for name in ("lon_deg", "lat_deg")]
        features.append(_danger(f"near-{index}", place))
    features.append(_danger("beside-it", features[-1]["geometry"]["coordinates"]))
    if seed:
        random.Random(seed * 1000 + number).shuffle(features)  # noqa: S311
    return request


def _danger(name: str, place: list[float]) -> dict[str, Any]:
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": list(place)},
        "properties": {"id": name, "name": name, "kind": "rock", "min_clearance_m": 300.0},
    }


def in_order(document: dict[str, Any]) -> dict[str, Any]:
    """Return a document without the order in which its dangers came in."""
    layers = {**document["layers"], "inputs_sha256": ""}
    layers["features"] = sorted(layers["features"], key=rfc8785.dumps)
    return {**document, "inputs_sha256": "", "layers": layers}


def digest(number: int, seed: int) -> str:
    """Return the digest of a plan."""
    request = request_of(number, seed)
    inputs = PlanRequest.model_validate(request).to_core(Gathered(inputs=request))
    return hashlib.sha256(rfc8785.dumps(in_order(plan_route(inputs)))).hexdigest()


def main() -> None:
    """Print the digests, in the order of the plans."""
    first, after, workers, seed = map(int, sys.argv[1:5])
    with ThreadPoolExecutor(workers) as pool:
        for found in pool.map(lambda number: digest(number, seed), range(first, after)):
            print(found)


if __name__ == "__main__":
    main()
