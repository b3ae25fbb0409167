"""F3: PostgreSQL stops fast, at once or by SIGKILL, under load and while nobody asks."""

import signal
import time
from itertools import cycle
from pathlib import Path
from typing import Any

import pytest

from tests.cluster import Cluster
from tests.faults.figures import report, slowness
from tests.faults.running import running
from tests.faults.writers import stored_names, writing
from tests.store.kept import started
from wheelover.core.errors import Unavailable
from wheelover.store import open_store, postgres

_HOW = {"fast": signal.SIGINT, "immediate": signal.SIGQUIT, "kill -9": signal.SIGKILL}
_CLIENTS = 4
_AWAY_S = 0.3


def stopped(server: Cluster, url: str, log: Path, times: int) -> dict[str, Any]:
    """Return what clients saw while the server went away so often, and came back.

    Every second time nobody asks while it is away: connections of before are then still in the
    pool, and the first who is lent one must not pay for it.
    """
    first_ack_s = 0.0
    with running(url, log) as service, writing(service, _CLIENTS, "w") as writers:
        for number, how in zip(range(times), cycle(_HOW.values()), strict=False):
            writers.wait_for(len(writers.acked) + 10)
            quiet = number % 2 == 1
            if quiet:
                writers.pause()
            server.stop(how)
            time.sleep(_AWAY_S)
            server.start()
            writers.back.set()
            back, began_s = len(writers.acked), time.monotonic()
            writers.go.set()
            writers.wait_for(back + 1)
            first_ack_s = max(first_ack_s, time.monotonic() - began_s)
            writers.wait_for(back + 10)
            writers.back.clear()
        writers.stop()
        lost = set(writers.acked) - stored_names(service)
        others = {one: n for one, n in writers.statuses.items() if one not in (201, 503)}
    return {
        "stops": times,
        "acked": len(writers.acked),
        "lost": len(lost),
        "refused": writers.statuses[503],
        "other_errors": sum(others.values()),
        "refused_after_back": writers.refused_after,
        "first_ack_s": first_ack_s,
    }


def holds(figures: dict[str, Any]) -> bool:
    none = ("lost", "other_errors", "refused_after_back")
    return all(figures[name] == 0 for name in none)


@pytest.mark.alone
@pytest.mark.parametrize("engine", ["postgresql"])
def test_a_server_that_stops_is_503_and_nothing_is_lost(
    new_url: str, durable: Cluster, log: Path, long_form: bool
) -> None:
    figures = stopped(durable, new_url, log, 30 if long_form else 4)
    report("F3", **figures)
    assert holds(figures)
    assert figures["first_ack_s"] <= 2.0 * slowness()


def first_after(server: Cluster, url: str, times: int) -> dict[str, Any]:
    """Return how often the first change after a stop that nobody noticed was refused.

    The store is asked directly: in a service its own work in the background may notice first.
    """
    store, refused = open_store(url), 0
    for number, how in zip(range(times), cycle(_HOW.values()), strict=False):
        started(store, f"plan-{number}-before")
        server.stop(how)
        server.start()
        try:
            started(store, f"plan-{number}-after")
        except Unavailable:
            refused += 1
    store.close()
    return {"stops": times, "first_refused": refused}


@pytest.mark.parametrize("engine", ["postgresql"])
def test_the_first_who_asks_after_a_stop_is_served(new_url: str, durable: Cluster) -> None:
    figures = first_after(durable, new_url, 3)
    report("F3", **figures)
    assert figures["first_refused"] == 0


@pytest.mark.parametrize("engine", ["postgresql"])
def test_connections_that_are_not_asked_first_are_found_out(
    twin_url: str, durable: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = postgres.create_engine

    def without(*arguments: Any, **more: Any) -> Any:
        return plain(*arguments, **{**more, "pool_pre_ping": False})

    monkeypatch.setattr(postgres, "create_engine", without)
    figures = first_after(durable, twin_url, 3)
    report("F3-twin", **figures)
    assert figures["first_refused"] > 0
