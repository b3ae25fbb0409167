"""wheelover: passage planning for merchant ships.

Computes the planned track of a passage (legs and turns), the wheel-over point of every
alteration of course, and what the track clears, and says what was checked and what was not.
It is a planning aid: the ship's safety management system, official charts, local regulations
and the master decide.
"""

import os
import platform
import sys

__version__ = "0.1.0"


def _one_arithmetic_everywhere() -> None:
    """Let numpy round alike on every x86-64 machine, so that the same inputs give the same bytes.

    Its AVX-512 versions of tan, arcsinh and their like differ by one unit in the last place. Where
    numpy is already in memory, or another choice was made, nothing is changed.
    """
    if "numpy" not in sys.modules and platform.machine() in ("x86_64", "AMD64"):
        os.environ.setdefault("NPY_DISABLE_CPU_FEATURES", "X86_V4 AVX512_ICL AVX512_SPR")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


_one_arithmetic_everywhere()
