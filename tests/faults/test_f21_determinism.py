"""F21: the same inputs give the same bytes, with other hash seeds and processor features."""

import os
import platform
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults.figures import report

pytestmark = pytest.mark.fault

ROOT = Path(__file__).parents[2]

_PLAN = """
import hashlib, sys
from pathlib import Path
import rfc8785
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.usecases.demonstration import demonstration
from wheelover.usecases.gather import Gathered
from wheelover.usecases.plan_route import plan_route
request = demonstration(Path(sys.argv[1]))["request"]
for waypoint in request["route"]["waypoints"]:
    waypoint["lat_deg"] += float(sys.argv[2])
inputs = PlanRequest.model_validate(request).to_core(Gathered(inputs=request))
print(hashlib.sha256(rfc8785.dumps(plan_route(inputs))).hexdigest())
"""


def digest(shift_deg: float, code: str, **environment: str) -> str:
    kept = {k: v for k, v in os.environ.items() if not k.startswith("NPY_")}
    command = [sys.executable, "-c", code, str(ROOT / "sample_routes"), str(shift_deg)]
    done = subprocess.run(
        command, env={**kept, **environment}, check=True, capture_output=True, text=True
    )
    return done.stdout.strip()


_OLDER = "X86_V3 X86_V4 AVX512_ICL AVX512_SPR"
_SETTINGS: tuple[dict[str, str], ...] = (
    {"PYTHONHASHSEED": "0"},
    {"PYTHONHASHSEED": "1"},
    {"PYTHONHASHSEED": "2", "NPY_DISABLE_CPU_FEATURES": _OLDER},
)


def computed(shifts_deg: list[float], code: str = _PLAN) -> dict[str, int]:
    """Return how many plans were computed under every setting, and how many gave one digest."""
    intel = platform.machine() in ("x86_64", "AMD64")
    settings = [one for one in _SETTINGS if intel or "NPY_DISABLE_CPU_FEATURES" not in one]
    digests = [{digest(shift, code, **one) for one in settings} for shift in shifts_deg]
    assert all(len(text) == 64 for found in digests for text in found)
    same = sum(len(found) == 1 for found in digests)
    return {"plans": len(digests), "settings": len(settings), "same": same}


def test_hash_seed_and_processor_leave_the_bytes_alone(long_form: bool) -> None:
    count = 40 if long_form else 2
    figures = computed([17.3 * n / count for n in range(count)])
    report("F21", **figures)
    assert figures["same"] == figures["plans"]


def test_a_result_that_hangs_on_the_order_of_a_set_is_found_out() -> None:
    altered = _PLAN.replace("plan_route(inputs)", "[*{str(n) for n in range(99)}]")
    assert altered != _PLAN
    figures = computed([0.0], altered)
    report("F21-twin", **figures)
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
