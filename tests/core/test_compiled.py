"""Compiling for loops: the same doubles everywhere, and no start that fails for want of a cache."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import numba
import pytest

from wheelover.core.compiled import compiled, inlined, load_all
from wheelover.core.compiling import fingerprint
from wheelover.core.geo import near_loops
from wheelover.core.manoeuvre import mmg_loops


def test_code_is_for_the_plainest_processor_so_that_all_give_the_same_doubles() -> None:
    assert vars(numba.config)["CPU_NAME"] == "generic"
    again = numba.njit("float64(float64[:,::1],int64,float64,float64,float64)")(
        vars(near_loops)["geodesic_m"].py_func
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


def test_a_part_is_compiled_once_whatever_constants_it_is_called_with() -> None:
    space: dict[str, Any] = {"compiled": compiled, "inlined": inlined}
    exec("@inlined\ndef part(x, n):\n    return x * n\n", space)  # noqa: S102
    text = "def whole(x):\n    return part(x, 2) + part(x, 3) + part(x, int(x))\n"
    exec("@compiled('float64(float64)')\n" + text, space)  # noqa: S102
    assert space["whole"](2.5) == 2.5 * 2 + 2.5 * 3 + 2.5 * 2
    assert len(space["part"].code.signatures) == 1
    assert space["part"](2.5, 2) == 5.0


def test_an_error_in_a_part_comes_out_of_the_whole_with_its_values() -> None:
    space: dict[str, Any] = {"compiled": compiled, "inlined": inlined}
    text = "def part(x):\n    if x < 0.0:\n        raise ValueError('below', x)\n    return x\n"
    exec("@inlined\n" + text, space)  # noqa: S102
    exec("@compiled('float64(float64)')\ndef whole(x):\n    return part(x) + 1.0\n", space)  # noqa: S102
    assert space["whole"](1.0) == 2.0
    with pytest.raises(ValueError, match=r"'below', -1\.5"):
        space["whole"](-1.5)


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
    "near points": "import wheelover.core.geo.near_points as n\nn.curves_loop.code.signatures\n",
    "force model": "import wheelover.core.manoeuvre.mmg_loops as n\nn.run_loop.code.signatures\n",
    "helm orders": (
        "from wheelover.core.manoeuvre.helm_orders import steady_turn\n"
        "from wheelover.core.manoeuvre.model import ship_model\n"
        "from wheelover.core.manoeuvre.run_orders import run_orders\n"
        "from wheelover.core.types.manoeuvre import HelmOrder\n"
        "from wheelover.core.types.ship import Response\n"
        "ship = ship_model(Response(k_per_s=0.05, t_s=30.0, at_speed_kn=15.0), 200.0, 15.0)\n"
        "steady_turn(ship, 0.0, 75.0, 15.0)\n"
        "orders = HelmOrder(rudder_deg=5.0, at_heading_change_deg=0.0),\n"
        "run_orders(ship, orders, [0.0, 60.0], heading_deg=0.0)\n"
    ),
}


@pytest.mark.parametrize("use", USES.values(), ids=USES)
def test_nothing_is_compiled_at_a_second_start(use: str) -> None:
    """Neither at import nor at the first use: the parts that other parts call are in them."""
    load_all()
    mmg_loops.run_loop.code  # type: ignore[attr-defined]  # noqa: B018  its first start
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
