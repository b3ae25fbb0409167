"""The difference of two plans as GeoJSON layers: both tracks, arrows, dangers that changed."""

from collections.abc import Iterator
from typing import Any

from wheelover.core.types.route import Position
from wheelover.render.difference.change import Change
from wheelover.render.difference.words import moved_said
from wheelover.render.lines import between, point

Document = dict[str, Any]

_BARE = {
    "waypoint": ("layer", "id", "index"),
    "leg": ("layer", "index", "from_id", "to_id"),
    "turn": ("layer", "index", "waypoint_id"),
}
_OF_TRACK = ("waypoint", "leg", "turn", "wheel_over", "wheel_over_line")


def plot_layers(was: Document, now: Document, changes: list[Change]) -> Document:
    """Return a FeatureCollection of what differs.

    Every feature has ``revision``: ``was`` or ``now``. Of the earlier track only what differs is
    drawn; of the later one also the lines of what is the same, with ``changed`` false and no more
    than their ids. Arrows have the layer ``moved``, dangers ``hazard_change``.

    Parameters
    ----------
    was, now : dict
        Revision documents.
    changes : list of Change
        What differs.
    """
    changed = {
        one.about.id for one in changes if one.kind in ("waypoint", "leg", "turn") and one.about.id
    }
    return {
        "type": "FeatureCollection",
        "features": [
            *_track(was, "was", changed),
            *_track(now, "now", changed),
            *_arrows(changes),
            *_dangers(changes),
        ],
    }


def _track(document: Document, revision: str, changed: set[str]) -> Iterator[Document]:
    """Yield the track of one revision as its own layers draw it."""
    for feature in document["result"]["layers"]["features"]:
        own = feature["properties"]
        differs = (own.get("waypoint_id") or own.get("to_id") or own.get("id")) in changed
        if own["layer"] not in _OF_TRACK or own.get("planned") is False:
            continue
        if differs:
            yield {**feature, "properties": {**own, "revision": revision, "changed": True}}
        elif revision == "now" and own["layer"] in _BARE:
            bare = {name: own[name] for name in _BARE[own["layer"]] if name in own}
            properties = {**bare, "revision": revision, "changed": False}
            yield {**feature, "properties": properties}


def _arrows(changes: list[Change]) -> Iterator[Document]:
    """Yield an arrow from where a waypoint or danger was to where it is."""
    for one in changes:
        was, now = one.where
        if one.what not in ("position", "moved") or was is None or now is None or was == now:
            continue
        yield {
            "type": "Feature",
            "geometry": between(Position(**was), Position(**now)),
            "properties": {
                "layer": "moved",
                "revision": "now",
                "kind": one.about.kind,
                "id": one.about.id,
                "change_id": one.id,
                "label": moved_said(was, now)[2],
            },
        }


def _dangers(changes: list[Change]) -> Iterator[Document]:
    """Yield the dangers near the track that were added, removed, moved or changed."""
    for one in changes:
        if one.kind != "danger":
            continue
        for revision, place in zip(("was", "now"), one.where, strict=True):
            if place is None:
                continue
            yield {
                "type": "Feature",
                "geometry": _shape(one, revision) or point(Position(**place)),
                "properties": {
                    "layer": "hazard_change",
                    "revision": revision,
                    "id": one.about.id,
                    "what": one.what,
                    "change_id": one.id,
                },
            }


def _shape(change: Change, revision: str) -> Document | None:
    """Return the whole shape of a danger that was added or removed."""
    value = getattr(change.figures[0], revision)
    shape = value.get("geometry") if isinstance(value, dict) else None
    return shape if isinstance(shape, dict) else None
