"""How often costly things may be asked for: a token bucket for each person, key or address.

A script that has run wild must not take the service from the bridge. What is limited is computing,
taking files in and giving computed files out; reading what is stored never is, nor is a frozen
revision or its files for a person: the ship reads her approved plan whatever else goes on. Each
process counts for itself. Passwords have limits of their own (``usecases/accounts/tries.py``).
"""

import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

from fastapi import Request

from wheelover.api.access import door_of
from wheelover.api.at_once import AtOnce, Bound, ends_with
from wheelover.api.deps import actor_of
from wheelover.core.errors import TooOften, WheeloverError
from wheelover.settings import SETTINGS, setting

_API = "/api/v1"
_AT_HOME = 100
"""Without accounts there is one person, at this machine: only what never ends is stopped."""

_MOST_CLIENTS = 10_000

COSTS: dict[tuple[str, str], int] = {
    ("POST", f"{_API}/plan"): 2,
    ("GET", f"{_API}/plans/{{plan_id}}/computed"): 2,
    ("GET", f"{_API}/plans/{{plan_id}}/differences"): 2,
    ("GET", f"{_API}/plans/{{plan_id}}/revisions/{{number}}/recomputed"): 5,
    ("GET", f"{_API}/plans/{{plan_id}}/export/{{format_name}}"): 3,
    ("POST", f"{_API}/routes/read"): 2,
    ("POST", f"{_API}/plan/departures"): 2,
    ("POST", f"{_API}/plans/{{plan_id}}/departures"): 2,
    # While a waypoint is dragged this is asked, and /plan of the part about it, up to ten times a
    # second: at the cost of a plan a bucket would be empty after ten seconds. Only the question
    # that lays and checks the whole costs more (LAYING).
    ("POST", f"{_API}/plan/moved"): 1,
    ("POST", f"{_API}/turns/card"): 1,
    ("POST", f"{_API}/manoeuvre"): 1,
    ("POST", f"{_API}/turns/helm-orders"): 1,
    ("POST", f"{_API}/ships/fit"): 10,
    ("POST", f"{_API}/ships/fit/read"): 2,
    ("POST", f"{_API}/plans"): 2,
    ("POST", f"{_API}/ships"): 2,
    ("POST", f"{_API}/hazard-sets"): 5,
    ("PUT", f"{_API}/hazard-sets/{{item_id}}"): 5,
    ("POST", f"{_API}/plans/{{plan_id}}/revisions"): 5,
    ("POST", f"{_API}/plans/{{plan_id}}/amendments"): 2,
    ("POST", f"{_API}/peers/{{peer_id}}/parcels"): 5,
    ("POST", f"{_API}/parcels"): 5,
}
"""Places that cost, and how much of a bucket each takes."""

LAYING = COSTS["POST", f"{_API}/plan"]
"""What it costs more where a plan must be laid and checked before a question can be answered."""

OF_MACHINES: dict[tuple[str, str], int] = {
    ("GET", f"{_API}/plans/{{plan_id}}/revisions/{{number}}/export/{{format_name}}"): 3,
}
"""Places that cost other systems alone: a person may read a frozen revision at any time."""


class RateRefused(WheeloverError):
    """A setting of how often something may be asked for that is no number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """How much a bucket holds, and how much flows into it."""

    burst: int
    per_minute: int


@dataclass(slots=True)
class _Bucket:
    """What is left, at a time."""

    left: float
    at_s: float


class Rates:
    """The buckets of one process.

    Parameters
    ----------
    rate : Rate or None
        None for no limits.
    clock_s : callable
        Gives seconds that never go back.
    bound : Bound or None
        How much is computed at once; None for no bound.
    """

    def __init__(
        self,
        rate: Rate | None,
        clock_s: Callable[[], float] = time.monotonic,
        bound: Bound | None = None,
    ) -> None:
        self.rate = rate
        self.at_once = AtOnce(bound)
        self._clock_s = clock_s
        self._buckets: OrderedDict[str, _Bucket] = OrderedDict()
        self._lock = threading.Lock()

    def take(self, client: str, cost: int) -> None:
        """Take from a client's bucket.

        Raises
        ------
        TooOften
            When there is not enough in it; nothing is taken then.
        """
        if self.rate is None:
            return
        per_s = self.rate.per_minute / 60.0
        with self._lock:
            now_s = self._clock_s()
            bucket = self._buckets.pop(client, None) or _Bucket(float(self.rate.burst), now_s)
            flowed = (now_s - bucket.at_s) * per_s
            bucket.left = min(float(self.rate.burst), bucket.left + flowed)
            bucket.at_s = now_s
            self._buckets[client] = bucket
            while len(self._buckets) > _MOST_CLIENTS:
                self._buckets.popitem(last=False)
            missing = min(cost, self.rate.burst) - bucket.left
            if missing > 0:
                raise TooOften(
                    "This is asked for more often than the service computes for one client. What "
                    "is stored can be read meanwhile.",
                    int(missing / per_s) + 1,
                )
            bucket.left -= cost


def rates_from_settings(*, accounts: bool) -> Rates:
    """Return the buckets as the settings say.

    Raises
    ------
    RateRefused
        For a setting that is neither ``off`` nor a number from 1.
    """
    per_minute, burst = _number("rate_per_minute"), _number("rate_burst")
    bound = _bound(accounts=accounts)
    if per_minute is None or burst is None:
        return Rates(None, bound=bound)
    more = 1 if accounts else _AT_HOME
    return Rates(Rate(burst=burst * more, per_minute=per_minute * more), bound=bound)


def _bound(*, accounts: bool) -> Bound | None:
    """Return how much is computed at once as the settings say; without accounts by one client."""
    each, together = _number("at_once_each"), _number("at_once")
    if together is None:
        return None
    return Bound(each=min(each or together, together) if accounts else together, all=together)


def _number(name: str) -> int | None:
    """Return a setting as a number, None for off."""
    value = setting(name)
    if value == "off":
        return None
    if not (value.isascii() and value.isdigit() and 0 < int(value) < 10**9):
        raise RateRefused(f"{SETTINGS[name].variable} is a number from 1, or off; not {value!r}.")
    return int(value)


async def limit(request: Request) -> None:
    """Count a request that costs, once it is known who sends it; a dependency of every place.

    Raises
    ------
    TooOften
        When its sender has asked too often, or has too much under way.
    Unavailable
        When all together have too much under way.
    """
    place = (request.method, request.scope["route"].path)
    cost = COSTS.get(place, 0)
    account = actor_of(request).person.account_id or ""
    if account.startswith("key-"):
        cost = OF_MACHINES.get(place, cost)
    if not cost:
        return
    count(request, cost)
    ends_with(request.scope, await _rates(request).at_once.begin(client_of(request)))


def client_of(request: Request) -> str:
    """Return whom a request is counted for: the account or key, else the address."""
    return actor_of(request).person.account_id or door_of(request).address_of(request.scope)


def count(request: Request, cost: int) -> None:
    """Count what a request costs against who sends it.

    Raises
    ------
    TooOften
        When its sender has asked too often.
    """
    _rates(request).take(client_of(request), cost)


def _rates(request: Request) -> Rates:
    """Return the buckets of the application."""
    rates = request.app.state.rates
    if not isinstance(rates, Rates):
        raise TypeError("the application was made without its rates")
    return rates
