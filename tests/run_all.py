"""What ``make test`` runs: format, lint, types, layers, then every test.

Prints one line for each step and, at the end, what was left out and why. With CI=true in the
environment a test that cannot run for want of a part counts as a failure.
"""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
BIN = Path(sys.executable).parent


def _step(title: str, *command: str) -> bool:
    """Run one step and say how it went."""
    print(f"== {title}", flush=True)
    done = subprocess.run([str(BIN / command[0]), *command[1:]], cwd=ROOT, check=False)
    if done.returncode != 0:
        print(f"== {title}: failed with exit code {done.returncode}", flush=True)
    return done.returncode == 0


def main() -> int:
    """Run every step, also after one has failed, and return 1 if any has."""
    os.environ.setdefault("PYTHONHASHSEED", "0")
    long_form = ["--long"] if "--long" in sys.argv[1:] else []
    results = [
        _step("format", "ruff", "format", "--check", "--quiet", "service", "tests"),
        _step("lint", "ruff", "check", "--quiet", "service", "tests"),
        _step("types", "mypy", "--no-error-summary"),
        _step("layers", "lint-imports"),
        _step("tests", "pytest", "-ra", *long_form),
    ]
    return 0 if all(results) else 1


if __name__ == "__main__":
    sys.exit(main())
