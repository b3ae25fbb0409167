"""``wheelover serve``: the service on this machine."""

import argparse
import gc
import logging
import socket
import sys
import threading
from typing import TYPE_CHECKING

from wheelover import __version__
from wheelover.cli.keep import lost_words, moved_words
from wheelover.settings import LOOPBACK_HOSTS, SETTINGS, setting

if TYPE_CHECKING:
    import asyncio

    import uvicorn
    from fastapi import FastAPI

    from wheelover.api.door import Door


_LATE_S = 1.0
"""By then the service listens and has answered what waited for it: that goes first."""


_CIPHERS = "ECDHE+AESGCM:ECDHE+CHACHA20"
"""Of TLS 1.2, those that RFC 9325 recommends; the server's own default takes any, NULL too."""


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

    Returns 3 when the port is taken or the database must not be opened, and 2 without starting for
    settings that do not go together: without accounts whoever reaches the service may use it, so
    only loopback is listened on, and with accounts no password goes over an open link unless the
    setting for the ship's own network says so.
    """
    gc.disable()  # what is made at a start stays, and looking through it takes a fifth of the time
    import uvicorn  # noqa: PLC0415  --help and --version need not wait for it

    from wheelover.api import create_app  # noqa: PLC0415
    from wheelover.api.door import SettingRefused, door_from_settings  # noqa: PLC0415
    from wheelover.core.errors import WheeloverError  # noqa: PLC0415

    try:
        refusal = refusal_to_listen(host, door_from_settings(setting("database")))
    except SettingRefused as error:
        refusal = str(error)
    if refusal is not None:
        sys.stderr.write(f"wheelover does not listen on {host}: {refusal}\n")
        return 2
    try:
        app = create_app(setting("database"))
        place = f"plans/{_demonstration(app)}" if demonstration else ""
    except WheeloverError as error:
        sys.stderr.write(f"wheelover does not start: {error}\n")
        return 3
    _say_what_moved(app)
    config = _config(app, host, port)
    try:
        config.load()
    except OSError as error:
        sys.stderr.write(f"wheelover does not start: the certificate cannot be read ({error}).\n")
        return 3
    try:
        listening = _listen(host, port)
    except OSError as error:
        sys.stderr.write(
            f"wheelover cannot listen on {host} port {port}: {error.strerror}. "
            "Choose another with --port or WHEELOVER_PORT.\n"
        )
        return 3
    shown = f"[{host}]" if ":" in host else host
    scheme = "https" if setting("tls_certificate") else "http"
    sys.stdout.write(f"wheelover {__version__}. Open {scheme}://{shown}:{port}/{place}\n")
    _say_door(app)
    sys.stdout.write("Planning aid only; stop with Ctrl+C.\n")
    sys.stdout.flush()
    _with_worker(app)
    _go_on_with_what_waited(app)
    uvicorn.Server(config).run(sockets=[listening])
    return 0


def _go_on_with_what_waited(app: "FastAPI") -> None:
    """Collect garbage again, but not what was made so far, and load what a start did not need."""
    gc.freeze()
    gc.enable()
    late = threading.Timer(_LATE_S, _load_late, (app,))
    late.name, late.daemon = "late parts", True
    late.start()


def _load_late(app: "FastAPI") -> None:
    """Load what a plan needs and a start does not wait for, so that the first plan need not.

    Where that fails the service is not ready: what was planned before can still be read.
    """
    try:
        import scipy.optimize  # noqa: PLC0415
        import scipy.spatial  # noqa: PLC0415, F401

        from wheelover.core.compiled import load_all  # noqa: PLC0415

        load_all()
    except Exception as error:
        app.state.fault = f"{type(error).__name__}: {error}"
        logging.getLogger("wheelover").exception("what plans are computed with did not load")


def _with_worker(app: "FastAPI") -> None:
    """Start what goes on beside the requests; the service stops it before it closes its store."""
    from wheelover.jobs.worker import Worker  # noqa: PLC0415

    worker = Worker(app.state.store)
    app.state.before_closing.append(worker.stop)
    worker.start()


def _say_what_moved(app: "FastAPI") -> None:
    """Say that an older database was brought up to this version."""
    store = app.state.store
    if store.came_from not in (None, store.schema):
        sys.stdout.write(f"{moved_words(store.came_from, store.schema)}\n")
    if store.lost:
        sys.stderr.write(f"{lost_words(store.lost).strip()}\n")


def _config(app: "FastAPI", host: str, port: int) -> "uvicorn.Config":
    """Return how the server is set: no word of a proxy's headers, https where it is set."""
    import uvicorn  # noqa: PLC0415

    return uvicorn.Config(
        app,
        host=host,
        port=port,
        http=protocol(),
        log_level="warning",
        proxy_headers=False,
        server_header=False,
        timeout_graceful_shutdown=20,
        ssl_certfile=setting("tls_certificate") or None,
        ssl_keyfile=setting("tls_key") or None,
        ssl_ciphers=_CIPHERS,
    )


def protocol() -> "type[asyncio.Protocol]":
    """Return how requests are read: with a limit to the patience for each part of one."""
    from wheelover.api.patience import PatientProtocol  # noqa: PLC0415

    return PatientProtocol


def refusal_to_listen(host: str, door: "Door") -> str | None:
    """Return why the service must not listen on an address, None when it may."""
    if host in LOOPBACK_HOSTS:
        return None
    if not door.accounts:
        return (
            "without accounts only loopback is allowed "
            f"({', '.join(LOOPBACK_HOSTS)}). Set WHEELOVER_ACCOUNTS=on for others."
        )
    if door.link == "loopback":
        return (
            "passwords would go over an open link. Set WHEELOVER_TLS_CERTIFICATE and "
            "WHEELOVER_TLS_KEY, or WHEELOVER_BEHIND_TLS_PROXY=on; on the ship's own network alone, "
            "WHEELOVER_PLAIN_HTTP=own-network."
        )
    if len(door.hosts) == len(LOOPBACK_HOSTS):
        return "WHEELOVER_HOST_NAMES must say by which names or addresses it is asked."
    return None


def _say_door(app: "FastAPI") -> None:
    """Say how people sign in, and on a first start by which code."""
    door = app.state.door
    if not door.accounts:
        return
    from wheelover.api.door import LINK_WORDS  # noqa: PLC0415

    sys.stdout.write(f"People sign in. {LINK_WORDS[door.link]}.\n")
    if door.first_code.exists():
        sys.stdout.write(
            "No administrator has a password yet. Set one on the page, once, within a day:\n"
            f"  account administrator, code {door.first_code.read_text().strip()}\n"
            f"  (also in the file {door.first_code.name} beside the database)\n"
        )


def _demonstration(app: "FastAPI") -> str:
    """Keep the demonstration as a plan and return its id."""
    from wheelover.usecases.clock import now_utc  # noqa: PLC0415
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
