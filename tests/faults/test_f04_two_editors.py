"""F4: two editors change one draft as fast as they can; with PostgreSQL over two processes."""

import threading
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from tests.faults.figures import report
from tests.faults.running import Caller, Service, running

_WAYPOINTS = 30
_SHIP = {"name": "x", "loa_m": 190.0, "beam_m": 32.0, "draught_fore_m": 10.0, "draught_aft_m": 10.2}


class Editor(threading.Thread):
    """Adds a word of its own to the plan with every edit, and notes which were accepted."""

    def __init__(self, service: Service, place: str, name: str, edits: int) -> None:
        super().__init__()
        self._service, self._place, self._called, self._edits = service, place, name, edits
        self.accepted: list[str] = []
        self.stale = 0
        self.others: list[int] = []

    def run(self) -> None:
        caller = Caller(self._service.port)
        for number in range(self._edits):
            read = caller.ask("GET", self._place)
            inputs, word = read.json()["inputs"], f"{self._called}{number:03}"
            waypoint = inputs["route"]["waypoints"][number % _WAYPOINTS]
            waypoint["name"] = f"{waypoint.get('name') or ''} {word}".strip()
            status = caller.ask("PUT", self._place, inputs, If_Match=read.headers["ETag"]).status
            if status == 200:
                self.accepted.append(word)
            elif status == 412:
                self.stale += 1
            else:
                self.others.append(status)
        caller.close()


def edited(url: str, log: Path, edits: int, *sabotage: str) -> dict[str, Any]:
    """Return what became of the edits of two."""
    count = 2 if url.startswith("postgresql") else 1
    with ExitStack() as stack:
        fault = sabotage[0] if sabotage else None
        services = [stack.enter_context(running(url, log, fault)) for _ in range(count)]
        caller = Caller(services[0].port)
        waypoints = [
            {"id": f"W{n}", "lat_deg": 47.0 + 0.05 * n, "lon_deg": -30.0} for n in range(_WAYPOINTS)
        ]
        plan = {"route": {"name": "two", "waypoints": waypoints}, "ship": _SHIP}
        place = caller.ask("POST", "/api/v1/plans", plan).headers["Location"]
        caller.close()
        editors = [Editor(services[n % count], place, "ab"[n], edits) for n in range(2)]
        for editor in editors:
            editor.start()
        for editor in editors:
            editor.join()
        after = caller.ask("GET", place).json()
        caller.close()
    words = {
        word
        for one in after["inputs"]["route"]["waypoints"]
        for word in (one.get("name") or "").split()
    }
    accepted = [word for editor in editors for word in editor.accepted]
    return {
        "sent": 2 * edits,
        "accepted": len(accepted),
        "stale": sum(editor.stale for editor in editors),
        "other": sum(len(editor.others) for editor in editors),
        "lost": len(set(accepted) - words),
        "edits_counted": after["edit"] - 1,
    }


def holds(figures: dict[str, Any]) -> bool:
    """Two that never met have shown nothing: some edits must have been refused."""
    met = figures["stale"] > 0 and figures["accepted"] + figures["stale"] == figures["sent"]
    return bool(met and figures["lost"] == 0 and figures["edits_counted"] == figures["accepted"])


def test_no_edit_of_two_editors_is_lost(
    engine: str, new_url: str, log: Path, long_form: bool
) -> None:
    figures = edited(new_url, log, 500 if long_form else 40)
    report("F4", engine=engine, **figures)
    assert holds(figures)


def test_a_check_before_the_write_is_found_out(engine: str, twin_url: str, log: Path) -> None:
    figures = edited(twin_url, log, 20, "check_then_write")
    report("F4-twin", engine=engine, **figures)
    assert not holds(figures)
