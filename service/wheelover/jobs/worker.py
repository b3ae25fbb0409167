"""The background worker: one thread that makes what is due, and stops when it is asked to."""

import logging
import threading
from collections.abc import Callable

import httpx

from wheelover.core.errors import WheeloverError
from wheelover.store import Store
from wheelover.usecases.clock import now_utc
from wheelover.usecases.webhooks import Outcome, deliver_due

ROUND_S = 2.0
TIMEOUT_S = 10.0

_log = logging.getLogger("wheelover.worker")

Task = Callable[[Store], object]


def post(url: str, headers: dict[str, str], body: bytes) -> Outcome:
    """Send a delivery. No redirect is followed: only the address that was set is ever asked."""
    try:
        answer = httpx.post(
            url, headers=headers, content=body, timeout=TIMEOUT_S, follow_redirects=False
        )
    except (httpx.HTTPError, httpx.InvalidURL) as error:
        return Outcome(status=None, detail=f"{type(error).__name__}: {error}"[:300])
    return Outcome(status=answer.status_code, detail=answer.reason_phrase)


def deliveries(store: Store) -> int:
    """Make the deliveries that are due."""
    return deliver_due(store, post, now_utc)


class Worker:
    """Runs its tasks again and again until it is stopped.

    Parameters
    ----------
    store : Store
        What the tasks work on.
    tasks : tuple of callables
        Each takes the store. One that fails is logged and tried again in the next round.
    round_s : float
        Seconds between two rounds.
    """

    def __init__(
        self, store: Store, tasks: tuple[Task, ...] = (deliveries,), round_s: float = ROUND_S
    ) -> None:
        self._store = store
        self._tasks = tasks
        self._round_s = round_s
        self._stopped = threading.Event()
        self._thread = threading.Thread(target=self._run, name="wheelover-worker", daemon=True)

    def start(self) -> None:
        """Begin with the first round."""
        self._thread.start()

    def stop(self) -> None:
        """Let the round at work end, and no other begin."""
        self._stopped.set()
        self._thread.join(TIMEOUT_S + 1.0)

    def _run(self) -> None:
        """Make rounds until stopped."""
        while not self._stopped.wait(self._round_s):
            for task in self._tasks:
                try:
                    task(self._store)
                except WheeloverError as error:
                    _log.warning("%s waits for the next round: %s", task.__name__, error)
                except Exception:
                    # One task that fails must not keep the others from their rounds.
                    _log.exception("%s waits for the next round", task.__name__)
