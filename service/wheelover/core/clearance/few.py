"""The dangers that matter most to each piece of the track, and where she has them abeam."""

import numpy as np

from wheelover.core.arrays import Bools, Ints
from wheelover.core.clearance.limits import Judged
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.clearance.passing import Passing
from wheelover.core.legs import positions
from wheelover.core.types.clearance import LIMIT_SOURCES, SIDES, PieceNear
from wheelover.core.types.limits import Rule
from wheelover.core.types.when_asked import Places

_END_M = 1e-3


def few_near(
    track: TrackLines, judged: Judged, rows: Ints, places: Places, rules: tuple[Rule, ...]
) -> tuple[PieceNear, ...]:
    """Return what is told of the dangers that matter most.

    Parameters
    ----------
    track : TrackLines
        The track.
    judged : Judged
        What passes it.
    rows : ndarray, shape (n,)
        The rows that are told.
    places : Places
        Where they are nearest on the track.
    rules : tuple of Rule
        The rules that ``judged`` numbers.
    """
    passing = judged.passing.rows(rows)
    abeam = _has_abeam(track, passing)
    columns = zip(
        passing.piece.tolist(), passing.hazard.tolist(), passing.distance_m.tolist(),
        judged.clearance_m[rows].tolist(), judged.limit_m[rows].tolist(),
        judged.limit_source[rows].tolist(), judged.infringed[rows].tolist(),
        judged.rule[rows].tolist(), judged.rule_missed[rows].tolist(), passing.side.tolist(),
        positions(places.lat_deg, places.lon_deg),
        positions(passing.danger_lat_deg, passing.danger_lon_deg), passing.along_m.tolist(),
        abeam.tolist(), strict=True,
    )  # fmt: skip
    return tuple(
        PieceNear(
            piece=track.pieces[piece].piece,
            hazard_index=hazard,
            distance_m=distance_m,
            clearance_m=clearance_m,
            limit_m=limit_m if source >= 0 else None,
            limit_source=LIMIT_SOURCES[source] if source >= 0 else None,
            met=not infringed if source >= 0 else None,
            rule=rules[rule] if rule >= 0 else None,
            rule_missed=rule_missed,
            side=SIDES[side],
            nearest=nearest,
            hazard_point=hazard_point,
            along_m=along_m,
            abeam=is_abeam,
        )
        for piece, hazard, distance_m, clearance_m, limit_m, source, infringed, rule, rule_missed,
        side, nearest, hazard_point, along_m, is_abeam in columns
    )  # fmt: skip


def _has_abeam(track: TrackLines, passing: Passing) -> Bools:
    """Return whether the nearest place is one where the danger is abeam.

    It is wherever it lies between the ends of the piece, for there the way to the danger is square
    to the track; and what is crossed is abeam where it is met.
    """
    from_m = np.zeros(len(track.pieces))
    to_m = np.zeros(len(track.pieces))
    from_m[track.leg_piece] = track.ends.from_m[track.leg_piece]
    to_m[track.leg_piece] = track.ends.to_m[track.leg_piece]
    to_m[track.arc_piece] = np.radians(np.abs(track.arcs.sweep_deg)) * track.arcs.radius_m
    within = (passing.along_m > from_m[passing.piece] + _END_M) & (
        passing.along_m < to_m[passing.piece] - _END_M
    )
    return np.asarray(within | (passing.side == SIDES.index("crossed")))
