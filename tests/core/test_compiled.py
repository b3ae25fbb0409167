"""Compiling for loops: the same doubles everywhere, and no start that fails for want of a cache."""

import subprocess
import sys
from pathlib import Path

import numba

from wheelover.core.compiled import compiled
from wheelover.core.geo import near_loops
from wheelover.core.manoeuvre import mmg_loops


def test_code_is_for_the_plainest_processor_so_that_all_give_the_same_doubles() -> None:
    assert numba.config.CPU_NAME == "generic"
    again = numba.njit("float64(float64[:,::1],int64,float64,float64,float64)")(
        near_loops._geodesic_m.py_func
    )
    (text,) = again.inspect_asm().values()
    # Fused multiply-add would round differently from processor to processor.
    assert "fmadd" not in text
    assert "mulsd" in text or "fmul" in text


def test_a_function_without_a_place_for_a_cache_is_compiled_all_the_same() -> None:
    space: dict[str, object] = {"compiled": compiled}
    exec("@compiled('float64(float64)')\ndef twice(x):\n    return 2.0 * x\n", space)  # noqa: S102
    twice = space["twice"]
    assert callable(twice)
    assert twice(1.5) == 3.0


def test_nothing_is_compiled_at_a_second_start() -> None:
    assert mmg_loops.run_loop.signatures
    package = Path(near_loops.__file__).parents[2]
    again = (
        "import numba.core.compiler as c, sys\n"
        "def refuse(*a, **k):\n    raise SystemExit('compiled again')\n"
        "c.compile_extra = refuse\n"
        "import wheelover.core.geo.near_loops as n, wheelover.core.manoeuvre.mmg_loops as m\n"
        "loops = (n.curves_loop, m.run_loop)\n"
        "sys.exit(0 if all(len(one.signatures) == 1 for one in loops) else 'not there')\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", again],
        cwd=package.parent,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
