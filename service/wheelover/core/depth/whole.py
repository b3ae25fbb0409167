"""Water under the keel and over the mast along a planned track: the table of contents."""

from collections.abc import Iterable, Mapping, Sequence

from wheelover.core.depth.case import Passage, Passing
from wheelover.core.depth.overhead import overhead_sums
from wheelover.core.depth.ukc import depth_sums
from wheelover.core.depth.under import NO_DEPTH, merged, typed_depths
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.clearance import Piece
from wheelover.core.types.depth import Depths, DepthUnder, ObjectOver
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn

NO_SHIP = "no ship is given, so her draught is not known"


def depths_of(
    route: Route,
    ship: ShipProfile | None,
    conditions: Conditions,
    limits: Limits,
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    times: Mapping[Piece, PieceTime],
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
    times : mapping of Piece to PieceTime
        When she comes to each piece after the departure.
    charted : iterable of DepthUnder
        The least depth charted under each piece; beside it stand those that the officer typed.
    objects : iterable of ObjectOver
        What each piece passes beneath.
    """
    passed = passings(legs, turns, times)
    if ship is None:
        return Depths(reasons=tuple((piece, NO_SHIP) for piece in passed))
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
        reasons=tuple((piece, _why(under.get(piece))) for piece in passed if piece not in made),
    )


def passings(
    legs: Sequence[PlannedLeg], turns: Sequence[PlannedTurn], times: Mapping[Piece, PieceTime]
) -> dict[Piece, Passing]:
    """Return from when to when after the departure she is on each piece.

    Parameters
    ----------
    legs, turns : sequences of PlannedLeg and PlannedTurn
        The planned track.
    times : mapping of Piece to PieceTime
        When she comes to each, and how fast she goes.
    """
    runs_m = {
        Piece(kind="leg", index=leg.index): leg.track_to_m - leg.track_from_m for leg in legs
    } | {
        Piece(kind="turn", index=turn.index): 0.0 if turn.arc is None else turn.arc.arc_m
        for turn in turns
    }
    found = {}
    for piece, run_m in runs_m.items():
        time = times.get(piece)
        if time is None or time.start_s is None:
            found[piece] = Passing(reason=None if time is None else time.reason)
        else:
            to_s = time.leaves_s or time.at_s(time.from_m + run_m)
            found[piece] = Passing(from_s=time.start_s, to_s=to_s)
    return found


def _why(under: DepthUnder | None) -> str:
    """Return why no sum is made of a piece."""
    return NO_DEPTH if under is None or under.reason is None else under.reason
