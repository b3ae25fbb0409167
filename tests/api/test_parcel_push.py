"""Bringing parcels to the address of a peer: two services that run, and a link that drops."""

import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import httpx
import pytest
from sqlalchemy import Engine, event

from tests.api.sides import MATE, Side, keep_plan, offer
from tests.api.test_parcel_uploads import large_parcel
from wheelover.api.push import Pusher
from wheelover.cli import main
from wheelover.usecases.clock import now_utc
from wheelover.usecases.parcels.delivery import set_address

ROOT = Path(__file__).parents[2]
WAIT_S = 90.0


class Served:
    """A service in a process of its own."""

    def __init__(self, folder: Path, name: str) -> None:
        self.url = f"sqlite:///{folder / name}.sqlite3"
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = int(probe.getsockname()[1])
        self.log = folder / f"{name}.log"

    @contextmanager
    def running(self) -> Iterator["Served"]:
        """Give it while it runs."""
        command = [sys.executable, "-m", "wheelover", "serve", "--port", str(self.port)]
        environment = {**os.environ, "WHEELOVER_DATABASE": self.url}
        with (
            self.log.open("ab") as log,
            subprocess.Popen(command, env=environment, stdout=log, stderr=log, cwd=ROOT) as one,
        ):
            try:
                until(lambda: self._ready(one))
                yield self
            finally:
                one.terminate()

    def _ready(self, process: subprocess.Popen[bytes]) -> bool:
        assert process.poll() is None, self.log.read_text()
        try:
            return self.ask("GET", "/readyz").status_code == 200
        except httpx.TransportError:
            return False

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def ask(self, method: str, path: str, body: Any = None) -> httpx.Response:
        headers = {"X-Wheelover": "1"}
        return httpx.request(method, self.address + path, json=body, headers=headers, timeout=60)


def until(true: Any, wait_s: float = WAIT_S) -> None:
    """Wait until something is true."""
    end_s = time.monotonic() + wait_s
    while not true():
        assert time.monotonic() < end_s, "it did not become true"
        time.sleep(0.05)


def paired(folder: Path) -> tuple[Served, Served, str]:
    """Return a ship and an office to be started, paired, and a plan of the ship."""
    ship, shore = Served(folder, "ship"), Served(folder, "shore")
    aboard, ashore = Side(ship.url, "MV Zoo", "ship"), Side(shore.url, "Zoo office", "shore")
    for one, other in ((aboard, ashore), (ashore, aboard)):
        assert one.pair(other).status_code == 201
    plan_id = keep_plan(aboard)
    offer(aboard, plan_id)
    aboard.store.close()
    ashore.store.close()
    return ship, shore, plan_id


def test_an_address_set_while_the_service_runs_brings_what_waits_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Six parcels made before anybody said where to, and an address that was wrong at first."""
    ship, shore, plan_id = paired(tmp_path)
    with ship.running(), shore.running():
        shore_id = shore.ask("GET", "/api/v1/peers/self").json()["id"]
        body = {"plans": [plan_id], "by": MATE}
        for number in range(6):
            if number > 0:
                offered = ship.ask("POST", f"/api/v1/plans/{plan_id}/revisions", {"by": MATE})
                assert offered.status_code == 201, offered.text
            made = ship.ask("POST", f"/api/v1/peers/{shore_id}/parcels", body)
            assert made.status_code == 201, made.text
        monkeypatch.setenv("WHEELOVER_DATABASE", ship.url)
        place = f"{shore.address}/api/v1/plans/{plan_id}/revisions/1"
        time.sleep(4.0)  # it has looked, and found no address
        assert main(["parcel", "push", shore_id, "--to", "http://127.0.0.1:9"]) == 0
        until(lambda: "was not brought" in ship.log.read_text(), 20.0)
        time.sleep(20.0)  # it waits ever longer for an address where nobody is
        start_s = time.monotonic()
        assert main(["parcel", "push", shore_id, "--to", shore.address]) == 0
        until(lambda: httpx.get(place, timeout=60).status_code == 200, 30.0)
        print(f"brought after {time.monotonic() - start_s:.1f} s")

        def waiting() -> int:
            peer = ship.ask("GET", f"/api/v1/peers/{shore_id}").json()
            return sum(one["pushed_utc"] is None for one in peer["sent"])

        until(lambda: waiting() == 0, 15.0)


def test_looking_for_a_new_address_is_one_small_query(tmp_path: Path) -> None:
    aboard = Side(f"sqlite:///{tmp_path / 'ship.sqlite3'}", "MV Zoo", "ship")
    asked: list[str] = []

    def note(*said: Any) -> None:
        asked.append(said[2])

    event.listen(Engine, "before_cursor_execute", note)
    try:
        pusher = Pusher(aboard.store, now_utc, look_s=0.05)
        pusher.start()
        time.sleep(1.0)
        pusher.stop()
    finally:
        event.remove(Engine, "before_cursor_execute", note)
    looks = [one for one in asked if "max(parcel_out.sequence)" in one]
    assert len(looks) > 5
    assert len(asked) <= 2 * len(looks) + 10, asked[-4:]
    aboard.store.close()


def test_a_parcel_goes_ashore_and_back_between_two_services(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ship, shore, plan_id = paired(tmp_path)
    with ship.running(), shore.running():
        ids = {one: one.ask("GET", "/api/v1/peers/self").json()["id"] for one in (ship, shore)}
        for one, other in ((ship, shore), (shore, ship)):
            monkeypatch.setenv("WHEELOVER_DATABASE", one.url)
            assert main(["parcel", "push", ids[other], "--to", other.address]) == 0
        assert ship.address in capsys.readouterr().out
        body = {"plans": [plan_id], "by": MATE}
        made = ship.ask("POST", f"/api/v1/peers/{ids[shore]}/parcels", body)
        assert made.status_code == 201, made.text
        place = f"/api/v1/plans/{plan_id}"
        until(lambda: shore.ask("GET", f"{place}/revisions/1").status_code == 200)
        bytes_of = {one.ask("GET", f"{place}/revisions/1").content for one in (ship, shore)}
        assert len(bytes_of) == 1

        def sent() -> dict[str, Any]:
            peer = ship.ask("GET", f"/api/v1/peers/{ids[shore]}").json()
            return dict(peer["sent"][0])

        until(lambda: sent()["pushed_utc"] is not None)
        # Brought is not received: only the other side's own parcel says so.
        assert sent()["state"] == "sent"
        back = shore.ask("POST", f"/api/v1/peers/{ids[ship]}/parcels", {})
        assert back.status_code == 201, back.text
        until(lambda: sent()["state"] == "received")
        (peer,) = ship.ask("GET", f"{place}/sync").json()["peers"]
        assert [one["state"] for one in peer["revisions"]] == ["received"]


class Cut:
    """A link to a service that drops after so many bytes, a few times."""

    def __init__(self, port: int, budgets: list[int]) -> None:
        self._to = port
        self._budgets = budgets
        self.carried_count = 0
        self.drops_count = 0
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port = self._listening.getsockname()[1]
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        while True:
            try:
                near, _ = self._listening.accept()
            except OSError:
                return
            budget = self._budgets.pop(0) if self._budgets else None
            far = socket.create_connection(("127.0.0.1", self._to))
            threading.Thread(target=self._up, args=(near, far, budget), daemon=True).start()
            threading.Thread(target=self._down, args=(far, near), daemon=True).start()

    def _up(self, near: socket.socket, far: socket.socket, budget: int | None) -> None:
        try:
            while body := near.recv(16_384):
                self.carried_count += len(body)
                far.sendall(body)
                if budget is not None:
                    budget -= len(body)
                    if budget <= 0:
                        self.drops_count += 1
                        break
        except OSError:
            pass
        _end(near, far)

    def _down(self, far: socket.socket, near: socket.socket) -> None:
        try:
            while body := far.recv(16_384):
                near.sendall(body)
        except OSError:
            pass
        _end(near, far)

    def close(self) -> None:
        self._listening.close()


def _end(*sockets: socket.socket) -> None:
    for one in sockets:
        try:
            one.shutdown(socket.SHUT_RDWR)
        except OSError:
            continue
        one.close()


def test_a_link_that_drops_carries_each_chunk_once(tmp_path: Path) -> None:
    """Three drops in one parcel: what arrived is not sent again, and nothing is lost."""
    ship, shore, _ = paired(tmp_path)
    aboard = Side(ship.url, "MV Zoo", "ship")
    with shore.running():
        shore_id = aboard.get("/api/v1/peers").json()["items"][0]["id"]
        from tests.api.sides import Sides  # noqa: PLC0415

        other = type("Other", (), {"id": shore_id})()
        body = large_parcel(Sides(ship=aboard, shore=other))
        cut = Cut(shore.port, [70_000, 90_000, 70_000])
        set_address(aboard.store, shore_id, f"http://127.0.0.1:{cut.port}", None, now_utc())
        pusher = Pusher(aboard.store, now_utc, first_wait_s=0.05, longest_wait_s=0.5)
        pusher.start()

        def pushed() -> bool:
            sent = aboard.get(f"/api/v1/peers/{shore_id}").json()["sent"]
            return all(one["pushed_utc"] for one in sent)

        until(pushed)
        pusher.stop()
        cut.close()
        assert len(shore.ask("GET", "/api/v1/plans").json()["items"]) == 1
    chunk_count = 64 * 1024
    assert cut.drops_count == 3
    assert len(body) <= cut.carried_count <= len(body) + 3 * chunk_count + 10_000
    aboard.store.close()


class Elsewhere(BaseHTTPRequestHandler):
    """Sends whoever asks to another address."""

    status = 307
    target = ""
    asked = 0

    def do_POST(self) -> None:
        """Answer with a redirect."""
        type(self).asked += 1
        self.send_response(self.status)
        self.send_header("Location", self.target)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def log_message(self, *_: Any) -> None:
        """Say nothing."""


def test_no_redirect_is_followed(tmp_path: Path) -> None:
    ship, _, plan_id = paired(tmp_path)
    aboard = Side(ship.url, "MV Zoo", "ship")
    shore_id = aboard.get("/api/v1/peers").json()["items"][0]["id"]
    servers = []
    for _ in range(2):
        handler = type("One", (Elsewhere,), {"asked": 0})
        server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        servers.append((server, handler))
    first, second = servers
    first[1].target = f"http://127.0.0.1:{second[0].server_port}/api/v1/parcels/uploads"
    set_address(aboard.store, shore_id, f"http://127.0.0.1:{first[0].server_port}", None, now_utc())
    body = {"plans": [plan_id]}
    assert aboard.send("POST", f"/api/v1/peers/{shore_id}/parcels", json=body).is_success
    pusher = Pusher(aboard.store, now_utc, first_wait_s=0.05, longest_wait_s=0.1)
    pusher.start()
    until(lambda: first[1].asked >= 2, 20.0)
    pusher.stop()
    for server, _handler in servers:
        server.shutdown()
        server.server_close()
    assert second[1].asked == 0
    (sent,) = aboard.get(f"/api/v1/peers/{shore_id}").json()["sent"]
    assert sent["pushed_utc"] is None
    aboard.store.close()


def test_nothing_is_brought_without_an_address(tmp_path: Path) -> None:
    from wheelover.usecases.parcels.delivery import deliveries  # noqa: PLC0415

    ship, _, plan_id = paired(tmp_path)
    aboard = Side(ship.url, "MV Zoo", "ship")
    shore_id = aboard.get("/api/v1/peers").json()["items"][0]["id"]
    body = {"plans": [plan_id]}
    assert aboard.send("POST", f"/api/v1/peers/{shore_id}/parcels", json=body).is_success
    assert deliveries(aboard.store) == []
    set_address(aboard.store, shore_id, "http://127.0.0.1:9", None, now_utc())
    assert len(deliveries(aboard.store)) == 1
    set_address(aboard.store, shore_id, None, None, now_utc())
    assert deliveries(aboard.store) == []


def test_the_wait_grows_and_ends_at_the_longest() -> None:
    pusher = Pusher(Side(None, "x", "ship").store, now_utc)
    assert [pusher._wait_s(count) for count in (1, 2, 3, 20)] == [5.0, 10.0, 20.0, 900.0]
    assert pusher._wait_s(0) == 900.0
