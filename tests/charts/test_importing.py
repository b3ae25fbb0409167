"""The process that reads cells: what it may do, what stops it, and what is said of its end."""

import os
import signal
import socket
import subprocess
import sys
import textwrap
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.charts.cells import rich_cell
from tests.charts.test_given_files import zipped
from wheelover.charts import importing
from wheelover.charts.cage import shut_in
from wheelover.charts.importing import File, Steering, Stopped, contents, read_apart
from wheelover.charts.messages import Limits
from wheelover.core.errors import UnreadableFile
from wheelover.formats.cell_document import cell_of

LIMITS = Limits()
SERVICE = Path(importing.__file__).parents[2]


def children() -> list[int]:
    """Return the processes that read cells for this one and are there still."""
    threads = Path("/proc/self/task").iterdir()
    ids = [one for thread in threads for one in (thread / "children").read_text().split()]
    return [int(one) for one in ids if b"reading_process" in _command(one)]


def _command(process: str) -> bytes:
    """Return what a process was started as, nothing for one that is gone."""
    try:
        return Path(f"/proc/{process}/cmdline").read_bytes()
    except FileNotFoundError:
        return b""


def stopping_at(stage: str, does: Callable[[], None]) -> Steering:
    """Return a steering that does something once when a stage is told."""
    done = threading.Event()

    def told(said: str, _percent: int) -> None:
        if said.startswith(stage) and not done.is_set():
            done.set()
            does()

    return Steering(told=told)


def test_cells_come_back_with_what_became_of_each_file() -> None:
    desk = rich_cell()
    base = desk.base()
    desk.modify(700, VALSOU=1.1)
    stages: list[tuple[str, int]] = []
    steering = Steering(told=lambda stage, percent: stages.append((stage, percent)))
    files = [File(name="z.zip", body=zipped({"A/ZZ5TEST.001": desk.update()}).body)]
    files += [File(name="ZZ5TEST.000", body=base), File(name="note.txt", body=b"hello")]
    found = read_apart(files, LIMITS, steering)
    (read,) = found.cells
    cell = cell_of(contents(read.body))
    assert (cell.about.name, cell.about.update) == ("ZZ5TEST", 1)
    fates = {one["name"]: one["fate"] for one in [*found.lines, *read.said["lines"]]}
    assert fates == {"note.txt": "refused", "ZZ5TEST.000": "read", "ZZ5TEST.001": "applied"}
    assert contents(read.files[0]) == base
    assert stages[0] == ("unpacking", 0)
    assert stages[-1] == ("read", 100)
    percents = [percent for _, percent in stages]
    assert percents == sorted(percents)
    assert children() == []


def test_a_bad_cell_does_not_take_the_others_with_it() -> None:
    good, bad = rich_cell().base(), rich_cell().base().replace(b"ZZ5TEST.000", b"ZZ5OTHR.000")
    files = [File(name="a.000", body=good), File(name="b.000", body=bad[:-100])]
    found = read_apart(files, LIMITS, Steering())
    assert [one.said["name"] for one in found.cells] == ["ZZ5TEST"]
    (failure,) = found.failures
    assert failure["cell"] == "ZZ5OTHR"
    assert "b.000: record" in failure["words"]
    assert [(one["name"], one["fate"]) for one in found.lines] == [("b.000", "refused")]


def test_what_is_stored_is_read_with_what_is_given() -> None:
    desk = rich_cell()
    base = desk.base()
    desk.modify(700, VALSOU=1.1)
    asked: list[str] = []

    def stored(names: object) -> list[File]:
        asked.extend(names)  # type: ignore[call-overload]
        return [File(name="ZZ5TEST.000", body=base)]

    files = [File(name="ZZ5TEST.001", body=desk.update())]
    found = read_apart(files, LIMITS, Steering(stored=stored))
    assert asked == ["ZZ5TEST"]
    assert found.cells[0].said["about"]["update"] == 1
    alone = read_apart(files, LIMITS, Steering())
    assert "updates without their base cell" in alone.failures[0]["words"]


def test_it_stops_when_it_is_asked_to() -> None:
    asked = threading.Event()
    steering = Steering(told=lambda _stage, _percent: asked.set(), stopped=asked.is_set)
    with pytest.raises(Stopped):
        read_apart([File(name="a.000", body=rich_cell().base())], LIMITS, steering)
    assert children() == []


def test_a_crash_is_said_and_nothing_is_left() -> None:
    def crash() -> None:
        for one in children():
            os.kill(one, signal.SIGSEGV)

    steering = stopping_at("unpacking", crash)
    with pytest.raises(UnreadableFile, match=r"crashed \(SIGSEGV\); nothing was kept"):
        read_apart([File(name="a.000", body=rich_cell().base())], LIMITS, steering)
    assert children() == []


def test_time_by_the_clock_is_limited() -> None:
    def hang() -> None:
        for one in children():
            os.kill(one, signal.SIGSTOP)

    steering = stopping_at("unpacking", hang)
    began = time.monotonic()
    with pytest.raises(UnreadableFile, match="ended after 2 s"):
        read_apart([File(name="a.000", body=b"x")], Limits(wall_s=2), steering)
    assert time.monotonic() - began < 30
    assert children() == []


def test_memory_is_limited() -> None:
    body = os.urandom(1000) * 150_000
    with pytest.raises(UnreadableFile, match=r"memory|exit code"):
        read_apart([File(name="a.000", body=body)], Limits(memory_mb=200), Steering())


def test_time_of_a_processor_is_limited() -> None:
    code = """
    from pathlib import Path
    import sys
    from wheelover.charts.cage import shut_in
    shut_in(Path(sys.argv[1]), memory_mb=500, cpu_s=1, file_mb=1)
    while True: pass
    """
    ended = caged(code, Path("/tmp"))  # noqa: S108  nothing is written
    assert ended.returncode in (-signal.SIGXCPU, -signal.SIGKILL)
    words = importing._ended(ended.returncode, LIMITS, 1)
    assert "at its limit" in words


def caged(code: str, folder: Path) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-P", "-c", textwrap.dedent(code), str(folder)],
        env={"PYTHONPATH": str(SERVICE), "PATH": "/usr/bin:/bin"},
        capture_output=True,
        timeout=60,
        check=False,
    )


def test_it_reaches_no_file_no_network_and_no_program(tmp_path: Path) -> None:
    """Whatever the system has of this is used; what it has is what the report says."""
    outside = tmp_path / "outside"
    folder = tmp_path / "folder"
    folder.mkdir()
    outside.write_text("secret")
    with socket.create_server(("127.0.0.1", 0)) as server:
        code = f"""
        from pathlib import Path
        import socket, subprocess, sys
        from wheelover.charts.cage import shut_in
        held = " ".join(shut_in(Path(sys.argv[1]), memory_mb=500, cpu_s=10, file_mb=1))
        import numpy
        def tried(what):
            try:
                what()
            except OSError as error:
                return "refused"
            return "done"
        print(held)
        print(tried(lambda: open({str(outside)!r}).read()))
        print(tried(lambda: open({str(tmp_path / "new")!r}, "w")))
        print(tried(lambda: socket.create_connection(("127.0.0.1", {server.getsockname()[1]}), 2)))
        print(tried(lambda: subprocess.run(["/bin/true"])))
        print(tried(lambda: (Path(sys.argv[1]) / "own").write_text("x")))
        print(tried(lambda: (Path(sys.argv[1]) / "big").write_bytes(bytes(2 << 20))))
        """
        ended = caged(code, folder)
    held, *tried = ended.stdout.decode().splitlines()
    assert ended.returncode in (0, -signal.SIGXFSZ), ended.stderr
    assert "500 MB of memory" in held
    assert "no new privileges" in held
    if "Landlock" in held:
        assert (tried[0], tried[1], tried[3]) == ("refused", "refused", "refused")
    if "no network" in held:
        assert tried[2] == "refused"
    assert tried[4] == "done"
    assert tried[5:] in ([], ["refused"])
    assert not (tmp_path / "new").exists()


def test_a_hostile_answer_is_not_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importing, "_MOST_SAID_BYTES", 50)
    with pytest.raises(UnreadableFile, match="said too much"):
        read_apart([File(name="a.000", body=rich_cell().base())], LIMITS, Steering())
    assert children() == []


def test_limits_never_grow(tmp_path: Path) -> None:
    assert callable(shut_in)
    code = """
    import resource, sys
    from pathlib import Path
    resource.setrlimit(resource.RLIMIT_CPU, (5, 5))
    from wheelover.charts.cage import shut_in
    shut_in(Path(sys.argv[1]), memory_mb=500, cpu_s=100, file_mb=1)
    print(resource.getrlimit(resource.RLIMIT_CPU))
    """
    assert caged(code, tmp_path).stdout.decode().strip() == "(5, 5)"
