"""How long the paper and the workbook of a plan with eighty turns take, and how large they are.

``python -m tests.bench.paper``: in process, the plan's JSON at hand; medians of one run.
"""

import io
import statistics
import time
from collections.abc import Callable

import pypdf

from tests.render.paper.plans import FROZEN, PRINTED_UTC, long_plan, made
from wheelover.render.paper import Printing
from wheelover.render.paper.paper import paper
from wheelover.render.workbook import workbook
from wheelover.usecases.printing import printing_of

TURNS = 80
_ROUNDS = 5


def _median_s(make: Callable[[], object]) -> tuple[float, float]:
    """Return the median time of making something, by the clock and of the processor."""
    taken, used = [], []
    for _ in range(_ROUNDS):
        start, used_before = time.perf_counter(), time.process_time()
        make()
        taken.append(time.perf_counter() - start)
        used.append(time.process_time() - used_before)
    return statistics.median(taken), statistics.median(used)


def measure() -> None:
    """Print medians of one run."""
    request, result = long_plan(TURNS)
    printing = printing_of(made, request, result, PRINTED_UTC)
    body, _ = paper(request, result, FROZEN, printing)
    book, _ = workbook(request, result, FROZEN)
    pages = len(pypdf.PdfReader(io.BytesIO(body)).pages)

    def runs() -> Printing:
        return printing_of(made, request, result, PRINTED_UTC)

    def whole() -> bytes:
        return paper(request, result, FROZEN, runs())[0]

    rows: tuple[tuple[str, Callable[[], object], str], ...] = (
        (f"her runs through {TURNS} turns", runs, ""),
        ("the paper, runs at hand", lambda: paper(request, result, FROZEN, printing), ""),
        ("both, as a revision is printed", whole, f"{pages} pages, {len(body) / 1024:.0f} kB"),
        ("the workbook", lambda: workbook(request, result, FROZEN), f"{len(book) / 1024:.0f} kB"),
    )
    for name, make, note in rows:
        clock_s, processor_s = _median_s(make)
        print(f"{name:34s}{1e3 * clock_s:9.0f} ms {1e3 * processor_s:7.0f} ms processor  {note}")


if __name__ == "__main__":
    measure()
