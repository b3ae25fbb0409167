"""Wheel-over from the ship's own turning table: advance and transfer, no reach added."""

import math

import numpy as np

from wheelover.core.turns.setting import LaidBack, TurnSetting
from wheelover.core.types.ship import TurnTable
from wheelover.core.types.track import NotApplicable, TableUsed
from wheelover.core.units import nm_from_m

LEAST_CHANGE_DEG = 0.01
MOST_CHANGE_DEG = 170.0
"""Beyond this the courses hardly meet, and the waypoint lies many advances away."""

_SAME_RUDDER_DEG = 0.5
_SAME_SPEED_SHARE = 0.05
_SAME_RADIUS_SHARE = 0.2
_LEAST_RADIUS_CHANGE_DEG = 30.0


def advance_transfer(setting: TurnSetting) -> LaidBack | NotApplicable:
    """Return the wheel-over from advance and transfer: A - X cot(change) before the waypoint.

    The advance of a trial counts from the helm order, so it holds the reach already and none is
    added. Rows are interpolated inside the table and never beyond it. Still water, and the rudder,
    speed, loading and depth of the trial: where they are not those of the turn the notes say so.

    Parameters
    ----------
    setting : TurnSetting
        The change of course, the ship's tables, her length and the planned rudder.

    Returns
    -------
    LaidBack or NotApplicable
        The distance is along the inbound leg, back from the waypoint, of midships.

    Notes
    -----
    Transfer inside the turn, advance back from it [WO]_. Between rows advance and transfer are
    taken as straight in the change of heading. On the naval table of [NAU102]_ (rows each 15
    degrees, advance 500 to 1020 yards) leaving out every second row moves the result by up to 35
    yards; the error falls with the square of the spacing, so that with all rows it is below 10.

    Where the trial measured another point of the ship than midships, that point's distance is
    carried to midships: both are on the old course at the helm order and on the new one at the
    end, so the wheel-over is further back by how far that point lies ahead of midships.
    """
    change_deg = abs(setting.course_change_deg)
    table, reason = choose_table(setting, change_deg)
    if table is None:
        return NotApplicable(method="advance_transfer", reason=reason or "there is no table")
    advance_m, transfer_m = _interpolated(table, change_deg)
    shift_m = _ahead_of_midships_m(table, setting.loa_m)
    tangent = math.tan(math.radians(change_deg))
    back_m = 0.0 if math.isinf(tangent) else transfer_m / tangent
    distance_m = advance_m - back_m + shift_m
    return LaidBack(
        method="advance_transfer",
        distance_m=distance_m,
        reach_m=None,
        working=_working(change_deg, (advance_m, transfer_m), back_m, shift_m, distance_m),
        notes=(
            *differences(table, setting),
            *_other_radius(transfer_m, change_deg, setting.radius_m),
            *_unknowns(table),
        ),
        table=TableUsed(table=table, advance_m=advance_m, transfer_m=transfer_m),
    )


def choose_table(setting: TurnSetting, change_deg: float) -> tuple[TurnTable | None, str | None]:
    """Return the table that fits a turn best, or why none does.

    Tables of the other side are left out. Of those that cover the change of course the one of this
    side goes before one of either, then the nearest rudder, then the nearest speed, then the
    smaller rudder (turns are planned with little), then the order in which they are given.

    Parameters
    ----------
    setting : TurnSetting
        The turn and the ship's tables.
    change_deg : float
        Size of the change of course.
    """
    side = "starboard" if setting.course_change_deg >= 0.0 else "port"
    if not setting.tables:
        return None, "the ship's papers give no turning table"
    of_side = [one for one in setting.tables if one.side in (None, side)]
    if not of_side:
        return None, f"the ship's turning tables are for the other side; this turn is to {side}"
    if not LEAST_CHANGE_DEG <= change_deg <= MOST_CHANGE_DEG:
        return None, (
            f"the courses meet at {change_deg:.2f} degrees: beyond {MOST_CHANGE_DEG:.0f}, and "
            "where they are the same, no point before the waypoint has a meaning"
        )
    covering = [one for one in of_side if covers(one, change_deg)]
    if not covering:
        ranges = ", ".join(_range_words(one) for one in of_side)
        return None, (
            f"a change of course of {change_deg:.1f} degrees is outside the ship's table "
            f"({ranges}); nothing is extrapolated"
        )
    return min(covering, key=lambda one: _farness(one, setting, side)), None


def covers(table: TurnTable, change_deg: float) -> bool:
    """Return whether a change of course lies between the first and the last row of a table."""
    headings = [row.heading_change_deg for row in table.rows]
    return min(headings) - 1e-9 <= change_deg <= max(headings) + 1e-9


def differences(table: TurnTable, setting: TurnSetting) -> tuple[str, ...]:
    """Return in which settings a table was taken that are not those of the planned turn."""
    said = []
    if setting.planned_rudder_deg is None:
        said.append(
            f"the table is for {table.rudder_deg:g} degrees of rudder; the rudder of the planned "
            "turn is not given"
        )
    elif abs(table.rudder_deg - setting.planned_rudder_deg) > _SAME_RUDDER_DEG:
        said.append(
            f"the table is for {table.rudder_deg:g} degrees of rudder, the turn is planned with "
            f"{setting.planned_rudder_deg:g}"
        )
    speed_kn = setting.approach_speed_kn
    if speed_kn is None:
        said.append(f"the table is for {table.speed_kn:g} kn; the planned speed is not given")
    elif abs(table.speed_kn - speed_kn) > _SAME_SPEED_SHARE * table.speed_kn:
        said.append(f"the table is for {table.speed_kn:g} kn, the turn is planned at {speed_kn:g}")
    return tuple(said)


def _other_radius(transfer_m: float, change_deg: float, radius_m: float | None) -> tuple[str, ...]:
    """Return that a table's turn is another than the planned one, where their radii say so.

    The radius of the circle with that transfer, R = X / (1 - cos change) [NAU102]_; below 30
    degrees the start of the turn makes it read too large.
    """
    if radius_m is None or change_deg < _LEAST_RADIUS_CHANGE_DEG:
        return ()
    table_m = transfer_m / (1.0 - math.cos(math.radians(change_deg)))
    if abs(table_m - radius_m) <= _SAME_RADIUS_SHARE * radius_m:
        return ()
    return (
        f"the table is for a turn of about {nm_from_m(table_m):.2f} NM radius at this change; the "
        f"planned radius is {nm_from_m(radius_m):.2f} NM",
    )


def _unknowns(table: TurnTable) -> tuple[str, ...]:
    """Return what a table does not say of itself."""
    said = []
    if table.rows_are is None:
        said.append("the table does not say whether its rows are heading reached or steadied")
    elif table.rows_are == "heading_reached":
        said.append("rows are where the heading was reached; the swing past it is not in the table")
    if table.reference_from_bow_m is None:
        said.append("which point of the ship was measured is not said; midships is taken")
    return tuple(said)


def _farness(
    table: TurnTable, setting: TurnSetting, side: str
) -> tuple[float, float, float, float]:
    """Return how far a table is from a turn: side, rudder, speed, and last the smaller rudder."""
    rudder_deg = setting.planned_rudder_deg
    speed_kn = setting.approach_speed_kn
    return (
        0.0 if table.side == side else 1.0,
        0.0 if rudder_deg is None else abs(table.rudder_deg - rudder_deg),
        0.0 if speed_kn is None else abs(table.speed_kn - speed_kn),
        table.rudder_deg,
    )


def _range_words(table: TurnTable) -> str:
    """Return from where to where a table goes."""
    headings = [row.heading_change_deg for row in table.rows]
    return f"{min(headings):g} to {max(headings):g} degrees at {table.rudder_deg:g} of rudder"


def _interpolated(table: TurnTable, change_deg: float) -> tuple[float, float]:
    """Return advance and transfer at a change of heading, in metres."""
    rows = sorted(table.rows, key=lambda row: row.heading_change_deg)
    headings = np.array([row.heading_change_deg for row in rows])
    advance_m = np.interp(change_deg, headings, [row.advance_m for row in rows])
    transfer_m = np.interp(change_deg, headings, [row.transfer_m for row in rows])
    return float(advance_m), float(transfer_m)


def _ahead_of_midships_m(table: TurnTable, loa_m: float | None) -> float:
    """Return how far ahead of midships the measured point of a trial lies."""
    if table.reference_from_bow_m is None or loa_m is None:
        return 0.0
    return loa_m / 2.0 - table.reference_from_bow_m


def _working(
    change_deg: float,
    measured_m: tuple[float, float],
    back_m: float,
    shift_m: float,
    distance_m: float,
) -> tuple[str, ...]:
    """Return the lines of the hand calculation."""
    advance_m, transfer_m = measured_m
    lines = [
        f"advance {advance_m:.1f} m and transfer {transfer_m:.1f} m at {change_deg:.2f} degrees",
        f"WOP = advance - transfer / tan(change) = {advance_m:.1f} - {transfer_m:.1f} / "
        f"tan {change_deg:.2f} = {advance_m - back_m:.1f} m",
    ]
    if shift_m != 0.0:
        lines.append(
            f"the measured point lies {abs(shift_m):.1f} m "
            f"{'ahead' if shift_m > 0 else 'abaft'} of midships: {advance_m - back_m:.1f} "
            f"{'+' if shift_m > 0 else '-'} {abs(shift_m):.1f} = {distance_m:.1f} m"
        )
    lines.append(f"= {nm_from_m(distance_m):.4f} NM before the waypoint, no reach added")
    return tuple(lines)
