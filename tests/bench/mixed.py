"""A route of 200 waypoints against a million mixed dangers, with swept hull and corridors.

``python -m tests.bench.mixed [--hazards N] [--rounds R] [--scene NAME]``, with ``service`` on the
path. The job has three questions, each put to us and to PostGIS in turn in every round:

- track: every danger within 2 NM of the planned track with its least distance (and of ours its
  limit, side and nearest places, infringements, and what is told of each leg and turn);
- corridor: which dangers lie within the cross-track limit of each leg, waypoint to waypoint;
- swept: every danger within 2 NM of the hull in each simulated turn, and the strips of the legs.

Times are wall clock of warm queries; ``cpu`` is what the process that answers used of a processor,
which says more on a machine that does other work. Ratios are of the same round.

What the figures mean:

- ``times ours``: wall clock of the peer over ours in the same round, the median of rounds with
  least and most; ``cpu`` is the same of processor time;
- ``our index``: what is made once of the dangers, and how much more memory the process holds after
  the first answer; the peer's table and index are what it keeps on disk and in its buffers;
- ``one waypoint moved``: four legs, three turns and two corridors looked at again in all dangers;
- ``only ours`` and ``only the peer's``: rows that one alone has; differences of distance come from
  the peer's chords (``peer_postgis.CHORD_ERROR_M``), its great circles and feet on a sphere, and
  beside the swept hull from the allowance by which ours is never too far.

On a shared machine of 2 processors with little else to do, processor time, medians of three rounds,
the peer alone and without helpers; of ours all is read that is made when it is read:

- ocean, 1,000,000 dangers: ours 92 ms, the peer 2.77 s: 29.7 times (range 23.2 to 31.3); track 52
  ms and 31.7 times, corridor 17 and 29.1, swept 24 and 25.6. Equal rows: 13,179, 3,683 and 2,600;
  worst 0.11 m. Earlier: 2.5, 5.4 and 20 times;
- coastal, 100,000 dangers: ours 0.56 s, the peer 12.2 s: 23.9 times (21.6 to 25.7); track 116 ms
  and 39.1 times, corridor 17 and 4.7, swept 423 and 21.3. Equal rows: 16,949, 2,654 and 42,453;
- coastal, 1,000,000 dangers, one round: ours 3.9 s, the peer 105 s: 26.8 times; track 0.67 s and
  42.5 times, corridor 0.07 and 7.7, swept 3.2 and 23.9;
- memory of the ocean's million: 236 MB held more; the peer's table 83 MB and index 73 MB;
- one waypoint moved among a million: ``recheck``.

Of the ocean's track some 30 per cent are places on it and what is told of each leg and turn, made
when it is read; of the hull a third is pyproj's: 6,000 places into the planes of the turns and
5,200 onto the chart.
"""

import argparse
import gc
import os
import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from psycopg import Connection

from tests.bench import peer_postgis, peer_postgis_mixed, scene
from tests.bench.cluster import available, cluster
from tests.bench.hits import SEARCH_M, Difference, Hits, difference
from tests.bench.peer_postgis_mixed import Pairs
from tests.bench.plain import PlainLegs, plain_track
from wheelover.core.clearance.corridors import beside_legs, inside_corridors
from wheelover.core.clearance.index import located
from wheelover.core.clearance.whole import clear
from wheelover.core.legs import points_along
from wheelover.core.sweep.hull import hull_box_m
from wheelover.core.sweep.near import hulls_clearances
from wheelover.core.sweep.of_turns import legs_beside, run_from, swept_legs
from wheelover.core.sweep.strip import swept_strip
from wheelover.core.track import Track
from wheelover.core.turns.compare import simulated_row
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import Clearances, Corridors
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position
from wheelover.core.types.sweep import HullClearances
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import NM_M

LIMITS = Limits(min_clearance_m=200.0)
PARTS = ("track", "corridor", "swept")
SHOWN = 5
_TICK_S = 1.0 / os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A simulated turn: its number, its motion, where helm is given, the legs beside it."""

    turn: int
    motion: Motion
    place: Position
    beside: tuple[PlannedLeg, PlannedLeg]


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """The route laid and simulated, and the dangers: what all questions are about."""

    track: Track
    runs: tuple[Run, ...]
    hazards: Hazards


def job_of(setting: scene.Setting, count: int) -> Job:
    """Return the job of a scene with so many dangers."""
    track = scene.sailed_track_of(setting)
    return Job(
        track=track,
        runs=tuple(runs_of(track)),
        hazards=scene.mixed_hazards(setting, track.pieces, count),
    )


def runs_of(track: Track) -> list[Run]:
    """Return the simulated turns of a track.

    Raises
    ------
    ValueError
        Where a turn is not simulated: the scene would not be what it says.
    """
    beside = legs_beside(track.legs)
    runs = []
    for turn in track.turns:
        row, place = simulated_row(turn.wheel_overs), turn.planned.position
        if row is None or row.manoeuvre is None or place is None:
            raise ValueError(f"turn {turn.index} is not simulated")
        runs.append(
            Run(
                turn=turn.index,
                motion=row.manoeuvre.motion,
                place=place,
                beside=beside[turn.waypoint_index],
            )
        )
    return runs


def track_of(job: Job) -> Clearances:
    """Return what the track clears, with all that is made when it is read."""
    found = clear(job.track.pieces, job.hazards, LIMITS)
    read_whole(found)
    return found


def read_whole(found: Clearances) -> int:
    """Read all that is made when it is read; return how much there is."""
    told = (found.infringements, found.least, found.near, found.sides)
    return found.rows.nearest.lat_deg.size + sum(map(len, told))


def corridors_of(job: Job) -> Corridors:
    """Return what lies inside the corridors."""
    return inside_corridors(job.track.legs, job.hazards, LIMITS)


def swept_of(job: Job, least: Clearances) -> list[HullClearances]:
    """Return what the hull sweeps in each turn; the strips of the legs are reckoned as well."""
    least_m = {one.piece.index: one.clearance_m for one in least.least if one.piece.kind == "leg"}
    swept_legs(job.track.legs, scene.SHIP, least_m)
    return hull_of(job, job.runs)


def hull_of(job: Job, runs: Sequence[Run]) -> list[HullClearances]:
    """Return how near the hull comes to the dangers on some runs."""
    asked = [run_from(one.motion, one.place, one.beside) for one in runs]
    return hulls_clearances(asked, scene.SHIP.loa_m, scene.SHIP.beam_m, job.hazards, LIMITS)


MOVED = 100
"""The waypoint that is moved, by its number."""


def moved_of(job: Job) -> tuple[Clearances, Corridors, list[HullClearances]]:
    """Return what must be looked at again when one waypoint is moved: all that it touches.

    Its two legs turn, so both turns at their other ends change, and with them how far the legs
    beyond go: four legs and three turns.
    """
    track = job.track
    legs = tuple(one for one in track.legs if MOVED - 2 <= one.from_index <= MOVED + 1)
    turns = {one.index for one in track.turns if abs(one.waypoint_index - MOVED) <= 1}
    numbers = {"leg": {one.index for one in legs}, "turn": turns}
    pieces = tuple(one for one in track.pieces if one.piece.index in numbers[one.piece.kind])
    return (
        clear(pieces, job.hazards, LIMITS),
        inside_corridors(legs[1:3], job.hazards, LIMITS),
        hull_of(job, [run for run in job.runs if run.turn in turns]),
    )


def hits_of(found: Clearances) -> Hits:
    """Return the dangers within the searched distance of the track."""
    rows = found.rows
    near = np.flatnonzero(rows.distance_m <= SEARCH_M)
    order = near[np.argsort(rows.hazard[near])]
    return Hits(hazard=rows.hazard[order], distance_m=rows.distance_m[order])


def corridor_pairs(job: Job) -> Pairs:
    """Return the pairs of leg and danger behind what ``corridors_of`` counts."""
    legs, passing = beside_legs(job.track.legs, job.hazards, LIMITS)
    half_m = half_widths_m(job.track.legs)
    assert len(legs) == half_m.size
    rows = np.flatnonzero(passing.distance_m <= half_m[passing.piece])
    order = rows[np.lexsort((passing.distance_m[rows], passing.hazard[rows], passing.piece[rows]))]
    key = passing.piece[order] * job.hazards.count + passing.hazard[order]
    first = order[np.append(True, np.diff(key) != 0)[: order.size]]
    return Pairs(
        about=passing.piece[first],
        hazard=passing.hazard[first],
        distance_m=passing.distance_m[first],
    )


def half_widths_m(legs: tuple[PlannedLeg, ...]) -> np.ndarray:
    """Return half the width of the corridor of each leg."""
    return np.array(
        [NM_M * max(one.xtd_port_nm or 0.0, one.xtd_starboard_nm or 0.0) for one in legs]
    )


def swept_pairs(job: Job, found: list[HullClearances]) -> Pairs:
    """Return the pairs of turn and danger within the searched distance."""
    turn = np.repeat([run.turn for run in job.runs], [len(one) for one in found])
    hazard = np.concatenate([one.hazard for one in found])
    distance_m = np.concatenate([one.distance_m for one in found])
    near = distance_m <= SEARCH_M
    return Pairs(about=turn[near], hazard=hazard[near], distance_m=distance_m[near])


def as_hits(pairs: Pairs, count: int) -> Hits:
    """Return pairs as hits of one number each, so that two answers can be compared."""
    key = pairs.about * count + pairs.hazard
    order = np.argsort(key)
    return Hits(hazard=key[order], distance_m=pairs.distance_m[order])


def load(connection: Connection, job: Job) -> None:
    """Load everything that the peer is asked about."""
    peer_postgis_mixed.load_hazards(connection, job.hazards)
    peer_postgis.load_track(connection, plain_track(job.track.pieces))
    ends = []
    for leg in job.track.legs:
        assert leg.path is not None
        lat, lon, course = points_along(leg.path, [0.0, leg.length_m])
        ends.append((lat[0], lon[0], lat[1], lon[1], course[0]))
    columns = np.array(ends).T.copy()
    names = ("from_lat_deg", "from_lon_deg", "to_lat_deg", "to_lon_deg", "course_deg")
    peer_postgis_mixed.load_corridors(
        connection,
        PlainLegs(**dict(zip(names, columns, strict=True))),
        half_widths_m(job.track.legs),
    )
    box_m = hull_box_m(scene.SHIP.loa_m, scene.SHIP.beam_m)
    peer_postgis_mixed.load_strips(
        connection,
        np.array([run.turn for run in job.runs]),
        [swept_strip(run.motion, run.place, box_m) for run in job.runs],
    )


def differences(connection: Connection, job: Job) -> dict[str, Difference]:
    """Return what ours and the peer do not agree on, part by part."""
    count, least = job.hazards.count, track_of(job)
    return {
        "track": difference(hits_of(least), peer_postgis.query(connection)),
        "corridor": difference(
            as_hits(corridor_pairs(job), count),
            as_hits(peer_postgis_mixed.corridors(connection), count),
        ),
        "swept": difference(
            as_hits(swept_pairs(job, swept_of(job, least)), count),
            as_hits(peer_postgis_mixed.strips(connection), count),
        ),
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Took:
    """Wall clock and processor time of one answer."""

    wall_s: float
    cpu_s: float


def took(ask: Callable[[], object], cpu_s: Callable[[], float]) -> Took:
    """Return what an answer takes."""
    gc.collect()
    before_s, start_s = cpu_s(), time.perf_counter()
    ask()
    wall_s = time.perf_counter() - start_s
    return Took(wall_s=wall_s, cpu_s=cpu_s() - before_s)


def cpu_of(pid: int) -> float:
    """Return what a process has used of processors, in ticks of a hundredth of a second."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) * _TICK_S


def resident_bytes() -> int:
    """Return how much memory this process holds."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE")


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
    load_1m, _, _ = os.getloadavg()
    job = job_of(setting, count)
    print(
        f"\n{setting.name}: {count:,} dangers, {len(job.track.legs)} legs, {len(job.runs)} turns; "
        f"load {load_1m:.1f} on {os.cpu_count()} processors"
    )
    gc.collect()
    before_bytes = resident_bytes()
    made = took(lambda: located(job.hazards), time.process_time)
    track_of(job)
    print(
        f"  our index: {made.wall_s:.2f} s (cpu {made.cpu_s:.2f}), "
        f"{(resident_bytes() - before_bytes) / 1e6:.0f} MB more held after the first answer"
    )
    again = [took(lambda: moved_of(job), time.process_time) for _ in range(rounds + 1)][1:]
    wall_ms, cpu_ms = (1e3 * np.median([[one.wall_s, one.cpu_s] for one in again], axis=0)).tolist()
    print(f"  one waypoint moved, checked again: {wall_ms:.1f} ms (cpu {cpu_ms:.1f} ms)")
    if connection is not None:
        load(connection, job)
        table, index = peer_postgis_mixed.sizes_bytes(connection)
        print(f"  the peer's table {table / 1e6:.0f} MB, its index {index / 1e6:.0f} MB")
    _print_times(_times(job, rounds, connection))
    if connection is not None:
        for part, found in differences(connection, job).items():
            _print_difference(part, found, count)


def _times(job: Job, rounds: int, connection: Connection | None) -> dict[str, list[list[Took]]]:
    """Return for ours and the peer what each part took in every round."""
    least = track_of(job)
    asks: dict[str, tuple[Callable[[], float], tuple[Callable[[], object], ...]]] = {
        "ours": (
            time.process_time,
            (lambda: track_of(job), lambda: corridors_of(job), lambda: swept_of(job, least)),
        )
    }
    if connection is not None:
        pid = connection.info.backend_pid
        asks["postgis"] = (
            lambda: cpu_of(pid),
            (
                lambda: peer_postgis.query(connection),
                lambda: peer_postgis_mixed.corridors(connection),
                lambda: peer_postgis_mixed.strips(connection),
            ),
        )
    found: dict[str, list[list[Took]]] = {name: [] for name in asks}
    for number in range(rounds + 1):
        for name in list(asks)[:: 1 if number % 2 else -1]:
            cpu_s, parts = asks[name]
            times = [took(ask, cpu_s) for ask in parts]
            if number:  # The first round warms.
                found[name].append(times)
    return found


def _print_times(found: dict[str, list[list[Took]]]) -> None:
    """Print medians of each part and of all, and how many times ours the peer takes."""
    print("  part       whose      wall s (median)      cpu s    times ours: wall (range)      cpu")
    for place, part in enumerate((*PARTS, "all")):
        rows = {
            name: np.array(
                [
                    [sum(one.wall_s for one in some), sum(one.cpu_s for one in some)]
                    for some in ((r if part == "all" else r[place : place + 1]) for r in rounds)
                ]
            )
            for name, rounds in found.items()
        }
        for name, table in rows.items():
            ratio = table / np.maximum(rows["ours"], 1e-6)
            print(
                f"  {part:10s} {name:8s} {np.median(table[:, 0]):12.4f} "
                f"{np.median(table[:, 1]):16.4f} {np.median(ratio[:, 0]):12.2f} "
                f"({ratio[:, 0].min():.2f} to {ratio[:, 0].max():.2f}) "
                f"{np.median(ratio[:, 1]):10.2f}"
            )


def _print_difference(part: str, found: Difference, count: int) -> None:
    """Print which rows differ, and the distances that differ most."""
    print(
        f"  {part}: {found.hazard.size:,} rows in common, {found.only_ours.hazard.size} only ours, "
        f"{found.only_theirs.hazard.size} only the peer's; "
        f"worst difference of distance {found.worst_m:.3g} m, "
        f"{int(np.sum(np.abs(found.ours_m - found.theirs_m) > 0.01))} above 0.01 m"
    )
    for whose, hits in (("ours", found.only_ours), ("the peer's", found.only_theirs)):
        for key, distance_m in list(zip(hits.hazard, hits.distance_m, strict=True))[:SHOWN]:
            print(f"    only {whose}: {_name(part, key, count)} at {distance_m:.4f} m")
    for row in range(min(SHOWN, found.hazard.size)):
        print(
            f"    {_name(part, found.hazard[row], count)}: ours {found.ours_m[row]:.4f} m, "
            f"the peer {found.theirs_m[row]:.4f} m"
        )


def _name(part: str, key: int, count: int) -> str:
    """Return what a row is about."""
    about = "" if part == "track" else f"{part} {key // count}, "
    danger = key if part == "track" else key % count
    bounds = np.cumsum([share for _, share in scene.SHARES]) * count
    return f"{about}danger {danger} ({scene.SHARES[int(np.sum(danger >= bounds - 0.5))][0]})"


if __name__ == "__main__":
    main()
