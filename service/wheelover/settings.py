"""Settings: one row each, with default and help. Read once, at start."""

import os
from dataclasses import dataclass
from pathlib import Path

_REPO = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One setting: the environment variable it is read from, its default and what it is for."""

    variable: str
    default: str
    help: str


SETTINGS: dict[str, Setting] = {
    "host": Setting(
        variable="WHEELOVER_HOST",
        default="127.0.0.1",
        help="Address to listen on. Only loopback is allowed while there are no accounts.",
    ),
    "port": Setting(variable="WHEELOVER_PORT", default="8765", help="Port to listen on."),
    "database": Setting(
        variable="WHEELOVER_DATABASE",
        default=f"sqlite:///{_REPO / 'var' / 'wheelover.sqlite3'}",
        help="Where plans, ships and hazard sets are kept: sqlite:/// and a file on a local disk, "
        "or postgresql://user@host/database.",
    ),
    "web": Setting(
        variable="WHEELOVER_WEB",
        default=str(_REPO / "web"),
        help="Folder of the page.",
    ),
    "samples": Setting(
        variable="WHEELOVER_SAMPLES",
        default=str(_REPO / "sample_routes"),
        help="Folder of the sample routes; the demonstration is read from it.",
    ),
}

LOOPBACK_HOSTS = ("127.0.0.1", "localhost", "::1")


def setting(name: str) -> str:
    """Return the value of a setting: its environment variable, else its default."""
    row = SETTINGS[name]
    return os.environ.get(row.variable) or row.default
