"""Clearance of a million dangers from 200 waypoints: ours and the peers, side by side in one run.

Shapely's tree with pyproj's geodesics comes twice: once as one would write it, and once with pairs
ranked in the plane first, so that few are left for the geodesics.

``python -m tests.bench.clearance [--hazards N] [--rounds R]``, with ``service`` on the path. Times
are of warm queries against an index that is ready; the peers are given the track ready made. Every
round asks each of them once, in a changing order, so that a slow moment of the machine falls on
all alike. ``postgis+`` is PostGIS with a worker process for each processor, the others are alone.
"""

import argparse
import os
import time
from collections.abc import Callable
from contextlib import ExitStack
from typing import TypeVar

import numpy as np
from psycopg import Connection

from tests.bench import ours, peer_postgis, peer_shapely, scene
from tests.bench.cluster import available, cluster
from tests.bench.hits import Difference, Hits, difference
from tests.bench.plain import plain_track

OURS = "ours"
SHOWN = 5

Ask = Callable[[], Hits]
Made = TypeVar("Made")


def main() -> None:
    """Measure both scenes and print what came out."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hazards", type=int, default=1_000_000, metavar="N")
    parser.add_argument("--rounds", type=int, default=5, metavar="R")
    parser.add_argument("--scene", choices=[one.name for one in scene.SETTINGS])
    asked = parser.parse_args()
    with ExitStack() as stack:
        connection = stack.enter_context(cluster()) if available() else None
        if connection is None:
            print("postgis: NOT MEASURED, PostgreSQL with PostGIS is not installed")
        for setting in scene.SETTINGS:
            if asked.scene in (None, setting.name):
                measure(setting, asked.hazards, asked.rounds, connection)


def measure(setting: scene.Setting, count: int, rounds: int, connection: Connection | None) -> None:
    """Measure one scene and print it."""
    track = scene.track_of(setting)
    lat_deg, lon_deg = scene.point_hazards(setting, track.pieces, count)
    assert track.length_m is not None
    print(
        f"\n{setting.name}: {count:,} dangers, {len(track.legs)} legs and {len(track.turns)} "
        f"turns, {track.length_m / 1852.0:,.1f} NM"
    )
    plain = plain_track(track.pieces)
    index = _timed("ours", lambda: ours.index_of(lat_deg, lon_deg))
    shapely_index = _timed("shapely", lambda: peer_shapely.index_of(lat_deg, lon_deg))
    asks: dict[str, Ask] = {
        OURS: lambda: ours.ours(track.pieces, index),
        "shapely": lambda: peer_shapely.query_all(plain, shapely_index),
        "shapely, ranked": lambda: peer_shapely.query(plain, shapely_index),
    }
    if connection is not None:
        _timed("postgis", lambda: peer_postgis.load_hazards(connection, lat_deg, lon_deg))
        peer_postgis.load_track(connection, plain)
        asks["postgis"] = lambda: peer_postgis.query(connection)
        asks["postgis+"] = lambda: peer_postgis.query(connection, os.cpu_count() or 1)
    answers = {name: ask() for name, ask in asks.items()}
    _print_times(_times_s(asks, rounds))
    for name, answer in answers.items():
        if name != OURS:
            _print_difference(name, difference(answers[OURS], answer))


def _timed(name: str, make: Callable[[], Made]) -> Made:
    """Return what is made, and print how long that took."""
    start_s = time.perf_counter()
    made = make()
    print(f"  {name} made ready in {time.perf_counter() - start_s:.2f} s")
    return made


def _times_s(asks: dict[str, Ask], rounds: int) -> dict[str, list[float]]:
    """Return the times of every round of each; the first to be asked changes with the round."""
    names = list(asks)
    times_s: dict[str, list[float]] = {name: [] for name in names}
    for number in range(rounds):
        first = number % len(names)
        for name in names[first:] + names[:first]:
            start_s = time.perf_counter()
            asks[name]()
            times_s[name].append(time.perf_counter() - start_s)
    return times_s


def _print_times(times_s: dict[str, list[float]]) -> None:
    """Print medians, ranges, and how many times our time each of the others takes."""
    ours_s = np.array(times_s[OURS])
    print(
        "  query             median s    least s     most s   times ours (median of rounds, range)"
    )
    for name, each in times_s.items():
        each_s = np.array(each)
        ratio = each_s / ours_s
        print(
            f"  {name:15s} {np.median(each_s):10.4f} {each_s.min():10.4f} {each_s.max():10.4f}"
            f"   {np.median(ratio):8.3f}  ({ratio.min():.3f} to {ratio.max():.3f})"
        )


def _print_difference(name: str, found: Difference) -> None:
    """Print which hits differ, and the distances that differ most."""
    print(
        f"  ours and {name}: {found.hazard.size:,} hits in common, "
        f"{found.only_ours.hazard.size} only ours, {found.only_theirs.hazard.size} only {name}; "
        f"worst difference of distance {found.worst_m:.3g} m"
    )
    for whose, hits in (("ours", found.only_ours), (name, found.only_theirs)):
        for hazard, distance_m in zip(hits.hazard, hits.distance_m, strict=True):
            print(f"    only {whose}: danger {hazard} at {distance_m:.9f} m")
    for row in range(min(SHOWN, found.hazard.size)):
        print(
            f"    danger {found.hazard[row]}: ours {found.ours_m[row]:.9f} m, "
            f"{name} {found.theirs_m[row]:.9f} m"
        )


if __name__ == "__main__":
    main()
