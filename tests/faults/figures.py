"""Figures of the faults: one line each, shown after the tests and, of full counts, kept."""

import hashlib
import statistics
import time
from datetime import UTC, datetime
from pathlib import Path

KEPT = Path(__file__).with_name("FIGURES.md")
LINES: list[str] = []

_QUIET_S = 0.013
"""What the loop below takes on a quiet machine of the kind that the limits were set for."""


def report(fault: str, **figures: object) -> None:
    """Note the figures of a fault."""
    words = [f"{name}={_shown(value)}" for name, value in figures.items()]
    LINES.append(" ".join([fault, *words]))


def _shown(value: object) -> str:
    return f"{value:.3f}" if isinstance(value, float) else str(value)


def keep() -> None:
    """Add the lines of this run to those that are kept."""
    now = datetime.now(UTC).strftime("%Y-%m-%d %H:%M")
    with KEPT.open("a") as file:
        file.write(f"\n## {now} UTC, slowness {slowness():.1f}\n\n")
        file.writelines(f"    {line}\n" for line in LINES)


def slowness() -> float:
    """Return how many times slower this machine is just now than a quiet one, at least 1."""
    body, took_s = b"x" * 20_000_000, []
    for _ in range(5):
        began_s = time.perf_counter()
        hashlib.sha256(body).digest()
        took_s.append(time.perf_counter() - began_s)
    return max(1.0, statistics.median(took_s) / _QUIET_S)
