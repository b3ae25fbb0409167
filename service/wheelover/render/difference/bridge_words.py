"""What action points, contingencies and sources are called in a difference, and how they read."""

from typing import Any

from wheelover.render.difference.words import value_said

Document = dict[str, Any]


def place(one: Document) -> Document:
    """Return a waypoint's position."""
    return {name: one.get(name) for name in ("lat_deg", "lon_deg")}


def place_said(place: Document | None) -> str:
    """Return a place on the track in words."""
    if not isinstance(place, dict):
        return "none"
    if place.get("leg_to_id") is None or place.get("before_nm") is None:
        return value_said(place.get("position"))
    at = f" at {place['at_utc']}" if place.get("at_utc") else ""
    return f"{value_said(place['before_nm'], 'NM')} before {place['leg_to_id']}{at}"


def found_id(row: Document) -> str:
    """Return by what a point of a chart is known again."""
    return f"{row.get('object_class')}/{row.get('object_id')}"


def point_named(one: Document) -> str:
    """Return what an action point is called."""
    return f"{one.get('kind')} {one.get('id')}".replace("_", " ")


def point_told(one: Document) -> str:
    """Return where an action point was put, and what is done there."""
    where = (
        f"{value_said(one['before_nm'], 'NM')} before {one.get('leg_to_id')}"
        if one.get("before_nm") is not None
        else value_said(place(one)) if one.get("lat_deg") is not None else ""
    )  # fmt: skip
    told = (where, one.get("channel"), one.get("text"))
    return ", ".join(str(part) for part in told if part)


def contingency_named(one: Document) -> str:
    """Return what a contingency is called."""
    name = (one.get("route") or {}).get("name") or one.get("name") or one.get("id")
    return f"{str(one.get('kind')).replace('_', ' ')} {name!r}"


def contingency_told(one: Document) -> str:
    """Return where a contingency begins, and its remark."""
    return ", ".join(
        part for part in (f"from {one.get('from_id')}", one.get("remark")) if part
    )  # fmt: skip


def source_named(one: Document) -> str:
    """Return what a source is called."""
    return " ".join(str(part) for part in (repr(one.get("title")), one.get("number")) if part)


def source_told(one: Document) -> str:
    """Return the edition of a source, its corrections, and whether it was consulted."""
    edition, corrected = one.get("edition"), one.get("corrected_to_utc")
    read = {True: "consulted", False: "not consulted"}.get(one.get("consulted"), "")  # type: ignore[arg-type]
    told = (edition and f"edition {edition}", corrected and f"corrected to {corrected}", read)
    return ", ".join(str(part) for part in told if part)
