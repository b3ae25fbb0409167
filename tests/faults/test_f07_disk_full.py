"""F7: the disk of the database is full, and then has room again."""

import os
import random
import shutil
import subprocess
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.api.keeping import hazards
from tests.cluster import Cluster, account
from tests.faults.figures import report
from tests.faults.running import Caller, running
from tests.stores import fresh

_SMALL_MB, _LARGE_MB, _ROOM_MB = {"sqlite": 6, "postgresql": 24}, 200, 2


@contextmanager
def small_disk(size_mb: int) -> Iterator[Path]:
    """Give a disk of its own in memory."""
    folder = Path(tempfile.mkdtemp(prefix="wo-small-"))
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size_mb}m,mode=0777", "tmpfs", folder],
        check=False,
        capture_output=True,
    )
    if made.returncode != 0:
        folder.rmdir()
        if os.environ.get("CI") == "true":
            pytest.fail("no disk could be mounted")
        pytest.skip("mounting a disk needs root")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", folder], check=True)
        folder.rmdir()


def grow(folder: Path) -> None:
    """Give a disk more room."""
    size = f"remount,size={_LARGE_MB}m"
    subprocess.run(["mount", "-o", size, folder], check=True)


@contextmanager
def database_on(folder: Path, engine: str, request: pytest.FixtureRequest) -> Iterator[str]:
    """Give the URL of a database whose rows lie on a disk, for its log elsewhere."""
    if engine == "sqlite":
        yield f"sqlite:///{folder / 'store' / 'wheelover.sqlite3'}"
        return
    server: Cluster = request.getfixturevalue("durable")
    space = folder / "space"
    space.mkdir()
    if "user" in account():
        shutil.chown(space, account()["user"], account()["group"])
    server.run(f"CREATE TABLESPACE small LOCATION '{space}'")
    try:
        yield from fresh(server, "template0 TABLESPACE small")
    finally:
        server.run("DROP TABLESPACE small")


def leave_mb(folder: Path, room_mb: int) -> None:
    """Fill a disk with a file until so much room is left."""
    free = shutil.disk_usage(folder).free - room_mb * 1024**2
    with (folder / "ballast").open("wb") as file:
        file.write(bytes(max(0, free)))


class Keeper:
    """Keeps hazard sets that compress badly, and notes where each acknowledged one should be."""

    def __init__(self, port: int) -> None:
        self.caller = Caller(port)
        self.acked: list[str] = []
        self.was_kept = True
        self._chance = random.Random(port)  # noqa: S311

    def write(self, count: int) -> int:
        """Send a set of so many dangers and return the status of the answer."""
        body = hazards(*((n * 1e-3, n * 1e-3) for n in range(count)), name=f"s{len(self.acked)}")
        for feature in body["features"]:
            feature["properties"]["name"] = self._chance.randbytes(90).hex()
        answer = self.caller.ask("POST", "/api/v1/hazard-sets", body)
        place = answer.headers["Location"]
        self.was_kept = place is not None
        if 200 <= answer.status < 300:
            self.acked.append(place or "/api/v1/hazard-sets/acknowledged-and-nowhere")
        return answer.status

    def reads(self) -> Counter[int]:
        """Return the statuses of reading what was acknowledged, and of health and lists."""
        places = [*self.acked[:20], "/healthz", "/readyz", "/api/v1/hazard-sets"]
        return Counter(self.caller.ask("GET", place).status for place in places)


def filled(url: str, folder: Path, log: Path, after: int, *sabotage: str) -> dict[str, Any]:
    """Return what a service answered before, while and after its disk was full."""
    with running(url, log, sabotage[0] if sabotage else None) as service:
        keeper = Keeper(service.port)
        keeper.write(10)
        leave_mb(folder, _ROOM_MB)
        full: Counter[int] = Counter()
        while keeper.was_kept:
            last = keeper.write(400)
        full[last] += 1
        full.update(keeper.write(2000 + n) for n in range(10))
        reads = keeper.reads()
        grow(folder)
        resumed = Counter(keeper.write(50 + n) for n in range(after))
        gone = [one for one in keeper.acked if keeper.caller.ask("GET", one).status != 200]
        keeper.caller.close()
    return {
        "acked": len(keeper.acked),
        "lost": len(gone),
        "while_full": dict(full),
        "reads": dict(reads),
        "resumed": resumed[201],
        "ratio": resumed[201] / after,
    }


def holds(figures: dict[str, Any]) -> bool:
    answers = set(figures["while_full"]) == {507} and set(figures["reads"]) == {200}
    return bool(answers and figures["lost"] == 0 and figures["ratio"] == 1.0)


def test_a_full_disk_is_507_and_nothing_is_lost(
    engine: str, log: Path, long_form: bool, request: pytest.FixtureRequest
) -> None:
    with small_disk(_SMALL_MB[engine]) as folder, database_on(folder, engine, request) as url:
        figures = filled(url, folder, log, 200 if long_form else 20)
    report("F7", engine=engine, **figures)
    assert holds(figures)


def test_an_error_that_is_acknowledged_is_found_out(
    engine: str, log: Path, request: pytest.FixtureRequest
) -> None:
    with small_disk(_SMALL_MB[engine]) as folder, database_on(folder, engine, request) as url:
        figures = filled(url, folder, log, 5, "acknowledge_errors")
    report("F7-twin", engine=engine, acked=figures["acked"], lost=figures["lost"])
    assert figures["lost"] > 0
    assert not holds(figures)
