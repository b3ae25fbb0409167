"""Action points, what cells offer, and where the plan can be given up: JSON values and features."""

import math
from collections.abc import Iterator
from typing import Any

from wheelover.core.types.monitoring import (
    BendRoom,
    FoundPoint,
    LegAbort,
    OnTrack,
    PlacedPoint,
    Stop,
    TurnRound,
)
from wheelover.core.types.plan import Plan
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import nm_from_m
from wheelover.render.lines import feature, point
from wheelover.render.rounding import METRES, MILES, OTHER, SECONDS, position, rounded

Document = dict[str, Any]

ABORT_RULE = (
    "The point of no return is the last place looked at before the room to turn round, inside the "
    "loaded dangers and what is asked of them, first ends on the leg or in the turn behind it. The "
    "abort point lies the stopping run before it: ordered full astern there she stops where "
    "she can still turn round."
)


def point_rows(plan: Plan) -> list[Document]:
    """Return the action points where they stand, as they were given."""
    return [_point(one) for one in plan.bridge.points]


def found_rows(plan: Plan) -> list[Document]:
    """Return what the cells chart near the track."""
    return [_found(one) for one in plan.bridge.found]


def abort_rows(plan: Plan) -> dict[int, Document]:
    """Return where the plan can be given up, by the index of the leg."""
    return {one.leg_index: _abort(one, plan.legs[one.leg_index]) for one in plan.bridge.aborts}


def point_features(plan: Plan) -> Iterator[Document]:
    """Yield action points, the computed ones beside the user's, and what cells offer."""
    for one in plan.bridge.points:
        if one.position is not None:
            yield feature(
                "point", point(one.position), id=one.point.id, kind=one.point.kind, source="you",
                text=one.point.text, channel=one.point.channel,
                leg_to_id=None if one.place is None else one.place.leg_to_id,
            )  # fmt: skip
    for found in plan.bridge.found:
        yield feature(
            "point", point(found.position), kind=found.kind, source="cell",
            id=f"{found.object_class}/{found.object_id}", text=found.name,
            channel=found.channel, leg_to_id=found.place.leg_to_id,
        )  # fmt: skip
    for abort in plan.bridge.aborts:
        leg_to_id = plan.legs[abort.leg_index].to_id
        for kind, place in (("abort", abort.abort), ("no_return", abort.no_return)):
            if place is not None:
                yield feature(
                    "point", point(place.position), id=f"{kind}/{leg_to_id}", kind=kind,
                    source="computed", text=None, channel=None, leg_to_id=leg_to_id,
                )  # fmt: skip


def place_row(place: OnTrack | None) -> Document | None:
    """Return a place of the track."""
    if place is None:
        return None
    return {
        "leg_to_id": place.leg_to_id,
        "before_nm": rounded(nm_from_m(place.before_m), MILES),
        "track_nm": rounded(None if place.track_m is None else nm_from_m(place.track_m), MILES),
        "position": position(place.position),
        "at_s": rounded(place.at_s, SECONDS),
        "at_utc": None,
    }


def _side(off_m: float | None) -> str | None:
    """Return the side that a place lies to."""
    return None if off_m is None else ("starboard" if off_m >= 0.0 else "port")


def _point(one: PlacedPoint) -> Document:
    """Return one action point."""
    off_m = one.off_track_m
    return {
        "id": one.point.id,
        "kind": one.point.kind,
        "text": one.point.text,
        "channel": one.point.channel,
        "position": position(one.position),
        "place": place_row(one.place),
        "off_track_nm": rounded(None if off_m is None else nm_from_m(abs(off_m)), MILES),
        "off_track_side": _side(off_m),
        "notice_min": rounded(one.point.notice_min, OTHER),
        "notice_at_s": rounded(one.notice_at_s, SECONDS),
        "notice_at_utc": None,
        "notice": place_row(one.notice),
        "reason": one.reason,
        "time_reason": one.time_reason,
    }


def _found(one: FoundPoint) -> Document:
    """Return one place that a cell charts."""
    return {
        "kind": one.kind,
        "object_class": one.object_class,
        "object_id": one.object_id,
        "cell": one.cell,
        "name": one.name,
        "channel": one.channel,
        "position": position(one.position),
        "place": place_row(one.place),
        "off_track_nm": rounded(nm_from_m(abs(one.off_track_m)), MILES),
        "off_track_side": _side(one.off_track_m),
    }


def _abort(one: LegAbort, leg: PlannedLeg) -> Document:
    """Return where the plan can be given up on one leg."""
    return {
        "stop": None if one.stop is None else _stop(one.stop),
        "turns": [_turn(turn) for turn in one.turns],
        "room": [
            {
                "from_before_nm": rounded(nm_from_m(leg.length_m - room.from_m), MILES),
                "to_before_nm": rounded(nm_from_m(leg.length_m - room.to_m), MILES),
                "side": room.side,
            }
            for room in one.room
        ],
        "bends": [_bend(bend) for bend in one.bends],
        "looked": one.looked_to_m is not None,
        "step_m": rounded(one.step_m, METRES),
        "no_return": place_row(one.no_return),
        "abort": place_row(one.abort),
        "reasons": list(one.reasons),
        "notes": list(one.notes),
        "rule": ABORT_RULE,
    }


def _bend(bend: BendRoom) -> Document:
    """Return the room along the arc of a turn."""
    return {
        "waypoint_id": bend.waypoint_id,
        "side": bend.side,
        "arc_m": rounded(bend.arc_m, METRES),
        "whole": bend.whole,
        "room": [
            {"from_m": rounded(one.from_m, METRES), "to_m": rounded(one.to_m, METRES)}
            for one in bend.room
        ],
    }


def _stop(stop: Stop) -> Document:
    """Return a stopping run in whole metres, rounded up."""
    return {
        "speed_kn": rounded(stop.speed_kn, OTHER),
        "run_m": float(math.ceil(stop.run_m - 1e-6)),
        "time_s": rounded(stop.time_s, SECONDS),
        "trial_speed_kn": rounded(stop.trial_speed_kn, OTHER),
        "trial_run_m": rounded(stop.trial_run_m, METRES),
        "engine_order": stop.engine_order,
        "extrapolated": stop.extrapolated,
        "source": stop.source,
        "working": list(stop.working),
        "notes": list(stop.notes),
    }


def _turn(turn: TurnRound) -> Document:
    """Return the water she needs to turn round."""
    return {
        "side": turn.side,
        "ahead_m": rounded(turn.ahead_m, METRES),
        "aside_m": rounded(turn.aside_m, METRES),
        "source": turn.source,
        "notes": list(turn.notes),
    }
