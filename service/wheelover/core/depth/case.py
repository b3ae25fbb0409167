"""What is known of one piece of track before its sum is made: depth, tide, draughts, the rest."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from wheelover.core.depth.draughts import Afloat, afloat_on_legs, deeper
from wheelover.core.depth.policy import Policy, keel_policies
from wheelover.core.depth.under import SAID_BETWEEN, wishes_for
from wheelover.core.schedule.tide import extremes
from wheelover.core.turns.compare import simulated_row
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.clearance import Piece
from wheelover.core.types.depth import DepthUnder, Span, TermSource
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.tide import Tide
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import m_per_s_from_kn
from wheelover.core.utc import utc_from_seconds

_RAD_PER_DEG = 0.017453292519943295
_MINUTE_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """From when to when after the departure she is on a piece of the track.

    Both are None where it cannot be said, and ``reason`` says why.
    """

    from_s: float | None = None
    to_s: float | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """The least height of tide while she passes, or None with the reason why it is not known."""

    least_m: float | None
    greatest_m: float | None
    source: TermSource
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One piece of track with everything that its sum needs."""

    piece: Piece
    under: DepthUnder
    afloat: Afloat
    speed_kn: float | None
    width_m: float | None
    policies: tuple[Policy, ...]
    tides: tuple[Tide | None, ...]
    height: Height
    passing: Span | None
    radius_m: float | None = None
    radius_reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A planned track with the ship, conditions and limits, as sums look at it."""

    route: Route
    ship: ShipProfile
    conditions: Conditions
    legs: Sequence[PlannedLeg]
    turns: Sequence[PlannedTurn]
    passings: dict[Piece, Passing]
    limits: Limits


def cases_of(passage: Passage, under: Mapping[Piece, DepthUnder]) -> tuple[Case, ...]:
    """Return a case for each leg and turn of which a depth is known, in sailing order.

    Parameters
    ----------
    passage : Passage
        The track with the ship and conditions.
    under : mapping of Piece to DepthUnder
        The least depth charted under each.
    """
    afloat = afloat_on_legs(
        passage.ship, passage.route, passage.legs, passage.conditions.water_density_kg_per_m3
    )
    by_start = {leg.from_index: leg for leg in passage.legs}
    at = {turn.waypoint_index: turn for turn in passage.turns}
    found = []
    for leg in passage.legs:
        piece = Piece(kind="leg", index=leg.index)
        if piece in under and under[piece].depth_m is not None:
            there = _with_loading_at_end(passage, leg, under[piece], afloat[leg.index])
            found.append(_on_leg(passage, leg, there, afloat[leg.index]))
        turn, after = at.get(leg.from_index + 1), by_start.get(leg.from_index + 1)
        if turn is None or after is None:
            continue
        piece = Piece(kind="turn", index=turn.index)
        if piece in under and under[piece].depth_m is not None:
            states = deeper(afloat[leg.index], afloat[after.index])
            found.append(_in_turn(passage, turn, (leg, after), under[piece], states))
    return tuple(found)


def _with_loading_at_end(
    passage: Passage, leg: PlannedLeg, under: DepthUnder, afloat: Afloat
) -> DepthUnder:
    """Return the depth under a leg; where she loads at the end of the route it says so.

    No leg follows on which she lies so deep, and the least depth of this one need not be there.
    """
    last = len(passage.route.waypoints) - 1
    if leg.from_index + 1 != last:
        return under
    (there,) = afloat_on_legs(
        passage.ship,
        passage.route,
        (replace(leg, from_index=last),),
        passage.conditions.water_density_kg_per_m3,
    )
    if deeper(afloat, there) is afloat:
        return under
    said = f"how deep she lies from {leg.to_id} on, where the route ends, is held against no depth"
    return replace(under, reason=SAID_BETWEEN.join(one for one in (under.reason, said) if one))


def _on_leg(passage: Passage, leg: PlannedLeg, under: DepthUnder, afloat: Afloat) -> Case:
    """Return the case of a leg."""
    tides = tides_on(passage.conditions, passage.route, (leg,))
    span = span_of(passage, under.piece, tides)
    return Case(
        piece=under.piece,
        under=under,
        afloat=afloat,
        speed_kn=leg.speed_kn,
        width_m=wishes_for(passage.route, leg).channel_width_m,
        policies=keel_policies(leg, passage.limits),
        tides=tides,
        height=height_of(passage, under.piece, tides, span),
        passing=span,
    )


def _in_turn(
    passage: Passage,
    turn: PlannedTurn,
    legs: tuple[PlannedLeg, PlannedLeg],
    under: DepthUnder,
    afloat: Afloat,
) -> Case:
    """Return the case of a turn: the stricter rule and the narrower channel of the legs beside it.

    Where their tables of tides differ both count, the lower height of them under the keel. She
    comes into it with the speed of the leg before; what she loses in the turn is not credited.
    """
    tides = tides_on(passage.conditions, passage.route, legs)
    span = span_of(passage, under.piece, tides)
    widths_m = [wishes_for(passage.route, leg).channel_width_m for leg in legs]
    radius_m, reason = _radius(turn)
    return Case(
        piece=under.piece,
        under=under,
        afloat=afloat,
        speed_kn=turn.approach_speed_kn,
        width_m=min((one for one in widths_m if one is not None), default=None),
        policies=tuple(one for leg in legs for one in keel_policies(leg, passage.limits)),
        tides=tides,
        height=height_of(passage, under.piece, tides, span),
        passing=span,
        radius_m=radius_m,
        radius_reason=reason,
    )


def _radius(turn: PlannedTurn) -> tuple[float | None, str]:
    """Return the tightest radius of a turn, as planned and as simulated, and where it is from."""
    planned_m = turn.arc.radius_m if turn.arc is not None else turn.radius_m
    run = simulated_row(turn.wheel_overs)
    if run is None or run.manoeuvre is None or turn.approach_speed_kn is None:
        return planned_m, "the planned radius"
    most = abs(run.manoeuvre.rate_max_deg_per_min) * _RAD_PER_DEG / _MINUTE_S
    if most == 0.0:
        return planned_m, "the planned radius"
    tightest_m = m_per_s_from_kn(turn.approach_speed_kn) / most
    if planned_m is not None and planned_m <= tightest_m:
        return planned_m, "the planned radius"
    return tightest_m, "the greatest rate of the simulated turn at the speed she comes with"


def tides_on(
    conditions: Conditions, route: Route, legs: Sequence[PlannedLeg]
) -> tuple[Tide | None, ...]:
    """Return the tables of tides that count on legs: each once, None for a leg without any.

    Parameters
    ----------
    conditions : Conditions
        With the tables, of which the first that covers a leg counts there.
    route : Route
        Says which waypoint comes when.
    legs : sequence of PlannedLeg
        The leg, or both legs of a turn.
    """
    return tuple(dict.fromkeys(_tide_on(conditions, route, leg) for leg in legs))


def _tide_on(conditions: Conditions, route: Route, leg: PlannedLeg) -> Tide | None:
    """Return the first table of tides that covers a leg, None where none does."""
    if not conditions.tides:
        return None
    named = {tide.from_id for tide in conditions.tides} | {one.to_id for one in conditions.tides}
    place = (
        {
            waypoint.id: index
            for index, waypoint in enumerate(route.waypoints)
            if waypoint.id in named
        }
        if named != {None}
        else {}
    )
    for tide in conditions.tides:
        first = 0 if tide.from_id is None else place.get(tide.from_id, len(route.waypoints))
        last = len(route.waypoints) if tide.to_id is None else place.get(tide.to_id, -1)
        if first <= leg.from_index and leg.from_index + 1 <= last:
            return tide
    return None


def span_of(passage: Passage, piece: Piece, tides: Sequence[Tide | None]) -> Span | None:
    """Return from when to when she may be on a piece, None where it is not known.

    Parameters
    ----------
    passage : Passage
        The passage, with its departure.
    piece : Piece
        A leg or turn.
    tides : sequence of Tide or None
        Its tables say how much earlier or later she may pass; the most counts.
    """
    passing = passage.passings.get(piece)
    departure_s = passage.conditions.departure_s
    if departure_s is None or passing is None or passing.from_s is None or passing.to_s is None:
        return None
    margin_s = max((one.margin_s for one in tides if one is not None), default=0.0)
    return Span(
        from_s=departure_s + passing.from_s - margin_s, to_s=departure_s + passing.to_s + margin_s
    )


def height_of(
    passage: Passage, piece: Piece, tides: Sequence[Tide | None], span: Span | None
) -> Height:
    """Return the least and greatest height of tide while she is on a piece.

    Where several tables count, as in a turn between two of them, it is the least and the greatest
    of all; where one does not say it, neither is known.

    Parameters
    ----------
    passage : Passage
        The passage.
    piece : Piece
        A leg or turn.
    tides : sequence of Tide or None
        The tables that count there; for None the height that the plan gives.
    span : Span or None
        When she is there.
    """
    return _together([_height_of(passage, piece, one, span) for one in tides or (None,)])


def _together(heights: Sequence[Height]) -> Height:
    """Return the least and the greatest of several heights, unknown where one of them is."""
    if len(heights) == 1:
        return heights[0]
    least_m = [one.least_m for one in heights if one.least_m is not None]
    greatest_m = [one.greatest_m for one in heights if one.greatest_m is not None]
    sources = [one.source for one in heights]
    return Height(
        least_m=min(least_m) if len(least_m) == len(heights) else None,
        greatest_m=max(greatest_m) if len(greatest_m) == len(heights) else None,
        source="default" if "default" in sources else sources[0],
        reason="; ".join(dict.fromkeys(one.reason for one in heights)),
    )


def _height_of(passage: Passage, piece: Piece, tide: Tide | None, span: Span | None) -> Height:
    """Return the least and greatest height of one table."""
    if tide is None:
        given_m = passage.conditions.tide_m
        if given_m is not None:
            return Height(least_m=given_m, greatest_m=given_m, source="you", reason="as given")
        reason = "no tide is given: the water stands at chart datum"
        return Height(least_m=0.0, greatest_m=None, source="default", reason=reason)
    if span is None:
        passing = passage.passings.get(piece)
        reason = passing.reason if passing is not None and passing.reason else "no departure_utc"
        reason = f"when she passes is not known: {reason}"
        return Height(least_m=None, greatest_m=None, source="you", reason=reason)
    found = extremes(tide, span.from_s, span.to_s)
    when = f"{utc_from_seconds(span.from_s)} to {utc_from_seconds(span.to_s)}"
    if found is None:
        reason = f"the table of {tide.station} does not cover {when}, when she passes"
        return Height(least_m=None, greatest_m=None, source="you", reason=reason)
    return Height(
        least_m=found.least_m,
        greatest_m=found.greatest_m,
        source="you",
        reason=f"{tide.station}, {when}, {_how(tide)}",
    )


def _how(tide: Tide) -> str:
    """Return how heights of tide are found."""
    if tide.harmonics is not None:
        count = len(tide.harmonics.constituents)
        return f"from {count} harmonic constituent{'' if count == 1 else 's'}, without weather"
    how = "half a cosine" if tide.between == "cosine" else "a straight line"
    return f"between given heights along {how}"
