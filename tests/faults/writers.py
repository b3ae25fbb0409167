"""Clients that keep ships under names of their own and note each one that was acknowledged."""

import itertools
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager

from tests.api.keeping import SHIP
from tests.faults.running import Caller, Service

_PAGE = 500


class Writers:
    """Threads that write without pause, one request after the other each.

    ``refused_after`` counts requests that were sent while ``back`` was set and not kept.
    """

    def __init__(self, port: int, count: int, prefix: str) -> None:
        self.acked: list[str] = []
        self.statuses: Counter[int] = Counter()
        self.took_s: list[float] = []
        self.refused_after = 0
        self.back = threading.Event()
        self.go = threading.Event()
        self.go.set()
        self._port, self._ended = port, threading.Event()
        self._idle = [threading.Event() for _ in range(count)]
        self._threads = [
            threading.Thread(target=self._work, args=(f"{prefix}-{index}", self._idle[index]))
            for index in range(count)
        ]

    def start(self) -> None:
        for thread in self._threads:
            thread.start()

    def stop(self) -> None:
        self._ended.set()
        self.go.set()
        for thread in self._threads:
            thread.join()

    def pause(self) -> None:
        """Return when every request has its answer; none follows until ``go`` is set."""
        self.go.clear()
        for idle in self._idle:
            idle.wait()

    def wait_for(self, count: int, within_s: float = 120.0) -> float:
        """Return after how many seconds so many are acknowledged."""
        began_s = time.monotonic()
        while len(self.acked) < count:
            if time.monotonic() - began_s > within_s:
                raise TimeoutError(f"{len(self.acked)} of {count} acknowledged: {self.statuses}")
            time.sleep(0.002)
        return time.monotonic() - began_s

    def _work(self, name: str, idle: threading.Event) -> None:
        caller = Caller(self._port)
        for number in itertools.count():
            if not self.go.is_set():
                # The service lets a connection go that nobody uses for some seconds.
                caller.close()
                idle.set()
                self.go.wait()
                idle.clear()
            if self._ended.is_set():
                break
            key = f"{name}-{number}"
            back, began_s = self.back.is_set(), time.monotonic()
            try:
                status = caller.ask("POST", "/api/v1/ships", {**SHIP, "name": key}).status
            except OSError:
                status = 0
                time.sleep(0.01)
            # Before the next request: what is acknowledged is known however this one ends.
            if 200 <= status < 300:
                self.acked.append(key)
                self.took_s.append(time.monotonic() - began_s)
            elif back:
                self.refused_after += 1
            self.statuses[status] += 1
        idle.set()
        caller.close()


@contextmanager
def writing(service: Service, count: int, prefix: str) -> Iterator[Writers]:
    """Give writers at work, and stop them."""
    writers = Writers(service.port, count, prefix)
    writers.start()
    try:
        yield writers
    finally:
        writers.stop()


def stored_names(service: Service) -> set[str]:
    """Return the names of all ships that a service has."""
    caller, found, cursor = Caller(service.port), set[str](), ""
    while True:
        page = caller.ask("GET", f"/api/v1/ships?limit={_PAGE}{cursor}").json()
        found |= {one["name"] for one in page["items"]}
        if not page.get("next_cursor"):
            caller.close()
            return found
        cursor = f"&cursor={page['next_cursor']}"
