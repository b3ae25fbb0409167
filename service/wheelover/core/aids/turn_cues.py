"""The cues of every turn: ranked, the first and the second, set to what can be read, and warned."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from wheelover.core.aids.cues import names, ranked_cues
from wheelover.core.aids.helms import Helm, helms_of
from wheelover.core.aids.independent import second_of
from wheelover.core.aids.light_of_day import darkness
from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.aids.rounded import cue_set, distance_set
from wheelover.core.aids.sight import DEFAULT_VISIBILITY_NM, Lookout
from wheelover.core.aids.warning_points import warning_points
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.clearance import Piece
from wheelover.core.types.cues import Cue, TurnCues
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import SweptTurn
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn

NO_WHEEL_OVER = "there is no planned wheel-over"


def cues_of_turns(
    given: tuple[Route, ShipProfile | None, Conditions, Limits],
    track: tuple[Sequence[PlannedLeg], Sequence[PlannedTurn]],
    times: Mapping[Piece, PieceTime],
    marks: MarkSet,
    swept: Sequence[SweptTurn],
) -> tuple[TurnCues, ...]:
    """Return the cues of each turn.

    Parameters
    ----------
    given : tuple
        The inputs of the plan: chosen cues, heights of eye and antenna, visibility, warnings.
    track : tuple
        Legs and turns.
    times : mapping
        When she comes to each piece of the track.
    marks : MarkSet
        The loaded marks.
    swept : sequence of SweptTurn
        What the hull sweeps in the turns, with the windows of their wheel-overs.
    """
    route, ship, conditions, limits = given
    legs, turns = track
    helms = list(helms_of(turns, legs, times).values())
    dark = darkness(helms, conditions.departure_s)
    chosen = [_chosen(route, one) for one in helms]
    lookout = lookout_of(ship, conditions)
    ranked = ranked_cues(marks, helms, [one for one, _ in dark], lookout, chosen)
    warned = warning_points(helms, legs, turns, times, limits.warning_points)
    windows = {one.turn_index: one for one in swept}
    made = {
        helm.turn.index: replace(
            _picked(helm, rows, wanted, windows.get(helm.turn.index)),
            dark=is_dark,
            dark_reason=reason,
            warnings=warnings,
        )
        for helm, rows, wanted, (is_dark, reason), warnings in zip(
            helms, ranked, chosen, dark, warned, strict=True
        )
    }
    return tuple(
        made.get(turn.index, TurnCues(turn_index=turn.index, reason=NO_WHEEL_OVER))
        for turn in turns
    )


def lookout_of(ship: ShipProfile | None, conditions: Conditions) -> Lookout:
    """Return from where marks are looked for, and through what air."""
    visibility_nm = conditions.visibility_nm
    return Lookout(
        eye_height_m=None if ship is None else ship.eye_height_m,
        radar_height_m=None if ship is None else ship.radar_height_m,
        visibility_nm=DEFAULT_VISIBILITY_NM if visibility_nm is None else visibility_nm,
        range_scale_nm=None if ship is None else ship.radar_range_scale_nm,
    )


def _chosen(route: Route, helm: Helm) -> tuple[str, ...]:
    """Return the cues that the navigator chose for a turn."""
    wishes = route.waypoints[helm.turn.waypoint_index].turn
    return () if wishes is None else wishes.cue_ids


def _picked(
    helm: Helm, rows: tuple[Cue, ...], wanted: tuple[str, ...], swept: SweptTurn | None
) -> TurnCues:
    """Return the cues of a turn with the first and the second: those chosen, else the best."""
    asked = [_row(rows, one) for one in wanted]
    first = asked[0] if asked else None
    second = asked[1] if len(asked) > 1 else None
    twice = second is not None and second == first
    if twice:
        second = None
    chosen = (first is not None, second is not None)
    if not asked:
        first = next((n for n, one in enumerate(rows) if one.seen != "no"), None)
    if (len(asked) < 2 or twice) and first is not None:
        second = second_of(rows, first)
    return TurnCues(
        turn_index=helm.turn.index,
        rows=tuple(
            replace(one, set_to=cue_set(one, helm, swept)) if number in (first, second) else one
            for number, one in enumerate(rows)
        ),
        first=first,
        second=second,
        chosen=chosen,
        unknown_ids=tuple(one for one, row in zip(wanted, asked, strict=True) if row is None),
        chosen_twice=wanted[1] if twice else None,
        at_s=helm.at_s,
        distance_set=distance_set(helm, swept),
    )


def _row(rows: tuple[Cue, ...], cue_id: str) -> int | None:
    """Return the number of the best row that an id names, None for none."""
    return next((number for number, one in enumerate(rows) if names(one, cue_id)), None)
