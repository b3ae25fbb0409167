"""A real server in a process of its own, as a user starts it."""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager


def free_port() -> int:
    """Return a port of this machine that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def wait_until_up(address: str, process: subprocess.Popen[bytes]) -> None:
    """Wait until the service answers, or say why it never will."""
    for _ in range(1200):  # it loads its compiled parts first, which is long where much else runs
        if process.poll() is not None:
            raise RuntimeError(f"the service ended with exit code {process.returncode}")
        try:
            with urllib.request.urlopen(f"{address}/healthz"):  # noqa: S310  our own server
                return
        except urllib.error.URLError:
            time.sleep(0.1)
    raise RuntimeError("the service did not answer in two minutes")


@contextmanager
def running(database_url: str, *options: str, **environment: str) -> Iterator[str]:
    """Start the service on a database and give its address; stop it at the end."""
    port = free_port()
    command = [sys.executable, "-m", "wheelover", "serve", "--port", str(port), *options]
    known = {**os.environ, "WHEELOVER_DATABASE": database_url, **environment}
    with subprocess.Popen(
        command, env=known, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as process:
        try:
            wait_until_up(f"http://127.0.0.1:{port}", process)
            yield f"http://127.0.0.1:{port}"
        finally:
            process.terminate()
            process.wait(timeout=30)
