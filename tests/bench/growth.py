"""Our clearance from ten thousand dangers to three million: time, index and memory.

``python -m tests.bench.growth [--rounds R]``, with ``service`` on the path.
"""

import argparse
import statistics
import time

from tests.bench import ours, scene

COUNTS = (10_000, 30_000, 100_000, 300_000, 1_000_000, 3_000_000)


def main() -> None:
    """Measure both scenes and print a row for each number of dangers."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=7, metavar="R")
    rounds = parser.parse_args().rounds
    for setting in scene.SETTINGS:
        pieces = scene.track_of(setting).pieces
        print(f"\n{setting.name}\n     dangers       hits   index s   index MB   query ms (median)")
        for count in COUNTS:
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


if __name__ == "__main__":
    main()
