"""F10: bodies of 64 MB, declared and in chunks, are refused without being kept in memory."""

import http.client
import os
import socket
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from tests.faults.figures import report
from tests.faults.running import Service, running

_MB = 1024 * 1024
_HEADERS = {"X-Wheelover": "1", "Content-Type": "application/json"}


def _memory_mb(service: Service) -> float:
    assert service._process is not None
    pages = int(Path(f"/proc/{service._process.pid}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / _MB


def _settled_mb(service: Service) -> float:
    """Return its memory when what a start does not wait for has been loaded as well."""
    quiet = 0
    last = _memory_mb(service)
    while quiet < 4:
        time.sleep(0.5)
        now = _memory_mb(service)
        quiet = quiet + 1 if abs(now - last) < 1.0 else 0
        last = now
    return last


def _declared(port: int) -> tuple[int, float]:
    """Say that 64 MB come, send nothing of them, and return the answer and how long it took."""
    with socket.create_connection(("127.0.0.1", port), timeout=30) as link:
        head = "".join(f"{name}: {text}\r\n" for name, text in _HEADERS.items())
        began = time.perf_counter()
        link.sendall(
            f"POST /api/v1/plan HTTP/1.1\r\nHost: 127.0.0.1\r\n{head}"
            f"Content-Length: {64 * _MB}\r\n\r\n".encode()
        )
        answer = link.recv(4096)
    return int(answer.split()[1]), time.perf_counter() - began


def _chunked(port: int) -> int:
    """Send 64 MB in chunks until the service has had enough, and return the answer."""

    def parts() -> Iterator[bytes]:
        for _ in range(64):
            yield b" " * _MB

    link = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    with suppress(BrokenPipeError, ConnectionResetError):
        link.request("POST", "/api/v1/plan", parts(), _HEADERS, encode_chunked=True)
    try:
        return link.getresponse().status
    except (ConnectionResetError, http.client.HTTPException):
        return 0
    finally:
        link.close()


def sent(url: str, log: Path, count: int, *sabotage: str) -> dict[str, Any]:
    """Return what large bodies were answered, and how much memory they took."""
    with running(url, log, sabotage[0] if sabotage else None) as service:
        _chunked(service.port)
        before = _settled_mb(service)
        declared = [_declared(service.port) for _ in range(0 if sabotage else count)]
        statuses = [_chunked(service.port) for _ in range(count)]
        grown = _memory_mb(service) - before
    return {
        "declared": len(declared),
        "declared_413": sum(status == 413 for status, _ in declared),
        "declared_ms": round(1000.0 * max((s for _, s in declared), default=0.0)),
        "chunked": len(statuses),
        "taken": sum(status not in (0, 413) for status in statuses),
        "grown_mb": round(grown, 1),
    }


def holds(figures: dict[str, Any]) -> bool:
    refused = figures["declared_413"] == figures["declared"] and figures["taken"] == 0
    return bool(refused and figures["grown_mb"] <= 30.0)


def test_large_bodies_are_refused_before_they_are_read(
    engine: str, new_url: str, log: Path, long_form: bool
) -> None:
    figures = sent(new_url, log, 20 if long_form else 4)
    report("F10", engine=engine, **figures)
    assert holds(figures)


def test_a_service_without_a_cap_is_found_out(tmp_path: Path, log: Path) -> None:
    figures = sent(f"sqlite:///{tmp_path / 'x.sqlite3'}", log, 1, "no_cap")
    report("F10-twin", **figures)
    assert not holds(figures)
