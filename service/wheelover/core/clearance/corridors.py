"""Dangers inside the cross-track limits: where the alarm would stay silent over a danger."""

from dataclasses import replace

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.clearance.index import (
    PointIndex,
    Surroundings,
    surroundings_for,
    surroundings_of,
    vertex_index,
    vertices_for,
)
from wheelover.core.clearance.intrusions import intrusions_of
from wheelover.core.clearance.of_points import passing_points, track_lines
from wheelover.core.clearance.of_track import inside_of_track, passing_edges
from wheelover.core.clearance.passing import (
    NO_PASSING,
    Passing,
    TrackPiece,
    joined,
)
from wheelover.core.margins import limit_for, margins_of
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import NO_LIMITS, Limits
from wheelover.core.types.clearance import Corridors, Piece
from wheelover.core.types.track import PlannedLeg, Side
from wheelover.core.units import m_from_nm

_BOTH: tuple[Side, Side] = ("port", "starboard")


def inside_corridors(
    legs: tuple[PlannedLeg, ...], hazards: Hazards, limits: Limits = NO_LIMITS
) -> Corridors:
    """Return the dangers that lie inside the cross-track limits of the legs.

    Each leg is measured from waypoint to waypoint, not only as far as the turns at its ends: the
    alarm counts from the leg. A danger beyond an end of the leg is inside when it is that near to
    the end. Uncertainty of a danger's position counts against the limit. A line or an area may
    lie on both sides: each stretch of an edge counts where it is nearest and where it ends.

    Parameters
    ----------
    legs : tuple of PlannedLeg
        The legs; those without a limit, or without a length, are passed over.
    hazards : Hazards
        The dangers.
    limits : Limits
        With a limit set, or margins by class on the leg, dangers are found as well from which a
        ship at the edge of the corridor would not keep what is asked of their class; and a side
        without a limit has the one that the set asks for.

    Raises
    ------
    InvalidChart
        When the edges of lines and areas are longer in sum than can be measured.
    """
    limited = _limited(legs, limits)
    if not limited or hazards.count == 0:
        return Corridors()
    beside = _Beside(limited, hazards, limits)
    passing, lost = _beside(limited, hazards, beside)
    return Corridors(
        intrusions=intrusions_of(
            limited, passing, hazards, beside.of(passing.piece, passing.hazard), lost
        ),
        unmeasured=tuple(limited[number].index for number in sorted(lost)),
    )


def beside_legs(
    legs: tuple[PlannedLeg, ...], hazards: Hazards, limits: Limits = NO_LIMITS
) -> tuple[list[PlannedLeg], Passing]:
    """Return the legs that have a corridor, and all that was measured beside them.

    Parameters
    ----------
    legs, hazards, limits
        As in ``inside_corridors``, which sums this up.

    Returns
    -------
    legs : list of PlannedLeg
        Those with a limit; ``piece`` numbers them.
    passing : Passing
        Each stretch of an edge, each of its ends and each point where it is nearest to a leg.
    """
    limited = _limited(legs, limits)
    if not limited or hazards.count == 0:
        return limited, NO_PASSING
    beside = _Beside(limited, hazards, limits)
    return limited, _beside(limited, hazards, beside)[0]


def _limited(legs: tuple[PlannedLeg, ...], limits: Limits) -> list[PlannedLeg]:
    """Return the legs that have a length and a cross-track limit, their own or that of the set."""
    asked = [with_corridor(leg, limits) for leg in legs]
    return [leg for leg in asked if leg.path is not None and _widest_nm(leg) is not None]


def with_corridor(leg: PlannedLeg, limits: Limits) -> PlannedLeg:
    """Return a leg with the cross-track limit of the set on the sides where it gives none."""
    if limits.limit_set is None or None not in (leg.xtd_port_nm, leg.xtd_starboard_nm):
        return leg
    asked = limit_for(limits, "min_xtd_nm", [leg.asked]).value
    return replace(
        leg,
        xtd_port_nm=asked if leg.xtd_port_nm is None else leg.xtd_port_nm,
        xtd_starboard_nm=asked if leg.xtd_starboard_nm is None else leg.xtd_starboard_nm,
    )


class _Beside:
    """What must be left between the edge of each corridor and each danger.

    Nothing, where no limit set is given and the leg tells no classes apart: then the corridor must
    only hold no danger.
    """

    def __init__(self, legs: list[PlannedLeg], hazards: Hazards, limits: Limits) -> None:
        by_set = limits.limit_set is not None
        apart = [by_set or bool(leg.min_clearance_by_class) for leg in legs]
        self._hazards, self._apart = hazards, np.array(apart)
        self._columns: Ints | None = None
        if any(apart):
            margins = margins_of([(leg.asked,) for leg in legs], limits)
            self._asked_m = np.nan_to_num(margins.limit_m)
            self._columns = margins.columns_of(hazards)

    def of(self, leg: Ints, hazard: Ints) -> Floats:
        """Return it for rows of legs and dangers."""
        if self._columns is None:
            return np.zeros(hazard.size)
        own_m = self._hazards.min_clearance_m[hazard]
        asked_m = self._asked_m[leg, self._columns[hazard]]
        most_m = np.where(np.isnan(own_m), asked_m, own_m)
        return np.where(self._apart[leg], most_m, 0.0)

    @property
    def told_by(self) -> bytes:
        """Return what ``most_m`` hangs on besides the dangers."""
        return b"" if self._columns is None else np.max(self._asked_m, axis=0).tobytes()

    @property
    def most_m(self) -> Floats:
        """Return the most of it for each danger, shape (n,), or one zero for all."""
        if self._columns is None:
            return np.zeros(1)
        own_m = self._hazards.min_clearance_m
        most_m = np.max(self._asked_m, axis=0)[self._columns]
        return np.where(np.isnan(own_m), most_m, own_m)


def _beside(
    legs: list[PlannedLeg], hazards: Hazards, beside: "_Beside"
) -> tuple[Passing, frozenset[int]]:
    """Return what lies beside legs in the order of the legs, and the legs where that fails."""
    pieces = tuple(
        TrackPiece(
            piece=Piece(kind="leg", index=leg.index), leg=leg.path, from_m=0.0, to_m=leg.length_m
        )
        for leg in legs
    )
    most_m = max(m_from_nm(_widest_nm(leg) or 0.0) for leg in legs)
    asked = ("beside", most_m, beside.told_by)

    def search_m() -> Floats:
        reach_m = most_m + hazards.position_uncertainty_m + beside.most_m
        return np.broadcast_to(reach_m, (hazards.count,))

    around = surroundings_for(
        hazards,
        asked,
        search_m,
        lambda: hazards.min_clearance_m,
        lambda: np.zeros(hazards.count, dtype=np.int64),
    )
    return _passing_around(pieces, around, vertices_for(hazards, asked, search_m))


def passing_beside(
    pieces: tuple[TrackPiece, ...], hazards: Hazards, search_m: Floats
) -> tuple[Passing, frozenset[int]]:
    """Return all that lies beside stretches of legs on either side, in their order.

    Parameters
    ----------
    pieces : tuple of TrackPiece
        Stretches of legs, at least one.
    hazards : Hazards
        The dangers, at least one.
    search_m : ndarray, shape (n,)
        How far around each danger the stretches are looked for, metres.

    Returns
    -------
    passing : Passing
        Each stretch of an edge where it is nearest, each of its ends, and each point.
    unmeasured : frozenset of int
        Numbers of the stretches whose nearest points could not be found, beside a pole.
    """
    return _passing_around(
        pieces, surroundings_of(hazards, search_m), vertex_index(hazards, search_m)
    )


def _passing_around(
    pieces: tuple[TrackPiece, ...], around: Surroundings, vertices: PointIndex | None
) -> tuple[Passing, frozenset[int]]:
    """Return all that lies beside stretches of legs, and those that could not be measured."""
    track = track_lines(pieces)
    parts = [inside_of_track(track, around.areas)]
    lost: frozenset[int] = frozenset()
    edges = around.edges
    if edges is not None:
        # Each stretch of an edge counts where it is nearest, not only the nearest of all.
        stretches = edges.lines.stretches
        passing, lost = passing_edges(track, edges, each=True)
        parts.append(passing.of(stretches.hazard))
    for points in (around.points, vertices):
        if points is not None:
            passing, more = passing_points(track, points)
            parts.append(passing.of(points.points.hazard))
            lost |= more
    all_parts = joined(parts)
    # No two of these numbers are the same: they sort fast, and rows of one leg keep their order.
    count = max(all_parts.piece.size, 1)
    order = np.sort(all_parts.piece * count + np.arange(all_parts.piece.size)) % count
    return all_parts.rows(order), lost


def _widest_nm(leg: PlannedLeg) -> float | None:
    """Return the larger cross-track limit of a leg, None without any."""
    port_nm, starboard_nm = leg.xtd_port_nm, leg.xtd_starboard_nm
    if port_nm is None or starboard_nm is None:
        return starboard_nm if port_nm is None else port_nm
    return max(port_nm, starboard_nm)
