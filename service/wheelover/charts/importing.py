"""Reading chart cells in a process of its own, shut in, with its limits and its time counted.

Nothing that comes from a file is read here: what the process made is taken as bytes under a digest,
and whatever becomes of the process is told in a sentence.
"""

import contextlib
import logging
import os
import selectors
import signal
import subprocess
import sys
import tempfile
import time
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

import orjson

import wheelover
from wheelover.charts.messages import GIVEN, RESULT, Document, Limits
from wheelover.core.errors import UnreadableFile
from wheelover.formats.strict_json import read_json

_log = logging.getLogger("wheelover.charts")

_MOST_SAID_BYTES = 4 * 1024 * 1024
_LOOK_EVERY_S = 0.1

SHARE_BYTES = 4 * 1024 * 1024
"""Files get the time of one more for each such share: a zip holds many cells."""


@dataclass(frozen=True, slots=True, kw_only=True)
class File:
    """A file as it came, or as it is stored."""

    name: str
    body: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """Bytes under their digest, compressed (zlib)."""

    sha256: str
    size_count: int
    packed: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadCell:
    """A cell as the process made it: ``said`` are plain JSON values (see ``reading._kept``)."""

    said: Document
    body: Packed
    files: tuple[Packed, ...]


@dataclass(slots=True, kw_only=True)
class Reading:
    """What became of the files of an import."""

    cells: tuple[ReadCell, ...] = ()
    failures: tuple[Document, ...] = ()
    lines: tuple[Document, ...] = ()
    held: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Steering:
    """How an import is watched: told how far it is, and asked whether to stop.

    ``stored`` returns the files that are kept of cells by their names.
    """

    told: Callable[[str, int], None] = field(default=lambda _stage, _percent: None)
    stopped: Callable[[], bool] = field(default=lambda: False)
    stored: Callable[[Sequence[str]], Sequence[File]] = field(default=lambda _names: ())


class Stopped(Exception):
    """An import that was stopped by who began it."""


def read_apart(files: Sequence[File], limits: Limits, steering: Steering) -> Reading:
    """Return what a process of its own reads in files.

    Parameters
    ----------
    files : sequence of File
        Cells, updates and zips, in any order.
    limits : Limits
        What it may use.
    steering : Steering
        How it is watched.

    Raises
    ------
    UnreadableFile
        When the process ends without an answer: at a limit, by a fault, or killed.
    Stopped
        When it was asked to stop.
    """
    with tempfile.TemporaryDirectory(prefix="wheelover-charts-") as name:
        folder = Path(name)
        _put(folder, GIVEN, "given", files)
        count = max(1, len(files)) + sum(len(one.body) for one in files) // SHARE_BYTES
        with _started(folder, limits, count) as process:
            said = _Conversation(process, folder, limits.wall_s * count, steering)
            said.go_on()
            code = process.wait(timeout=5.0)
        if code != 0 or said.failure or not (folder / RESULT).is_file():
            raise UnreadableFile(said.failure or _ended(code, limits, count))
        return _result(folder, said.held)


def _put(folder: Path, listed: str, stem: str, files: Sequence[File]) -> None:
    """Write files into the folder under names of ours, and the list of them."""
    rows = []
    for number, one in enumerate(files):
        (folder / f"{stem}-{number}").write_bytes(one.body)
        rows.append({"name": one.name[-200:], "file": f"{stem}-{number}"})
    (folder / listed).write_bytes(orjson.dumps(rows))


@contextlib.contextmanager
def _started(folder: Path, limits: Limits, count: int) -> Iterator[subprocess.Popen[bytes]]:
    """Start the process and see to it that nothing of it is left."""
    command = [sys.executable, "-P", "-s", "-m", "wheelover.charts.reading_process", str(folder)]
    command += [str(limits.memory_mb), str(limits.cpu_s * count)]
    packages = Path(wheelover.__file__).resolve().parents[1]
    environment = {
        "PATH": "/usr/bin:/bin",
        "LC_ALL": "C.UTF-8",
        "PYTHONPATH": str(packages),
        "PYTHONDONTWRITEBYTECODE": "1",
        "OPENBLAS_NUM_THREADS": "1",
    }
    with (folder / "errors").open("wb") as errors:
        process = subprocess.Popen(  # noqa: S603  the interpreter and arguments of ours
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=errors,
            cwd=folder,
            env=environment,
            start_new_session=True,
        )
    try:
        yield process
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                with contextlib.suppress(BrokenPipeError):
                    pipe.close()
        complaint = (folder / "errors").read_bytes()[-2000:]
        if complaint:
            _log.warning("the process that reads cells: %s", complaint.decode(errors="replace"))


class _Conversation:
    """What the process says, until it says no more or its time is over."""

    def __init__(
        self, process: subprocess.Popen[bytes], folder: Path, wall_s: float, steering: Steering
    ) -> None:
        self._process = process
        self._folder = folder
        self._until = time.monotonic() + wall_s
        self._wall_s = wall_s
        self._steering = steering
        self.held: tuple[str, ...] = ()
        self.failure = ""

    def go_on(self) -> None:
        """Listen to the end."""
        output = _pipe(self._process.stdout)
        waiting, heard_count = b"", 0
        with selectors.DefaultSelector() as selector:
            selector.register(output, selectors.EVENT_READ)
            while True:
                if self._steering.stopped():
                    raise Stopped
                if time.monotonic() > self._until:
                    raise UnreadableFile(
                        f"reading was ended after {self._wall_s:.0f} s; nothing was kept"
                    )
                if not selector.select(_LOOK_EVERY_S):
                    continue
                heard = os.read(output.fileno(), 65_536)
                heard_count += len(heard)
                if not heard:
                    return
                if heard_count > _MOST_SAID_BYTES:
                    raise UnreadableFile("the process that reads cells said too much")
                *whole, waiting = (waiting + heard).split(b"\n")
                for line in whole:
                    self._hear(read_json(line))

    def _hear(self, said: dict[str, Any]) -> None:
        """Take one message."""
        if "held" in said:
            self.held = tuple(map(str, said["held"]))
        if "failure" in said:
            self.failure = str(said["failure"])[:500]
        if "stage" in said:
            self._steering.told(str(said["stage"])[:100], int(said["percent"]))
        if "stored" in said:
            kept = self._steering.stored([str(one) for one in said["stored"]])
            _put(self._folder, "stored.json", "stored", kept)
            answer = _pipe(self._process.stdin)
            with contextlib.suppress(BrokenPipeError):
                answer.write(b"stored.json\n")
                answer.flush()


def _pipe(pipe: IO[bytes] | None) -> IO[bytes]:
    """Return a pipe that the process was started with."""
    if pipe is None:
        raise TypeError("the process was started without its pipes")
    return pipe


def _ended(code: int, limits: Limits, count: int) -> str:
    """Return in words why the process ended without an answer."""
    if code in (-signal.SIGXCPU, -signal.SIGKILL):
        return (
            f"reading was ended at its limit of {limits.cpu_s * count} s of a processor or "
            f"{limits.memory_mb} MB of memory; nothing was kept"
        )
    if code < 0:
        return (
            f"the process that reads cells crashed ({signal.Signals(-code).name}); nothing was kept"
        )
    return f"the process that reads cells failed (exit code {code}); nothing was kept"


def _result(folder: Path, held: tuple[str, ...]) -> Reading:
    """Return what the process left in the folder."""
    result = read_json((folder / RESULT).read_bytes())
    cells = []
    for said in result["cells"]:
        number = int(said["number"])
        files = tuple(
            Packed(
                sha256=one["sha256"],
                size_count=one["size"],
                packed=(folder / f"used-{number}-{index}").read_bytes(),
            )
            for index, one in enumerate(said["files"])
        )
        packed = (folder / f"cell-{number}").read_bytes()
        body = Packed(sha256=said["sha256"], size_count=said["size"], packed=packed)
        cells.append(ReadCell(said=said, body=body, files=files))
    return Reading(
        cells=tuple(cells),
        failures=tuple(result["failures"]),
        lines=tuple(result["lines"]),
        held=held,
    )


def contents(packed: Packed) -> bytes:
    """Return the bytes that were packed."""
    return zlib.decompress(packed.packed)
