"""How much is computed at once, by one client and in all, so that reading always has a thread.

Places are answered by some forty threads of one process. Were all of them computing, nobody could
read a plan that is approved until one of them ended; so no more compute at once than leave threads
for those who read. Who comes beyond that waits for room, which takes no thread; where there is none
for long, or too many wait already, it is said that there is none.
"""

import asyncio
import threading
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from starlette.types import ASGIApp, Receive, Scope, Send

from wheelover.core.errors import TooOften, Unavailable

_ENDS = "wheelover.ends"
_AGAIN_S = 2
_LOOK_S = 0.02
_MOST_WAITING = 200
"""Each that waits holds what it was sent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """How many costly requests are answered at once, of one client and of all.

    Who comes beyond that waits so long for room.
    """

    each: int
    all: int
    wait_s: float = 30.0


class AtOnce:
    """What is computed at this moment, by whom. ``bound`` None: without a bound."""

    def __init__(self, bound: Bound | None) -> None:
        self.bound = bound
        self._by: Counter[str] = Counter()
        self._waiting = 0
        self._lock = threading.Lock()

    @property
    def count(self) -> int:
        """Return how many requests are computing."""
        with self._lock:
            return self._by.total()

    async def begin(self, client: str) -> Callable[[], None]:
        """Count a request that computes, once there is room, and return what ends it.

        Raises
        ------
        TooOften
            When the client has long had as many under way as one may have.
        Unavailable
            When all together have.
        """
        until_s = time.monotonic() + (0.0 if self.bound is None else self.bound.wait_s)
        with self._lock:
            full = self._refusal(client)
            if full is None:
                self._by[client] += 1
                return lambda: self._end(client)
            if self._waiting >= _MOST_WAITING:
                raise full
            self._waiting += 1
        try:
            return await self._begin_by(until_s, client)
        finally:
            with self._lock:
                self._waiting -= 1

    async def _begin_by(self, until_s: float, client: str) -> Callable[[], None]:
        """Count a request once there is room, or raise where there is none by then."""
        while True:
            with self._lock:
                full = self._refusal(client)
                if full is None:
                    self._by[client] += 1
                    return lambda: self._end(client)
            if time.monotonic() >= until_s:
                raise full
            await asyncio.sleep(_LOOK_S)

    def _refusal(self, client: str) -> TooOften | Unavailable | None:
        """Return why no more is begun now, None where it may be."""
        if self.bound is None:
            return None
        if self._by[client] >= self.bound.each:
            return TooOften(
                f"{self.bound.each} computations of yours are under way at once, and no more are "
                "begun for one client. What is stored can be read meanwhile.",
                _AGAIN_S,
            )
        if self._by.total() >= self.bound.all:
            return Unavailable(
                f"{self.bound.all} computations are under way, and no more are begun at once; try "
                "again in a moment. What is stored can be read meanwhile."
            )
        return None

    def _end(self, client: str) -> None:
        """Count a request that has ended."""
        with self._lock:
            self._by[client] -= 1
            if self._by[client] <= 0:
                del self._by[client]


def ends_with(scope: Scope, end: Callable[[], None]) -> None:
    """Let something be done when a request has been answered, whatever became of it."""
    scope[_ENDS].append(end)


class Ending:
    """ASGI middleware: does what is to be done when a request has been answered."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, and end what it began."""
        ends: list[Callable[[], None]] = []
        scope[_ENDS] = ends
        try:
            await self.app(scope, receive, send)
        finally:
            for end in ends:
                end()
