"""Compiling for loops: the same doubles everywhere, and no start that fails for want of a cache."""

import subprocess
import sys
from pathlib import Path

import numba
import pytest

from wheelover.core.compiled import compiled, fingerprint, inlined
from wheelover.core.geo import near_loops


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


def _digest(inner: str, constant: str) -> str:
    """Return the digest of a function that calls one with a constant of its module."""
    space: dict[str, object] = {"inlined": inlined}
    exec(f"SIZE = {constant}\n@inlined\ndef part(x):\n    return {inner}\n", space)  # noqa: S102
    exec("def whole(x):\n    return part(x) + 1.0\n", space)  # noqa: S102
    whole = space["whole"]
    assert callable(whole)
    return fingerprint(whole)


def test_the_cache_knows_what_a_function_calls_in_other_modules() -> None:
    """Code kept for another size of table writes where no table is."""
    first = _digest("x * SIZE", "12")
    assert _digest("x * SIZE", "12") == first
    assert _digest("x * SIZE", "16") != first
    assert _digest("x + SIZE", "12") != first
    assert _digest("x * 2.0 * SIZE", "12") != first


USES = {
    "near points": "import wheelover.core.geo.near_loops as n\nassert n.curves_loop.signatures\n",
    "force model": "import wheelover.core.manoeuvre.mmg_loops as n\nassert n.run_loop.signatures\n",
}


@pytest.mark.parametrize("use", USES.values(), ids=USES)
def test_nothing_is_compiled_at_a_second_start(use: str) -> None:
    """Neither at import nor at the first use: the parts that other parts call are in them."""
    package = Path(near_loops.__file__).parents[2]
    again = (
        "import numba.core.compiler as c\n"
        "def refuse(*a, **k):\n    raise SystemExit('compiled again')\n"
        "c.compile_extra = refuse\n"
    ) + use
    run = subprocess.run(
        [sys.executable, "-c", again],
        cwd=package.parent,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
