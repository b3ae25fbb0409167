"""Our clearance from ten thousand dangers to three million: time, index and memory.

``python -m tests.bench.growth [--rounds R] [--mixed] [--most N]``, with ``service`` on the path.
With ``--mixed`` the dangers are those of ``mixed``, and corridors and swept hull are asked as well.

Processor milliseconds of the mixed job, a machine of 2 processors with nothing else to do, one
round, for 10,000, 30,000, 100,000, 300,000, 1,000,000 and 3,000,000 dangers; in brackets how many
are near the track, and near the turns:

- ocean: 19 (112, 23), 19 (395, 80), 28 (1,365, 272), 40 (3,863, 738), 88 (13,179, 2,600) and 272
  (39,661, 7,633); the index is made in 2.5 s at the most. One waypoint moved, with its corridors
  and hull: 2.5, 2.8, 3.0, 3.4, 4.4 and 8.2;
- coastal: 52 (1,749, 4,479), 116 (5,180, 13,035), 353 (16,949, 42,453), 995 (51,320, 128,032),
  3,472 (171,255, 427,429) and 11,372 (513,328, 1,283,530), of which the hull is three quarters.

Cost follows what is near: 6 microseconds for each row in the coastal scene from 30,000 on, and in
the ocean where there is much, however many dangers there are.
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
