"""Courses as the compasses show them: true, magnetic, gyro and by the standard compass.

True less variation is magnetic, magnetic less deviation is by compass, east being positive; what
is added to the gyro's reading gives true. What the ship has not given is not known, and never zero.
"""

import math
from collections.abc import Sequence

import numpy as np

from wheelover.core.geo.angles import normal_course_deg
from wheelover.core.legs import points_along, positions
from wheelover.core.schedule.variation import MODEL, variation_at
from wheelover.core.types.compass import WIDEST_GAP_DEG, Courses, DeviationCard, LegCourses
from wheelover.core.types.route import Position, Route
from wheelover.core.types.schedule import LegTime, Schedule
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sky import Variation
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import m_from_nm

NO_DEPARTURE = "no departure_utc, so the day that the variation counts for"
NO_CARD = "no deviation card, so the deviation"
NO_GYRO = "no gyro error, so what the gyro shows"

WORTH_SAYING_DEG = 1.0
"""A change of course or variation along a leg that is noted."""

_LOOK_EVERY_NM = 200.0


def deviation_on_deg(card: DeviationCard, magnetic_deg: float) -> float | None:
    """Return the deviation on a magnetic heading, east positive; None where the card is silent.

    Parameters
    ----------
    card : DeviationCard
        The card.
    magnetic_deg : float
        The heading that is wanted.

    Notes
    -----
    Between two headings of the card the deviation runs along a straight line. Where the card's
    headings are those of the compass, that heading is found whose deviation leads to the magnetic
    one wanted, exactly and not by trial. More than 45 degrees from one heading of the card to the
    next nothing is read.

    Examples
    --------
    A card by compass: 6 east on 000, 2 east on 030; a heading of 016 by compass stands between,
    3.87 east, and 019.87 is its magnetic heading.

    >>> from wheelover.core.types.compass import DeviationRow as Row
    >>> card = DeviationCard(by="compass", rows=(
    ...     Row(heading_deg=0.0, deviation_deg=6.0), Row(heading_deg=30.0, deviation_deg=2.0)))
    >>> round(deviation_on_deg(card, 16.0 + 6.0 - 4.0 * 16.0 / 30.0), 4)
    3.8667
    """
    heading = np.array([row.heading_deg for row in card.rows])
    deviation = np.array([row.deviation_deg for row in card.rows])
    # Once round the compass and a half on both sides, so that 000 has neighbours.
    heading = np.concatenate([heading - 360.0, heading, heading + 360.0])
    deviation = np.tile(deviation, 3)
    known = heading if card.by == "magnetic" else heading + deviation
    wanted = float(normal_course_deg(magnetic_deg))
    after = int(np.searchsorted(known, wanted, side="right"))
    if heading[after] - heading[after - 1] > WIDEST_GAP_DEG and known[after - 1] != wanted:
        return None
    return float(np.interp(wanted, known, deviation))


def courses_of(true_deg: float, variation: Variation, ship: ShipProfile | None) -> Courses:
    """Return a direction as each compass of a ship shows it.

    Parameters
    ----------
    true_deg : float
        The direction, true.
    variation : Variation
        At the place. In the blackout zone no course is given by a magnetic compass.
    ship : ShipProfile or None
        Her deviation card and gyro error.

    Notes
    -----
    Compass, deviation, magnetic, variation, true, adding easterly [CompassSum]_.
    """
    gyro_error = None if ship is None else ship.gyro_error_deg
    gyro = None if gyro_error is None else _course(true_deg - gyro_error)
    if variation.value_deg is None or variation.zone == "blackout":
        return Courses(true_deg=true_deg, gyro_deg=gyro)
    magnetic = _course(true_deg - variation.value_deg)
    card = None if ship is None else ship.deviation_card
    deviation = None if card is None else deviation_on_deg(card, magnetic)
    return Courses(
        true_deg=true_deg,
        magnetic_deg=magnetic,
        gyro_deg=gyro,
        deviation_deg=deviation,
        compass_deg=None if deviation is None else _course(magnetic - deviation),
    )


def leg_courses(
    route: Route, ship: ShipProfile | None, legs: Sequence[PlannedLeg], schedule: Schedule
) -> tuple[LegCourses, ...]:
    """Return the courses of every leg by each compass, and the course to steer in its stream.

    Parameters
    ----------
    route : Route
        Where the legs begin and end.
    ship : ShipProfile or None
        Her compasses.
    legs : sequence of PlannedLeg
        The legs.
    schedule : Schedule
        When she begins each, and what she steers in the mean stream on it. Where the time is not
        known the day of departure counts; without a departure the variation is not known.
    """
    times = {one.leg_index: one for one in schedule.legs}
    found = []
    for leg in legs:
        time, at_s = times.get(leg.index), schedule.departure_s
        if at_s is not None and time is not None and time.start_s is not None:
            at_s += time.start_s
        along = [_variation(place, at_s) for place in _places(route, leg)]
        found.append(_leg(leg, time, ship, along))
    return tuple(found)


def _places(route: Route, leg: PlannedLeg) -> list[Position]:
    """Return the ends of a leg, and places between on a long one."""
    first, last = (
        Position(lat_deg=one.lat_deg, lon_deg=one.lon_deg)
        for one in route.waypoints[leg.from_index : leg.from_index + 2]
    )
    parts_count = math.ceil(leg.length_m / m_from_nm(_LOOK_EVERY_NM))
    if leg.path is None or parts_count < 2:
        return [first, last]
    lat, lon, _ = points_along(leg.path, leg.length_m * np.arange(1, parts_count) / parts_count)
    return [first, *positions(lat, lon), last]


def _leg(
    leg: PlannedLeg, time: LegTime | None, ship: ShipProfile | None, along: Sequence[Variation]
) -> LegCourses:
    """Return the courses of one leg."""
    notes: list[str] = []
    not_known: list[str] = []
    variation = along[0]
    course = None if leg.path is None else courses_of(leg.path.course_deg, variation, ship)
    steer = _to_steer(leg, time, notes, not_known)
    to_steer = None if steer is None else courses_of(steer, variation, ship)
    for one in (course,) if to_steer is None else (course, to_steer):
        not_known += [words for words in _missing(one, variation, ship) if words not in not_known]
    fields_nt = [one.horizontal_nt for one in along if one.horizontal_nt is not None]
    return LegCourses(
        leg_index=leg.index,
        course=course,
        to_steer=to_steer,
        variation=variation,
        variation_end=along[-1],
        weakest_nt=min(fields_nt, default=None),
        not_known=tuple(not_known),
        notes=(*notes, *_bends(leg), *_changes(along)),
    )


def _missing(
    courses: Courses | None, variation: Variation, ship: ShipProfile | None
) -> tuple[str, ...]:
    """Return what is not known of a direction by compass, and why."""
    if courses is None:
        return ("the leg has no length, so its course is not known",)
    found = []
    if variation.value_deg is None:
        found.append(f"the variation is not known: {variation.reason}")
    card = None if ship is None else ship.deviation_card
    if card is None:
        found.append(f"{NO_CARD} is not known")
    elif courses.magnetic_deg is not None and courses.deviation_deg is None:
        found.append(
            f"the deviation card says nothing within {WIDEST_GAP_DEG:g} degrees round "
            f"{courses.magnetic_deg:03.0f} M"
        )
    if courses.gyro_deg is None:
        found.append(f"{NO_GYRO} is not known")
    return tuple(found)


def _to_steer(
    leg: PlannedLeg, time: LegTime | None, notes: list[str], not_known: list[str]
) -> float | None:
    """Return the heading that makes good the course of a leg in its stream."""
    if leg.path is None:
        return None
    if time is not None and time.station is not None and not time.covered:
        not_known.append(
            f"there is no course to steer: the stream from the table of {time.station} is not "
            "known all the time that she is on the leg"
        )
        return None
    if time is None or time.current_source is None:
        notes.append("no stream is known on this leg, so no course to steer is worked out")
        return None
    if time.steer_deg is None:
        why = time.reason or "the stream or the speed on the leg is not known"
        not_known.append(f"there is no course to steer: {why}")
        return None
    if time.steps:
        notes.append("the stream changes on this leg: the course to steer is that in its mean")
    return time.steer_deg


def _bends(leg: PlannedLeg) -> tuple[str, ...]:
    """Return that the course of a leg changes along it."""
    if leg.path is None:
        return ()
    bend = leg.path.arrival_course_deg - leg.path.course_deg
    if abs((bend + 180.0) % 360.0 - 180.0) < WORTH_SAYING_DEG:
        return ()
    return (
        f"a great circle: the course is {leg.path.course_deg:05.1f} T at its beginning and "
        f"{leg.path.arrival_course_deg:05.1f} T at its end",
    )


def _changes(along: Sequence[Variation]) -> tuple[str, ...]:
    """Return that the variation changes along a leg by so much that one does not stand for all."""
    known = [one.value_deg for one in along if one.value_deg is not None]
    if not known:
        return ()
    off = [(one - known[0] + 180.0) % 360.0 - 180.0 for one in known]
    if max(off) - min(off) < WORTH_SAYING_DEG:
        return ()
    least, most = (east_west(known[off.index(one)]) for one in (min(off), max(off)))
    return (
        f"the variation is {east_west(known[0])} at the beginning of the leg and "
        f"{east_west(known[-1])} at its end, and lies between {least} and {most}",
    )


def east_west(angle_deg: float) -> str:
    """Return a variation or deviation as it is written.

    Examples
    --------
    >>> east_west(-2.04), east_west(1.25)
    ('2.0 W', '1.2 E')
    """
    return f"{abs(angle_deg):.1f} {'W' if angle_deg < 0.0 else 'E'}"


def _variation(position: Position, at_s: float | None) -> Variation:
    """Return the variation at the end of a leg."""
    if at_s is None:
        return Variation(reason=f"{NO_DEPARTURE} in {MODEL} is not known")
    return variation_at(position, at_s)


def _course(angle_deg: float) -> float:
    """Return a direction between 000 and 360."""
    return float(normal_course_deg(angle_deg))
