"""Tide gates: where along a passage the height of tide decides, and whether it is there in time."""

from collections.abc import Sequence
from dataclasses import replace

from wheelover.core.depth.case import Passage, height_of, span_of, tides_on
from wheelover.core.depth.cautious import down_m, up_m
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.clearance import Piece
from wheelover.core.types.departures import GateThen, TideGate
from wheelover.core.types.depth import Depths, DepthSum, OverheadSum
from wheelover.core.types.route import Route
from wheelover.core.types.tide import Tide
from wheelover.core.types.track import PlannedLeg, PlannedTurn

SAME_KN = 1e-3
OTHER_SPEED = "she goes there at another speed than planned: compute the plan for that departure"
_TIDE = "height of tide"


def gates_of(
    route: Route,
    conditions: Conditions,
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    depths: Depths,
) -> tuple[TideGate, ...]:
    """Return the gates of a plan, from its sums of water under the keel and over the mast.

    Parameters
    ----------
    route, conditions
        As for the plan; only where a table of tides counts is there a gate.
    legs, turns : sequences of PlannedLeg and PlannedTurn
        The planned track.
    depths : Depths
        The sums.
    """
    if not conditions.tides:
        return ()
    tides = _tides(route, conditions, legs, turns)
    keel = [
        _keel(one, tides[one.piece])
        for one in depths.sums
        if one.piece in tides and one.required_ukc_m is not None
    ]
    mast = [
        _mast(one, tides[one.piece])
        for one in depths.overheads
        if one.piece in tides and one.required_m is not None
    ]
    return (*keel, *mast)


def _tides(
    route: Route,
    conditions: Conditions,
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
) -> dict[Piece, tuple[Tide | None, ...]]:
    """Return the tables of tides that count on each piece, where any does."""
    found = {
        Piece(kind="leg", index=leg.index): tides_on(conditions, route, (leg,)) for leg in legs
    }
    by_start = {leg.from_index: leg for leg in legs}
    for turn in turns:
        beside = (by_start.get(turn.waypoint_index - 1), by_start.get(turn.waypoint_index))
        joined = tuple(one for one in beside if one is not None)
        found[Piece(kind="turn", index=turn.index)] = tides_on(conditions, route, joined)
    return {piece: tides for piece, tides in found.items() if any(one is not None for one in tides)}


def _others(left_out: Sequence[str]) -> str | None:
    """Return what beside the tide is not known."""
    return "; ".join(one for one in left_out if not one.startswith(_TIDE)) or None


def _keel(one: DepthSum, tides: tuple[Tide | None, ...]) -> TideGate:
    """Return the gate of a sum under the keel."""
    reason = _others(one.left_out)
    if one.tide_needed_m is None:
        reason = reason or "what tide is needed is not known"
    return TideGate(
        piece=one.piece,
        kind="keel",
        tides=tides,
        limit_m=one.tide_needed_m,
        speed_kn=one.speed_kn,
        reason=reason,
    )


def _mast(one: OverheadSum, tides: tuple[Tide | None, ...]) -> TideGate:
    """Return the gate of a clearance over the mast: the tide takes off, all else stays."""
    rest = [term for term in one.terms if term.name != "tide"]
    limit_m = None
    if all(term.value_m is not None for term in rest) and one.required_m is not None:
        limit_m = round(sum(term.value_m or 0.0 for term in rest) - one.required_m, 2)
    return TideGate(
        piece=one.piece,
        kind="mast",
        tides=tides,
        limit_m=limit_m,
        speed_kn=None,
        hazard_id=one.hazard_id,
        hazard_name=one.hazard_name,
        reason=_others(one.left_out),
    )


def gate_then(gate: TideGate, passage: Passage, speed_kn: float | None) -> GateThen:
    """Return what comes of a gate on a passage with its times.

    Parameters
    ----------
    gate : TideGate
        The gate.
    passage : Passage
        The passage as the sums of water look at it, with its departure and when she passes.
    speed_kn : float or None
        Her speed through the water there.
    """
    span = span_of(passage, gate.piece, gate.tides)
    height = height_of(passage, gate.piece, gate.tides, span)
    keel = gate.kind == "keel"
    found_m = height.least_m if keel else height.greatest_m
    plain = GateThen(
        gate=gate,
        outcome="not_known",
        from_s=None if span is None else span.from_s,
        to_s=None if span is None else span.to_s,
        height_m=None if found_m is None else float(down_m(found_m) if keel else up_m(found_m)),
    )
    if plain.height_m is None:
        return replace(plain, reason=height.reason)
    if gate.speed_kn is not None and (speed_kn is None or abs(speed_kn - gate.speed_kn) > SAME_KN):
        return replace(plain, reason=OTHER_SPEED)
    if gate.limit_m is None:
        return replace(plain, reason=gate.reason)
    enough = plain.height_m >= gate.limit_m if keel else plain.height_m <= gate.limit_m
    if enough and gate.reason is not None:
        return replace(plain, reason=gate.reason)
    return replace(plain, outcome="holds" if enough else "fails")
