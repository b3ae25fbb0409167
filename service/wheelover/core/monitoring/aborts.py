"""Where the plan can still be given up: the point of no return of a leg, and her abort point.

Positions to abort from, worked before the narrow part of a passage, are what guidance on loss
prevention asks for [Abort]_; it gives no formula. Ours: she is committed where she no longer has
room to turn round, and full astern must be ordered so early that she is stopped before that.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from wheelover.core.monitoring.along import Way
from wheelover.core.monitoring.rooms import Room, Waters
from wheelover.core.monitoring.shore import shore_of
from wheelover.core.monitoring.stopping import stop_from
from wheelover.core.types.cells import Cell
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.monitoring import BendRoom, LegAbort, OnTrack, Stop
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg
from wheelover.core.types.watch import Stage
from wheelover.core.units import nm_from_m

COMMITTING: tuple[Stage, ...] = ("pilotage", "confined")
"""Stages in which a leg wants to know where the plan can still be given up."""


def aborts_of(
    way: Way,
    stages: Mapping[int, Stage | None],
    ship: ShipProfile | None,
    charts: tuple[Chart, Sequence[Cell]],
    limits: Limits,
) -> tuple[LegAbort, ...]:
    """Return where the plan can be given up on each leg of pilotage or confined water.

    Parameters
    ----------
    way : Way
        The planned track.
    stages : mapping
        The stage of each leg by its index.
    ship : ShipProfile or None
        Her stopping trials, her turning circle or response.
    charts : tuple
        All dangers loaded, with the open coastline; and the cells, where that does not count.
    limits : Limits
        What is asked of them.

    Notes
    -----
    The point of no return is the last place looked at before the room to turn round first ends on
    the leg or in the turn behind it; places are half a cable apart, or farther on a long leg. In a
    turn only its own side counts: to the other she would have to stop her swing first. Of the first
    such leg the turn that leads to it counts too. Where she has no room where the leg begins the
    point lies on the last leg or arc before that has some. The abort point lies the stopping run
    before it along the track, if need be on a leg before.
    """
    committing = [leg for leg in way.legs if stages.get(leg.index) in COMMITTING]
    if not committing:
        return ()
    chart, cells = charts
    waters = Waters(way=way, ship=ship, chart=chart, shore=shore_of(chart, cells), limits=limits)
    first = {
        leg.index for leg in committing if leg.index == 0 or leg.index - 1 not in _index(committing)
    }
    return tuple(_of_leg(waters, leg, opens=leg.index in first) for leg in committing)


def _index(legs: Sequence[PlannedLeg]) -> set[int]:
    """Return the indices of legs."""
    return {leg.index for leg in legs}


def _of_leg(waters: Waters, leg: PlannedLeg, *, opens: bool) -> LegAbort:
    """Return where the plan can be given up on one leg; ``opens`` says the leg before is open."""
    stop = stop_from(waters.ship, leg)
    room = waters.room(leg)
    reasons = [one for one in (stop, room.reason) if isinstance(one, str)]
    known = stop if isinstance(stop, Stop) else None
    if room.places is None:
        return LegAbort(leg_index=leg.index, stop=known, turns=room.turns, reasons=tuple(reasons))
    along_m = room.places.along_m
    before = _leg_before(waters.way, leg) if opens else None
    beside = (None if before is None else waters.bend(before), waters.bend(leg))
    bends = [one for one in beside if one is not None]
    reasons += [one.reason for one in bends if one.reason is not None]
    looked = [one for one in bends if one.places is not None]
    no_return, why = _no_return(waters, leg, looked)
    if why is not None:
        reasons.append(why)
    abort, no_abort, notes = _abort(waters, leg, no_return, known)
    return LegAbort(
        leg_index=leg.index,
        stop=known,
        turns=room.turns,
        room=room.stretches,
        bends=_bends(looked),
        looked_from_m=float(along_m[0]),
        looked_to_m=float(along_m[-1]),
        step_m=float(along_m[1] - along_m[0]),
        no_return=no_return,
        abort=abort,
        no_abort=no_abort,
        committed_before=not _in_order(room, looked)[0].at_start,
        reasons=tuple(reasons),
        notes=(*notes, *_notes(waters, leg, room, looked)),
    )


def _leg_before(way: Way, leg: PlannedLeg) -> PlannedLeg | None:
    """Return the leg that joins a leg before it, None where the track begins or has a hole."""
    before = way.legs[leg.index - 1] if leg.index else None
    return before if before is not None and before.from_index + 1 == leg.from_index else None


def _in_order(room: Room, bends: Sequence[Room]) -> list[Room]:
    """Return the pieces of a leg in sailing order: the arc before it, itself, the arc behind it."""
    first = [one for one in bends if one.leg.index < room.leg.index]
    return [*first, room, *(one for one in bends if one.leg.index == room.leg.index)]


def _bends(rooms: Sequence[Room]) -> tuple[BendRoom, ...]:
    """Return what is told of the room along arcs."""
    return tuple(
        BendRoom(
            turn_index=one.turn.index,
            waypoint_id=one.turn.waypoint_id,
            arc_m=one.turn.arc.arc_m,
            side="starboard" if one.turn.arc.sweep_deg >= 0.0 else "port",
            room=one.stretches,
            whole=one.whole,
        )
        for one in rooms
        if one.turn is not None and one.turn.arc is not None
    )


def _notes(waters: Waters, leg: PlannedLeg, room: Room, looked: Sequence[Room]) -> list[str]:
    """Return what is to be known of the room along a leg."""
    notes = []
    if not room.at_start and room.stretches:
        first = room.stretches[0]
        notes.append(
            f"she has room again from {nm_from_m(leg.length_m - first.from_m):.2f} NM to "
            f"{nm_from_m(leg.length_m - first.to_m):.2f} NM before {leg.to_id}"
        )
    if any(one.turn is not None for one in looked):
        notes.append(
            "in turns only the side of the turn counts as room: to the other she would have to "
            "stop her swing first"
        )
    if waters.shore is None:
        notes.append(
            "of land only what is loaded or charted counts as no room, not the open coastline"
        )
    else:
        notes.append(
            "where no loaded cell covers the open coastline counts as no room; it is not official "
            "and may be some hundred metres wrong"
        )
    if leg.set_deg is not None:
        notes.append("the stream is not applied to the turning circle")
    return notes


def _no_return(
    waters: Waters, leg: PlannedLeg, bends: Sequence[Room]
) -> tuple[OnTrack | None, str | None]:
    """Return the last place before the room to turn round first ends, and what is not known.

    Where she has none as the leg begins it is looked for before it, as far as the track joins.
    """
    pieces = _in_order(waters.room(leg), bends)
    if pieces[0].at_start:
        last: tuple[Room, int] | None = None
        for piece in pieces:
            for number, free in enumerate(piece.free.tolist()):
                if not free:
                    return None if last is None else last[0].place(waters.way, last[1]), None
                last = (piece, number)
        return None, None
    return _before(waters, pieces[0])


def _before(waters: Waters, first: Room) -> tuple[OnTrack | None, str | None]:
    """Return the last place with room before a piece of the track, and what is not known."""
    before: PlannedLeg | None = first.leg
    on_arc = first.turn is not None
    while before is not None:
        if on_arc:
            piece: Room | None = waters.room(before)
        else:
            before = _leg_before(waters.way, before)
            piece = None if before is None else waters.bend(before)
        on_arc = not on_arc
        if piece is None:
            continue
        if piece.places is None:
            return None, (
                "she has no room where the leg begins, and before it, on the leg to "
                f"{piece.leg.to_id}, the room is not known: {piece.reason}"
            )
        if bool(np.any(piece.free)):
            return piece.place(waters.way, int(np.flatnonzero(piece.free)[-1])), None
    return None, None


def _abort(
    waters: Waters, leg: PlannedLeg, no_return: OnTrack | None, stop: Stop | None
) -> tuple[OnTrack | None, str | None, list[str]]:
    """Return the place from which she stops before the point of no return, why not, and notes."""
    if no_return is None or stop is None:
        return None, None, []
    notes = []
    run_m = stop.run_m
    if no_return.leg_index != leg.index:
        there = stop_from(waters.ship, waters.way.legs[no_return.leg_index])
        if isinstance(there, Stop) and there.run_m > run_m:
            run_m = there.run_m
            notes.append(f"her run on the leg to {no_return.leg_to_id} is longer and counts")
    found = waters.way.back_from(no_return, run_m)
    if found is None:
        why = "the stopping run reaches back beyond the start of the track"
        return None, why, [*notes, why]
    if found.leg_index != no_return.leg_index:
        notes.append(f"it lies on the leg to {found.leg_to_id}, where her speed may be another")
    return found, None, notes
