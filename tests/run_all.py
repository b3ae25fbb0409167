"""What ``make test`` runs: format, lint, types, layers, then every test.

Prints one line for each step and, at the end, what was left out and why. With CI=true in the
environment a test that cannot run for want of a part counts as a failure.

The tests run in groups, each a pytest of its own, as many side by side as there are processors (two
at most); what each says is shown when it ends. Those that hold a time against a limit
(marked ``alone``) come last, with nothing beside them.
"""

import os
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).parents[1]
BIN = Path(sys.executable).parent
SIDE_BY_SIDE = min(2, os.cpu_count() or 1)

# Longest first, so that both processors come to their end at about the same time.
GROUPS: dict[str, tuple[str, ...]] = {
    "page": ("tests/browser",),
    "api": ("tests/api",),
    "faults and access": ("tests/faults", "tests/access"),
    "core": ("tests/core",),
}


def _step(title: str, *command: str) -> bool:
    """Run one step and say how it went."""
    print(f"== {title}", flush=True)
    done = subprocess.run([str(BIN / command[0]), *command[1:]], cwd=ROOT, check=False)
    if done.returncode != 0:
        print(f"== {title}: failed with exit code {done.returncode}", flush=True)
    return done.returncode == 0


def groups() -> dict[str, list[str]]:
    """Return the arguments of every group; the last takes whatever no other has."""
    taken = [place for places in GROUPS.values() for place in places]
    rest = [f"--ignore={place}" for place in taken]
    return {**{name: list(places) for name, places in GROUPS.items()}, "all else": rest}


def _group(title: str, arguments: list[str], scratch: Path) -> bool:
    """Run one group of tests, show what it says when it ends, and return whether all held."""
    print(f"== tests of {title}: begun", flush=True)
    began_s = time.monotonic()
    place = scratch / title.replace(" ", "-")
    command = [str(BIN / "pytest"), "-ra", f"--basetemp={place}", *arguments]
    done = subprocess.run(
        command, cwd=ROOT, check=False, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    )
    said = done.stdout.decode(errors="replace")
    good = done.returncode == 0
    how = "held" if good else f"failed with exit code {done.returncode}"
    took_s = time.monotonic() - began_s
    print(f"{said}== tests of {title}: {how} after {took_s:.0f} s", flush=True)
    return good


def _tests(*more: str) -> bool:
    """Run every test and return whether all held."""
    with TemporaryDirectory(prefix="wheelover-tests-") as folder:
        scratch = Path(folder)
        with ThreadPoolExecutor(SIDE_BY_SIDE) as pool:
            runs = [
                pool.submit(_group, title, [*arguments, "-m", "not alone", *more], scratch)
                for title, arguments in groups().items()
            ]
            results = [run.result() for run in runs]
        results.append(
            _group("what is timed", ["-m", "alone", *GROUPS["faults and access"], *more], scratch)
        )
    return all(results)


def main() -> int:
    """Run every step, also after one has failed, and return 1 if any has."""
    os.environ.setdefault("PYTHONHASHSEED", "0")
    long_form = ["--long"] if "--long" in sys.argv[1:] else []
    results = [
        _step("format", "ruff", "format", "--check", "--quiet", "service", "tests"),
        _step("lint", "ruff", "check", "--quiet", "service", "tests"),
        _step("types", "mypy", "--no-error-summary"),
        _step("layers", "lint-imports"),
        _tests(*long_form),
    ]
    return 0 if all(results) else 1


if __name__ == "__main__":
    sys.exit(main())
