"""The marks of a plan: the user's own, those among typed dangers, and those that cells chart."""

from collections.abc import Sequence
from weakref import WeakKeyDictionary

import numpy as np

from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.arrays import Ints
from wheelover.core.legs import in_columns, points_along
from wheelover.core.types.chart import Hazards
from wheelover.core.types.charted import Charted
from wheelover.core.types.marks import Mark, MarkKind
from wheelover.core.types.route import Position
from wheelover.core.types.track import LegLine
from wheelover.core.units import NM_M

MOST_M = 12.0 * NM_M
"""How far off a mark matters at most: half a degree is more than 0.1 NM there."""

_STEP_M = 4.0 * NM_M
_KINDS: dict[str, MarkKind] = {
    "light": "light",
    "lighthouse": "light",
    "light float": "buoy",
    "light vessel": "buoy",
    "lightship": "buoy",
    "buoy": "buoy",
    "buoys": "buoy",
    "beacon": "beacon",
    "daymark": "beacon",
    "platform": "structure",
    "offshore platform": "structure",
    "wind turbine": "structure",
    "pile": "structure",
    "dolphin": "structure",
    "pylon": "structure",
    "landmark": "landmark",
    "tower": "landmark",
    "church": "landmark",
    "spire": "landmark",
    "chimney": "landmark",
    "mast": "landmark",
    "monument": "landmark",
    "windmill": "landmark",
    "silo": "landmark",
    "tank": "landmark",
    "crane": "landmark",
    "building": "landmark",
}
"""Words that people write for the kind of a danger that can be seen; also at the end of others."""


_TYPED: WeakKeyDictionary[Hazards, tuple[Mark, ...]] = WeakKeyDictionary()
_CHARTED: WeakKeyDictionary[Charted, MarkSet] = WeakKeyDictionary()


def marks_of(charted: Charted | None, typed: Hazards, own: Sequence[Mark]) -> tuple[Mark, ...]:
    """Return the marks of a plan: the user's own first, then typed ones, then charted ones.

    Parameters
    ----------
    charted : Charted or None
        What its cells say, None without any.
    typed : Hazards
        The dangers that somebody typed or sent. Single points of a kind that can be seen are marks.
    own : sequence of Mark
        The user's own. One with the id of another takes its place.
    """
    if charted is not None and not own and not typed_marks(typed):
        return charted.marks
    taken = {one.id for one in own}
    found = [*own]
    for one in (*typed_marks(typed), *(() if charted is None else charted.marks)):
        if one.id not in taken:
            taken.add(one.id)
            found.append(one)
    return tuple(found)


def mark_set_of(charted: Charted | None, typed: Hazards, own: Sequence[Mark]) -> MarkSet:
    """Return the marks of a plan as ``marks_of`` does, ready to be looked among.

    Where there are none but those of cells, what was made ready before is used again.
    """
    marks = marks_of(charted, typed, own)
    if charted is None or marks is not charted.marks:
        return MarkSet(marks)
    known = _CHARTED.get(charted)
    if known is None:
        known = _CHARTED[charted] = MarkSet(charted.marks)
    return known


def typed_marks(typed: Hazards) -> tuple[Mark, ...]:
    """Return the marks among typed dangers: single points of a kind that can be seen.

    Nothing is known of their heights and of how far they shine; one called a light is taken as lit.
    """
    known = _TYPED.get(typed)
    if known is None:
        kinds = {one: made for one in set(typed.kinds) if (made := mark_kind_of(one)) is not None}
        rows = [n for n, kind in enumerate(typed.kinds) if kind in kinds]
        points = {of: at for at, of in enumerate(typed.points.hazard.tolist())} if rows else {}
        known = _TYPED[typed] = tuple(
            _typed_mark(typed, row, points[row], kinds[typed.kinds[row]])
            for row in rows
            if typed.shapes[row] == "Point" and row in points
        )
    return known


def _typed_mark(typed: Hazards, row: int, at: int, kind: MarkKind) -> Mark:
    """Return the mark that a typed danger is; ``at`` numbers its point."""
    given = bool(typed.uncertainty_given[row])
    return Mark(
        id=typed.ids[row],
        name=typed.names[row] or typed.ids[row],
        position=Position(
            lat_deg=float(typed.points.lat_deg[at]), lon_deg=float(typed.points.lon_deg[at])
        ),
        kind=kind,
        source="dangers",
        floating=kind == "buoy",
        lit=kind == "light",
        position_uncertainty_m=float(typed.position_uncertainty_m[row]) if given else None,
        what=typed.kinds[row],
    )


def mark_kind_of(kind: str | None) -> MarkKind | None:
    """Return what kind of mark a danger is by the word that a person wrote for it, None for none.

    Examples
    --------
    >>> mark_kind_of("Lateral buoy"), mark_kind_of("light_float"), mark_kind_of("wreck")
    ('buoy', 'buoy', None)
    """
    if kind is None:
        return None
    words = " ".join(kind.lower().replace("_", " ").split())
    ends = (words, " ".join(words.split()[-2:]), words.rpartition(" ")[2])
    return next((_KINDS[one] for one in ends if one in _KINDS), None)


def marks_along(marks: MarkSet, legs: Sequence[LegLine], within_m: float = MOST_M) -> Ints:
    """Return the numbers of the marks that lie near any of some legs, a few beyond with them.

    Parameters
    ----------
    marks : MarkSet
        The marks.
    legs : sequence of LegLine
        The legs.
    within_m : float
        How far off they may lie, metres.
    """
    if not marks.marks or not legs:
        return np.empty(0, np.int64)
    counts = [max(2, int(np.ceil(leg.length_m / _STEP_M)) + 1) for leg in legs]
    along_m = np.concatenate(
        [np.linspace(0.0, leg.length_m, count) for leg, count in zip(legs, counts, strict=True)]
    )
    columns = in_columns(legs).rows(np.repeat(np.arange(len(legs)), counts))
    lat_deg, lon_deg, _ = points_along(columns, along_m)
    reach_m = float(np.hypot(within_m, _STEP_M / 2.0))
    found = np.concatenate(marks.near(lat_deg, lon_deg, reach_m))
    return np.unique(found)
