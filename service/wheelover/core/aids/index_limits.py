"""Limits of index ranges: how near and how far the object may come before she is too near.

Towards the object the range must not be less (NLT) than what the room on that side leaves of it,
away from it not more (NMT) than what the room on the other side adds.
"""

from dataclasses import replace

from wheelover.core.aids.careful import down_nm, up_nm
from wheelover.core.types.aid_lines import IndexLimit, IndexLine, SideRoom
from wheelover.core.types.track import Side
from wheelover.core.units import m_from_nm

_OTHER: dict[Side, Side] = {"port": "starboard", "starboard": "port"}


def limited(line: IndexLine, rooms: tuple[SideRoom, SideRoom]) -> IndexLine:
    """Return a line with the limits that the room on both sides gives, and its range as set.

    Towards the object the range must not be less than what is left of it, away from it not more.
    What the range varies and how unsure the object's place is counts against both, and both are
    rounded so that they end sooner. The range itself is set so that she runs on the side
    that has more room, where both are known, and to the nearest where not.

    Parameters
    ----------
    line : IndexLine
        The line.
    rooms : tuple of SideRoom
        The room to port and to starboard of the stretch it serves.
    """
    towards = next(one for one in rooms if one.side == line.side)
    away = next(one for one in rooms if one.side == _OTHER[line.side])
    set_nm = line.set_nm
    if towards.room_m is not None and away.room_m is not None and towards.room_m != away.room_m:
        set_nm = up_nm(line.range_m) if towards.room_m < away.room_m else down_nm(line.range_m)
    return replace(
        line,
        set_nm=set_nm,
        set_off_m=beside_m(line.side, line.range_m, set_nm),
        limits=(_not_less(line, towards), _not_more(line, away)),
    )


def _not_less(line: IndexLine, room: SideRoom) -> IndexLimit:
    """Return the least range, on the object's side."""
    if room.room_m is None:
        return IndexLimit(word="NLT", range_nm=None, room=room, reason=room.reason)
    least_m = line.range_m + line.varies_m + line.uncertain_m - room.room_m
    if least_m <= 0.0:
        reason = "the object lies inside the room on its side and marks no limit there"
        return IndexLimit(word="NLT", range_nm=None, room=room, reason=reason)
    return IndexLimit(word="NLT", range_nm=up_nm(least_m), room=room)


def _not_more(line: IndexLine, room: SideRoom) -> IndexLimit:
    """Return the greatest range, on the other side."""
    if room.room_m is None:
        return IndexLimit(word="NMT", range_nm=None, room=room, reason=room.reason)
    most_m = line.range_m - line.varies_m - line.uncertain_m + room.room_m
    if most_m <= 0.0:
        reason = (
            "the track does not keep the margin on that side by more than the object is off"
            if line.range_m + room.room_m <= 0.0
            else "the object's place is more unsure, or its range varies by more, than the room"
        )
        return IndexLimit(word="NMT", range_nm=None, room=room, reason=reason)
    return IndexLimit(word="NMT", range_nm=down_nm(most_m), room=room)


def contradicts(line: IndexLine, limit: IndexLimit) -> bool:
    """Return whether the range as set is beyond a limit, so that both cannot be kept.

    Parameters
    ----------
    line, limit
        A line as it is set, and one of its limits.
    """
    if limit.room.room_m is None:
        return False
    if limit.range_nm is None:
        return limit.word == "NMT"
    if limit.word == "NLT":
        return limit.range_nm > line.set_nm
    return limit.range_nm < line.set_nm


def beside_m(side: Side, range_m: float, set_nm: float) -> float:
    """Return where she runs beside the track with the echo on the range set, starboard positive."""
    nearer_m = range_m - m_from_nm(set_nm)
    return nearer_m if side == "starboard" else -nearer_m
