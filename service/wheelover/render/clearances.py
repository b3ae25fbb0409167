"""Rows of clearances as JSON values, made column by column: there may be many thousands."""

from typing import Any

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, require_finite
from wheelover.core.types.chart import Chart
from wheelover.core.types.charted import ChartedTrack
from wheelover.core.types.clearance import LIMIT_SOURCES, SIDES, ClearanceRows
from wheelover.core.types.dangers import danger_class_of
from wheelover.render.charted import why_listed
from wheelover.render.lines import between_each
from wheelover.render.rounding import DEGREES, METRES, rounded_array

Document = dict[str, Any]

_JUDGED = {-1: None, 0: False, 1: True}


def clearance_rows(
    rows: ClearanceRows, chart: Chart, on_chart: ChartedTrack | None = None
) -> list[Document]:
    """Return each danger at its nearest piece of track.

    Raises
    ------
    OutOfDomain
        For a number that is not finite.
    """
    hazards, which = chart.hazards, rows.hazard.tolist()
    pieces = [{"kind": piece.kind, "index": piece.index} for piece in rows.pieces]
    limited = rows.limit_source >= 0
    given = hazards.uncertainty_given[rows.hazard]
    uncertainty_m = hazards.position_uncertainty_m[rows.hazard]
    known = given | (uncertainty_m > 0.0)
    return _in_rows(
        hazard_id=_ids(rows),
        hazard_name=[hazards.names[one] for one in which],
        kind=[hazards.kinds[one] for one in which],
        shape=[hazards.shapes[one] for one in which],
        distance_m=_rounded(rows.distance_m, METRES),
        nearest=_places(rows.nearest.lat_deg, rows.nearest.lon_deg),
        hazard_point=_places(rows.danger_lat_deg, rows.danger_lon_deg),
        piece=[pieces[one] for one in rows.piece.tolist()],
        side=[SIDES[one] for one in rows.side.tolist()],
        limit_m=_where(limited, rows.limit_m, METRES),
        limit_source=_words(LIMIT_SOURCES, rows.limit_source),
        limit_piece=_words(tuple(pieces), rows.limit_piece),
        position_uncertainty_m=_where(known, uncertainty_m, METRES),
        position_uncertainty_source=[
            "given" if one else ("assumed" if other else None)
            for one, other in zip(given.tolist(), known.tolist(), strict=True)
        ],
        danger_class=_classes(rows, chart),
        charted=why_listed(rows, on_chart),
        clearance_m=_rounded(rows.clearance_m, METRES),
        met=_met(rows),
        on_track=(rows.clearance_m <= 0.0).tolist(),
        margin_m=_where(limited, rows.clearance_m - rows.limit_m, METRES),
    )


def _classes(rows: ClearanceRows, chart: Chart) -> list[str | None]:
    """Return the class of each row's danger."""
    hazards = chart.hazards
    by_kind = {kind: danger_class_of(kind) for kind in set(hazards.kinds)}
    own = hazards.classes
    return [
        (own[one] if own and own[one] is not None else by_kind[hazards.kinds[one]])
        for one in rows.hazard.tolist()
    ]


def clearance_features(rows: ClearanceRows) -> list[Document]:
    """Return a line from the track to each danger near it, as GeoJSON features."""
    properties = _in_rows(
        layer=["clearance"] * len(rows),
        hazard_id=_ids(rows),
        distance_m=_rounded(rows.distance_m, METRES),
        limit_m=_where(rows.limit_source >= 0, rows.limit_m, METRES),
        met=_met(rows),
        piece_kind=[rows.pieces[one].kind for one in rows.piece.tolist()],
        piece_index=[rows.pieces[one].index for one in rows.piece.tolist()],
    )
    lines = between_each(
        (rows.nearest.lat_deg, rows.nearest.lon_deg), (rows.danger_lat_deg, rows.danger_lon_deg)
    )
    return _in_rows(type=["Feature"] * len(rows), geometry=lines, properties=properties)


def _in_rows(**columns: list[Any]) -> list[Document]:
    """Return columns of equal length as one object for each row."""
    names = tuple(columns)
    return [dict(zip(names, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def _ids(rows: ClearanceRows) -> list[str]:
    """Return the id of each row's danger."""
    return [rows.ids[one] for one in rows.hazard.tolist()]


def _met(rows: ClearanceRows) -> list[bool | None]:
    """Return whether each row's limit is kept, None where nothing is judged."""
    return [_JUDGED[one] for one in rows.met.tolist()]


def _rounded(values: Floats, digits: int) -> list[float]:
    """Return a column rounded as single numbers are."""
    require_finite("a number of the answer", values)
    found: list[float] = rounded_array(values, digits).tolist()
    return found


def _where(present: Bools, values: Floats, digits: int) -> list[float | None]:
    """Return a column rounded, None where a number is not present."""
    found = iter(_rounded(values[np.flatnonzero(present)], digits))
    return [next(found) if one else None for one in present.tolist()]


def _words(words: tuple[Any, ...], numbers: Ints) -> list[Any]:
    """Return the words that numbers stand for, None for -1."""
    return [None if one < 0 else words[one] for one in numbers.tolist()]


def _places(lat_deg: Floats, lon_deg: Floats) -> list[Document]:
    """Return columns of positions as the API writes them."""
    return _in_rows(lat_deg=_rounded(lat_deg, DEGREES), lon_deg=_rounded(lon_deg, DEGREES))
