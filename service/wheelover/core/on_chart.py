"""A plan on its cells: the dangers it is checked against, covered water, areas passed."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.charted.contour import wanted_of
from wheelover.core.charted.coverage import covered
from wheelover.core.charted.join import joined
from wheelover.core.charted.passed import areas_passed
from wheelover.core.charted.select import dangers_of
from wheelover.core.charted.survey import surveys_of
from wheelover.core.clearance.areas_beside import areas_beside
from wheelover.core.clearance.passing import LEAST_SEARCH_M, TrackPiece
from wheelover.core.clearance.whole import clear
from wheelover.core.margins import Margins, margins_of, waters_of
from wheelover.core.types.chart import Chart, Hazards
from wheelover.core.types.charted import Charted, ChartedTrack, Wanted, Way
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.dangers import DangerClass
from wheelover.core.types.limits import ClassMargins, LegAsked, LimitSet, WaterLimits
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import m_from_nm

AREA_CLASSES: frozenset[DangerClass] = frozenset({"restricted", "special", "routeing"})
"""Classes that are areas to know of: only a distance for the class itself is asked of them."""

_LEAST_HALF_WIDTH_M = 50.0


def wanted_for(route: Route, ship: ShipProfile | None, limits: Limits) -> Wanted:
    """Return the depths that charted water of a plan is held against.

    Of a limit set the largest counts that it asks in any kind of water the legs name; where one
    names none, that of the plan, and without that all kinds. The stricter of plan and set counts.

    Parameters
    ----------
    route : Route
        The kinds of water of its legs.
    ship : ShipProfile or None
        Her draughts.
    limits : Limits
        The plan's own values and its limit set.
    """
    kinds = {
        (one.leg.water if one.leg is not None else None) or limits.water
        for one in route.waypoints[1:]
    }
    asked = [one for kind in kinds for _, one in waters_of(limits.limit_set, kind)]
    contours = [one.safety_contour_m for one in asked if one.safety_contour_m is not None]
    depths = [one.safety_depth_m for one in asked if one.safety_depth_m is not None]
    return wanted_of(limits, ship, max(contours, default=None), max(depths, default=None))


def on_cells(chart: Chart, wanted: Wanted) -> tuple[Chart, Charted | None]:
    """Return a chart with the dangers of its cells among its dangers, and all that the cells say.

    The chart that comes back holds no cells, so that nothing is counted twice.

    Parameters
    ----------
    chart : Chart
        Typed dangers and cells. Without cells it comes back as it is.
    wanted : Wanted
        The depths that charted water is held against.

    Raises
    ------
    InvalidChart
        When a typed danger has the id of a charted one.
    """
    if not chart.cells:
        return chart, None
    charted = dangers_of(chart.cells, wanted)
    sources = tuple(f"{one.about.name}: {one.danger_count}" for one in charted.cells)
    checked = replace(
        chart,
        loaded=True,
        hazards=joined(chart.hazards, charted.dangers.hazards),
        sources=(*chart.sources, *sources),
        cells=(),
    )
    return checked, charted


def charted_track(
    charted: Charted | None,
    typed: Hazards,
    legs: Sequence[PlannedLeg],
    pieces: tuple[TrackPiece, ...],
    limits: Limits,
) -> ChartedTrack | None:
    """Return what the cells say of a track: covered water, areas near it and passed; None without.

    Parameters
    ----------
    charted : Charted or None
        What the cells say.
    typed : Hazards
        The dangers of the plan that stand before the charted ones.
    legs : sequence of PlannedLeg
        The legs, with their cross-track limits.
    pieces : tuple of TrackPiece
        The planned track.
    limits : Limits
        What is asked of dangers.
    """
    if charted is None:
        return None
    margins = margins_of([piece.asked for piece in pieces], limits)
    ways = _ways(charted, legs, pieces, margins)
    return ChartedTrack(
        charted=charted,
        typed_count=typed.count,
        covered=covered(charted, ways),
        ways=tuple(ways),
        margin_m=_widest_m(charted.dangers.hazards, margins),
        surveys=surveys_of(charted, ways),
        beside=areas_beside(legs, charted.areas.hazards, limits),
        near_areas=clear(
            tuple(_for_areas(piece) for piece in pieces),
            charted.areas.hazards,
            Limits(water=limits.water, limit_set=_set_for_areas(limits.limit_set)),
        ),
        passed=areas_passed(charted.areas, legs),
        under=areas_passed(charted.overhead, legs),
    )


def _ways(
    charted: Charted,
    legs: Sequence[PlannedLeg],
    pieces: tuple[TrackPiece, ...],
    margins: Margins,
) -> list[Way]:
    """Return how wide the water beside each piece is looked at.

    As wide as the cross-track limits and what is asked of any danger, and how unsure the places of
    dangers are beyond that; where nothing is asked as wide as dangers are listed.
    """
    unsure_m = float(np.max(charted.dangers.hazards.position_uncertainty_m, initial=0.0))
    by_index = {leg.index: leg for leg in legs}
    return [
        _way(piece, float(np.nanmax(np.append(asked, -1.0))), unsure_m, by_index)
        for piece, asked in zip(pieces, margins.limit_m, strict=True)
    ]


def _widest_m(hazards: Hazards, margins: Margins) -> Floats:
    """Return the largest distance that any piece asks of each danger, zero for none."""
    if margins.limit_m.shape[0] == 0:
        return np.zeros(hazards.count)
    widest_m = np.max(np.nan_to_num(margins.limit_m), axis=0)
    return np.asarray(widest_m[margins.columns_of(hazards)])


def _way(piece: TrackPiece, asked_m: float, unsure_m: float, legs: dict[int, PlannedLeg]) -> Way:
    """Return how wide the water beside one piece is looked at."""
    corridor_m = -1.0
    if piece.piece.kind == "leg":
        leg = legs[piece.piece.index]
        given = [one for one in (leg.xtd_port_nm, leg.xtd_starboard_nm) if one is not None]
        corridor_m = m_from_nm(max(given)) if given else -1.0
    widest_m = max(asked_m, corridor_m)
    half_m = max(widest_m + unsure_m, _LEAST_HALF_WIDTH_M) if widest_m >= 0.0 else LEAST_SEARCH_M
    if piece.leg is None:
        arc = piece.arc
        length_m = 0.0 if arc is None else float(np.radians(abs(arc.sweep_deg))) * arc.radius_m
        return Way(piece=piece.piece, half_width_m=half_m, length_m=length_m, arc=arc)
    length_m = piece.leg.length_m
    return Way(
        piece=piece.piece,
        half_width_m=half_m,
        length_m=length_m,
        leg=piece.leg,
        low_m=min(0.0, piece.from_m - half_m),
        high_m=max(length_m, piece.to_m + half_m),
    )


def _for_areas(piece: TrackPiece) -> TrackPiece:
    """Return a piece that asks of areas what it asks for their class, and nothing in general."""
    return replace(
        piece,
        asked=tuple(
            LegAsked(min_clearance_by_class=_of_areas(one.min_clearance_by_class), water=one.water)
            for one in piece.asked
        ),
    )


def _of_areas(margins: ClassMargins) -> ClassMargins:
    """Return the margins of the classes that are areas."""
    return tuple(one for one in margins if one[0] in AREA_CLASSES)


def _set_for_areas(limit_set: LimitSet | None) -> LimitSet | None:
    """Return what a limit set asks of areas alone."""
    if limit_set is None:
        return None

    def water(limits: WaterLimits | None) -> WaterLimits | None:
        if limits is None:
            return None
        return WaterLimits(min_clearance_by_class=_of_areas(limits.min_clearance_by_class))

    return replace(
        limit_set,
        open=water(limit_set.open),
        coastal=water(limit_set.coastal),
        confined=water(limit_set.confined),
    )
