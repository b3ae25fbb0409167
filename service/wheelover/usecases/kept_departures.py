"""What of the last plans does not hang on their departure, kept so that moving it costs little."""

from collections import OrderedDict
from dataclasses import dataclass
from functools import cached_property
from threading import Lock

from wheelover.core.times.departures import Retimed, departed, retimed
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.departures import Departed
from wheelover.core.types.plan import Plan
from wheelover.core.types.ship import ShipProfile

_MOST = 16


@dataclass(kw_only=True)
class Kept:
    """A plan to be re-timed, with its own departure, seconds since 1970 UTC, None without one."""

    base: Retimed
    departure_s: float | None

    @cached_property
    def was(self) -> Departed | None:
        """Return what it is at its own departure, None without one."""
        return None if self.departure_s is None else departed(self.base, self.departure_s)


_KEPT: OrderedDict[str, Kept] = OrderedDict()
_LOCK = Lock()


def keep(
    sha256: str, plan: Plan, ship: ShipProfile | None, conditions: Conditions, limits: Limits
) -> Kept:
    """Keep what of a plan does not hang on its departure, and return it.

    Parameters
    ----------
    sha256 : str
        The digest of its inputs.
    plan : Plan
        The plan.
    ship, conditions, limits
        What it was made from.
    """
    kept = Kept(base=retimed(plan, ship, conditions, limits), departure_s=plan.schedule.departure_s)
    with _LOCK:
        _KEPT[sha256] = kept
        _KEPT.move_to_end(sha256)
        while len(_KEPT) > _MOST:
            _KEPT.popitem(last=False)
    return kept


def kept_of(sha256: str) -> Kept | None:
    """Return what was kept of a plan, None where nothing is."""
    with _LOCK:
        return _KEPT.get(sha256)
