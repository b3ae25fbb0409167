"""How much is computed at once, by one client and in all, so that reading always has a thread.

Places are answered by some forty threads of one process. Were all of them computing, nobody could
read a plan that is approved until one of them ended; so no more compute at once than leave threads
for those who read. Who comes beyond that is told to come again, at once and not after a wait.
"""

import threading
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from starlette.types import ASGIApp, Receive, Scope, Send

from wheelover.core.errors import TooOften, Unavailable

_ENDS = "wheelover.ends"
_AGAIN_S = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """How many costly requests are answered at once: of one client, and of all."""

    each: int
    all: int


class AtOnce:
    """What is computed at this moment, by whom. ``bound`` None: without a bound."""

    def __init__(self, bound: Bound | None) -> None:
        self.bound = bound
        self._by: Counter[str] = Counter()
        self._lock = threading.Lock()

    @property
    def count(self) -> int:
        """Return how many requests are computing."""
        with self._lock:
            return self._by.total()

    def begin(self, client: str) -> Callable[[], None]:
        """Count a request that computes, and return what ends it.

        Raises
        ------
        TooOften
            When the client has as many under way as one may have.
        Unavailable
            When all together have.
        """
        with self._lock:
            if self.bound is not None and self._by[client] >= self.bound.each:
                raise TooOften(
                    f"{self.bound.each} computations of yours are under way at once, and no more "
                    "are begun for one client. What is stored can be read meanwhile.",
                    _AGAIN_S,
                )
            if self.bound is not None and self._by.total() >= self.bound.all:
                raise Unavailable(
                    f"{self.bound.all} computations are under way, and no more are begun at once; "
                    "try again in a moment. What is stored can be read meanwhile."
                )
            self._by[client] += 1
        return lambda: self._end(client)

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
