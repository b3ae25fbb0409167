"""F12: asked to end with requests at work, the service answers them, takes no other, and ends."""

import threading
import time
from pathlib import Path
from typing import Any

from tests.faults.figures import report
from tests.faults.running import Caller, running

AT_WORK = 8


def _long_route(count: int) -> dict[str, Any]:
    """Return a plan that takes a while."""
    waypoints = [
        {
            "id": f"W{n}",
            "lat_deg": 10.0 + 0.04 * n,
            "lon_deg": -30.0 + 0.03 * (n % 2),
            "turn_radius_nm": 0.2,
        }
        for n in range(count)
    ]
    return {"route": {"name": "long", "waypoints": waypoints}}


def stopped(url: str, log: Path, *sabotage: str) -> dict[str, Any]:
    """Return how many requests at work were answered, and how long the end took."""
    answers: list[int] = []
    with running(url, log, sabotage[0] if sabotage else None) as service:
        started = threading.Barrier(AT_WORK + 1)

        def ask() -> None:
            caller = Caller(service.port)
            caller.ask("GET", "/healthz")
            started.wait()
            try:
                answers.append(caller.ask("POST", "/api/v1/plan", _long_route(300)).status)
            except OSError:
                answers.append(0)
            caller.close()

        threads = [threading.Thread(target=ask) for _ in range(AT_WORK)]
        for thread in threads:
            thread.start()
        started.wait()
        time.sleep(0.1)
        began = time.perf_counter()
        service.stop()
        took_s = time.perf_counter() - began
        refused = False
        try:
            Caller(service.port).ask("GET", "/healthz")
        except OSError:
            refused = True
        for thread in threads:
            thread.join()
    return {
        "at_work": AT_WORK,
        "answered": sum(status == 200 for status in answers),
        "new_refused": int(refused),
        "end_s": took_s,
    }


def holds(figures: dict[str, Any]) -> bool:
    answered = figures["answered"] == figures["at_work"]
    return bool(answered and figures["new_refused"] and figures["end_s"] <= 25.0)


def test_what_is_at_work_is_answered(engine: str, new_url: str, log: Path) -> None:
    figures = stopped(new_url, log)
    report("F12", engine=engine, **figures)
    assert holds(figures)


def test_an_end_that_waits_for_nobody_is_found_out(engine: str, twin_url: str, log: Path) -> None:
    figures = stopped(twin_url, log, "drop_at_once")
    report("F12-twin", engine=engine, **figures)
    assert not holds(figures)
