"""Clearing bearings and ranges as they are told: the best of each danger, and whether seen."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wheelover.core.aids.clearing_lines import (
    BearingLine,
    Tangent,
    bearing_lines,
    not_cleared,
    tangents_past,
)
from wheelover.core.aids.clearing_plane import Danger, Scene, positions_of
from wheelover.core.aids.clearing_ranges import RangeLine, ranges_past
from wheelover.core.aids.clears_too import behind_bearing, behind_range, clears_too
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.left_out import left_out, past_bearing
from wheelover.core.aids.leg_light import seen_by_eye, worst_of
from wheelover.core.aids.sectors import looks_along
from wheelover.core.arrays import Floats, Ints
from wheelover.core.legs import positions
from wheelover.core.types.aid_lines import ClearingBearing, ClearingRange, Sight
from wheelover.core.types.chart import Hazards
from wheelover.core.types.cues import Sight as Looked
from wheelover.core.types.marks import Mark
from wheelover.core.types.route import Position
from wheelover.core.types.track import Side
from wheelover.core.units import m_from_nm

MOST_BEARINGS, MOST_RANGES = 2, 1
"""So many lines of each danger are told; of marks that were chosen, all."""

_TRIED = 4
_SIDES: dict[int, Side] = {1: "starboard", -1: "port"}

Unseen = set[tuple[int, str]]
"""Legs by index with marks that would give a line there if they were seen."""


def bearings_of(
    scenes: Sequence[Scene],
    dark: Sequence[frozenset[bool]],
    seen: Seen,
    is_choice: set[int],
    *,
    most: int | None = None,
) -> tuple[list[ClearingBearing], Unseen]:
    """Return the clearing bearings of all scenes, of each danger the best first.

    Parameters
    ----------
    scenes : sequence of Scene
        Stretches of legs with the dangers and the marks near them.
    dark : sequence of frozenset of bool
        Whether it is dark along each.
    seen : Seen
        The marks, and from where they are looked for.
    is_choice : set of int
        The legs for which marks were chosen.
    most : int or None
        So many of each danger where none was chosen; ``MOST_BEARINGS`` when None.
    """
    wanted = MOST_BEARINGS if most is None else most
    kept: list[tuple[Tangent, frozenset[bool]]] = []
    unseen: Unseen = set()
    for scene, light in zip(scenes, dark, strict=True):
        chosen = scene.leg.index in is_choice
        for danger in scene.dangers:
            some = []
            for one in tangents_past(scene, danger, unsure_of(scene, seen)):
                if _looked_at(one, danger.rows, light, seen).seen == "no":
                    unseen.add((scene.leg.index, seen.marks[one.mark].id))
                else:
                    some.append(one)
            kept += [(one, light) for one in (some if chosen else _best(some, wanted))]
    lines = bearing_lines([one for one, _ in kept], seen.marks)
    found = [
        (one, *_where_seen(one, line, light, seen))
        for (one, light), line in zip(kept, lines, strict=True)
        if line is not None
    ]
    ends = _ends([(one, line) for one, line, _ in found])
    return [
        _bearing(one, line, looked, seen, both, chosen=one.scene.leg.index in is_choice)
        for (one, line, looked), both in zip(found, ends, strict=True)
    ], unseen


def unsure_of(scene: Scene, seen: Seen) -> Floats:
    """Return how unsure the places of the marks of a scene are, zero where that is not given."""
    return np.array([seen.marks[one].position_uncertainty_m or 0.0 for one in scene.marks])


def _looked_at(one: Tangent, rows: Ints, dark: frozenset[bool], seen: Seen) -> Looked:
    """Return whether the mark of a tangent is seen from a stretch, at limits of sectors too."""
    places = one.scene.track_m[[rows[0], rows[rows.size // 2], rows[-1]]]
    mark = seen.marks[one.mark]
    measured = looks_along(mark, one.mark_m, places, one.scene.frame.course_deg)
    return worst_of([seen_by_eye(mark, each, dark, seen.lookout) for each in measured])


def _where_seen(
    one: Tangent, line: BearingLine, dark: frozenset[bool], seen: Seen
) -> tuple[BearingLine, Looked]:
    """Return a line, no farther than beside the danger where its mark is not seen all along."""
    looked = _looked_at(one, line.rows, dark, seen)
    if looked.seen != "no":
        return line, looked
    rows = one.danger.rows
    reaches = past_bearing(one.mark_m, line.direction_rad, one.side)
    others = left_out(one.scene, one.danger, rows, one.unsure_m, reaches)
    return replace(line, rows=rows, others=others), _looked_at(one, rows, dark, seen)


def _best(some: list[Tangent], most: int) -> list[Tangent]:
    """Return the few tangents that leave out the fewest other dangers."""
    tried: list[tuple[Tangent, int]] = []
    for one in some[:_TRIED]:
        tried.append((one, len(not_cleared(one))))
        if sum(1 for _, count in tried if not count) == most:
            break
    tried.sort(key=lambda pair: pair[1])
    return [one for one, _ in tried[:most]]


def _ends(found: list[tuple[Tangent, BearingLine]]) -> list[tuple[Position, Position]]:
    """Return the ends of lines to draw: the mark, and past the track that they serve."""
    if not found:
        return []
    places = []
    for one, line in found:
        run = np.array([np.cos(line.direction_rad), np.sin(line.direction_rad)])
        reach_m = float(np.max((one.scene.track_m[line.rows] - one.mark_m) @ run))
        places += [one.mark_m, one.mark_m + reach_m * run]
    frames = [one.scene.frame for one, _ in found for _ in range(2)]
    both = positions(*positions_of(frames, np.array(places)))
    return list(zip(both[0::2], both[1::2], strict=True))


def _bearing(
    one: Tangent,
    line: BearingLine,
    looked: Looked,
    seen: Seen,
    ends: tuple[Position, Position],
    *,
    chosen: bool,
) -> ClearingBearing:
    """Return one clearing bearing with the line to draw."""
    scene, mark = one.scene, seen.marks[one.mark]
    sight: Sight = "in_sight" if looked.seen == "yes" else "not_known"
    notes = _notes(mark)
    if sight == "not_known":
        notes.append(f"Whether it is seen is not known: {looked.why}.")
    return ClearingBearing(
        leg_index=scene.leg.index,
        mark_id=mark.id,
        hazard_index=one.danger.number,
        word=line.word,
        bearing_deg=line.bearing_deg,
        set_deg=line.set_deg,
        danger_side=_SIDES[one.danger.side],
        mark_ahead=line.mark_ahead,
        room_m=line.room_m,
        from_m=float(scene.along_m[line.rows[0]]),
        to_m=float(scene.along_m[line.rows[-1]]),
        angle_deg=one.angle_deg,
        radius_m=one.danger.radius_m + one.unsure_m,
        sight=sight,
        line_from=ends[0],
        line_to=ends[1],
        chosen=chosen,
        clears=clears_too(
            scene, one.danger, line.rows, one.unsure_m,
            behind_bearing(one.mark_m, line.direction_rad, one.side),
        ),
        not_cleared=line.others,
        notes=tuple(notes),
    )  # fmt: skip


def _notes(mark: Mark) -> list[str]:
    """Return what must be said of the place of a mark."""
    notes = []
    if mark.floating:
        notes.append("A floating mark: it swings and may be off its place.")
    if mark.position_uncertainty_m is None:
        notes.append("How unsure its place is, is not given.")
    return notes


def ranges_of_scene(
    scene: Scene, seen: Seen, hazards: Hazards, *, chosen: bool
) -> tuple[list[ClearingRange], Unseen]:
    """Return the clearing ranges past the dangers of a scene, of each the best.

    Parameters
    ----------
    scene : Scene
        A stretch of a leg.
    seen : Seen
        The marks and the radar: an echo beyond its scale or its horizon tells nothing.
    hazards : Hazards
        The dangers.
    chosen : bool
        Whether marks were chosen for the leg.
    """
    out: list[ClearingRange] = []
    unseen: Unseen = set()
    unsure_m = unsure_of(scene, seen)
    horizon_m = seen.horizon_m[list(scene.marks)]
    shown_m = np.fmin(horizon_m, seen.scale_m)
    for danger in scene.dangers:
        found = [
            one
            for one in ranges_past(scene, danger, unsure_m, shown_m)
            if chosen or seen.marks[one.mark].radar_conspicuous is not False
        ]
        if chosen:
            everywhere = ranges_past(scene, danger, unsure_m, np.full(shown_m.shape, np.inf))
            unseen |= {(scene.leg.index, seen.marks[one.mark].id) for one in everywhere}
        found.sort(
            key=lambda one: (
                len(one.others),
                not seen.marks[one.mark].radar_conspicuous,
                one.range_m,
                one.mark,
            )
        )
        kept = found if chosen else found[:MOST_RANGES]
        out += [_range(scene, danger, one, seen, hazards, chosen=chosen) for one in kept]
    return out, unseen


def _range(
    scene: Scene, danger: Danger, line: RangeLine, seen: Seen, hazards: Hazards, *, chosen: bool
) -> ClearingRange:
    """Return one clearing range."""
    mark = seen.marks[line.mark]
    notes = _notes(mark)
    unknown = not mark.radar_conspicuous
    if unknown:
        notes.append("Whether radar shows it well is not said.")
    if np.isnan(seen.horizon_m[line.mark]):
        unknown = True
        notes.append("The radar horizon is not applied: a height is not known.")
    notes += [f"Does not clear {hazards.names[one] or hazards.ids[one]}." for one in line.others]
    return ClearingRange(
        leg_index=scene.leg.index,
        mark_id=mark.id,
        hazard_index=danger.number,
        word=line.word,
        range_m=line.range_m,
        set_nm=line.set_nm,
        danger_side=_SIDES[danger.side],
        room_m=line.room_m,
        from_m=float(scene.along_m[line.rows[0]]),
        to_m=float(scene.along_m[line.rows[-1]]),
        radius_m=danger.radius_m + line.unsure_m,
        sight="not_known" if unknown else "in_sight",
        chosen=chosen,
        clears=clears_too(
            scene, danger, line.rows, line.unsure_m,
            behind_range(line.mark_m, m_from_nm(line.set_nm), less=line.word == "NLT"),
        ),
        not_cleared=line.others,
        notes=tuple(notes),
    )  # fmt: skip
