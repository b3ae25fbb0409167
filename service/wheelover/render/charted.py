"""What cells chart, as JSON values and as GeoJSON layers."""

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from wheelover.core.charted.no_go import NEAR_M, near_track
from wheelover.core.types.charted import (
    AreaPassed,
    CellUsed,
    Charted,
    ChartedTrack,
    DrawnArea,
    Geometry,
    NearTrack,
    PieceCovered,
    PieceSurvey,
)
from wheelover.core.types.clearance import ClearanceRows
from wheelover.core.units import nm_from_m
from wheelover.render.rounding import DEGREES, METRES, MILES, course, rounded

Document = dict[str, Any]

MOST_VERTICES = 20_000
"""Charted dangers are drawn nearest first up to so many vertices in all."""


def charts_document(on_chart: ChartedTrack | None) -> Document | None:
    """Return the cells of a plan, the safety contour, coverage and areas entered; None without.

    Parameters
    ----------
    on_chart : ChartedTrack or None
        What the cells say of the track.
    """
    if on_chart is None:
        return None
    charted = on_chart.charted
    wanted = charted.contour.wanted
    surveys = {one.piece: one for one in on_chart.surveys}
    return {
        "cells": [
            _cell(one, charted.contour.of_cells_m[number])
            for number, one in enumerate(charted.cells)
        ],
        "safety_contour": {
            "wanted_m": rounded(wanted.contour_m, METRES),
            "wanted_source": wanted.contour_source,
            "used_m": rounded(charted.contour.used_m, METRES),
            "depth_wanted_m": rounded(wanted.depth_m, METRES),
            "depth_source": wanted.depth_source,
        },
        "coverage": [
            {**_covered(one, charted), **_survey(surveys.get(one.piece))}
            for one in on_chart.covered
        ],
        "areas_entered": [_passed(one, charted) for one in on_chart.passed],
        "drawn_within_nm": rounded(nm_from_m(NEAR_M), MILES),
    }


def _cell(one: CellUsed, contour_m: float | None) -> Document:
    """Return a cell of the plan."""
    about = one.about
    return {
        "id": about.id,
        "name": about.name,
        "stored_edition": about.stored_edition,
        "edition": about.edition,
        "update": about.update,
        "updates_missing": list(about.updates_missing),
        "superseded": about.superseded,
        "issued": about.issued,
        "scale": about.scale,
        "band": about.band,
        "depth_datum": about.depth_datum,
        "height_datum": about.height_datum,
        "states_coverage": one.covers,
        "safety_contour_m": rounded(contour_m, METRES),
        "object_count": one.object_count,
        "danger_count": one.danger_count,
        "unknown_classes": dict(one.unknown_classes),
    }


def _covered(one: PieceCovered, charted: Charted) -> Document:
    """Return how far a piece of the track is covered."""
    return {
        "piece": {"kind": one.piece.kind, "index": one.piece.index},
        "half_width_m": rounded(one.half_width_m, METRES),
        "covered": not one.uncovered,
        "uncovered": [
            {
                "from_nm": rounded(nm_from_m(stretch.from_m), MILES),
                "to_nm": rounded(nm_from_m(stretch.to_m), MILES),
            }
            for stretch in one.uncovered
        ],
        "cells": [charted.cells[cell].about.name for cell in one.cells],
    }


def _survey(one: PieceSurvey | None) -> Document:
    """Return how well the water beside a piece was surveyed, as far as it is stated."""
    return {
        "zones": [] if one is None else list(one.zones),
        "unzoned": one is None or one.unzoned,
    }


def _passed(one: AreaPassed, charted: Charted) -> Document:
    """Return an area that a leg leads through."""
    areas = charted.areas
    return {
        "id": areas.hazards.ids[one.area],
        "name": areas.hazards.names[one.area],
        "class": areas.hazards.classes[one.area],
        "object_class": areas.object_classes[one.area],
        "leg_index": one.leg_index,
        "enters": _place(one.enters_deg),
        "leaves": _place(one.leaves_deg),
        "enters_nm": rounded(nm_from_m(one.enters_m), MILES),
        "leaves_nm": rounded(nm_from_m(one.leaves_m), MILES),
        "course_in_deg": course(one.course_in_deg),
        "course_out_deg": course(one.course_out_deg),
    }


def _place(place_deg: tuple[float, float]) -> Document:
    """Return a position."""
    return {"lat_deg": rounded(place_deg[0], DEGREES), "lon_deg": rounded(place_deg[1], DEGREES)}


def why_listed(rows: ClearanceRows, on_chart: ChartedTrack | None) -> list[Document | None]:
    """Return for each clearance what the chart says of its danger; None for one that was typed.

    Parameters
    ----------
    rows : ClearanceRows
        The clearances.
    on_chart : ChartedTrack or None
        What the cells say.
    """
    if on_chart is None:
        return [None] * len(rows)
    return [
        _why(one - on_chart.typed_count, on_chart.charted) if one >= on_chart.typed_count else None
        for one in rows.hazard.tolist()
    ]


def _why(number: int, charted: Charted) -> Document:
    """Return what the chart says of one danger."""
    dangers = charted.dangers
    return {
        "object_class": dangers.object_classes[number],
        "why": dangers.why[number],
        "doubtful": bool(dangers.doubtful[number]),
        "scale": int(dangers.scale[number]),
        "zone": dangers.zone[number],
        "cell": charted.cells[int(dangers.cell[number])].about.name,
    }


def charted_features(on_chart: ChartedTrack, rows: ClearanceRows) -> Iterator[Document]:
    """Yield no-go areas, margins, coverage and its holes, charted areas and dangers near the track.

    Parameters
    ----------
    on_chart : ChartedTrack
        What the cells say of the track.
    rows : ClearanceRows
        How near the track comes to dangers: the nearest are drawn first.
    """
    near, charted = near_track(on_chart), on_chart.charted
    within_nm = rounded(nm_from_m(near.near_m), MILES)
    for layer, shape in (
        ("coverage_hole", near.holes),
        ("no_go", near.no_go),
        ("margin", near.margin),
    ):
        if not shapely.is_empty(shape):
            yield _feature(layer, shape, drawn_within_nm=within_nm)
    for one in near.covers:
        about = charted.cells[one.number].about
        yield _feature(
            "coverage",
            one.shape,
            id=about.id,
            name=about.name,
            scale=about.scale,
            superseded=about.superseded,
        )
    for one in near.areas:
        hazards = charted.areas.hazards
        yield _feature(
            "charted_area",
            one.shape,
            id=hazards.ids[one.number],
            name=hazards.names[one.number],
            kind=hazards.kinds[one.number],
            object_class=charted.areas.object_classes[one.number],
        )
    for one in drawn_dangers(on_chart, near, rows):
        hazards = charted.dangers.hazards
        depth_m = float(hazards.depth_m[one.number])
        yield _feature(
            "hazard",
            one.shape,
            id=hazards.ids[one.number],
            name=hazards.names[one.number],
            kind=hazards.kinds[one.number],
            depth_m=None if math.isnan(depth_m) else depth_m,
            charted=True,
        )


def drawn_dangers(
    on_chart: ChartedTrack, near: NearTrack, rows: ClearanceRows
) -> tuple[DrawnArea, ...]:
    """Return the charted dangers that are drawn: those near the track, the nearest first.

    Parameters
    ----------
    on_chart : ChartedTrack
        What the cells say of the track.
    near : NearTrack
        The shapes beside it.
    rows : ClearanceRows
        How near the track comes to dangers.
    """
    rank = {one: number for number, one in enumerate(rows.hazard.tolist())}
    shapes = sorted(
        near.dangers,
        key=lambda one: (rank.get(one.number + on_chart.typed_count, len(rank)), one.number),
    )
    counts = shapely.get_num_coordinates(np.array([one.shape for one in shapes], np.object_))
    kept = np.cumsum(counts) <= MOST_VERTICES
    return tuple(one for one, drawn in zip(shapes, kept.tolist(), strict=True) if drawn)


def _feature(layer: str, shape: Geometry, **properties: object) -> Document:
    """Return one feature of a layer."""
    plain = shapely.orient_polygons(
        shapely.transform(shape, lambda places: np.round(places, DEGREES) + 0.0)
    )
    return {
        "type": "Feature",
        "geometry": _geometry(plain),
        "properties": {"layer": layer, **properties},
    }


def _geometry(shape: Geometry) -> Document:
    """Return a shape as GeoJSON geometry with lists, as JSON reads it back."""
    if shape.geom_type == "GeometryCollection":
        return {
            "type": shape.geom_type,
            "geometries": [_geometry(one) for one in shapely.get_parts(shape)],
        }
    mapped = shape.__geo_interface__
    return {"type": mapped["type"], "coordinates": _lists(mapped["coordinates"])}


def _lists(coordinates: Any) -> Any:
    """Return nested tuples as lists."""
    if isinstance(coordinates, tuple):
        return [_lists(one) for one in coordinates]
    return coordinates
