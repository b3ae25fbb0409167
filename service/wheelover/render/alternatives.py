"""Alternative routes: their legs as a table and as lines, and that they are not checked."""

from typing import Any

from wheelover.core.track import Track
from wheelover.core.types.alternative import Alternative
from wheelover.core.units import nm_from_m
from wheelover.render.lines import along_legs
from wheelover.render.rounding import MILES, course, rounded

Document = dict[str, Any]

NOT_CHECKED = "An alternative is laid and drawn; it is checked once it is selected."


def alternative_document(alternative: Alternative, track: Track) -> Document:
    """Return an alternative as JSON values: its legs, its length, and that it is not checked.

    Parameters
    ----------
    alternative : Alternative
        The route.
    track : Track
        As it was laid.
    """
    return {
        "id": alternative.id,
        "name": alternative.route.name,
        "remark": alternative.remark,
        "distance_nm": None
        if track.length_m is None
        else rounded(nm_from_m(track.length_m), MILES),
        "legs": [
            {
                "from_id": leg.from_id,
                "to_id": leg.to_id,
                "line": leg.line,
                "course_deg": None if leg.path is None else course(leg.path.course_deg),
                "distance_nm": rounded(nm_from_m(leg.length_m), MILES),
            }
            for leg in track.legs
        ],
        "not_checked": NOT_CHECKED,
    }


def alternative_features(alternative: Alternative, track: Track) -> list[Document]:
    """Return the legs of an alternative as features, waypoint to waypoint."""
    legs = [leg for leg in track.legs if leg.path is not None]
    lines = along_legs([(leg.path, 0.0, leg.length_m) for leg in legs if leg.path is not None])
    return [
        {
            "type": "Feature",
            "geometry": geometry,
            "properties": {
                "layer": "alternative",
                "alternative_id": alternative.id,
                "name": alternative.route.name,
                "index": leg.index,
                "from_id": leg.from_id,
                "to_id": leg.to_id,
            },
        }
        for leg, geometry in zip(legs, lines, strict=True)
    ]
