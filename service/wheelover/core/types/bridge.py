"""What is planned for the bridge team beside the track, and what is found of it."""

from dataclasses import dataclass

from wheelover.core.types.checklists import Ticked
from wheelover.core.types.contingency import CheckedContingency, Contingency
from wheelover.core.types.monitoring import FoundPoint, LegAbort, LegFixing, PlacedPoint
from wheelover.core.types.sources import CellSource, ConsultedSource, SourceFound
from wheelover.core.types.watch import ActionPoint


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridge:
    """What the plan gives the bridge team beside the wishes of each leg.

    ``of_contingency`` says that the plan is that of a contingency's route.
    """

    points: tuple[ActionPoint, ...] = ()
    contingencies: tuple[Contingency, ...] = ()
    sources: tuple[ConsultedSource, ...] = ()
    ticked: tuple[Ticked, ...] = ()
    of_contingency: bool = False


NO_BRIDGE = Bridge()
"""Nothing is given."""

OF_CONTINGENCY = Bridge(of_contingency=True)
"""What is given for the route of a contingency."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgeFound:
    """What is computed for the bridge team.

    ``fixings`` say how often each leg wants a fix, ``points`` where the action points stand,
    ``found`` what the cells chart near the track, ``aborts`` where the plan can still be given up,
    ``contingencies`` the plans of the routes that she takes then. ``sources`` and ``cells`` are
    what the plan is drawn from, ``ticked`` what people say of the checklists.
    """

    fixings: tuple[LegFixing, ...] = ()
    points: tuple[PlacedPoint, ...] = ()
    found: tuple[FoundPoint, ...] = ()
    aborts: tuple[LegAbort, ...] = ()
    contingencies: tuple[CheckedContingency, ...] = ()
    sources: tuple[SourceFound, ...] = ()
    cells: tuple[CellSource, ...] = ()
    ticked: tuple[Ticked, ...] = ()
    of_contingency: bool = False


NOTHING_FOUND = BridgeFound()
"""Nothing was computed."""
