"""The safety contour: which charted contour parts the water a ship may use from the rest [S52]_."""

import numpy as np

from wheelover.core.charted.attributes import number_of
from wheelover.core.charted.overlap import Objects
from wheelover.core.types.charted import SafetyContour, Wanted, WantedSource
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.ship import ShipProfile

DEFAULT_M = 30.0
"""Contour and depth wanted where nothing says what the ship needs [S52]_."""

SHARE_OF_DRAUGHT = 0.2
"""Water below the keel proposed where no least is given: a share of the draught, which is a common
policy of open waters and no rule."""

_SAME_M = 1e-6


def wanted_of(
    limits: Limits,
    ship: ShipProfile | None,
    set_contour_m: float | None = None,
    set_depth_m: float | None = None,
) -> Wanted:
    """Return the contour and the depth that charted water is held against.

    What is given counts, of the plan and its limit set the larger. Else both are proposed: the
    ship's deepest draught and the plan's least water below the keel, or for want of that a fifth of
    the draught. Without a ship a value that is given serves for both, and without any there is the
    default of 30 m.

    Parameters
    ----------
    limits : Limits
        The values wanted, where given, and the plan's least water below the keel.
    ship : ShipProfile or None
        Her draughts.
    set_contour_m, set_depth_m : float or None
        What a limit set asks, metres.

    Examples
    --------
    >>> wanted_of(Limits(safety_contour_m=12.0), None)
    Wanted(contour_m=12.0, depth_m=12.0, contour_source='you', depth_source='you')
    """
    proposed_m, source = _proposed(limits, ship)
    contour_m, contour_source = _larger(limits.safety_contour_m, set_contour_m)
    depth_m, depth_source = _larger(limits.safety_depth_m, set_depth_m)
    if source == "default":
        given = [one for one in (contour_m, depth_m) if one is not None]
        if given:
            proposed_m = max(given)
            source = depth_source if contour_m is None else contour_source
    return Wanted(
        contour_m=proposed_m if contour_m is None else contour_m,
        depth_m=proposed_m if depth_m is None else depth_m,
        contour_source=source if contour_m is None else contour_source,
        depth_source=source if depth_m is None else depth_source,
    )


def _larger(own_m: float | None, set_m: float | None) -> tuple[float | None, WantedSource]:
    """Return the larger of what the plan and its limit set ask, and which of them asks it."""
    if set_m is not None and (own_m is None or set_m > own_m):
        return set_m, "set"
    return own_m, "you"


def _proposed(limits: Limits, ship: ShipProfile | None) -> tuple[float, WantedSource]:
    """Return the depth proposed, and what it comes from."""
    if ship is None:
        return DEFAULT_M, "default"
    draught_m = max(ship.draught_fore_m, ship.draught_aft_m)
    below_m = SHARE_OF_DRAUGHT * draught_m if limits.min_ukc_m is None else limits.min_ukc_m
    return draught_m + below_m, "ship"


def safety_contour(objects: Objects, cell_count: int, wanted: Wanted) -> SafetyContour:
    """Return the nearest loaded contour equal to the value wanted or deeper.

    Contours are depth contours and the shallow ends of depth areas, dredged ones too.

    Parameters
    ----------
    objects : Objects
        What the cells chart, each where no larger scale does.
    cell_count : int
        How many cells there are.
    wanted : Wanted
        The contour wanted.
    """
    of_cells: list[float | None] = [None] * cell_count
    for row in objects.of_class("DEPCNT", "DEPARE", "DRGARE").tolist():
        name = "VALDCO" if objects.classes[row] == "DEPCNT" else "DRVAL1"
        depth_m = number_of(objects.attributes[row], name)
        if depth_m is None or depth_m < wanted.contour_m - _SAME_M:
            continue
        cell = int(objects.cell[row])
        before = of_cells[cell]
        of_cells[cell] = depth_m if before is None else min(before, depth_m)
    found = [one for one in of_cells if one is not None]
    return SafetyContour(
        wanted=wanted,
        used_m=float(np.min(found)) if found else None,
        of_cells_m=tuple(of_cells),
    )


def shallower(depth_m: float | None, wanted_m: float) -> bool:
    """Return whether a charted depth is less than wanted; one that is not known counts as less.

    Parameters
    ----------
    depth_m : float or None
        Charted depth, metres; negative where it dries.
    wanted_m : float
        Depth wanted, metres.
    """
    return depth_m is None or depth_m < wanted_m - _SAME_M
