"""What all tests share."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from tests.faults import figures
from tests.stores import (
    empty_postgres_url,
    engine,
    postgres,
    postgres_url,
    scratch_files,
    store_url,
)
from tests.zoo import Vectors

FAULTS = Path(__file__).parent / "faults"
__all__ = ["empty_postgres_url", "engine", "postgres", "postgres_url", "scratch_files", "store_url"]

settings.register_profile("short", max_examples=40, deadline=None, derandomize=True)
settings.register_profile(
    "long", max_examples=2000, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="the long form of the property tests")


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile("long" if config.getoption("--long") else "short")
    for number in sorted({one.name[5:8] for one in FAULTS.glob("test_f??_*.py")}):
        config.addinivalue_line("markers", f"fault_{number}: this fault of tests/faults alone")


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Show the figures of the faults, and keep those of full counts."""
    if not figures.LINES:
        return
    terminalreporter.section("faults")
    for line in figures.LINES:
        terminalreporter.line(line)
    if config.getoption("--long"):
        figures.keep()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is for the long form alone, and put the browser last.

    Its driver keeps an event loop running, in which no other may start.
    """
    items.sort(key=lambda item: item.get_closest_marker("browser") is not None)
    if not config.getoption("--long"):
        left_out = [item for item in items if item.get_closest_marker("only_long") is not None]
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]


@pytest.fixture(scope="session")
def vectors() -> Vectors:
    """Return the reference vectors (tests/design says how they were made)."""
    folder = Path(__file__).parent / "design" / "vectors"

    def read(name: str) -> list[dict[str, Any]]:
        return json.loads((folder / f"{name}.json").read_text())["cases"]  # noqa: TID251

    return read
