"""Where the plan can still be given up: the point of no return of a leg, and her abort point.

Positions to abort from, worked before the narrow part of a passage, are what guidance on loss
prevention asks for [Abort]_; it gives no formula. Ours: she is committed where she no longer has
room to turn round, and full astern must be ordered so early that she is stopped before that.
"""

from collections.abc import Mapping, Sequence

from wheelover.core.monitoring.along import Way
from wheelover.core.monitoring.room import places_m, room_along, stretches_of
from wheelover.core.monitoring.stopping import stop_from
from wheelover.core.monitoring.turn_round import turns_round
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.monitoring import LegAbort, OnTrack, RoomStretch, Stop
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg
from wheelover.core.types.watch import Stage

COMMITTING: tuple[Stage, ...] = ("pilotage", "confined")
"""Stages in which a leg wants to know where the plan can still be given up."""

_END_M = 0.5


def aborts_of(
    way: Way,
    stages: Mapping[int, Stage | None],
    ship: ShipProfile | None,
    chart: Chart,
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
    chart : Chart
        All dangers loaded.
    limits : Limits
        What is asked of them.

    Notes
    -----
    The point of no return is the last place looked at before the room to turn round first ends on
    the leg; places are half a cable apart, or farther on a long leg. The abort point lies the
    stopping run before it along the track, if need be on a leg before.
    """
    return tuple(
        _of_leg(way, leg, ship, chart, limits)
        for leg in way.legs
        if stages.get(leg.index) in COMMITTING
    )


def _of_leg(
    way: Way, leg: PlannedLeg, ship: ShipProfile | None, chart: Chart, limits: Limits
) -> LegAbort:
    """Return where the plan can be given up on one leg."""
    stop = stop_from(ship, leg)
    turns = turns_round(ship, leg.speed_kn)
    reasons = [one for one in (stop, turns) if isinstance(one, str)]
    if leg.path is None or not leg.room:
        reasons.append("no track exists along the leg")
    if not chart.loaded:
        reasons.append("no dangers are loaded")
    known = stop if isinstance(stop, Stop) else None
    if ship is None or isinstance(turns, str) or leg.path is None or not leg.room:
        return LegAbort(leg_index=leg.index, stop=known, reasons=tuple(reasons))
    if not chart.loaded:
        return LegAbort(leg_index=leg.index, stop=known, turns=turns, reasons=tuple(reasons))
    along_m = places_m(leg.track_from_m, leg.track_to_m)
    room = room_along(leg.path, along_m, turns, ship.loa_m, chart.hazards, leg.asked, limits)
    stretches = stretches_of(along_m, room)
    no_return = _no_return(way, leg, stretches, float(along_m[-1]))
    abort, notes = _abort(way, no_return, known)
    notes.append("of land only what is loaded or charted counts as no room, not the open coastline")
    if leg.set_deg is not None:
        notes.append("the stream is not applied to the turning circle")
    return LegAbort(
        leg_index=leg.index,
        stop=known,
        turns=turns,
        room=stretches,
        looked_from_m=float(along_m[0]),
        looked_to_m=float(along_m[-1]),
        step_m=float(along_m[1] - along_m[0]),
        no_return=no_return,
        abort=abort,
        reasons=tuple(reasons),
        notes=tuple(notes),
    )


def _no_return(
    way: Way, leg: PlannedLeg, room: Sequence[RoomStretch], end_m: float
) -> OnTrack | None:
    """Return the last place before the room to turn round first ends, None without one."""
    if not room or room[0].to_m >= end_m - _END_M:
        return None
    return way.on_leg(leg, room[0].to_m)


def _abort(
    way: Way, no_return: OnTrack | None, stop: Stop | None
) -> tuple[OnTrack | None, list[str]]:
    """Return the place from which she stops before the point of no return, and what to say."""
    if no_return is None or stop is None:
        return None, []
    found = way.back_from(no_return, stop.run_m)
    if found is None:
        return None, ["the stopping run reaches back beyond the start of the track"]
    if found.leg_index == no_return.leg_index:
        return found, []
    return found, [f"it lies on the leg to {found.leg_to_id}, where her speed may be another"]
