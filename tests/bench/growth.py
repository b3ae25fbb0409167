"""Our clearance from ten thousand dangers to three million: time, index and memory.

``python -m tests.bench.growth [--rounds R] [--mixed] [--most N]``, with ``service`` on the path.
With ``--mixed`` the dangers are those of ``mixed``, and corridors and swept hull are asked as well.

Processor milliseconds of the mixed job on a busy machine of 2 processors, by the number of dangers;
in brackets the rows near the track and near the turns:

- ocean: 10,000: 223 (112, 23); 100,000: 278 (1,365, 272); 1,000,000: 448 (13,179, 2,600). Before
  edges were measured by compiled loops: 487, 621 and 856;
- coastal: 10,000: 364 (1,749, 4,479); 100,000: 1,464 (16,949, 42,453); 1,000,000: 8,459
  (171,255, 427,429), of which the track is 1,622, the corridors 130 and the hull 6,706. Before:
  701, 1,493 and 8,981; 3,000,000: 24,537.

In the coastal scene cost follows what is near: 14 to 25 microseconds for each row at the last two,
most of it the hull's: a third is the loop over poses and parts, a third geodesics into the plane of
a turn.
In the ocean's 2.0 times for 100 times the dangers most is what asking costs.
"""

import argparse
import statistics
import time

import numpy as np

from tests.bench import mixed, ours, scene
from wheelover.core.clearance.index import located

COUNTS = (10_000, 30_000, 100_000, 300_000, 1_000_000, 3_000_000)


def main() -> None:
    """Measure both scenes and print a row for each number of dangers."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=7, metavar="R")
    parser.add_argument("--mixed", action="store_true")
    parser.add_argument("--most", type=int, default=COUNTS[-1], metavar="N")
    asked = parser.parse_args()
    rounds, counts = asked.rounds, [one for one in COUNTS if one <= asked.most]
    if asked.mixed:
        for setting in scene.SETTINGS:
            mixed_growth(setting, counts, rounds)
        return
    for setting in scene.SETTINGS:
        pieces = scene.track_of(setting).pieces
        print(f"\n{setting.name}\n     dangers       hits   index s   index MB   query ms (median)")
        for count in counts:
            lat_deg, lon_deg = scene.point_hazards(setting, pieces, count)
            start_s = time.perf_counter()
            index = ours.index_of(lat_deg, lon_deg)
            made_s = time.perf_counter() - start_s
            assert index.points is not None
            hits = ours.ours(pieces, index)
            times_s = []
            for _ in range(rounds):
                start_s = time.perf_counter()
                ours.ours(pieces, index)
                times_s.append(time.perf_counter() - start_s)
            print(
                f"  {count:10,} {hits.hazard.size:10,} {made_s:9.3f} "
                f"{index.points.sought.grid.bytes_count / 1e6:10.1f} "
                f"{1e3 * statistics.median(times_s):10.2f}"
            )


def mixed_growth(setting: scene.Setting, counts: list[int], rounds: int) -> None:
    """Print a row for each number of mixed dangers: what is near, and processor time."""
    print(
        f"\n{setting.name}, mixed: cpu ms (median)\n     dangers   near track   near turns   "
        "index s    track  corridor     swept       all   us for each row   one moved"
    )
    for count in counts:
        job = mixed.job_of(setting, count)
        start_s = time.process_time()
        located(job.hazards)
        index_s = time.process_time() - start_s
        least = mixed.track_of(job)
        swept = sum(len(one) for one in mixed.swept_of(job, least))
        mixed.corridors_of(job)
        mixed.moved_of(job)
        rows = []
        for _ in range(rounds):
            times = [time.process_time()]
            mixed.track_of(job)
            times.append(time.process_time())
            mixed.corridors_of(job)
            times.append(time.process_time())
            mixed.swept_of(job, least)
            times.append(time.process_time())
            mixed.moved_of(job)
            times.append(time.process_time())
            rows.append(np.diff(times))
        track_s, corridor_s, swept_s, moved_s = np.median(rows, axis=0)
        all_s, near = track_s + corridor_s + swept_s, least.rows.hazard.size
        print(
            f"  {count:10,} {near:12,} {swept:12,} {index_s:9.2f} {1e3 * track_s:8.1f} "
            f"{1e3 * corridor_s:9.1f} {1e3 * swept_s:9.1f} {1e3 * all_s:9.1f} "
            f"{1e6 * all_s / max(near + swept, 1):17.1f} {1e3 * moved_s:11.1f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
