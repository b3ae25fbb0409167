"""Clearance over the mast under bridges and cables: a sum of its own, worst the other way.

The lightest draught, the highest tide of the time and the swell count; squat and heel, which would
lower the mast, are never credited.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from wheelover.core.depth.case import Height, Passage, height_of, span_of, tides_on
from wheelover.core.depth.cautious import down_m, up_m
from wheelover.core.depth.draughts import Afloat, afloat_on_legs
from wheelover.core.depth.levels import level_words
from wheelover.core.depth.policy import Policy, mast_policies, strictest
from wheelover.core.depth.ship_data import wave_allowance
from wheelover.core.depth.terms import WORDS
from wheelover.core.types.clearance import Piece
from wheelover.core.types.depth import ObjectOver, OverheadSum, Term, TermName, TermSource
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg


def overhead_sums(passage: Passage, objects: Iterable[ObjectOver]) -> tuple[OverheadSum, ...]:
    """Return the sum of clearance over the mast for each object passed beneath.

    Parameters
    ----------
    passage : Passage
        The track with the ship, conditions and limits.
    objects : iterable of ObjectOver
        What each leg and turn passes beneath.
    """
    objects = _of_one_level(objects)
    if not objects:
        return ()
    afloat = afloat_on_legs(
        passage.ship, passage.route, passage.legs, passage.conditions.water_density_kg_per_m3
    )
    beside = _legs_beside(passage)
    return tuple(_sum(passage, one, beside[one.piece], afloat) for one in objects)


def _of_one_level(objects: Iterable[ObjectOver]) -> tuple[ObjectOver, ...]:
    """Return objects of which those that count from several levels have no height of the plan.

    One height is given for the plan: it cannot be that of two levels.
    """
    objects = tuple(objects)
    named = {
        level_words(one.datum)
        for one in objects
        if one.datum is not None and one.datum_m is None and one.level_of_plan
    }
    if len(named) <= 1:
        return objects
    return tuple(replace(one, level_of_plan=False) for one in objects)


def _legs_beside(passage: Passage) -> Mapping[Piece, tuple[PlannedLeg, ...]]:
    """Return the leg that a piece is, or the legs beside a turn."""
    found: dict[Piece, tuple[PlannedLeg, ...]] = {
        Piece(kind="leg", index=leg.index): (leg,) for leg in passage.legs
    }
    by_start = {leg.from_index: leg for leg in passage.legs}
    for turn in passage.turns:
        ends = (by_start.get(turn.waypoint_index - 1), by_start.get(turn.waypoint_index))
        found[Piece(kind="turn", index=turn.index)] = tuple(one for one in ends if one is not None)
    return found


def _sum(
    passage: Passage,
    over: ObjectOver,
    legs: tuple[PlannedLeg, ...],
    afloat: tuple[Afloat, ...],
) -> OverheadSum:
    """Return the sum under one object."""
    tides = tides_on(passage.conditions, passage.route, legs)
    span = span_of(passage, over.piece, tides)
    terms = (
        _height(over),
        _datum(over, passage.conditions.height_datum_m),
        _tide(height_of(passage, over.piece, tides, span)),
        *_mast(passage.ship, [afloat[leg.index] for leg in legs]),
        _waves(passage),
        *_electrical(over, passage.limits.electrical_distance_m),
    )
    left_out = tuple(
        f"{WORDS[one.name]} not known ({one.reason})" for one in terms if one.value_m is None
    )
    known_m = [one.value_m for one in terms if one.value_m is not None]
    clearance_m = None if left_out else round(sum(known_m), 2)
    policies = [one for leg in legs for one in mast_policies(leg, passage.limits)]
    policy = strictest(policies, 0.0)
    required_m = policy.metres_m
    least_m = clearance_m if clearance_m is not None else _without_what_takes_off_m(terms)
    own, missed = _missed(policies, least_m)
    return OverheadSum(
        piece=over.piece,
        hazard_id=over.hazard_id,
        hazard_name=over.hazard_name,
        terms=terms,
        clearance_m=clearance_m,
        required_m=required_m,
        required_by=None if required_m is None else f"{policy.rule}: {required_m:g} m",
        missed_rules=missed,
        own_missed=own,
        met=_met(least_m, required_m, whole=clearance_m is not None),
        passing=span,
        left_out=left_out,
    )


def _without_what_takes_off_m(terms: tuple[Term, ...]) -> float | None:
    """Return a clearance without swell and electrical distance where only these are not known.

    They only take off: too little without them is too little with them.
    """
    if any(one.value_m is None and one.name not in ("waves", "electrical") for one in terms):
        return None
    return round(sum(one.value_m for one in terms if one.value_m is not None), 2)


def _met(least_m: float | None, required_m: float | None, *, whole: bool) -> bool | None:
    """Return whether the clearance required is there, None where that is not known."""
    if least_m is None:
        return None
    if least_m <= 0.0 or (required_m is not None and least_m < required_m):
        return False
    return True if whole and required_m is not None else None


def _missed(policies: Sequence[Policy], least_m: float | None) -> tuple[bool, tuple[str, ...]]:
    """Return whether the plan's own rule is missed, and which rules of the limit set are."""
    missed = [
        one
        for one in policies
        if least_m is not None and one.metres_m is not None and least_m < one.metres_m
    ]
    of_set = dict.fromkeys(f"{one.water}/min_overhead_m" for one in missed if one.water)
    return any(one.water is None for one in missed), tuple(of_set)


def _term(name: TermName, value_m: float | None, source: TermSource, reason: str) -> Term:
    """Return a term as it is added."""
    return Term(name=name, value_m=value_m, source=source, reason=reason)


def _height(over: ObjectOver) -> Term:
    """Return the clearance under an object as it is given."""
    if over.height_m is None:
        return _term("clearance_height", None, over.source, "the object does not say it")
    return _term("clearance_height", float(down_m(over.height_m)), over.source, over.what)


def _datum(over: ObjectOver, height_datum_m: float | None) -> Term:
    """Return how far above chart datum the level lies that the clearance counts from."""
    level = over.datum or "a level that is not named"
    if over.datum_m is not None:
        reason = f"{level}, above chart datum"
        return _term("datum", float(down_m(over.datum_m)), over.source, reason)
    if over.level_of_plan and height_datum_m is not None:
        reason = f"{level}, above chart datum, as given for the plan"
        return _term("datum", float(down_m(height_datum_m)), "you", reason)
    reason = (
        f"the clearance counts from {level}, and how far that is above chart datum is not given"
    )
    return _term("datum", None, "default", reason)


def _tide(height: Height) -> Term:
    """Return the highest tide while she passes: without one given it is not known."""
    value_m = None if height.greatest_m is None else -float(up_m(height.greatest_m))
    return _term("tide", value_m, height.source, height.reason)


def _mast(ship: ShipProfile, afloat: Sequence[Afloat]) -> tuple[Term, Term]:
    """Return her height above the water, and by how much it grows as she lies lighter.

    A mast stands between her ends: it rises by no more than the end that rises most. Of what the
    density does only that counts to her good which displacement and TPC say.
    """
    if ship.air_draught_m is None:
        reason = f"not given for {ship.name}"
        known = _term("air_draught", None, "ship", reason)
    else:
        reason = f"{ship.name}, at the draughts given for her"
        known = _term("air_draught", -float(up_m(ship.air_draught_m)), "ship", reason)
    rises_m = [
        max(ship.draught_fore_m - one.fore_m, ship.draught_aft_m - one.aft_m) - one.lowers_m
        for one in afloat
    ]
    lightest = max(range(len(afloat)), key=lambda index: rises_m[index])
    # A deeper draught lowers the mast: that it was really loaded is not for the mast to hang on.
    rise_m = max(rises_m[lightest], 0.0)
    words = f"lightest draught: {afloat[lightest].reason}"
    rise = _term("draught_rise", -float(up_m(rise_m)), afloat[lightest].source, words)
    return known, rise


def _waves(passage: Passage) -> Term:
    """Return how far sea and swell may lift her."""
    found = wave_allowance(passage.conditions)
    value_m = None if found.value_m is None else -float(up_m(found.value_m))
    return _term("waves", value_m, found.source, found.reason)


def _electrical(over: ObjectOver, distance_m: float | None) -> tuple[Term, ...]:
    """Return the electrical distance kept under a cable, nothing under anything else."""
    if not over.is_cable:
        return ()
    if over.electrical_off:
        reason = "the clearance given has it taken off already"
        return (_term("electrical", 0.0, over.source, reason),)
    if distance_m is None:
        return (_term("electrical", None, "default", "no limit gives it"),)
    return (_term("electrical", -float(up_m(distance_m)), "you", "limits of the plan"),)
