"""A plan as GeoJSON (RFC 7946): its layers, and the words of an export as foreign members."""

import json
from typing import Any

from wheelover.formats.more_wishes import given
from wheelover.render.exports.rows import rows
from wheelover.render.exports.stamp import Document, Stamp, remarks


def geojson(inputs: Document, result: Document, stamp: Stamp) -> tuple[bytes, tuple[str, ...]]:
    """Return a plan as a FeatureCollection that stands on its own, and the warnings.

    Geometry is cut at 180 degrees; what RFC 7946 has no member for are foreign members of the
    collection (its section 6.1).
    """
    said = remarks(inputs, result, stamp)
    chosen = {row.waypoint["id"]: row for row in rows(inputs, result)}
    features = []
    for feature in result["layers"]["features"]:
        properties, geometry = dict(feature["properties"]), feature["geometry"]
        if properties.get("layer") == "waypoint":
            row = chosen[properties["id"]]
            own = {
                "wheel_over_method": row.chosen("method"),
                "wheel_over_distance_nm": row.chosen("distance_nm"),
                **given(row.waypoint),
            }
            properties.update({key: value for key, value in own.items() if value is not None})
            place = [row.waypoint["lon_deg"], row.waypoint["lat_deg"]]  # as given, not rounded
            geometry = {"type": "Point", "coordinates": place}
        features.append({**feature, "properties": properties, "geometry": geometry})
    body: dict[str, Any] = {
        **{key: value for key, value in result["layers"].items() if key != "features"},
        "name": inputs["route"]["name"],
        "export": {
            "status": said.status,
            "plan_id": stamp.plan_id,
            "revision": stamp.revision,
            "sha256": stamp.sha256,
            "created_utc": stamp.created_utc,
            "demonstration": stamp.demonstration,
            "inputs_sha256": result["inputs_sha256"],
            "engine_version": result["engine_version"],
            **({"standing": list(said.standing)} if said.standing else {}),
        },
        **({"voyage": result["voyage"]} if result.get("voyage") else {}),
        "cautions": result["cautions"],
        "exchange_remarks": list(said.exchange),
        "not_checked_count": len(said.not_checked),
        "not_checked": list(said.not_checked),
        "findings": result["findings"],
        "features": features,
    }
    text = json.dumps(body, ensure_ascii=False, allow_nan=False, indent=1)
    return (text + "\n").encode("utf-8"), ()
