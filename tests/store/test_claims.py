"""Several service processes on one database: each delivery, parcel and code is made once."""

import threading
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

import pytest

from tests.api.sides import Side, keep_plan, offer
from tests.faults.running import CONTEXT, running
from tests.store.kept import NOW
from wheelover.store import Store, open_store
from wheelover.usecases.claim import Claim, claimed
from wheelover.usecases.clock import now_utc
from wheelover.usecases.parcels.delivery import deliveries, set_address
from wheelover.usecases.webhooks import Outcome, add_webhook, deliver_due, deliveries_listed

ENTRIES = 25


class Listener:
    """Takes deliveries, slowly, and counts how often each came."""

    def __init__(self) -> None:
        told: list[str] = []

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                self.rfile.read(int(self.headers["Content-Length"]))
                told.append(str(self.headers["webhook-id"]))
                time.sleep(0.03)
                self.send_response(204)
                self.end_headers()

            def log_message(self, *_: Any) -> None:
                """Say nothing."""

        self.told = told
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.02,))
        self._thread.start()
        self.url = f"http://127.0.0.1:{self._server.server_address[1]}/"

    def close(self) -> None:
        self._server.shutdown()
        self._thread.join()
        self._server.server_close()


def changes(store: Store, count: int) -> None:
    for number in range(count):
        with store.writing() as unit:
            unit.audit.add("own", {"what": "test.change", "number": number}, now_utc())


def test_two_services_deliver_each_change_once(store_url: str, tmp_path: Path) -> None:
    """Two real services work on one database; each change is told once, in order."""
    listener = Listener()
    store = open_store(store_url)
    hook = add_webhook(store, listener.url, "own", (), now_utc())
    try:
        with (
            running(store_url, tmp_path / "one.log"),
            running(store_url, tmp_path / "two.log"),
        ):
            for _ in range(3):
                changes(store, ENTRIES)
                time.sleep(1.0)
            until_s = time.monotonic() + 60
            while len(set(listener.told)) < 3 * ENTRIES and time.monotonic() < until_s:
                time.sleep(0.1)
            time.sleep(2.5)
    finally:
        listener.close()
    numbers = [int(one.rpartition("-")[2]) for one in listener.told]
    assert numbers == sorted(set(numbers))
    assert len(numbers) == 3 * ENTRIES
    rows, _ = deliveries_listed(store, hook.id, 500, None)
    assert [one.outcome for one in rows] == ["delivered"] * 3 * ENTRIES
    store.close()


def test_without_a_claim_the_same_change_is_told_twice(
    store_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The twin: what two processes do at once, with the claim taken out, tells things twice."""

    def told(*, claims: bool) -> int:
        monkeypatch.undo()
        if not claims:
            monkeypatch.setattr(Claim, "hold", lambda _self: True)
        stores = [open_store(store_url) for _ in range(2)]
        hook = add_webhook(stores[0], "http://127.0.0.1:9/", "own", (), now_utc())
        changes(stores[0], 6)
        sent: list[str] = []

        def send(_url: str, headers: dict[str, str], _body: bytes) -> Outcome:
            if headers["webhook-id"].startswith(hook.id):
                sent.append(headers["webhook-id"])
            time.sleep(0.05)
            return Outcome(status=204, detail="")

        threads = [
            threading.Thread(target=deliver_due, args=(one, send, now_utc)) for one in stores
        ]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        for opened in stores:
            opened.close()
        return len(sent) - len(set(sent))

    assert told(claims=True) == 0
    assert told(claims=False) > 0


def test_a_claim_of_a_process_that_died_runs_out(
    store_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = open_store(store_url), open_store(store_url)
    dead = Claim(one, "work")
    assert dead.hold()
    with claimed(other, "work") as claim:
        assert claim is None
    monkeypatch.setattr("wheelover.usecases.claim.CLAIM_S", -1.0)
    assert dead.hold()
    monkeypatch.undo()
    with claimed(other, "work") as claim:
        assert claim is not None
        assert not dead.hold()
        assert claim.hold()
    assert dead.hold()
    one.close()
    other.close()


def test_a_parcel_that_another_process_brings_is_left_to_it(
    store_url: str, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    ship = Side(store_url, "MV Zoo", "ship")
    shore = Side(f"sqlite:///{tmp_path / 'shore.sqlite3'}", "Office", "shore")
    assert ship.pair(shore).status_code == 201
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    set_address(ship.store, shore.id, "http://127.0.0.1:9", None, NOW)
    ship.make(shore, plan_id)
    other = open_store(store_url)
    pusher = ship.app.state.pusher
    with claimed(other, f"parcels:{shore.id}") as claim:
        assert claim is not None
        assert pusher._round()
    assert caplog.text == ""
    assert not pusher._round(), "now it is ours, and nobody answers at that address"
    assert "was not brought" in caplog.text
    assert len(deliveries(other)) == 1
    other.close()
    ship.store.close()


def _say_code(url: str, key_file: str, begin: Any, said: Any) -> None:
    """Be a service that starts with accounts; say which code it found."""
    import os  # noqa: PLC0415

    os.environ |= {"WHEELOVER_ACCOUNTS": "on", "WHEELOVER_KEY_FILE": key_file}
    from wheelover.api import create_app  # noqa: PLC0415
    from wheelover.usecases.accounts.enrolment import first_code  # noqa: PLC0415

    begin.wait(60)
    app = create_app(url)
    said.put(first_code(app.state.store, app.state.door.seal, now_utc()).code)
    app.state.store.close()


def test_services_that_start_at_once_say_the_same_first_code(
    store_url: str, tmp_path: Path
) -> None:
    open_store(store_url).close()
    begin, said = CONTEXT.Event(), CONTEXT.Queue()
    arguments = (store_url, str(tmp_path / "a.key"), begin, said)
    processes: list[BaseProcess] = [
        CONTEXT.Process(target=_say_code, args=arguments) for _ in range(3)
    ]
    for one in processes:
        one.start()
    begin.set()
    codes = {said.get(timeout=90) for _ in processes}
    for one in processes:
        one.join(30)
        assert one.exitcode == 0
    assert len(codes) == 1
    assert None not in codes
