"""Read pasted navigational warnings: what stands where, and the dangers that could be taken.

Nothing is stored, and nothing becomes a danger here: whoever reads takes what they choose.
"""

from collections.abc import Mapping
from typing import Any

import shapely

from wheelover.formats.text_positions import FoundPosition, Reading
from wheelover.formats.warning_text import SaidTime, WarningMessage, read_warnings

Document = dict[str, Any]
Chosen = Mapping[int, int | None]
"""For the start of a position the number of the reading that counts; None to leave it out."""

KIND = "navigational warning"
MOST_KEPT = 4000
_NO_DOUBT = 1


def read_warning_text(text: str, chosen: Chosen) -> Document:
    """Return the messages of a text with every position, and the dangers they may be taken as.

    Parameters
    ----------
    text : str
        As it was received.
    chosen : mapping of int to int or None
        What the reader decided about positions in question, by where they start.
    """
    messages = read_warnings(text)
    return {
        "messages": [_message(text, one, chosen) for one in messages],
        "position_count": sum(len(one.positions) for one in messages),
        "in_question_count": sum(
            not _settled(place, chosen) for one in messages for place in one.positions
        ),
    }


def _message(text: str, message: WarningMessage, chosen: Chosen) -> Document:
    """Return one message as JSON values."""
    return {
        "start": message.start,
        "end": message.end,
        "number": message.number,
        "issued": _time(message.issued),
        "cancel": _time(message.cancel),
        "cancels": list(message.cancels),
        "positions": [_position(one, chosen) for one in message.positions],
        "suggested_shape": message.shape,
        "radius_m": message.radius_m,
        **_takings(text, message, chosen),
    }


def _time(said: SaidTime | None) -> Document | None:
    """Return a time as it is written and as it is understood."""
    return None if said is None else {"raw": said.raw, "utc": said.utc}


def _position(found: FoundPosition, chosen: Chosen) -> Document:
    """Return a position with everything it may be."""
    reading = _counting(found, chosen)
    return {
        "start": found.start,
        "end": found.end,
        "raw": found.raw,
        "problem": found.problem,
        "settled": _settled(found, chosen),
        "reading": None if reading is None else found.readings.index(reading),
        "readings": [
            {
                "lat_deg": one.lat_deg,
                "lon_deg": one.lon_deg,
                "shown": one.shown,
                "words": one.words,
            }
            for one in found.readings
        ],
    }


def _settled(found: FoundPosition, chosen: Chosen) -> bool:
    """Return whether it is known what a position is, or that it is left out."""
    return found.start in chosen or len(found.readings) == _NO_DOUBT


def _counting(found: FoundPosition, chosen: Chosen) -> Reading | None:
    """Return what a position counts as; None while in question, or left out."""
    if found.start in chosen:
        number = chosen[found.start]
        within = number is not None and number < len(found.readings)
        return found.readings[number] if within and number is not None else None
    return found.readings[0] if len(found.readings) == _NO_DOUBT else None


def _takings(text: str, message: WarningMessage, chosen: Chosen) -> Document:
    """Return the dangers that a message may be taken as, by shape, and why a shape is missing."""
    open_count = sum(not _settled(one, chosen) for one in message.positions)
    readings = [one for place in message.positions if (one := _counting(place, chosen))]
    about = _about(text, message)
    takings: Document = {}
    missing: Document = {}
    if readings:
        takings["points"] = _points(readings, about, None)
        if message.radius_m:
            takings["circle"] = _points(readings, about, message.radius_m)
    for shape, least, words in (("line", 2, "two"), ("area", 3, "three")):
        if open_count:
            missing[shape] = f"{open_count} positions of it are not settled"
        elif len(readings) < least:
            missing[shape] = f"{words} positions are needed"
        elif shape == "area" and not _encloses(readings):
            missing[shape] = "joined in the order they stand, the sides cross each other"
        else:
            takings[shape] = [_feature(_joined(readings, shape), about, "1")]
    return {"takings": takings, "missing": missing}


def _about(text: str, message: WarningMessage) -> Document:
    """Return what every danger of a message carries of it."""
    said = {
        "number": message.number,
        "issued": None if message.issued is None else message.issued.raw,
        "issued_utc": None if message.issued is None else message.issued.utc,
        "cancel_utc": None if message.cancel is None else message.cancel.utc,
        "text": text[message.start : message.end].strip()[:MOST_KEPT],
    }
    return {member: value for member, value in said.items() if value is not None}


def _points(readings: list[Reading], about: Document, radius_m: float | None) -> list[Document]:
    """Return a danger for each position; within a radius it may lie anywhere."""
    extra = {} if radius_m is None else {"position_uncertainty_m": radius_m}
    return [
        _feature(
            {"type": "Point", "coordinates": [one.lon_deg, one.lat_deg]}, about, str(number), extra
        )
        for number, one in enumerate(readings, start=1)
    ]


def _feature(
    geometry: Document, about: Document, part: str, extra: Document | None = None
) -> Document:
    """Return a danger as a plan or a hazard set takes it."""
    number = about.get("number", "warning without number")
    return {
        "type": "Feature",
        "geometry": geometry,
        "properties": {
            "id": f"{number} {part}",
            "name": f"{number}, {part}",
            "kind": KIND,
            **(extra or {}),
            "warning": about,
        },
    }


def _unwrapped(readings: list[Reading]) -> list[tuple[float, float]]:
    """Return positions as longitude and latitude, each the shorter way from the one before."""
    places = [(readings[0].lon_deg, readings[0].lat_deg)]
    for one in readings[1:]:
        whole_turns = round((places[-1][0] - one.lon_deg) / 360.0)
        places.append((one.lon_deg + 360.0 * whole_turns, one.lat_deg))
    return places


def _encloses(readings: list[Reading]) -> bool:
    """Return whether positions joined in their order enclose an area whose sides do not cross."""
    area = shapely.Polygon(_unwrapped(readings))
    return bool(area.is_valid and area.area > 0.0)


def _joined(readings: list[Reading], shape: str) -> Document:
    """Return positions joined to a line or an area, cut where it crosses 180 degrees (RFC 7946)."""
    places = _unwrapped(readings)
    if all(abs(lon_deg) <= 180.0 for lon_deg, _ in places):
        line = [list(place) for place in places]
        if shape == "area":
            return {"type": "Polygon", "coordinates": [[*line, line[0]]]}
        return {"type": "LineString", "coordinates": line}
    whole = shapely.Polygon(places) if shape == "area" else shapely.LineString(places)
    parts = []
    for turn in (-1, 0, 1):
        box = shapely.box(360.0 * turn - 180.0, -90.0, 360.0 * turn + 180.0, 90.0)
        inside = shapely.intersection(whole, box)
        moved = shapely.transform(inside, lambda xy, by=360.0 * turn: xy - (by, 0.0))
        parts += [
            one
            for one in shapely.get_parts(moved)
            if one.geom_type == whole.geom_type and not one.is_empty
        ]
    if whole.geom_type == "LineString":
        lines = [[list(place) for place in one.coords] for one in parts]
        return {"type": "MultiLineString", "coordinates": lines}
    areas = [[[list(place) for place in one.exterior.coords]] for one in parts]
    return {"type": "MultiPolygon", "coordinates": areas}
