"""The typed client against a real server in a process of its own."""

import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests import zoo
from tests.api.keeping import SHIP, hazards, moved
from tests.running import running
from wheelover.client import Client, ProblemError

BY = {"name": "A. Berg", "rank": "second officer"}


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    path: Path = tmp_path_factory.mktemp("client") / "kept.sqlite3"
    with running(f"sqlite:///{path}") as address:
        yield address


@pytest.fixture
def client(address: str) -> Iterator[Client]:
    with Client(address) as client:
        yield client


def test_a_plan_from_draft_to_offer(client: Client) -> None:
    assert client.plan(zoo.request())["legs"]
    kept = client.keep_plan(zoo.request())
    changed = client.edit_plan(kept, moved(kept.document["inputs"], 1, 0.01))
    assert changed.etag != kept.etag
    with pytest.raises(ProblemError) as refused:
        client.edit_plan(kept, moved(kept.document["inputs"], 1, 0.02))
    assert (refused.value.status, refused.value.type) == (412, "/problems/stale")
    assert refused.value.etag == changed.etag
    assert refused.value.changes is not None
    (told,) = refused.value.changes
    assert told.sentence.startswith("WPT 02 moved 0.60 NM 000")
    with pytest.raises(ProblemError) as undated:
        client.move_departure(kept.id, shifts_s=[3600.0])
    assert "no departure to move" in str(undated.value)
    revision = client.offer(kept.id, by=BY, words="for the noon tide")
    assert client.revision(kept.id, revision["number"]) == revision
    record = client.record(kept.id, 1)
    assert (record["state"], record["author"]["name"]) == ("offered", "A. Berg")
    assert b"FeatureCollection" in client.export(kept.id, 1, "geojson")
    assert client.read_plan(kept.id).document["state"] == "offered"


def test_ships_and_hazard_sets(client: Client) -> None:
    ship = client.keep_ship(SHIP)
    second = client.renew("ships", ship, {**SHIP, "beam_m": 33.0})
    assert second.document["edition"] == 2
    dangers = client.keep_hazard_set("zoo", hazards((47.1, -29.97)), source="invented")
    assert dangers.document["item_count"] == 1


def test_a_fault_names_the_member(client: Client) -> None:
    body = zoo.request()
    body["route"]["waypoints"][1]["lat_deg"] = 91.0
    with pytest.raises(ProblemError) as refused:
        client.plan(body)
    assert refused.value.faults[0].pointer == "/route/waypoints/1/lat_deg"
    with pytest.raises(ProblemError) as unknown:
        client.read_plan("plan-none")
    assert unknown.value.status == 404


def test_every_page_and_every_change(client: Client) -> None:
    made = [client.keep_plan(zoo.request()).id for _ in range(55)]
    listed = [one["id"] for one in client.plans()]
    assert listed[:55] == made[::-1]
    told = [one for one in client.changes() if one["what"] == "plan.started"]
    assert [one["plan_id"] for one in told][-55:] == made
    assert list(client.changes(after=10**6)) == []


class _Losing:
    """A link between client and service that loses the first answers."""

    def __init__(self, address: str, lost: int) -> None:
        self._to = ("127.0.0.1", int(address.rpartition(":")[2]))
        self._lost = lost
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.address = f"http://127.0.0.1:{self._listening.getsockname()[1]}"
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while True:
            try:
                near, _ = self._listening.accept()
            except OSError:
                return
            with near, socket.create_connection(self._to) as far:
                self._pass(near, far)

    def _pass(self, near: socket.socket, far: socket.socket) -> None:
        """Pass one request on, and its answer unless that is to be lost."""
        asked = b""
        while b"\r\n\r\n" not in asked:
            asked += near.recv(65536)
        head, _, body = asked.partition(b"\r\n\r\n")
        lines = head.lower().split(b"\r\n")
        (length,) = [int(one.split(b":")[1]) for one in lines if one.startswith(b"content-length")]
        while len(body) < length:
            body += near.recv(65536)
        host = f"host: 127.0.0.1:{self._to[1]}".encode()
        named = [host if one.lower().startswith(b"host:") else one for one in head.split(b"\r\n")]
        far.sendall(b"\r\n".join([*named, b"connection: close"]) + b"\r\n\r\n" + body)
        answer = b""
        while part := far.recv(65536):
            answer += part
        if self._lost > 0:
            self._lost -= 1
            return
        near.sendall(answer)

    def close(self) -> None:
        self._listening.close()


def test_a_lost_answer_makes_nothing_twice(address: str, client: Client) -> None:
    before = len(list(client.plans()))
    link = _Losing(address, lost=2)
    with Client(link.address) as poor:
        kept = poor.keep_plan(zoo.request())
    link.close()
    plans = [one["id"] for one in client.plans()]
    assert plans[0] == kept.id
    assert len(plans) == before + 1


def test_a_service_that_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wheelover.client.link._WAIT_S", 0.01)
    with Client("http://127.0.0.1:9") as client, pytest.raises(httpx.ConnectError):
        client.keep_plan(zoo.request())
