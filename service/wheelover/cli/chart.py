"""``wheelover import-chart``: cells of electronic charts into the store, also while it is used."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wheelover.core.errors import UnreadableFile, WheeloverError
from wheelover.settings import SETTINGS, setting

if TYPE_CHECKING:
    from wheelover.store import Store
    from wheelover.usecases.chart_imports import Imported

PARTLY, DATABASE, UNUSABLE = 1, 3, 4

_EXIT_CODES = """\
Exit codes: 0 everything was imported; 1 some cells, or not all updates of one; 3 the database
cannot be used; 4 no cell could be read. A cell is imported whole or not at all."""


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    does = "import chart cells (S-57) and their updates"
    command = commands.add_parser(
        "import-chart",
        help=does,
        description=f"{does.capitalize()}, also in a zip, while the service runs or not.",
        epilog=_EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    command.add_argument("files", type=Path, nargs="+", metavar="FILE")
    command.add_argument("--database", default=None, metavar="URL", help=SETTINGS["database"].help)
    command.set_defaults(run=run_it)


def run_it(chosen: argparse.Namespace) -> int:
    """Run the command and return its exit code."""
    from wheelover.store import open_store  # noqa: PLC0415  --help need not wait for it

    try:
        store = open_store(chosen.database or setting("database"))
    except WheeloverError as error:
        return _refused(error, DATABASE)
    try:
        return _import(store, chosen.files)
    except (UnreadableFile, OSError) as error:
        return _refused(error, UNUSABLE)
    except WheeloverError as error:
        return _refused(error, DATABASE)
    finally:
        store.close()


def _refused(error: Exception, code: int) -> int:
    """Say in a sentence what was wrong."""
    sys.stderr.write(f"wheelover import-chart: {error}\n")
    return code


def _import(store: "Store", paths: list[Path]) -> int:
    """Import files and say what became of each."""
    from wheelover.charts.importing import File  # noqa: PLC0415
    from wheelover.charts.limits import limits_from_settings  # noqa: PLC0415
    from wheelover.usecases.chart_imports import Watch, import_charts, refused  # noqa: PLC0415
    from wheelover.usecases.clock import now_utc  # noqa: PLC0415

    files = [File(name=path.name, body=path.read_bytes()) for path in paths]
    watch = Watch(told=_told, stopped=lambda: False)
    found = import_charts(store, files, limits_from_settings(), now_utc, watch=watch)
    _say(found)
    failure = refused(found)
    if failure is not None:
        return _refused(failure, UNUSABLE)
    gaps = any(one["updates_missing"] or one["superseded"] for one in found.cells)
    bad = any(one["fate"] in ("refused", "damaged", "newer", "cancelled") for one in found.files)
    return PARTLY if found.failures or gaps or bad else 0


def _told(stage: str, percent: int) -> None:
    """Say how far it is."""
    sys.stderr.write(f"{percent:3d} % {stage}\n")


def _out_of_date(one: dict[str, Any]) -> str:
    """Return what puts a cell out of date, in words."""
    return f"; OUT OF DATE: {one['superseded']}" if one["superseded"] else ""


def _say(found: "Imported") -> None:
    """Say what became of cells and files."""
    for one in found.cells:
        missing = one["updates_missing"]
        gap = f"; updates missing: {', '.join(map(str, missing))}" if missing else ""
        sys.stdout.write(
            f"{one['name']} {one['producer_edition']}.{one['producer_update']}: {one['fate']} "
            f"(edition {one['edition']} here){gap}{_out_of_date(one)}\n"
        )
        for remark in one["remarks"]:
            sys.stdout.write(f"  {remark}\n")
    for line in found.files:
        sys.stdout.write(f"  {line['name']}: {line['fate']}. {line['words']}\n")
    sys.stdout.write(f"Read in a process of its own: {'; '.join(found.held)}.\n")
