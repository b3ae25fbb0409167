"""Basis rows of marks, lookout and warning points."""

from collections import Counter
from collections.abc import Sequence

from wheelover.core.aids.sight import DEFAULT_VISIBILITY_NM, HORIZON_NM_PER_ROOT_M
from wheelover.core.aids.warning_points import DEFAULT_WARNINGS
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.cues import TurnCues
from wheelover.core.types.marks import Mark
from wheelover.core.types.plan import BasisRow
from wheelover.core.types.ship import ShipProfile


def aid_rows(
    ship: ShipProfile | None,
    conditions: Conditions,
    limits: Limits,
    marks: Sequence[Mark],
    cues: Sequence[TurnCues],
) -> tuple[BasisRow, ...]:
    """Return what cues hang on, with the word for where it came from.

    Parameters
    ----------
    ship, conditions, limits
        The inputs of the plan.
    marks : sequence of Mark
        The loaded marks.
    cues : sequence of TurnCues
        The cues of the turns.
    """
    turning = [one for one in cues if one.reason is None]
    warned = _warning_rows(limits, turning)
    if not marks:
        return warned
    return (*_mark_rows(marks), *_lookout_rows(ship, conditions), *_chosen_rows(turning), *warned)


def _mark_rows(marks: Sequence[Mark]) -> tuple[BasisRow, ...]:
    """Return how many marks are loaded, and from where."""
    counts = Counter(one.source for one in marks)
    note = "; ".join(f"{source}: {count}" for source, count in sorted(counts.items()))
    own = set(counts) == {"you"}
    return (
        BasisRow(
            input="marks",
            value=float(len(marks)),
            unit=None,
            source="you" if own else "set",
            note=note,
        ),
    )


def _lookout_rows(ship: ShipProfile | None, conditions: Conditions) -> tuple[BasisRow, ...]:
    """Return the constant of the horizon, heights of eye and antenna, range scale, visibility."""
    rows = [
        BasisRow(
            input="distance of the horizon",
            value=HORIZON_NM_PER_ROOT_M,
            unit="NM for the root of a metre",
            source="default",
            note="mean refraction; heights count from the datum of heights, the tide left out",
        )
    ]
    if ship is not None:
        given = (
            ("height of eye", ship.eye_height_m, "m"),
            ("height of the radar", ship.radar_height_m, "m"),
            ("range scale of the radar", ship.radar_range_scale_nm, "NM"),
        )
        rows += [
            BasisRow(input=f"{name} of {ship.name}", value=value, unit=unit, source="ship")
            for name, value, unit in given
            if value is not None
        ]
    if ship is None or ship.radar_range_scale_nm is None:
        value = "the least that shows the mark"
        rows.append(
            BasisRow(input="range scale of the radar", value=value, unit=None, source="default")
        )
    given_nm = conditions.visibility_nm
    rows.append(
        BasisRow(
            input="visibility",
            value=DEFAULT_VISIBILITY_NM if given_nm is None else given_nm,
            unit="NM",
            source="default" if given_nm is None else "you",
        )
    )
    return tuple(rows)


def _chosen_rows(turning: Sequence[TurnCues]) -> tuple[BasisRow, ...]:
    """Return for how many turns nobody chose a cue."""
    silent = sum(1 for one in turning if not one.chosen[0] and one.first is not None)
    if not silent:
        return ()
    return (
        BasisRow(
            input="cue of the wheel-over",
            value="the one that ranks first",
            unit=None,
            source="default",
            note=f"{silent} turns for which nobody chose one",
        ),
    )


def _warning_rows(limits: Limits, turning: Sequence[TurnCues]) -> tuple[BasisRow, ...]:
    """Return the warning points."""
    if not turning:
        return ()
    wishes = limits.warning_points or DEFAULT_WARNINGS
    said = [
        f"{one.before_s:g} s" if one.before_s is not None else f"{one.before_nm:g} NM"
        for one in wishes
    ]
    return (
        BasisRow(
            input="warning points before the wheel-over",
            value=", ".join(said),
            unit=None,
            source="you" if limits.warning_points else "default",
        ),
    )
