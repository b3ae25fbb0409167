"""Clearing ranges of marks past one danger, in the plane of a scene."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.careful import down_nm, up_nm
from wheelover.core.aids.clearing_lines import MOST_RANGE_M, around_rows
from wheelover.core.aids.clearing_plane import Danger, Scene
from wheelover.core.aids.left_out import left_out, past_range, without_left_out
from wheelover.core.aids.near_dangers import LISTED_M
from wheelover.core.aids.tangents import least_and_most_m
from wheelover.core.arrays import Floats, Ints
from wheelover.core.types.aid_lines import LimitWord
from wheelover.core.units import m_from_nm


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeLine:
    """A clearing range: that of the circle about the mark, and what it is rounded to.

    ``needed_m`` is how far off the mark must be shown, to the ends of the ``rows`` it serves;
    ``others`` are the dangers beside them that it leaves out.
    """

    mark: int
    mark_m: Floats
    word: LimitWord
    range_m: float
    set_nm: float
    room_m: float
    rows: Ints
    needed_m: float
    unsure_m: float
    others: tuple[int, ...]


def ranges_past(scene: Scene, danger: Danger, unsure_m: Floats, shown_m: Floats) -> list[RangeLine]:
    """Return the clearing ranges of the marks of a scene past a danger.

    Round an object on the danger's side the circle holds all of the danger with its margin: the
    range must not be less. With the object across the track the circle ends before the danger: the
    range must not be more.

    Parameters
    ----------
    scene : Scene
        The track and the marks.
    danger : Danger
        The danger.
    unsure_m, shown_m : ndarray, shape (m,)
        How unsure the place of each mark of the scene is, and how far off a radar shows it.
    """
    if danger.side == 0 or not scene.marks:
        return []
    rows = danger.rows
    away = scene.track_m[None, :, :] - scene.marks_m[:, None, :]
    away_m = np.hypot(away[..., 0], away[..., 1])
    near_m, far_m = least_and_most_m(scene.marks_m, danger.vertices_m, danger.edges_m)
    less = scene.marks_m[:, 1] * danger.side > 0.0
    off_m = danger.radius_m + unsure_m
    range_m = np.where(less, far_m + off_m, near_m - off_m)
    rough_m = np.where(
        less,
        np.min(away_m[:, rows], axis=1) - range_m,
        range_m - np.max(away_m[:, rows], axis=1),
    )
    most_m = np.minimum(shown_m, MOST_RANGE_M)
    good = (rough_m > 0.0) & (range_m > 0.0) & (range_m <= most_m)
    good &= np.max(away_m[:, rows], axis=1) <= shown_m
    found = []
    for place in np.flatnonzero(good).tolist():
        line = _line(
            (scene, danger, place),
            (away_m[place], float(shown_m[place])),
            (float(range_m[place]), float(unsure_m[place])),
            less=bool(less[place]),
        )
        if line is not None:
            found.append(line)
    return found


def _line(
    of: tuple[Scene, Danger, int],
    off: tuple[Floats, float],
    measured: tuple[float, float],
    *,
    less: bool,
) -> RangeLine | None:
    """Return the clearing range of one mark, None where rounding leaves the track no room."""
    scene, danger, place = of
    away_m, shown_m = off
    range_m, unsure_m = measured
    rows = danger.rows
    set_nm = up_nm(range_m) if less else down_nm(range_m)
    set_m = m_from_nm(set_nm)
    room_m = (away_m - set_m) * (1.0 if less else -1.0)
    least_m = float(np.min(room_m[rows]))
    if least_m <= 0.0 or set_nm <= 0.0 or set_m > shown_m:
        return None
    reaches = past_range(scene.marks_m[place], set_m, danger.side, less=less)
    good = (room_m >= least_m - 1e-9) & (away_m <= shown_m) & (room_m <= LISTED_M)
    serves = around_rows(without_left_out(scene, danger, good, unsure_m, reaches), rows)
    return RangeLine(
        mark=scene.marks[place],
        mark_m=np.asarray(scene.marks_m[place]),
        word="NLT" if less else "NMT",
        range_m=range_m,
        set_nm=set_nm,
        room_m=least_m,
        rows=serves,
        needed_m=max(set_m, float(np.max(away_m[serves]))),
        unsure_m=unsure_m,
        others=left_out(scene, danger, serves, unsure_m, reaches),
    )
