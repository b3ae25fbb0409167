"""``wheelover serve``: the service on this machine."""

import argparse
import socket
import sys
from typing import TYPE_CHECKING

from wheelover import __version__
from wheelover.cli.keep import moved_words
from wheelover.settings import LOOPBACK_HOSTS, SETTINGS, setting

if TYPE_CHECKING:
    from fastapi import FastAPI


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    run = commands.add_parser("serve", help="start the service on this machine")
    run.add_argument("--host", default=setting("host"), help=SETTINGS["host"].help)
    run.add_argument("--port", type=int, default=setting("port"), help=SETTINGS["port"].help)
    run.add_argument(
        "--demonstration", action="store_true", help="print the address of the demonstration"
    )
    run.set_defaults(run=run_it)


def run_it(chosen: argparse.Namespace) -> int:
    """Run the command and return its exit code."""
    return serve(chosen.host, chosen.port, demonstration=chosen.demonstration)


def serve(host: str, port: int, *, demonstration: bool) -> int:
    """Start the service and stay until it is stopped.

    Returns 3 when the port is taken or the database must not be opened, and 2 without starting on
    any address but loopback: there are no accounts yet, and whoever reaches the service may use it.
    """
    if host not in LOOPBACK_HOSTS:
        sys.stderr.write(
            f"wheelover does not listen on {host}: there is no sign-in in this version, "
            f"so only loopback is allowed ({', '.join(LOOPBACK_HOSTS)}).\n"
        )
        return 2
    import uvicorn  # noqa: PLC0415  --help and --version need not wait for it

    from wheelover.api import create_app  # noqa: PLC0415
    from wheelover.core.errors import WheeloverError  # noqa: PLC0415
    from wheelover.jobs.worker import Worker  # noqa: PLC0415

    try:
        app = create_app(setting("database"))
        place = f"plans/{_demonstration(app)}" if demonstration else ""
    except WheeloverError as error:
        sys.stderr.write(f"wheelover does not start: {error}\n")
        return 3
    _say_what_moved(app)
    config = uvicorn.Config(
        app,
        host=host,
        port=port,
        log_level="warning",
        proxy_headers=False,
        server_header=False,
        timeout_graceful_shutdown=20,
    )
    try:
        listening = _listen(host, port)
    except OSError as error:
        sys.stderr.write(
            f"wheelover cannot listen on {host} port {port}: {error.strerror}. "
            "Choose another with --port or WHEELOVER_PORT.\n"
        )
        return 3
    shown = f"[{host}]" if ":" in host else host
    sys.stdout.write(f"wheelover {__version__}. Open http://{shown}:{port}/{place}\n")
    sys.stdout.write("Planning aid only; stop with Ctrl+C.\n")
    sys.stdout.flush()
    worker = Worker(app.state.store)
    app.state.before_closing.append(worker.stop)
    worker.start()
    uvicorn.Server(config).run(sockets=[listening])
    return 0


def _say_what_moved(app: "FastAPI") -> None:
    """Say that an older database was brought up to this version."""
    store = app.state.store
    if store.came_from not in (None, store.schema):
        sys.stdout.write(f"{moved_words(store.came_from, store.schema)}\n")


def _demonstration(app: "FastAPI") -> str:
    """Keep the demonstration as a plan and return its id."""
    from wheelover.api.deps import now_utc  # noqa: PLC0415
    from wheelover.usecases.demonstration import keep_demonstration  # noqa: PLC0415

    return keep_demonstration(app.state.store, app.state.folders.samples, now_utc())


def _listen(host: str, port: int) -> socket.socket:
    """Return a socket that listens, so that no address is printed that nobody answers at."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(128)
    except OSError:
        listening.close()
        raise
    return listening
