"""What a thread is about: whether it is there, what it is called now, whether it changed since."""

from dataclasses import dataclass
from typing import Any, Literal

from wheelover.core.errors import Fault, InvalidInput
from wheelover.core.types.thread import Anchor
from wheelover.render.difference.change import About, pointer_to
from wheelover.render.difference.named import leg_name, turn_name, waypoint_name

Document = dict[str, Any]

NEEDS_RESULT = ("finding", "hazard", "input")
"""Kinds of anchors of which only the computed plan says whether they are there."""

_BY_NUMBER = ("/route/waypoints/", "/hazards/features/", "/cases/", "/alternatives/")
_GONE = ("removed", "gone")


@dataclass(frozen=True, slots=True, kw_only=True)
class SubjectSince:
    """What became of a subject since a revision. ``changes`` are those that concern it."""

    state: Literal["same", "changed", "gone", "not_known"]
    changes: tuple[Document, ...] = ()


def require_anchor(document: Document, anchor: Anchor) -> None:
    """Refuse to talk about something that is not there.

    Parameters
    ----------
    document : dict
        The revision document that was read, or that of the draft.
    anchor : Anchor
        What is to be talked about.

    Raises
    ------
    InvalidInput
        Naming what is not there.
    """
    if anchor.kind == "input" and anchor.id.startswith(_BY_NUMBER):
        raise _fault("name the waypoint, the leg, the turn or the danger itself: numbers move")
    if not _is_there(document, anchor):
        raise _fault(f"there is no {anchor.kind} {anchor.id[:80]!r} in what was read")


def _fault(message: str) -> InvalidInput:
    """Return the error for an anchor."""
    return InvalidInput(message, (Fault(pointer="/anchor/id", message=message),))


def _is_there(document: Document, anchor: Anchor) -> bool:
    """Return whether something stands in a revision."""
    inputs, result = document["inputs"], document.get("result") or {}
    waypoints = inputs["route"]["waypoints"]
    ids = [one["id"] for one in waypoints]
    if anchor.kind == "plan":
        return anchor.id == ""
    if anchor.kind in ("waypoint", "leg", "turn"):
        if anchor.id not in ids:
            return False
        index = ids.index(anchor.id)
        holes = [bool(one.get("gap_before")) for one in waypoints] + [True]
        led_to = index > 0 and not holes[index]
        return {
            "waypoint": True,
            "leg": led_to,
            "turn": led_to and not holes[index + 1],
        }[anchor.kind]
    if anchor.kind == "finding":
        return anchor.id in [one["id"] for one in result.get("findings", ())]
    if anchor.kind == "hazard":
        near = [one["hazard_id"] for one in result.get("clearances", ())]
        return anchor.id in (*near, *_given_dangers(inputs))
    return _input(document, anchor.id)


def _given_dangers(inputs: Document) -> list[str]:
    """Return the ids of the dangers given with a plan."""
    features = (inputs.get("hazards") or {}).get("features", ())
    found = [(one.get("properties") or {}).get("id", one.get("id")) for one in features]
    return [str(one) for one in found if one is not None]


def _input(document: Document, one: str) -> bool:
    """Return whether an input stands in a revision: by JSON pointer, or by its row in the basis."""
    if not one.startswith("/"):
        result = document.get("result") or {}
        return one in [row["input"] for row in result.get("basis", ())]
    here: Any = with_ship(document)
    for step in one.split("/")[1:]:
        name = step.replace("~1", "/").replace("~0", "~")
        if isinstance(here, list) and name.isdecimal() and int(name) < len(here):
            here = here[int(name)]
        elif isinstance(here, dict) and name in here:
            here = here[name]
        else:
            return False
    return True


def with_ship(document: Document) -> Document:
    """Return the inputs of a revision, with the stored ship in their place where there is one."""
    stored = document["loaded"].get("ship")
    return document["inputs"] if stored is None else {**document["inputs"], "ship": stored["ship"]}


def label_of(document: Document, anchor: Anchor) -> str:
    """Return what a subject is called, by its number in this document where it has one."""
    if anchor.kind == "plan":
        return "plan"
    if anchor.kind in ("waypoint", "leg", "turn"):
        ids = [one["id"] for one in document["inputs"]["route"]["waypoints"]]
        if anchor.id not in ids:
            return f"{anchor.kind} {anchor.id}"
        about = About(kind=anchor.kind, id=anchor.id, index_now=ids.index(anchor.id))
        name = {"waypoint": waypoint_name, "leg": leg_name, "turn": turn_name}[anchor.kind](about)
        return name if anchor.kind == "waypoint" else name[0].lower() + name[1:]
    return f"{anchor.kind} {anchor.id}"


def index_of(document: Document, anchor: Anchor) -> int | None:
    """Return the number of a subject among its kind in a document, counted from 0."""
    result = document.get("result") or {}
    rows: list[Any] = {
        "waypoint": [one["id"] for one in document["inputs"]["route"]["waypoints"]],
        "leg": [one["to_id"] for one in result.get("legs", ())],
        "turn": [one["waypoint_id"] for one in result.get("turns", ())],
        "finding": [one["id"] for one in result.get("findings", ())],
    }.get(anchor.kind, [])
    return rows.index(anchor.id) if anchor.id in rows else None


def since(document: Document, anchor: Anchor, changes: list[Document]) -> SubjectSince:
    """Return what became of a subject.

    Parameters
    ----------
    document : dict
        The newest revision.
    anchor : Anchor
        The subject.
    changes : list of dict
        The difference from the revision that was read to the newest.
    """
    found = tuple(one for one in changes if _concerns(document, one, anchor))
    if not _is_there(document, anchor):
        return SubjectSince(state="gone", changes=found)
    return SubjectSince(state="changed" if found else "same", changes=found)


def _concerns(document: Document, change: Document, anchor: Anchor) -> bool:
    """Return whether a change is one of a subject."""
    subject = change["subject"]
    if anchor.kind == "plan":
        return change["kind"] not in ("record", "drawing")
    if anchor.kind == "input":
        return _concerns_input(document, change, anchor.id)
    kinds = {"leg": ("leg",), "turn": ("turn", "waypoint")}.get(anchor.kind, (anchor.kind,))
    return change["kind"] != "check" and subject["kind"] in kinds and subject["id"] == anchor.id


def _concerns_input(document: Document, change: Document, one: str) -> bool:
    """Return whether a change speaks for an input, or for what it stands in."""
    if not one.startswith("/"):
        return bool(change["kind"] == "basis" and change["subject"]["id"] == one)
    places = [f"/inputs{one}"]
    if one == "/ship" or one.startswith("/ship/"):
        places.append(f"/loaded/ship{one}")
    places += _editions_of(document, one)
    return any(
        figure["pointer"] == place
        or figure["pointer"].startswith(f"{place}/")
        or place.startswith(f"{figure['pointer']}/")
        for figure in change["figures"]
        for place in places
    )


def _editions_of(document: Document, one: str) -> list[str]:
    """Return where the edition stands of what an input names, and what is loaded of it."""
    single = {"/ship_id": "ship", "/limit_set_id": "limit_set"}
    if one in single:
        return [f"/inputs/{single[one]}_edition", f"/loaded/{single[one]}"]
    for member, kind, loaded in (
        ("hazard_set_ids", "hazard_set", "hazard_sets"),
        ("chart_ids", "chart", "charts"),
    ):
        if one == f"/{member}":
            return [f"/inputs/{kind}_editions", f"/loaded/{loaded}"]
        step = one.removeprefix(f"/{member}/")
        ids = document["inputs"].get(member) or []
        if step != one and step.isdecimal() and int(step) < len(ids):
            return [
                pointer_to(f"/inputs/{kind}_editions", ids[int(step)]),
                f"/loaded/{loaded}/{step}",
            ]
    return []
