"""``wheelover migrate``, ``backup`` and ``restore``: what is kept, as a whole."""

import argparse
import os
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING

from wheelover.core.errors import UnreadableFile, WheeloverError
from wheelover.settings import SETTINGS, setting

if TYPE_CHECKING:
    from wheelover.store.backup import Backup

DATABASE, UNUSABLE, NOT_WRITTEN = 3, 4, 5
_BACKUP_NICENESS = 10

_EXIT_CODES = """\
Exit codes: 0 done; 3 the database cannot be used; 4 the backup cannot be used; 5 the backup could
not be written. Nothing is half done: what stood there before still does."""


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the commands and their options."""
    migrate = _command(commands, "migrate", "bring the tables of the database up to this version")
    migrate.set_defaults(run=_answering(_migrate))
    backup = _command(commands, "backup", "write a backup of the database, also while it is used")
    backup.add_argument("to", type=Path, help="file to write; restores into any kind of database")
    backup.add_argument("--force", action="store_true", help="replace a file of that name")
    backup.add_argument(
        "--passphrase-file",
        type=Path,
        metavar="FILE",
        help="take the key file along, wrapped with the passphrase in FILE (15 characters or more)",
    )
    backup.set_defaults(run=_answering(_backup))
    restore = _command(commands, "restore", "put a backup into a database that is not in use")
    restore.add_argument("source", type=Path, metavar="from", help="file that backup wrote")
    restore.add_argument(
        "--into", default=None, metavar="URL", help="database, instead of WHEELOVER_DATABASE"
    )
    restore.add_argument(
        "--force", action="store_true", help="replace what the database holds already"
    )
    restore.add_argument(
        "--passphrase-file",
        type=Path,
        metavar="FILE",
        help="put the key file that the backup brings along in its place (WHEELOVER_KEY_FILE)",
    )
    restore.set_defaults(run=_answering(_restore))


def _command(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]", name: str, does: str
) -> argparse.ArgumentParser:
    """Add a command that works on the database of the settings."""
    return commands.add_parser(
        name,
        help=does,
        description=f"{does.capitalize()} ({SETTINGS['database'].variable}).",
        epilog=_EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )


def _answering(
    command: Callable[[argparse.Namespace], str],
) -> Callable[[argparse.Namespace], int]:
    """Return a command that prints its one sentence, or says what was wrong in one."""

    def run_it(chosen: argparse.Namespace) -> int:
        from wheelover.store.backup import NotWritten  # noqa: PLC0415  slow to import

        try:
            sys.stdout.write(f"{command(chosen)}\n")
        except WheeloverError as error:
            sys.stderr.write(f"wheelover {chosen.command}: {error}\n")
            codes = {UnreadableFile: UNUSABLE, NotWritten: NOT_WRITTEN}
            return codes.get(type(error), DATABASE)
        return 0

    return run_it


def _migrate(_chosen: argparse.Namespace) -> str:
    """Bring the tables up to date and say from where to where."""
    from wheelover.store import open_store  # noqa: PLC0415

    store = open_store(setting("database"))
    store.close()
    return moved_words(store.came_from, store.schema)


def moved_words(came_from: str | None, schema: str) -> str:
    """Return what was done to the tables, as a sentence."""
    if came_from == schema:
        return f"The tables are up to date ({schema})."
    if came_from is None:
        return f"The tables were made ({schema})."
    return f"The tables were brought from {came_from} to {schema}."


def _backup(chosen: argparse.Namespace) -> str:
    """Write a backup and say what is in it."""
    passphrase = _passphrase(chosen)
    # A service on the same computer comes first, from the packages on that are loaded for this.
    with ThreadPoolExecutor(1, initializer=_give_way) as pool:
        made = pool.submit(_made, chosen.to, chosen.force, passphrase).result()
    along = " It brings the key file along, under the passphrase." if made.key else ""
    return (
        f"{chosen.to} holds {made.row_count} rows of {len(made.totals)} tables ({made.schema}), "
        f"read back and found whole: sha256 {made.sha256} over its lines.{along}"
    )


def _give_way() -> None:
    """Let others have the processor first; on Linux that is said of this thread alone."""
    if sys.platform == "linux":
        os.nice(_BACKUP_NICENESS)


def _made(to: Path, force: bool, passphrase: str | None) -> "Backup":
    """Return what a new backup holds."""
    from wheelover.store.backup import take_backup  # noqa: PLC0415
    from wheelover.usecases.clock import now_utc  # noqa: PLC0415  --help need not wait for it

    return take_backup(setting("database"), to, now_utc(), force=force, passphrase=passphrase)


def _passphrase(chosen: argparse.Namespace) -> str | None:
    """Return the passphrase in the file that was named, None where none was."""
    if chosen.passphrase_file is None:
        return None
    try:
        text: str = chosen.passphrase_file.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise UnreadableFile(f"{chosen.passphrase_file} cannot be read as a passphrase.") from error
    return text.rstrip("\r\n")


def _restore(chosen: argparse.Namespace) -> str:
    """Restore a backup and say what is there now."""
    from wheelover.store import open_store  # noqa: PLC0415
    from wheelover.store.restore import restore_backup  # noqa: PLC0415

    url = chosen.into or setting("database")
    backup, schema = restore_backup(
        chosen.source, url, force=chosen.force, passphrase=_passphrase(chosen)
    )
    store = open_store(url)
    store.close()
    moved = "" if schema == backup.schema else f" {moved_words(backup.schema, schema)}"
    return (
        f"The database holds the {backup.row_count} rows of {backup.made_utc} "
        f"({backup.made_by}), each compared.{moved}{lost_words(store.lost)}"
    )


def lost_words(lost: tuple[str, ...]) -> str:
    """Return what another key file has sealed and what must be done, as lines; nothing for none."""
    if not lost:
        return ""
    lines = "".join(f"\n  - {one}" for one in lost)
    return (
        "\nThe key file here is not the one that sealed these. Put that one back "
        f"(WHEELOVER_KEY_FILE), or make anew:{lines}"
    )
