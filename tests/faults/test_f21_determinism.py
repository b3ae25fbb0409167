"""F21: the same inputs give the same bytes.

With other hash seeds and processor features, the dangers in another order, computed by one, two or
four threads at once, and by two processes beside each other.
"""

import os
import platform
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.faults.figures import report

ROOT = Path(__file__).parents[2]
_OLDER = "X86_V3 X86_V4 AVX512_ICL AVX512_SPR"

# Hash seed, features of the processor that are not used, threads, seed of the dangers' order,
# processes.
_SETTINGS = (
    ("0", "", 1, 0, 1),
    ("1", "", 2, 1, 1),
    ("2", _OLDER, 4, 2, 1),
    ("3", "", 1, 3, 2),
)

_MODULE = ("-m", "tests.faults.computing")
_UNSORTED = """
from tests.faults import computing
computing.in_order = lambda document: document
computing.main()
"""
_SET = """
from tests.faults import computing
names = [*{str(number) for number in range(99)}]
computing.plan_route = lambda inputs: {"layers": {"features": []}, "names": names}
computing.main()
"""


def started(first: int, after: int, setting: Any, code: tuple[str, ...]) -> Any:
    """Start a process that computes some plans under one setting."""
    hash_seed, disabled, threads, order, _ = setting
    known = {k: v for k, v in os.environ.items() if not k.startswith("NPY_")}
    known |= {"PYTHONHASHSEED": hash_seed, "PYTHONPATH": f"{ROOT / 'service'}:{ROOT}"}
    if disabled and platform.machine() in ("x86_64", "AMD64"):
        known["NPY_DISABLE_CPU_FEATURES"] = disabled
    command = [sys.executable, *code, *map(str, (first, after, threads, order))]
    return subprocess.Popen(command, cwd=ROOT, env=known, stdout=subprocess.PIPE, text=True)


def digests(count: int, setting: Any, code: tuple[str, ...]) -> list[str]:
    """Return the digests of so many plans under one setting."""
    processes = setting[-1]
    bounds = [count * part // processes for part in range(processes + 1)]
    parts = [started(bounds[i], bounds[i + 1], setting, code) for i in range(processes)]
    said = [part.communicate()[0] for part in parts]
    assert all(part.returncode == 0 for part in parts)
    return "".join(said).split()


def computed(count: int, code: tuple[str, ...] = _MODULE) -> dict[str, int]:
    """Return how many plans were computed under every setting, and how many gave one digest."""
    found = [digests(count, setting, code) for setting in _SETTINGS]
    assert all(len(one) == count for one in found)
    assert all(len(text) == 64 for one in found for text in one)
    plans = list(zip(*found, strict=True))
    return {
        "plans": count,
        "settings": len(_SETTINGS),
        "different": len(set(found[0])),
        "same": sum(len(set(one)) == 1 for one in plans),
    }


def test_the_same_inputs_give_the_same_bytes(long_form: bool) -> None:
    count = 200 if long_form else 6
    figures = computed(count)
    report("F21", **figures, ratio=figures["same"] / count)
    assert figures["same"] == figures["different"] == count


@pytest.mark.parametrize(("by", "code"), [("a set", _SET), ("the order of dangers", _UNSORTED)])
def test_a_result_that_hangs_on_an_order_is_found_out(by: str, code: str) -> None:
    figures = computed(2, ("-c", code))
    report("F21-twin", hangs_on=by.replace(" ", "_"), **figures)
    assert figures["same"] == 0


def test_the_service_switches_off_what_rounds_differently() -> None:
    if platform.machine() not in ("x86_64", "AMD64"):
        pytest.skip("no AVX-512 on this kind of processor")
    kept = {k: v for k, v in os.environ.items() if not k.startswith("NPY_")}
    code = "import wheelover, os; print(os.environ['NPY_DISABLE_CPU_FEATURES'])"
    done = subprocess.run(
        [sys.executable, "-c", code], env=kept, check=True, capture_output=True, text=True
    )
    assert "X86_V4" in done.stdout
