"""Whether it is dark at places of legs, and whether a mark is seen from there then."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from wheelover.core.aids.sight import Lookout, by_day, by_night, by_radar, ranges_of
from wheelover.core.legs import in_columns, points_along
from wheelover.core.schedule.sun import lights_at
from wheelover.core.types.clearance import Piece
from wheelover.core.types.cues import Seen, Sight
from wheelover.core.types.marks import Mark
from wheelover.core.types.sky import DARK
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg

NO_TIME = "whether it is dark then is not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """When she comes to the pieces of the track, and when she leaves, seconds since 1970 UTC."""

    times: Mapping[Piece, PieceTime] = field(default_factory=dict)
    departure_s: float | None = None


def dark_at(when: When, places: Sequence[tuple[PlannedLeg, float]]) -> list[bool | None]:
    """Return whether it is dark as she comes to places of legs; None where that is not known.

    Parameters
    ----------
    when : When
        The times.
    places : sequence of tuple
        Legs, and how far along each.
    """
    found: list[bool | None] = [None] * len(places)
    if when.departure_s is None:
        return found
    timed, paths, along, at = [], [], [], []
    for number, (leg, along_m) in enumerate(places):
        time = when.times.get(Piece(kind="leg", index=leg.index))
        at_s = None if time is None else time.at_s(along_m)
        if leg.path is None or at_s is None:
            continue
        timed.append(number)
        paths.append(leg.path)
        along.append(along_m)
        at.append(when.departure_s + at_s)
    if timed:
        lat, lon, _ = points_along(in_columns(paths), along)
        for number, light in zip(timed, lights_at(lat, lon, at), strict=True):
            found[number] = light in DARK
    return found


def dark_between(
    when: When, stretches: Sequence[tuple[PlannedLeg, float, float]]
) -> list[frozenset[bool]]:
    """Return what it is along stretches of legs: dark, light or both; empty where not known."""
    places = [
        (leg, at_m)
        for leg, from_m, to_m in stretches
        for at_m in (from_m, (from_m + to_m) / 2.0, to_m)
    ]
    dark = dark_at(when, places)
    return [
        frozenset(one for one in each if one is not None) if None not in each else frozenset()
        for each in (dark[row : row + 3] for row in range(0, len(dark), 3))
    ]


def seen_by_eye(
    mark: Mark, measured: tuple[float, float], dark: frozenset[bool], lookout: Lookout
) -> Sight:
    """Return whether a mark is seen by eye, and why: by day, by night, or by whichever is worse.

    Parameters
    ----------
    mark : Mark
        The mark.
    measured : tuple of float
        Its true bearing, degrees, and its range, metres.
    dark : frozenset of bool
        Whether it is dark then; both where it changes, none where that is not known.
    lookout : Lookout
        From where it is looked for.
    """
    bearing_deg, range_m = measured
    ranges = ranges_of(mark, bearing_deg, range_m, lookout)
    day, night = by_day(mark, ranges, range_m, lookout), by_night(mark, ranges, range_m, lookout)
    if not dark:
        return day if day.seen == night.seen else Sight(seen="not_known", why=NO_TIME)
    return worst_of([night if one else day for one in sorted(dark)])


def seen_by_radar(mark: Mark, range_m: float, lookout: Lookout) -> Sight:
    """Return whether a radar shows a mark at a range, metres, and why."""
    return by_radar(mark, ranges_of(mark, 0.0, range_m, lookout), range_m, lookout)


def worst_of(some: Sequence[Sight]) -> Sight:
    """Return the least of what is seen: not, before not known, before seen."""
    order: tuple[Seen, ...] = ("no", "not_known", "yes")
    return min(some, key=lambda one: order.index(one.seen))
