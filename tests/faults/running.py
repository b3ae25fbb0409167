"""The service in a process of its own, which may be killed at any moment.

The processes are forked from one that has imported the service already: a hundred starts then cost
less than ten. It is the real command all the same, from its arguments on; how long a start from
nothing takes is measured apart (``cold=True``).
"""

import http.client
import json
import multiprocessing
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from tests.faults import sabotage as sabotages

CONTEXT = multiprocessing.get_context("forkserver")
CONTEXT.set_forkserver_preload(
    [
        "wheelover.cli",
        "wheelover.api",
        "wheelover.store.migrate",
        "wheelover.store.postgres",
        "uvicorn.protocols.http.httptools_impl",
        "tests.faults.sabotage",
        "psycopg",
    ]
)
_START_S, _ANSWER_S = 90.0, 60.0
ROOT = Path(__file__).parents[2]


def _serve(arguments: list[str], database: str, sabotage: str | None, log: str) -> None:
    """Be the service."""
    handle = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    os.dup2(handle, 1)
    os.dup2(handle, 2)
    os.environ["WHEELOVER_DATABASE"] = database
    if sabotage is not None:
        getattr(sabotages, sabotage)()
    from wheelover.cli import main  # noqa: PLC0415

    sys.exit(main(arguments))


class Service:
    """One service on one database. ``sabotage`` names the fault built into it."""

    def __init__(self, database: str, log: Path, sabotage: str | None = None) -> None:
        self._database, self._log, self._sabotage = database, log, sabotage
        self._process: BaseProcess | None = None
        self.port = 0

    def start(self) -> float:
        """Start it and return after how many seconds it was ready."""
        self.port = _free_port()
        arguments = ["serve", "--port", str(self.port)]
        began_s = time.monotonic()
        self._process = CONTEXT.Process(
            target=_serve, args=(arguments, self._database, self._sabotage, str(self._log))
        )
        self._process.start()
        self._wait_ready(self._process.is_alive)
        return time.monotonic() - began_s

    def start_cold(self) -> float:
        """Start it as a user does, stop it, and return after how many seconds it was ready."""
        self.port = _free_port()
        command = [sys.executable, "-m", "wheelover", "serve", "--port", str(self.port)]
        environment = {**os.environ, "WHEELOVER_DATABASE": self._database}
        began_s = time.monotonic()
        with (
            self._log.open("ab") as log,
            subprocess.Popen(command, env=environment, stdout=log, stderr=log, cwd=ROOT) as process,
        ):
            self._wait_ready(lambda: process.poll() is None)
            took_s = time.monotonic() - began_s
            process.terminate()
        return took_s

    def _wait_ready(self, alive: Any) -> None:
        until_s = time.monotonic() + _START_S
        while time.monotonic() < until_s:
            if not alive():
                raise RuntimeError(f"the service ended by itself: {self._log.read_text()}")
            with closing(Caller(self.port)) as caller, suppress(OSError):
                if caller.ask("GET", "/readyz").status == 200:
                    return
            time.sleep(0.02)
        raise RuntimeError("the service did not become ready")

    def ended(self) -> int | None:
        """Start it and return its exit code, or None when it became ready instead."""
        try:
            self.start()
        except RuntimeError:
            assert self._process is not None
            self._process.join()
            return self._process.exitcode
        self.kill()
        return None

    def kill(self) -> None:
        """End it with SIGKILL and wait until it is gone."""
        assert self._process is not None
        self._process.kill()
        self._process.join()
        self._process.close()
        self._process = None

    def stop(self) -> int | None:
        """Ask it to end and return its exit code."""
        assert self._process is not None
        self._process.terminate()
        self._process.join(30)
        code = self._process.exitcode
        self._process.close()
        self._process = None
        return code

    @property
    def runs(self) -> bool:
        """Return whether it was started and not stopped."""
        return self._process is not None


@contextmanager
def running(database: str, log: Path, sabotage: str | None = None) -> Iterator[Service]:
    """Give a service that is ready, and end it."""
    service = Service(database, log, sabotage)
    service.start()
    try:
        yield service
    finally:
        if service.runs:
            service.kill()


class Answer:
    """An answer of the service."""

    def __init__(self, response: http.client.HTTPResponse) -> None:
        self.status = response.status
        self.headers = response.headers
        self.body = response.read()

    def json(self) -> Any:
        return json.loads(self.body)  # noqa: TID251


class Caller:
    """One connection to the service, kept open; for one thread."""

    def __init__(self, port: int) -> None:
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=_ANSWER_S)

    def ask(self, method: str, path: str, body: Any = None, **headers: str) -> Answer:
        """Return the answer to a request, raise OSError when the service is gone."""
        sent = {"X-Wheelover": "1", "Content-Type": "application/json"}
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        data = None if body is None else json.dumps(body)
        try:
            self._connection.request(method, path, data, sent)
            return Answer(self._connection.getresponse())
        except http.client.HTTPException as error:
            self._connection.close()
            raise ConnectionError("the service is gone") from error
        except OSError:
            self._connection.close()
            raise

    def close(self) -> None:
        """Close the connection."""
        self._connection.close()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
