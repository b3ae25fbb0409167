"""What her times rest on: water that is not known, for which still water is assumed."""

from wheelover.core.times.pieces import NO_CURRENT_NOTE, UNCOVERED_NOTE
from wheelover.core.times.settle import Timing


def assumed_at(timing: Timing) -> dict[int, str]:
    """Return what is assumed of the way to each waypoint, by its index; none where nothing is.

    Parameters
    ----------
    timing : Timing
        What the clock said.

    Notes
    -----
    A table that is silent on a part of the way goes before a way without any current: of the former
    it is known that a stream runs. Where the clock stood still and a given ETA starts it anew,
    nothing before it counts. A departure that is counted back rests on the whole way.
    """
    found: dict[int, str] = {}
    note: str | None = None
    for stretch in timing.shape.stretches:
        leg, index = timing.log.legs[stretch.index], stretch.from_index + 1
        turn, bend = timing.log.turns.get(index), timing.shape.bends.get(index)
        in_arc = bend is not None and bend.arc is not None and turn is not None
        if leg.run is None:
            note = None
            continue
        if not leg.covered or (in_arc and turn is not None and not turn.covered):
            note = UNCOVERED_NOTE
        elif leg.water.source is None and note is None:
            note = NO_CURRENT_NOTE
        if note is not None:
            found[index] = note
    if timing.departure_given or not found:
        return found
    worst = UNCOVERED_NOTE if UNCOVERED_NOTE in found.values() else NO_CURRENT_NOTE
    return dict.fromkeys(range(len(timing.route.waypoints)), worst)


def rests_on_gap(note: str | None) -> bool:
    """Return whether a time rests on a stream that runs and is not known.

    Examples
    --------
    >>> rests_on_gap(UNCOVERED_NOTE), rests_on_gap(NO_CURRENT_NOTE), rests_on_gap(None)
    (True, False, False)
    """
    return note == UNCOVERED_NOTE
