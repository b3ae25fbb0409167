"""What each piece of the track asks of each class of danger: legs, limit set and plan together.

Whose limit counts: the danger's own, else the leg's (for the class, then in general), else the
larger of what the limit set asks in the leg's kind of water (for the class, then in general) and of
the plan's. What the set asks is kept beside it: a rule is missed also where a danger or a leg asks
for less.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from weakref import WeakKeyDictionary

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import LIMIT_SOURCES
from wheelover.core.types.dangers import (
    DANGER_CLASSES,
    WATER_KINDS,
    DangerClass,
    WaterKind,
    danger_class_of,
)
from wheelover.core.types.limits import (
    RULE_MEMBERS,
    LegAsked,
    LimitSet,
    Rule,
    RuleMember,
    WaterLimits,
)

_LEG, _PLAN, _SET = (LIMIT_SOURCES.index(one) for one in ("leg", "plan", "set"))
_NONE = -1
_KEPT = 256

_EVERY_CLASS: tuple[DangerClass | None, ...] = (*DANGER_CLASSES, None)
_NUMBERS = {one: number for number, one in enumerate(_EVERY_CLASS)}

_CLASSES: WeakKeyDictionary[Hazards, Ints] = WeakKeyDictionary()
_OWN_LIMITS: WeakKeyDictionary[Hazards, dict[int, tuple[Bools, Floats]]] = WeakKeyDictionary()


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """What p pieces of a track ask of dangers without a limit of their own, shape (p, k).

    The columns are those of the classes of dangers, in the order of ``DANGER_CLASSES``, and the
    last is that of dangers of no class; there is one column where all classes are asked the same.
    ``limit_m`` is nan and ``limit_source`` -1 where nothing is asked. ``rule_m`` is what the limit
    set alone asks, and ``rule`` the number of that rule in ``rules``, -1 for none.
    """

    limit_m: Floats
    limit_source: Ints
    rule_m: Floats
    rule: Ints
    rules: tuple[Rule, ...] = ()

    @property
    def by_class(self) -> bool:
        """Return whether classes are told apart."""
        return bool(self.limit_m.shape[1] > 1)

    def columns_of(self, hazards: Hazards) -> Ints:
        """Return the column of each danger, shape (n,); all zero where there is one column."""
        if not self.by_class:
            # One zero stands for all: those of a million dangers take a while to make.
            return np.broadcast_to(np.zeros(1, dtype=np.int64), (hazards.count,))
        return class_numbers(hazards)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What is asked of one class on one leg, and which rule is the set's."""

    limit_m: float
    source: int
    rule: Rule | None

    @property
    def rule_m(self) -> float:
        """Return what the set asks."""
        return np.nan if self.rule is None else self.rule.value


def class_numbers(hazards: Hazards) -> Ints:
    """Return the number of each danger's class in ``DANGER_CLASSES``, that of none behind the last.

    Made at the first call and kept as long as the dangers are.
    """
    known = _CLASSES.get(hazards)
    if known is None:
        by_kind = {kind: _NUMBERS[danger_class_of(kind)] for kind in set(hazards.kinds)}
        known = np.array([by_kind[kind] for kind in hazards.kinds], dtype=np.int64)
        if hazards.classes:
            given = [_NUMBERS[one] for one in hazards.classes]
            known = np.where(np.array(given) == _NUMBERS[None], known, given)
        _CLASSES[hazards] = known
    return known


def class_at(hazards: Hazards, index: int) -> DangerClass | None:
    """Return the class of one danger: its own, else that of its kind."""
    own = hazards.classes[index] if hazards.classes else None
    return danger_class_of(hazards.kinds[index]) if own is None else own


def margins_of(asked: Sequence[tuple[LegAsked, ...]], limits: Limits) -> Margins:
    """Return what pieces of a track ask of dangers.

    Parameters
    ----------
    asked : sequence of tuple of LegAsked
        What the leg of each piece asks, or both legs of a turn: of two the larger counts.
    limits : Limits
        The plan's own, with its limit set.
    """
    return _margins_of(tuple(asked), limits)


@lru_cache(maxsize=_KEPT)
def _margins_of(asked: tuple[tuple[LegAsked, ...], ...], limits: Limits) -> Margins:
    """Return what pieces ask; each turn and leg of a plan is asked about many times over."""
    columns = _EVERY_CLASS if _tells_classes_apart(asked, limits.limit_set) else (None,)
    # Most pieces ask the same: what each asks is worked out once and looked up for the others.
    different = {one: number for number, one in enumerate(dict.fromkeys(asked))}
    known: dict[LegAsked, tuple[_Asked, ...]] = {
        leg: tuple(_asked(leg, column, limits) for column in columns)
        for leg in dict.fromkeys(leg for legs in different for leg in legs)
    }
    cells = [
        _larger(both)
        for legs in different
        for both in zip(*(known[leg] for leg in legs), strict=True)
    ]
    rules = tuple(dict.fromkeys(one.rule for one in cells if one.rule is not None))
    numbers = {one: number for number, one in enumerate(rules)}
    which = np.array([different[one] for one in asked], dtype=np.int64)

    def table(values: Iterable[float]) -> Floats:
        flat = np.array(list(values), dtype=np.float64)
        return np.asarray(flat.reshape(len(different), len(columns))[which])

    return Margins(
        limit_m=table(one.limit_m for one in cells),
        limit_source=table(one.source for one in cells).astype(np.int64),
        rule_m=table(one.rule_m for one in cells),
        rule=table(_NONE if one.rule is None else numbers[one.rule] for one in cells).astype(
            np.int64
        ),
        rules=rules,
    )


def _tells_classes_apart(asked: Sequence[tuple[LegAsked, ...]], limit_set: LimitSet | None) -> bool:
    """Return whether any leg, or the set in any kind of water, asks by class."""
    by_leg = any(leg.min_clearance_by_class for legs in asked for leg in legs)
    return by_leg or any(one.min_clearance_by_class for _, one in waters_of(limit_set, None))


def _asked(leg: LegAsked, danger_class: DangerClass | None, limits: Limits) -> _Asked:
    """Return what a leg, the set and the plan together ask of one class."""
    rule = clearance_rule(limits.limit_set, leg.water or limits.water, danger_class)
    for_class = dict(leg.min_clearance_by_class)
    of_leg_m = leg.min_clearance_m
    if danger_class is not None and danger_class in for_class:
        of_leg_m = for_class[danger_class]
    if of_leg_m is not None:
        return _Asked(limit_m=of_leg_m, source=_LEG, rule=rule)
    plan_m = limits.min_clearance_m
    # What somebody typed for this plan may ask for more than the set, never quietly for less.
    if rule is not None and (plan_m is None or rule.value >= plan_m):
        return _Asked(limit_m=rule.value, source=_SET, rule=rule)
    if plan_m is not None:
        return _Asked(limit_m=plan_m, source=_PLAN, rule=rule)
    return _Asked(limit_m=np.nan, source=_NONE, rule=rule)


def _larger(both: tuple[_Asked, ...]) -> _Asked:
    """Return of what the legs of a piece ask the larger, each of limit and rule by itself."""
    if len(both) == 1:
        return both[0]
    given = [one for one in both if one.source != _NONE]
    ruled = [one.rule for one in both if one.rule is not None]
    most = max(given, key=lambda one: one.limit_m) if given else both[0]
    rule = max(ruled, key=lambda one: one.value) if ruled else None
    return _Asked(limit_m=most.limit_m, source=most.source, rule=rule)


def waters_of(
    limit_set: LimitSet | None, water: WaterKind | None
) -> tuple[tuple[WaterKind, WaterLimits], ...]:
    """Return what a set asks in one kind of water; where that is not known, in each it knows."""
    if limit_set is None:
        return ()
    kinds = WATER_KINDS if water is None else (water,)
    found = ((kind, limit_set.water(kind)) for kind in kinds)
    return tuple((kind, one) for kind, one in found if one is not None)


def clearance_rule(
    limit_set: LimitSet | None, water: WaterKind | None, danger_class: DangerClass | None
) -> Rule | None:
    """Return what a set asks of a class of dangers: for the class, else in general.

    Where the kind of water is not known the largest counts of those that it asks in any.
    """
    found = []
    for kind, limits in waters_of(limit_set, water):
        for_class = dict(limits.min_clearance_by_class)
        if danger_class is not None and danger_class in for_class:
            own_m = for_class[danger_class]
            found.append(
                Rule(water=kind, member="min_clearance_m", value=own_m, danger_class=danger_class)
            )
        elif limits.min_clearance_m is not None:
            found.append(Rule(water=kind, member="min_clearance_m", value=limits.min_clearance_m))
    return max(found, key=lambda one: one.value) if found else None


def any_asked_for_less(hazards: Hazards, margins: Margins) -> bool:
    """Return whether of some danger less counts on some piece than the limit set asks.

    Parameters
    ----------
    hazards : Hazards
        The dangers. What of them matters is summed up at the first call: a million take a while.
    margins : Margins
        What the pieces ask.
    """
    rule_m = np.where(np.isnan(margins.rule_m), -np.inf, margins.rule_m)
    less = np.any(rule_m > margins.limit_m, axis=0)
    most_m = np.max(rule_m, axis=0, initial=-np.inf)
    without, least_m = _own_limits(hazards, margins)
    return bool(np.any(without & less) or np.any(least_m < most_m))


def _own_limits(hazards: Hazards, margins: Margins) -> tuple[Bools, Floats]:
    """Return of each column whether dangers have no limit of their own, and the least of any."""
    known = _OWN_LIMITS.setdefault(hazards, {})
    count = margins.limit_m.shape[1]
    found = known.get(count)
    if found is None:
        own_m, columns = hazards.min_clearance_m, margins.columns_of(hazards)
        without = np.zeros(count, dtype=np.bool_)
        without[columns[np.isnan(own_m)]] = True
        least_m = np.full(count, np.inf)
        np.fmin.at(least_m, columns, own_m)
        found = known[count] = (without, least_m)
    return found


_LARGER_IS_STRICTER = frozenset(RULE_MEMBERS) - {"max_off_track_m"}


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitFor:
    """What counts for a leg or a turn: of plan and set the stricter, and the set's rule by itself.

    Both are None where nobody asks.
    """

    value: float | None
    rule: Rule | None

    def missed_rule(self, measured: float) -> tuple[str, ...]:
        """Return the rule by its id where what was measured does not keep it, else nothing."""
        if self.rule is None:
            return ()
        if self.rule.member in _LARGER_IS_STRICTER:
            kept = measured >= self.rule.value
        else:
            kept = measured <= self.rule.value
        return () if kept else (self.rule.id,)


def limit_for(
    limits: Limits, member: RuleMember, legs: Sequence[LegAsked], limit: float | None = None
) -> LimitFor:
    """Return the limit that counts on a leg, or in a turn between two.

    Parameters
    ----------
    limits : Limits
        The plan's, with its limit set.
    member : str
        Which limit.
    legs : sequence of LegAsked
        The leg, or both legs of the turn: of what is asked in their waters the strictest counts.
    limit : float or None
        What the plan itself asks.
    """
    strictest = max if member in _LARGER_IS_STRICTER else min
    waters = {leg.water or limits.water for leg in legs}
    rules = [
        Rule(water=kind, member=member, value=getattr(one, member))
        for water in sorted(waters, key=str)
        for kind, one in waters_of(limits.limit_set, water)
        if getattr(one, member) is not None
    ]
    rule = strictest(rules, key=lambda one: one.value) if rules else None
    values = [one for one in (limit, None if rule is None else rule.value) if one is not None]
    return LimitFor(value=strictest(values) if values else None, rule=rule)


def rules_in(limit_set: LimitSet, water: WaterKind) -> tuple[Rule, ...]:
    """Return every rule of a set for one kind of water."""
    limits = limit_set.water(water)
    if limits is None:
        return ()
    plain = [
        Rule(water=water, member=member, value=getattr(limits, member))
        for member in RULE_MEMBERS
        if getattr(limits, member) is not None
    ]
    by_class = [
        Rule(water=water, member="min_clearance_m", value=value_m, danger_class=name)
        for name, value_m in limits.min_clearance_by_class
    ]
    return (*plain, *by_class)
