"""F1: the service is killed with SIGKILL while four clients write."""

import random
import statistics
from pathlib import Path
from typing import Any

from tests.faults.figures import report, slowness
from tests.faults.running import Service, running
from tests.faults.writers import Writers, stored_names
from wheelover.core.errors import WheeloverError
from wheelover.store import open_store
from wheelover.store.backup import take_backup
from wheelover.usecases.audit import verify

_CLIENTS = 4
_COLD = 5
_QUIET = 1.5


def killed(url: str, log: Path, kills: int, sabotage: str | None = None) -> dict[str, Any]:
    """Return what became of acknowledged ships over kills at moments without a pattern."""
    acked: list[str] = []
    chance = random.Random(kills)  # noqa: S311
    for number in range(kills):
        service = Service(url, log, sabotage)
        service.start()
        writers = Writers(service.port, _CLIENTS, f"k{number}")
        writers.start()
        writers.wait_for(chance.randint(5, 40))
        service.kill()
        writers.stop()
        acked += writers.acked
    with running(url, log) as service:
        lost = set(acked) - stored_names(service)
    return {"kills": kills, "acked": len(acked), "lost": len(lost), "whole": whole(url, log)}


def whole(url: str, log: Path) -> bool:
    """Return whether pages, references, digests and the chains of the audit log are sound."""
    target = log.with_name("whole.backup")
    try:
        take_backup(url, target, "2026-11-26T00:00:00.000Z", force=True)
    except WheeloverError:
        return False
    store = open_store(url)
    try:
        return not verify(store).faults
    finally:
        store.close()


def holds(figures: dict[str, Any]) -> bool:
    return bool(figures["acked"] and figures["lost"] == 0 and figures["whole"])


def test_nothing_acknowledged_is_lost_by_a_kill(
    engine: str, new_url: str, log: Path, long_form: bool
) -> None:
    figures = killed(new_url, log, 100 if long_form else 4)
    if long_form:
        cold_s = [Service(new_url, log).start_cold() for _ in range(_COLD)]
        figures |= {"restart_p50_s": statistics.median(cold_s), "slowness": slowness()}
    report("F1", engine=engine, **figures)
    assert holds(figures)
    # How long a start takes says nothing of the service while much else runs beside it.
    if long_form and figures["slowness"] < _QUIET:
        assert figures["restart_p50_s"] <= 2.0 * figures["slowness"]


def test_an_answer_before_the_commit_is_found_out(
    engine: str, twin_url: str, log: Path, long_form: bool
) -> None:
    figures = killed(twin_url, log, 5 if long_form else 2, "answer_before_commit")
    report("F1-twin", engine=engine, **figures)
    assert not holds(figures)
