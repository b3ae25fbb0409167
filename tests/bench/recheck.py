"""One waypoint of 200 moved among a million mixed dangers: what checking it again costs.

``python -m tests.bench.recheck [--hazards N] [--rounds R] [--scene NAME]``, with ``service`` on the
path. Milliseconds of processor and by the clock, median and 95th percentile over moves of twenty
waypoints. ``whole`` is the whole track for comparison; ``track`` the rows of the pieces that
changed, those of the whole computation, and of each piece the danger that counts most, which is
what a dragged waypoint is answered with; ``all told`` with infringements, places and all else that
is made when it is read; ``corridors`` those of its two legs; ``hull`` that of its three turns,
simulated anew beforehand.

On a shared machine of 2 processors, processor time, median and 95th percentile:

- ocean, 7 pieces moved of 397, 268 rows: track 1.8 and 2.2, all told 2.6 and 2.9, corridors 0.9 and
  1.0, hull 1.4 and 2.1 (2.3 in another run); the whole track 47. In the same hour the version of a
  day before took 2.3 for the track, 3.1 all told; earlier it was 11 to 14, when pieces beside the
  moved ones were measured again for their sake: now the rows of all are kept.

On a machine that does other work all of it takes up to 1.6 times as long. Of the 1.8 ms the
compiled loops that look at dangers take some 0.5; the rest is what calls of Python and numpy cost
however few rows there are.
"""

import argparse
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from tests.bench import mixed, scene
from wheelover.core.clearance.corridors import inside_corridors
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.clearance.recheck import Checked, recheck
from wheelover.core.moved import Base, Moved, moved_waypoint
from wheelover.core.turns.compare import simulated_row
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.route import LegWishes, Position, Route

_STEP_DEG = 0.003


def base_of(setting: scene.Setting, job: mixed.Job) -> Base:
    """Return the scene as a plan that stands."""
    wishes = LegWishes(
        xtd_port_nm=scene.XTD_NM[setting.name], xtd_starboard_nm=scene.XTD_NM[setting.name]
    )
    route = scene.route_of(setting)
    first, *others = route.waypoints
    waypoints = (first, *(replace(one, leg=wishes) for one in others))
    return Base(
        route=Route(name=setting.name, waypoints=waypoints),
        ship=scene.SHIP,
        conditions=Conditions(),
        chart=Chart(loaded=True, hazards=job.hazards),
        track=job.track,
        checked=Checked(job.track.pieces, job.hazards, mixed.LIMITS),
    )


def hull_of(job: mixed.Job, moved: Moved) -> None:
    """Sweep the hull through the turns that changed."""
    legs = {one.from_index: one for one in job.track.legs}
    legs |= {one.from_index: one for one in moved.legs}
    runs = []
    for turn in moved.turns:
        row, place = simulated_row(turn.wheel_overs), turn.planned.position
        if row is None or row.manoeuvre is None or place is None:
            continue
        beside = legs[turn.waypoint_index - 1], legs[turn.waypoint_index]
        motion = row.manoeuvre.motion
        runs.append(mixed.Run(turn=turn.index, motion=motion, place=place, beside=beside))
    mixed.hull_of(job, runs)


def main() -> None:
    """Measure both scenes and print what came out."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hazards", type=int, default=1_000_000, metavar="N")
    parser.add_argument("--rounds", type=int, default=3, metavar="R")
    parser.add_argument("--scene", choices=[one.name for one in scene.SETTINGS])
    asked = parser.parse_args()
    for setting in scene.SETTINGS:
        if asked.scene in (None, setting.name):
            measure(setting, asked.hazards, asked.rounds)


def measure(setting: scene.Setting, count: int, rounds: int) -> None:
    """Measure one scene and print it."""
    job = mixed.job_of(setting, count)
    base = base_of(setting, job)
    moves = []
    for index in range(5, scene.WAYPOINT_COUNT - 5, 10):
        one = base.route.waypoints[index]
        place = Position(lat_deg=one.lat_deg + _STEP_DEG, lon_deg=one.lon_deg)
        moves.append(moved_waypoint(base, index, place))
    print(f"\n{setting.name}: {count:,} dangers, {len(moves)} waypoints moved")
    again = [recheck(base.checked, one.again.pieces) for one in moves]
    print(
        f"  pieces moved {np.median([one.moved.sum() for one in again]):.0f} of "
        f"{len(job.track.pieces)}; rows {np.median([len(one.local.rows) for one in again]):.0f}"
    )

    def pieces_of(one: Moved) -> tuple[TrackPiece, ...]:
        return one.again.pieces

    asks: dict[str, Callable[[Moved], object]] = {
        "track": lambda one: len(recheck(base.checked, pieces_of(one)).local.least),
        "all told": lambda one: mixed.read_whole(recheck(base.checked, pieces_of(one)).local),
        "corridors": lambda one: inside_corridors(one.legs[1:3], job.hazards, mixed.LIMITS),
        "hull": lambda one: hull_of(job, one),
    }
    for name, ask in asks.items():
        _print(name, [ask] * rounds, moves)
    _print("whole track", [lambda _: mixed.track_of(job)] * rounds, moves[:1])


def _print(name: str, asks: list[Callable[[Moved], object]], moves: list[Moved]) -> None:
    """Print what asking takes, after each was asked once."""
    wall_s, cpu_s = [], []
    asks[0](moves[0])
    for ask in asks:
        for one in moves:
            cpu, wall = time.process_time(), time.perf_counter()
            ask(one)
            cpu_s.append(time.process_time() - cpu)
            wall_s.append(time.perf_counter() - wall)
    (cpu_ms, cpu_most_ms), (wall_ms, wall_most_ms) = (
        (1e3 * np.quantile(one, [0.5, 0.95])).tolist() for one in (cpu_s, wall_s)
    )
    print(
        f"  {name:12} processor {cpu_ms:7.1f} ms, 95th percentile {cpu_most_ms:7.1f};  "
        f"by the clock {wall_ms:7.1f} and {wall_most_ms:7.1f}"
    )


if __name__ == "__main__":
    main()
