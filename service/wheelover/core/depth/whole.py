"""Water under the keel and over the mast along a planned track: the table of contents."""

from collections.abc import Iterable, Sequence

from wheelover.core.depth.case import Passage
from wheelover.core.depth.overhead import overhead_sums
from wheelover.core.depth.ukc import depth_sums
from wheelover.core.depth.under import NO_DEPTH, merged, typed_depths
from wheelover.core.schedule.passing import passings
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.depth import Depths, DepthUnder, ObjectOver, Span
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg, PlannedTurn

NO_SHIP = "no ship is given, so her draught is not known"


def depths_of(
    route: Route,
    ship: ShipProfile | None,
    conditions: Conditions,
    limits: Limits,
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    charted: Iterable[DepthUnder] = (),
    objects: Iterable[ObjectOver] = (),
) -> Depths:
    """Return the open sums of every leg and turn of which enough is known.

    Parameters
    ----------
    route, ship, conditions, limits
        As for the plan.
    legs, turns : sequences of PlannedLeg and PlannedTurn
        The planned track.
    charted : iterable of DepthUnder
        The least depth charted under each piece; beside it stand those that the officer typed.
    objects : iterable of ObjectOver
        What each piece passes beneath.
    """
    passed = passings(legs, turns)
    known = tuple(
        (piece, Span(from_s=one.from_s, to_s=one.to_s))
        for piece, one in passed.items()
        if one.from_s is not None and one.to_s is not None
    )
    if ship is None:
        return Depths(passed_s=known, reasons=tuple((piece, NO_SHIP) for piece in passed))
    under = merged(charted, typed_depths(route, legs, turns))
    passage = Passage(
        route=route,
        ship=ship,
        conditions=conditions,
        limits=limits,
        legs=legs,
        turns=turns,
        passings=passed,
    )
    sums = depth_sums(passage, under)
    made = {one.piece for one in sums}
    return Depths(
        sums=sums,
        overheads=overhead_sums(passage, objects),
        passed_s=known,
        reasons=tuple((piece, _why(under.get(piece))) for piece in passed if piece not in made),
    )


def _why(under: DepthUnder | None) -> str:
    """Return why no sum is made of a piece."""
    return NO_DEPTH if under is None or under.reason is None else under.reason
