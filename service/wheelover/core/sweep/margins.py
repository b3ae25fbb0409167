"""What is asked of each danger beside the swept hull."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from weakref import WeakKeyDictionary

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.margins import Margins, class_numbers, margins_of
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import LIMIT_SOURCES
from wheelover.core.types.limits import LegAsked

_KEPT = 8
_HAZARD = LIMIT_SOURCES.index("hazard")


_KNOWN: WeakKeyDictionary[Hazards, dict[tuple[tuple[LegAsked, ...], Limits], "Asked"]] = (
    WeakKeyDictionary()
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The limit of each danger, shape (n,): nan, of source -1, where there is none.

    ``margin_m`` is the distance the hull must be farther off than: the limit, or nothing, and the
    uncertainty of the danger's position.
    """

    limit_m: Floats
    limit_source: Ints
    margin_m: Floats


def asked_of(hazards: Hazards, asked: tuple[LegAsked, ...], limits: Limits) -> Asked:
    """Return which limit counts for each danger: its own, else that of legs, set and plan.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    asked : tuple of LegAsked
        What the legs ask, one of them or both legs of a turn: then the larger counts, as beside
        the centre line (core/margins.py).
    limits : Limits
        The plan's, with its limit set.
    """
    known = _KNOWN.get(hazards, {})
    found = known.get((asked, limits))
    if found is None:
        found = _asked_of(hazards, asked, limits)
        # The same turn is asked about several times over; a few may ask the same.
        few = known if len(known) < _KEPT else {}
        _KNOWN[hazards] = {**few, (asked, limits): found}
    return found


def asked_of_each(hazards: Hazards, hazard: Ints, piece: Ints, margins: Margins) -> Asked:
    """Return which limit counts for dangers beside pieces, m pairs of them.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    hazard, piece : ndarray, shape (m,)
        The danger's number, and that of the piece among those of ``margins``.
    margins : Margins
        What is asked of dangers without a limit of their own.
    """
    own_m = hazards.min_clearance_m[hazard]
    own = ~np.isnan(own_m)
    columns = class_numbers(hazards)[hazard] if margins.by_class else np.zeros_like(hazard)
    limits_m = np.where(own, own_m, margins.limit_m[piece, columns])
    return Asked(
        limit_m=limits_m,
        limit_source=np.where(own, _HAZARD, margins.limit_source[piece, columns]),
        margin_m=np.where(np.isnan(limits_m), 0.0, limits_m)
        + hazards.position_uncertainty_m[hazard],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedOnRuns:
    """What the legs of runs ask of dangers without a limit of their own.

    ``piece`` says which of the ``margins`` are those of each run, shape (n,), and ``most_m`` is the
    largest limit that any class of dangers has there, zero for none.
    """

    margins: Margins
    piece: Ints
    most_m: Floats

    def of(self, hazards: Hazards, hazard: Ints, run: Ints) -> Asked:
        """Return which limit counts for dangers beside runs, m pairs of them."""
        return asked_of_each(hazards, hazard, self.piece[run], self.margins)


def asked_on_runs(asks: Sequence[tuple[LegAsked, ...]], limits: Limits) -> AskedOnRuns:
    """Return what is asked on several runs; most ask the same.

    Parameters
    ----------
    asks : sequence of tuple of LegAsked
        What the leg of each run asks, or both legs of a turn.
    limits : Limits
        The plan's, with its limit set.
    """
    different = {one: number for number, one in enumerate(dict.fromkeys(asks))}
    margins = margins_of(list(different), limits)
    piece = np.array([different[one] for one in asks], np.int64)
    most_m = np.max(np.nan_to_num(margins.limit_m), axis=1, initial=0.0)
    return AskedOnRuns(margins=margins, piece=piece, most_m=most_m[piece])


def most_asked_m(asked: tuple[LegAsked, ...], limits: Limits) -> float:
    """Return the largest limit that legs, set and plan ask of any class, zero for none.

    Parameters
    ----------
    asked, limits
        As in ``asked_of``.
    """
    return float(np.nanmax(np.append(_margins_of(asked, limits).limit_m, 0.0)))


@lru_cache(maxsize=64)
def _margins_of(asked: tuple[LegAsked, ...], limits: Limits) -> Margins:
    """Return what one piece asks: most turns of a route ask the same."""
    return margins_of([asked], limits)


def _asked_of(hazards: Hazards, asked: tuple[LegAsked, ...], limits: Limits) -> Asked:
    """Return which limit counts for each danger, looked up anew."""
    every = np.arange(hazards.count, dtype=np.int64)
    return asked_of_each(hazards, every, np.zeros_like(every), _margins_of(asked, limits))
