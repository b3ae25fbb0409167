"""Clearing bearings and clearing ranges: past which dangers near each leg which marks lead.

Only loaded dangers are cleared, and only where the planned track keeps to the clear side. Lines are
sought past the few nearest dangers of a leg; past the others that none of these clears as well they
are sought after, as far as is quickly done.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheelover.core.aids.clearing_asked import of_groups, with_others
from wheelover.core.aids.clearing_plane import Danger, Scene, SceneAsked, scenes_of
from wheelover.core.aids.clearing_told import bearings_of, ranges_of_scene
from wheelover.core.aids.clearing_transits import transits_of_scene
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.leg_light import dark_between
from wheelover.core.aids.near_dangers import (
    Listed,
    NearLeg,
    kept_off_m,
    listed_of,
    near_legs,
)
from wheelover.core.aids.near_marks import NearMarks
from wheelover.core.arrays import Floats, tied_m
from wheelover.core.margins import margins_of
from wheelover.core.types.aid_lines import (
    ClearingBearing,
    ClearingRange,
    ClearingTransit,
    LegClearing,
    NotUsable,
)
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import Clearances
from wheelover.core.types.track import LegLine, PlannedLeg, PlannedTurn


def clearing_lines(
    track: tuple[Sequence[PlannedLeg], Sequence[PlannedTurn]],
    seen: Seen,
    near: NearMarks,
    chosen: Mapping[int, tuple[str, ...]],
    dangers: tuple[Hazards, Clearances, Limits],
) -> tuple[LegClearing, ...]:
    """Return the clearing lines of every leg that has dangers near it.

    Parameters
    ----------
    track : tuple
        The legs and the turns.
    seen : Seen
        The marks, and from how far each is seen.
    near : NearMarks
        Which marks lie near which leg.
    chosen : mapping of int to tuple of str
        The marks that were chosen for legs, by the index of the leg.
    dangers : tuple
        The loaded dangers, those near the track, and what is asked of them.
    """
    legs, turns = track
    hazards, clearances, limits = dangers
    by_leg = near_legs(legs, turns, clearances, hazards.ids)
    if not by_leg:
        return ()
    listed = listed_of(hazards, clearances)
    margins = margins_of([(leg.asked,) for leg in legs], limits)
    columns = margins.columns_of(hazards)
    told = [
        _Told(
            leg=leg,
            path=leg.path,
            off_m=kept_off_m(
                hazards, listed.hazard, margins.limit_m[number][columns[listed.hazard]]
            ),
            marks=(seen, near.of_leg(number), chosen.get(leg.index, ())),
        )
        for number, leg in enumerate(legs)
        if leg.index in by_leg and leg.path is not None and leg.room
    ]
    sought = _Sought(listed=listed, seen=seen, hazards=hazards)
    found = sought.lines([(one, by_leg[one.leg.index]) for one in told])
    return tuple(_of_leg(one, by_leg[one.leg.index], found[one.leg.index]) for one in told)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Told:
    """A leg of which clearing lines are told: what is kept off each danger, and the marks."""

    leg: PlannedLeg
    path: LegLine
    off_m: Floats
    marks: tuple[Seen, NearMarks, tuple[str, ...]]

    @property
    def wanted(self) -> tuple[str, ...]:
        """Return the marks chosen for it."""
        return self.marks[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lines:
    """The lines of one leg, and whether any margin was asked of the dangers near it."""

    bearings: tuple[ClearingBearing, ...] = ()
    ranges: tuple[ClearingRange, ...] = ()
    transits: tuple[ClearingTransit, ...] = ()
    looked: bool = False
    unseen: frozenset[str] = frozenset()

    def joined(self, other: "_Lines") -> "_Lines":
        """Return these with others of the same leg."""
        return _Lines(
            bearings=(*self.bearings, *other.bearings),
            ranges=(*self.ranges, *other.ranges),
            transits=(*self.transits, *other.transits),
            looked=self.looked or other.looked,
            unseen=self.unseen | other.unseen,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sought:
    """What lines are sought among."""

    listed: Listed
    seen: Seen
    hazards: Hazards

    def lines(self, wanted: Sequence[tuple[_Told, NearLeg]]) -> dict[int, _Lines]:
        """Return the lines past the first dangers of each leg and past others, by its index."""
        asked: list[SceneAsked] = []
        for one, near in wanted:
            in_order = sorted(
                [*near.first, *near.more],
                key=lambda each: (
                    float(tied_m(each.along_m)[0]),
                    self.hazards.ids[each.hazard],
                ),
            )
            asked += of_groups(one.leg, one.path, in_order, (self.listed, one.off_m), one.marks)
        scenes = scenes_of(
            with_others(
                asked, self.listed, self.hazards.position_uncertainty_m[self.listed.hazard]
            ),
            self.listed.shapes,
            (self.seen.lat_deg, self.seen.lon_deg),
        )
        chosen = {one.leg.index for one, _ in wanted if one.wanted}
        first_of = {one.leg.index: {each.hazard for each in near.first} for one, near in wanted}
        ends = [(one.leg, one.along_m[0], one.along_m[-1]) for one in scenes]
        lit = list(zip(scenes, dark_between(self.seen.when, ends), strict=True))
        found = self._past(lit, first_of, chosen, few=False)
        for scene, dark in lit:
            index = scene.leg.index
            some = transits_of_scene(scene, dark, self.seen, chosen=index in chosen)
            found[index] = found.get(index, _NONE).joined(_Lines(transits=tuple(some)))
        rank_of = {one.leg.index: [each.hazard for each in near.more] for one, near in wanted}
        left = {
            index: set(ranked) - _cleared(found.get(index, _NONE))
            for index, ranked in rank_of.items()
        }
        further = self._past(lit, left, chosen, few=True)
        return {
            index: found.get(index, _NONE).joined(
                _needed(further.get(index, _NONE), ranked, whole=index in chosen)
            )
            for index, ranked in rank_of.items()
        }

    def _past(
        self,
        lit: Sequence[tuple[Scene, frozenset[bool]]],
        hazards: Mapping[int, set[int]],
        chosen: set[int],
        *,
        few: bool,
    ) -> dict[int, _Lines]:
        """Return the lines past some dangers of each leg.

        Of a ``few`` dangers one bearing is told, and a range of those that no bearing clears.
        """
        asked = [
            (replace(one, dangers=few_of), dark)
            for one, dark in lit
            if (few_of := _those(one, hazards.get(one.leg.index, set())))
        ]
        some = [one for one, _ in asked]
        dark = [one for _, one in asked]
        bearings, unseen = bearings_of(some, dark, self.seen, chosen, most=1 if few else None)
        ranges: list[ClearingRange] = []
        for scene in some:
            index = scene.leg.index
            left = scene
            if few and index not in chosen:
                of_leg = tuple(one for one in bearings if one.leg_index == index)
                by_bearing = _cleared(_Lines(bearings=of_leg))
                numbers = {one.number for one in scene.dangers} - by_bearing
                left = replace(scene, dangers=_those(scene, numbers))
            new, hidden = ranges_of_scene(left, self.seen, self.hazards, chosen=index in chosen)
            ranges += new
            unseen |= hidden
        return {
            index: _Lines(
                bearings=tuple(one for one in bearings if one.leg_index == index),
                ranges=tuple(one for one in ranges if one.leg_index == index),
                looked=True,
                unseen=frozenset(one for leg_index, one in unseen if leg_index == index),
            )
            for index in {scene.leg.index for scene in some}
        }


def _those(scene: Scene, hazards: set[int]) -> tuple[Danger, ...]:
    """Return some dangers of a scene."""
    return tuple(one for one in scene.dangers if one.number in hazards)


def _cleared(lines: _Lines) -> set[int]:
    """Return the dangers that lines clear: each its own, and others beside its stretch."""
    cleared: set[int] = set()
    both: tuple[ClearingBearing | ClearingRange | ClearingTransit, ...] = (
        *lines.bearings, *lines.ranges, *lines.transits,
    )  # fmt: skip
    for one in both:
        cleared |= {one.hazard_index, *one.clears}
    return cleared


def _needed(lines: _Lines, ranked: Sequence[int], *, whole: bool) -> _Lines:
    """Return the lines of those dangers that none kept before them clears; ``whole``: all."""
    if whole:
        return lines
    kept: set[int] = set()
    cleared: set[int] = set()
    for hazard in ranked:
        own = _of_hazards(lines, {hazard})
        if hazard not in cleared and (own.bearings or own.ranges):
            kept.add(hazard)
            cleared |= _cleared(own)
    return _of_hazards(lines, kept)


def _of_hazards(lines: _Lines, hazards: set[int]) -> _Lines:
    """Return the lines past some dangers."""
    return replace(
        lines,
        bearings=tuple(one for one in lines.bearings if one.hazard_index in hazards),
        ranges=tuple(one for one in lines.ranges if one.hazard_index in hazards),
    )


_NONE = _Lines()


def _of_leg(told: _Told, near: NearLeg, lines: _Lines) -> LegClearing:
    """Return the clearing lines of one leg: past the dangers sought first, and past the others."""
    wanted, seen = told.wanted, told.marks[0]
    cleared = _cleared(lines)
    used = {one.mark_id for one in lines.bearings} | {one.mark_id for one in lines.ranges}
    used |= {mark for one in lines.transits for mark in (one.front_id, one.rear_id)}
    known = {one.id for one in seen.marks} if wanted else set()
    return LegClearing(
        leg_index=told.leg.index,
        bearings=lines.bearings,
        ranges=lines.ranges,
        transits=lines.transits,
        none_for=tuple(
            one.hazard for one in (*near.first, *near.more) if one.hazard not in cleared
        ),
        not_usable=tuple(
            NotUsable(mark_id=one, reason=_why_not(one, known, lines.unseen))
            for one in wanted
            if one not in used
        ),
        reason=None if lines.looked else "no margin is asked of the dangers near the leg",
        left_out_count=int(np.count_nonzero(~np.isin(near.others, list(cleared)))),
    )


def _why_not(mark_id: str, known: set[str], unseen: frozenset[str]) -> str:
    """Return why a chosen mark gives no line."""
    if mark_id not in known:
        return "no mark of this id is loaded"
    if mark_id in unseen:
        return "where it would lead past a danger it is not seen then, nor does the radar show it"
    return "it leads past none of the dangers near the leg"
