"""The dangers that matter to a leg or a turn as JSON values, with where and when they are abeam."""

from collections.abc import Mapping, Sequence
from typing import Any

from wheelover.core.margins import class_at
from wheelover.core.types.chart import Chart
from wheelover.core.types.clearance import Piece, PieceNear
from wheelover.core.types.times import PieceTime
from wheelover.core.units import nm_from_m
from wheelover.render.rounding import METRES, MILES, SECONDS, position, rounded

Document = dict[str, Any]

NO_DEPARTURE = "no time of departure is given"
_NOT_ABEAM = "the danger is not abeam on this piece of the track: it ends before"


def near_by_piece(
    near: Sequence[PieceNear], chart: Chart, times: Mapping[Piece, PieceTime]
) -> dict[Piece, list[Document]]:
    """Return what matters to each piece of the track, least margin first."""
    found: dict[Piece, list[Document]] = {}
    for one in near:
        found.setdefault(one.piece, []).append(_near(one, chart, times.get(one.piece)))
    return found


def _near(one: PieceNear, chart: Chart, time: PieceTime | None) -> Document:
    """Return one danger at the nearest place of a piece."""
    hazards, index = chart.hazards, one.hazard_index
    margin_m = None if one.limit_m is None else one.clearance_m - one.limit_m
    return {
        "hazard_id": hazards.ids[index],
        "hazard_name": hazards.names[index],
        "danger_class": class_at(hazards, index),
        "distance_m": rounded(one.distance_m, METRES),
        "clearance_m": rounded(one.clearance_m, METRES),
        "side": one.side,
        "nearest": position(one.nearest),
        "hazard_point": position(one.hazard_point),
        "limit_m": rounded(one.limit_m, METRES),
        "limit_source": one.limit_source,
        "margin_m": rounded(margin_m, METRES),
        "met": one.met,
        "on_track": one.clearance_m <= 0.0,
        "rule": None if one.rule is None else one.rule.id,
        "rule_missed": one.rule_missed,
        "abeam": _abeam(one, time),
        "abeam_reason": None if one.abeam else _NOT_ABEAM,
    }


def _abeam(one: PieceNear, time: PieceTime | None) -> Document | None:
    """Return where and when the danger is abeam; the clock is put in where a departure is known."""
    if not one.abeam:
        return None
    after_s = None if time is None else time.at_s(one.along_m)
    reason = NO_DEPARTURE if after_s is not None else (None if time is None else time.reason)
    return {
        "position": position(one.nearest),
        "side": one.side,
        "distance_m": rounded(one.distance_m, METRES),
        "along_nm": rounded(nm_from_m(one.along_m), MILES),
        "after_s": rounded(after_s, SECONDS),
        "at_utc": None,
        "time_reason": reason,
        "time_note": None if time is None or after_s is None else time.note,
    }
