"""What ``make test`` runs: every test, and format, lint, types and layers beside them.

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

_PAGE = [f"tests/browser/{one.name}" for one in sorted((ROOT / "tests/browser").glob("test_*.py"))]

# Longest first, so that both processors come to their end at about the same time.
GROUPS: dict[str, tuple[str, ...]] = {
    "the page, one half": tuple(_PAGE[::2]),
    "the page, other half": tuple(_PAGE[1::2]),
    "api": ("tests/api",),
    "faults and access": ("tests/faults", "tests/access"),
    "core": ("tests/core",),
}
STEPS: dict[str, tuple[str, ...]] = {
    "format": ("ruff", "format", "--check", "--quiet", "service", "tests"),
    "lint": ("ruff", "check", "--quiet", "service", "tests"),
    "types": ("mypy", "--no-error-summary"),
    "layers": ("lint-imports",),
}


def _steps() -> bool:
    """Run the steps that read the source, and say how each went when it has ended."""
    results = []
    for title, command in STEPS.items():
        good, said = _said([str(BIN / command[0]), *command[1:]])
        print(f"{said}== {title}: {'held' if good else 'failed'}", flush=True)
        results.append(good)
    return all(results)


def _said(command: list[str]) -> tuple[bool, str]:
    """Run a command; return whether it ended well, and what it said."""
    done = subprocess.run(
        command, cwd=ROOT, check=False, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    )
    return done.returncode == 0, done.stdout.decode(errors="replace")


def groups() -> dict[str, list[str]]:
    """Return the arguments of every group; the last but one takes whatever no other has."""
    taken = ["tests/browser", *(one for places in GROUPS.values() for one in places)]
    rest = [f"--ignore={place}" for place in taken if not place.endswith(".py")]
    named = {name: list(places) for name, places in GROUPS.items()}
    core = named.pop("core")
    return {**named, "all else": rest, "core": core}


def _group(title: str, arguments: list[str], scratch: Path) -> bool:
    """Run one group of tests, show what it says when it ends, and return whether all held."""
    print(f"== tests of {title}: begun", flush=True)
    began_s = time.monotonic()
    place = scratch / title.replace(" ", "-")
    command = [str(BIN / "pytest"), "-ra", f"--basetemp={place}", *arguments]
    good, said = _said(command)
    how = "held" if good else "failed"
    took_s = time.monotonic() - began_s
    print(f"{said}== tests of {title}: {how} after {took_s:.0f} s", flush=True)
    return good


def _tests(*more: str) -> bool:
    """Run every test and return whether all held."""
    with TemporaryDirectory(prefix="wheelover-tests-") as folder:
        scratch = Path(folder)
        with ThreadPoolExecutor(SIDE_BY_SIDE) as pool:
            runs = [pool.submit(_steps)]
            runs += [
                pool.submit(_group, title, [*arguments, "-m", "not alone", *more], scratch)
                for title, arguments in groups().items()
            ]
            results = [run.result() for run in runs]
        results.append(
            _group("what is timed", ["-m", "alone", *GROUPS["faults and access"], *more], scratch)
        )
    return all(results)


def main() -> int:
    """Run everything, also after a part has failed, and return 1 if any has."""
    os.environ.setdefault("PYTHONHASHSEED", "0")
    long_form = ["--long"] if "--long" in sys.argv[1:] else []
    return 0 if _tests(*long_form) else 1


if __name__ == "__main__":
    sys.exit(main())
