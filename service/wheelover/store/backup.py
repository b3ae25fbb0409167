"""Backups: one file for either engine, of one moment, taken while the service writes.

The file is gzip over lines of JSON: a head (format, schema, when and by what it was made), then
for each table its name with its columns and its rows, then an end with the count and sha256 of
every table and the sha256 of all lines before. Rows are what a ship's file and a shore's server
have in common, so one format serves both, and a backup of either is restored into either, by this
version or a later one. A copy of the database file, or what pg_dump writes, would fit one of them.
"""

import gzip
import hashlib
import os
import tempfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import orjson
from sqlalchemy import Connection

from wheelover import __version__
from wheelover.core.errors import UnreadableFile, WheeloverError
from wheelover.formats.strict_json import read_json
from wheelover.store.faults import StoreRefused, translated
from wheelover.store.files import sync_folder
from wheelover.store.key_wrap import wrapped
from wheelover.store.migrate import schema_of
from wheelover.store.open import database_at
from wheelover.store.rows import Total, lines_of, tables_in
from wheelover.store.sealing import seal_of

FORMAT, VERSION = "wheelover-backup", 1
_LEVEL = 3
"""Blobs are compressed already; more than this costs time and saves little."""


class NotWritten(WheeloverError):
    """A backup that could not be written where it was asked for; what stood there still does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """What a backup file says of itself."""

    schema: str
    made_utc: str
    made_by: str
    totals: dict[str, Total]
    sha256: str
    key: dict[str, Any] | None = None

    @property
    def row_count(self) -> int:
        """Return how many rows it holds."""
        return sum(total.rows for total in self.totals.values())


def take_backup(
    database_url: str, target: Path, now_utc: str, *, force: bool, passphrase: str | None = None
) -> Backup:
    """Write a backup of one moment of a store, read it back, and only then give it its name.

    Parameters
    ----------
    database_url : str
        The store; it may be written to meanwhile, and is not migrated.
    target : Path
        The file to make.
    now_utc : str
        The time, RFC 3339.
    force : bool
        Whether a file of that name may be replaced.
    passphrase : str or None
        Wraps the key file, which the backup then brings along. None leaves the key out: the
        secrets in the backup are sealed, and useless without it.

    Raises
    ------
    NotWritten
        When the file is there already or cannot be written.
    StoreRefused, Unavailable
        When the store cannot be read.
    Damaged
        When a record of the store is not what its digest says.
    """
    if target.exists() and not force:
        raise NotWritten(f"{target} is there already; --force replaces it.")
    secret = None if passphrase is None else seal_of(database_url).exported()
    key = None if passphrase is None or secret is None else wrapped(secret, passphrase)
    database = database_at(database_url, make=False)
    try:
        with _named_at_last(target, force=force) as unfinished:
            with translated(), database.snapshot(target.parent) as connection:
                _write(connection, unfinished, now_utc, key)
            return read_backup(unfinished)
    finally:
        database.close()


@contextmanager
def _named_at_last(target: Path, *, force: bool) -> Iterator[Path]:
    """Give a file of another name, for its owner alone, and give it the right one at the end."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
        os.close(handle)
        unfinished = Path(name)
        try:
            yield unfinished
            if force:
                unfinished.replace(target)
            else:
                # A link is refused where another file has taken the name meanwhile.
                os.link(unfinished, target)
            sync_folder(target.parent)
        finally:
            unfinished.unlink(missing_ok=True)
    except OSError as error:
        raise NotWritten(f"{target} was not written: {error.strerror or error}.") from error


def _write(connection: Connection, target: Path, now_utc: str, key: dict[str, Any] | None) -> None:
    """Write the lines of a store."""
    schema = schema_of(connection)
    if schema is None:
        raise StoreRefused("There is nothing to back up: the database has no tables of wheelover.")
    head = {"format": FORMAT, "version": VERSION, "schema": schema, "made_utc": now_utc}
    with target.open("wb") as plain:
        with gzip.GzipFile(fileobj=plain, mode="wb", compresslevel=_LEVEL, mtime=0) as packed:
            out = _Lines(packed)
            out.add(
                {**head, "made_by": f"wheelover {__version__}", **({"key": key} if key else {})}
            )
            totals = {}
            for table in tables_in(connection):
                columns = [str(one.name) for one in table.columns]
                out.add({"table": str(table.name), "columns": columns})
                digest, count = hashlib.sha256(), 0
                for line in lines_of(connection, table):
                    out.write(line)
                    digest.update(line)
                    count += 1
                totals[str(table.name)] = {"rows": count, "sha256": digest.hexdigest()}
            out.add({"end": {"tables": totals, "sha256": out.digest.hexdigest()}})
        plain.flush()
        os.fsync(plain.fileno())


class _Lines:
    """Lines on their way into a file, and the digest of all so far."""

    def __init__(self, packed: gzip.GzipFile) -> None:
        self._packed = packed
        self.digest = hashlib.sha256()

    def write(self, line: bytes) -> None:
        self._packed.write(line)
        self.digest.update(line)

    def add(self, value: dict[str, Any]) -> None:
        self.write(orjson.dumps(value, option=orjson.OPT_APPEND_NEWLINE))


def read_backup(source: Path) -> Backup:
    """Return what a backup says of itself, after every line was held against its digests.

    Raises
    ------
    UnreadableFile
        For a file that is no backup, was cut short, or was changed.
    """
    head: dict[str, Any] = {}
    table, digest, count = "", hashlib.sha256(), 0
    whole, totals = hashlib.sha256(), {}
    for raw in _raw_lines(source):
        if raw.startswith(b"["):
            digest.update(raw)
            count += 1
        else:
            line = _read(source, raw)
            if table:
                totals[table] = Total(rows=count, sha256=digest.hexdigest())
            if "end" in line:
                _require_same(source, line["end"], totals, whole.hexdigest())
                return Backup(
                    schema=head["schema"], made_utc=head["made_utc"], made_by=head["made_by"],
                    totals=totals, sha256=whole.hexdigest(), key=head.get("key"),
                )  # fmt: skip
            head = head or _head(source, line)
            table, digest, count = line.get("table", ""), hashlib.sha256(), 0
        whole.update(raw)
    raise UnreadableFile(f"{source} was cut short: its end is missing.")


def rows_in(source: Path) -> Iterator[tuple[str, list[str], list[Any]]]:
    """Give table, columns and values of every row of a backup that was read before."""
    table, columns = "", list[str]()
    for raw in _raw_lines(source):
        line = _read(source, raw)
        if isinstance(line, list):
            yield table, columns, line
        else:
            table, columns = line.get("table", ""), line.get("columns", [])


def _raw_lines(source: Path) -> Iterator[bytes]:
    """Give the lines of a file as they stand in it."""
    try:
        with gzip.open(source, "rb") as packed:
            yield from packed
    except (EOFError, zlib.error, gzip.BadGzipFile) as error:
        raise UnreadableFile(f"{source} is no backup, or was cut short ({error}).") from error
    except OSError as error:
        raise UnreadableFile(f"{source} cannot be read ({error.strerror}).") from error


def _read(source: Path, raw: bytes) -> Any:
    """Return the value of a line."""
    try:
        return read_json(raw)
    except UnreadableFile as error:
        raise UnreadableFile(f"{source} is no backup, or was changed ({error}).") from error


def _head(source: Path, line: Any) -> dict[str, Any]:
    """Return the head of a backup."""
    known = isinstance(line, dict) and line.get("format") == FORMAT
    if not known or not {"version", "schema", "made_utc", "made_by"} <= line.keys():
        raise UnreadableFile(f"{source} is no backup of wheelover.")
    if line["version"] != VERSION:
        raise UnreadableFile(f"{source} was made by a newer version ({line['made_by']}).")
    found: dict[str, Any] = line
    return found


def _require_same(source: Path, end: Any, totals: dict[str, Total], sha256: str) -> None:
    """Refuse a backup whose lines are not those it ends by naming."""
    found = {name: {"rows": one.rows, "sha256": one.sha256} for name, one in totals.items()}
    if end != {"tables": found, "sha256": sha256}:
        raise UnreadableFile(f"{source} was changed: its lines are not those it was made of.")
