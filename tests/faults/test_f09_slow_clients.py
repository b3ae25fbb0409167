"""F9: senders that dawdle over a head, over a body, or send nothing, while others are served."""

import socket
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from tests.faults.figures import report
from tests.faults.running import Caller, running
from wheelover.api.patience import BODY_S, HEAD_S

# What is tried comes before any database: half a minute more on PostgreSQL is for the long form.
ENGINES_OF_LONG = ["sqlite", pytest.param("postgresql", marks=pytest.mark.only_long)]
_HEAD = b"POST /api/v1/plan HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Wheelover: 1\r\n"
_BODY = _HEAD + b"Content-Type: application/json\r\nContent-Length: 100000\r\n\r\n{"


class Dawdler:
    """A connection that sends its part and then a byte now and then."""

    def __init__(self, port: int, begins: bytes) -> None:
        self.socket = socket.create_connection(("127.0.0.1", port))
        self.socket.settimeout(0.0)
        self._send(begins)

    def _send(self, data: bytes) -> None:
        try:
            self.socket.send(data)
        except OSError:
            return

    def drip(self) -> None:
        """Send one byte more."""
        self._send(b"x")

    def alive(self) -> bool:
        """Return whether the service still holds the connection."""
        try:
            while self.socket.recv(4096):
                pass
        except BlockingIOError:
            return True
        except OSError:
            return False
        return False


def dawdled(url: str, log: Path, count: int, wait_s: float, *sabotage: str) -> dict[str, Any]:
    """Return how many of the slow connections are held after the deadline, and what others got."""
    with running(url, log, sabotage[0] if sabotage else None) as service:
        drips = [Dawdler(service.port, _HEAD) for _ in range(count)]
        drips += [Dawdler(service.port, _BODY) for _ in range(count)]
        silent = [Dawdler(service.port, b"") for _ in range(count)]
        good: list[tuple[int, float]] = []
        until = time.monotonic() + wait_s

        def serve() -> None:
            while time.monotonic() < until:
                caller = Caller(service.port)
                began = time.perf_counter()
                status = caller.ask("GET", "/readyz").status
                good.append((status, time.perf_counter() - began))
                caller.close()
                time.sleep(0.1)

        thread = threading.Thread(target=serve)
        thread.start()
        while time.monotonic() < until:
            for one in drips:
                one.drip()
            time.sleep(1.0)
        thread.join()
        held = sum(one.alive() for one in drips + silent)
        for one in drips + silent:
            one.socket.close()
    took = sorted(seconds for _, seconds in good)
    return {
        "slow": len(drips) + len(silent),
        "held": held,
        "asked": len(good),
        "served": sum(status == 200 for status, _ in good),
        "p99_ms": round(1000.0 * took[int(0.99 * (len(took) - 1))]),
    }


def holds(figures: dict[str, Any]) -> bool:
    return bool(figures["held"] == 0 and figures["served"] == figures["asked"] > 0)


@pytest.mark.parametrize("engine", ENGINES_OF_LONG)
def test_no_slow_connection_is_held(engine: str, new_url: str, log: Path, long_form: bool) -> None:
    count = 500 if long_form else 40
    figures = dawdled(new_url, log, count, max(HEAD_S, BODY_S) + 2.0)
    report("F9", engine=engine, **figures)
    assert holds(figures)


def test_the_stock_protocol_is_found_out(tmp_path: Path, log: Path) -> None:
    url = f"sqlite:///{tmp_path / 'x.sqlite3'}"
    figures = dawdled(url, log, 20, HEAD_S + 3.0, "stock_protocol")
    report("F9-twin", **figures)
    assert not holds(figures)
