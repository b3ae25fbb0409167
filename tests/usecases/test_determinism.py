"""The same inputs give the same bytes: other hash seeds, other processor features (F21, short)."""

import os
import platform
import subprocess
import sys
from pathlib import Path

import pytest

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


def digest(shift_deg: float, **environment: str) -> str:
    kept = {k: v for k, v in os.environ.items() if not k.startswith("NPY_")}
    command = [sys.executable, "-c", _PLAN, str(ROOT / "sample_routes"), str(shift_deg)]
    done = subprocess.run(
        command, env={**kept, **environment}, check=True, capture_output=True, text=True
    )
    return done.stdout.strip()


@pytest.mark.parametrize("shift_deg", [0.0, 17.3])
def test_hash_seed_and_processor_leave_the_bytes_alone(shift_deg: float) -> None:
    plain = digest(shift_deg, PYTHONHASHSEED="0")
    assert len(plain) == 64
    assert digest(shift_deg, PYTHONHASHSEED="1") == plain
    if platform.machine() in ("x86_64", "AMD64"):
        older = "X86_V3 X86_V4 AVX512_ICL AVX512_SPR"
        assert digest(shift_deg, PYTHONHASHSEED="2", NPY_DISABLE_CPU_FEATURES=older) == plain


def test_the_service_switches_off_what_rounds_differently() -> None:
    if platform.machine() not in ("x86_64", "AMD64"):
        pytest.skip("no AVX-512 on this kind of processor")
    kept = {k: v for k, v in os.environ.items() if not k.startswith("NPY_")}
    code = "import wheelover, os; print(os.environ['NPY_DISABLE_CPU_FEATURES'])"
    done = subprocess.run(
        [sys.executable, "-c", code], env=kept, check=True, capture_output=True, text=True
    )
    assert "X86_V4" in done.stdout
