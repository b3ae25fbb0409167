"""A disk that remembers: what SQLite wrote and what it waited for, and what a power cut leaves.

``Recorder`` is a file system of SQLite's (a VFS) that notes every write and every sync on its way
through. ``driver`` lets the store's own engine run on it. ``left_by_cut`` puts together what the
disk holds when the power goes after the first so many of them: what was synced, and of the rest
nothing or any part. Making and removing a file is taken as lasting at once.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import apsw

_SECTOR_BYTES = 512


@dataclass(frozen=True)
class Event:
    """A write, a truncation, a sync or a removal of a file, or an acknowledged change."""

    kind: str
    file: str
    place: int = 0
    data: bytes = b""


class Recorder(apsw.VFS):  # type: ignore[misc]
    """A file system that notes what passes through."""

    def __init__(self, name: str) -> None:
        self.called = name
        self.events: list[Event] = []
        super().__init__(name, "")

    def xOpen(self, name: Any, flags: list[int]) -> Any:  # noqa: N802  SQLite's name
        return _File(self.events, name, flags)

    def xDelete(self, name: str, sync: bool) -> None:  # noqa: N802
        super().xDelete(name, sync)
        self.events.append(Event("remove", Path(name).name))


class _File(apsw.VFSFile):  # type: ignore[misc]
    """An open file of the recorder."""

    def __init__(self, events: list[Event], name: Any, flags: list[int]) -> None:
        path = name.filename() if isinstance(name, apsw.URIFilename) else name
        self._events, self._name = events, Path(path).name
        super().__init__("", name, flags)

    def xWrite(self, data: bytes, offset: int) -> None:  # noqa: N802
        super().xWrite(data, offset)
        self._events.append(Event("write", self._name, offset, bytes(data)))

    def xTruncate(self, size: int) -> None:  # noqa: N802
        super().xTruncate(size)
        self._events.append(Event("cut", self._name, size))

    def xSync(self, flags: int) -> None:  # noqa: N802
        super().xSync(flags)
        self._events.append(Event("sync", self._name))


@dataclass
class Disk:
    """What is on the disk for good, and what may or may not be."""

    lasting: dict[str, bytearray] = field(default_factory=dict)
    pending: dict[str, list[Event]] = field(default_factory=dict)

    def take(self, event: Event) -> None:
        """Take one event in."""
        if event.kind == "remove":
            self.lasting.pop(event.file, None)
            self.pending.pop(event.file, None)
        elif event.kind == "sync":
            image = self.lasting.setdefault(event.file, bytearray())
            for one in self.pending.pop(event.file, []):
                _apply(image, one)
        else:
            self.pending.setdefault(event.file, []).append(event)

    def left_by_cut(self, folder: Path, chance: random.Random | None) -> None:
        """Write what a cut leaves: nothing unsynced, or with ``chance`` any part of it."""
        folder.mkdir()
        for name in self.lasting.keys() | self.pending.keys():
            image = bytearray(self.lasting.get(name, b""))
            for event in self.pending.get(name, []) if chance else []:
                assert chance is not None
                if chance.random() < 0.5:
                    _apply(image, _torn(event, chance))
            (folder / name).write_bytes(image)


def _apply(image: bytearray, event: Event) -> None:
    """Do to a file what an event did."""
    if event.kind == "cut":
        del image[event.place :]
        return
    end = event.place + len(event.data)
    image.extend(bytes(max(0, end - len(image))))
    image[event.place : end] = event.data


def _torn(event: Event, chance: random.Random) -> Event:
    """Return a write, or in one of four cases only its first sectors."""
    if event.kind == "cut" or chance.random() < 0.75:
        return event
    kept = _SECTOR_BYTES * chance.randint(0, len(event.data) // _SECTOR_BYTES)
    return Event(event.kind, event.file, event.place, event.data[:kept])


def driver(recorder: str) -> Any:
    """Return a database module, as the engine wants it, whose files go through a recorder."""

    def connect(path: str, **_options: Any) -> "_Connection":
        return _Connection(apsw.Connection(path, vfs=recorder))

    names = ("Error", "DatabaseError", "OperationalError", "IntegrityError", "ProgrammingError")
    errors: dict[str, Any] = dict.fromkeys((*names, "InterfaceError", "DataError"), apsw.Error)
    errors |= dict.fromkeys(("InternalError", "NotSupportedError", "Warning"), apsw.Error)
    version = apsw.sqlite_lib_version()
    return SimpleNamespace(
        connect=connect,
        paramstyle="qmark",
        Binary=bytes,
        sqlite_version=version,
        sqlite_version_info=tuple(map(int, version.split("."))),
        **errors,
    )


class _Connection:
    """A connection with the methods that the engine calls."""

    isolation_level: str | None = None

    def __init__(self, inner: apsw.Connection) -> None:
        self._inner = inner
        self.close: Callable[[], None] = inner.close

    def cursor(self) -> "_Cursor":
        return _Cursor(self._inner)

    def create_function(self, name: str, count: int, function: Any, **_options: Any) -> None:
        self._inner.create_scalar_function(name, function, count, deterministic=True)

    def commit(self) -> None:
        if self._inner.in_transaction:
            self._inner.execute("COMMIT")

    def rollback(self) -> None:
        if self._inner.in_transaction:
            self._inner.execute("ROLLBACK")


class _Cursor:
    """A cursor with the methods that the engine calls."""

    arraysize = 1

    def __init__(self, inner: apsw.Connection) -> None:
        self._inner = inner
        self._rows: list[Any] = []
        self.description: Any = None
        self.rowcount = -1
        self.lastrowid = 0

    def execute(self, sql: str, values: Any = ()) -> "_Cursor":
        cursor = self._inner.cursor()
        described: list[Any] = []

        def see(running: Any, _sql: str, _values: Any) -> bool:
            described.append([(*one, *[None] * 5) for one in running.get_description()])
            return True

        cursor.exec_trace = see
        self._rows = list(cursor.execute(sql, tuple(values)))
        self.description = (described[-1] if described else None) or None
        self.rowcount, self.lastrowid = self._inner.changes(), self._inner.last_insert_rowid()
        return self

    def executemany(self, sql: str, rows: Any) -> None:
        for row in rows:
            self.execute(sql, row)

    def fetchone(self) -> Any:
        return self._rows.pop(0) if self._rows else None

    def fetchall(self) -> list[Any]:
        found, self._rows = self._rows, []
        return found

    def fetchmany(self, count: int = 1) -> list[Any]:
        found, self._rows = self._rows[:count], self._rows[count:]
        return found

    def close(self) -> None:
        self._rows = []
