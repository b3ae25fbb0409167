"""The ``wheelover`` command."""

import argparse
from collections.abc import Sequence

from wheelover import __version__
from wheelover.cli import account, chart, keep, parcel, plan, serve, verify, webhook


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit code."""
    parser = argparse.ArgumentParser(
        prog="wheelover",
        description="Passage planning for merchant ships. A planning aid: the master decides.",
    )
    parser.add_argument("--version", action="version", version=f"wheelover {__version__}")
    commands = parser.add_subparsers(dest="command", required=True)
    for command in (serve, plan, account, chart, keep, parcel, verify, webhook):
        command.add_to(commands)
    chosen = parser.parse_args(arguments)
    return int(chosen.run(chosen))
