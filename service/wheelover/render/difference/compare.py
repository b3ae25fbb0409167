"""Differences of two revisions: the table of contents."""

import re
from collections.abc import Iterator
from typing import Any

from wheelover.render.difference.basis import basis_changes, caution_changes, engine_changes
from wheelover.render.difference.bridge import AS_LAID, BRIDGE, OF_ANSWER, bridge_changes
from wheelover.render.difference.change import PLAN, About, Change, Figure, told_apart
from wheelover.render.difference.clearances import clearance_changes
from wheelover.render.difference.dangers import Contents, danger_changes
from wheelover.render.difference.drawing import drawing_changes
from wheelover.render.difference.findings import check_changes, finding_changes
from wheelover.render.difference.given import (
    alternative_changes,
    amendment_change,
    case_changes,
    margin_changes,
    other_inputs,
    ship_changes,
)
from wheelover.render.difference.legs import leg_changes
from wheelover.render.difference.limit_set import limit_set_changes, waiver_changes
from wheelover.render.difference.named import Places
from wheelover.render.difference.pairs import Both, Numbering, figures_said, rest_of
from wheelover.render.difference.plot import plot_layers
from wheelover.render.difference.route import Asked, route_changes
from wheelover.render.difference.turns import turn_changes
from wheelover.render.difference.words import was_now

Document = dict[str, Any]

_SPOKEN = frozenset(
    ("route", "ship", "ship_id", "ship_edition", "hazards", "hazard_set_ids",
     "hazard_set_editions", "limits", "conditions", "cases",
     "limit_set", "limit_set_id", "limit_set_edition", "waivers", "alternatives", "amendment",
     *BRIDGE)
)  # fmt: skip
_HEAD = ("number", "created_utc", "inputs", "loaded", "result", "engine_version", "made_with",
         "inputs_sha256")  # fmt: skip
_ANSWER = ("legs", "turns", "clearances", "findings", "checks", "basis", "cautions", "cases",
           "alternatives", "layers", "engine_version", *OF_ANSWER)  # fmt: skip
_ORDER = ("engine", "route", "sailing", "danger", "hazards", "ship", "limits", "conditions",
          "input", "bridge", "finding", "case", "alternative", "basis", "check", "clearance",
          "caution", "record", "drawing")  # fmt: skip
_SAILING = ("leg", "waypoint", "turn")
_ROW = re.compile(
    r"/(?:inputs/route/(waypoint)s|result/(leg|turn|finding|basi|clearance)s|result/(check)s/rows)"
    r"/([0-9]+)"
)
_GONE = ("removed", "gone")
_FOLLOWING = ("figures", "methods")


def differences(was: Document, now: Document, contents: Contents) -> Document:
    """Return everything that differs between two revisions, and how much does not.

    Nothing that differs is left out: each change says which members it speaks for, and what has
    no words of its own is told by its JSON pointer with both values. Things are matched by their
    stable ids, so that a new number of the same thing is told once and moves nothing.

    Parameters
    ----------
    was, now : dict
        Revision documents as they are frozen.
    contents : callable
        Gives the dangers of a stored hazard set by its sha256, None where they are not held.

    Returns
    -------
    dict
        ``changes`` in sailing order, ``unchanged`` rows by kind, ``layers`` for the Plot.
    """
    counts: dict[str, int] = {}
    found = told_apart(sorted(_changes(was, now, contents, counts), key=_place_in_order))
    found = _with_causes(found)
    return {
        "same_inputs": was["inputs"] == now["inputs"] and was["loaded"] == now["loaded"],
        "changes": [one.document() for one in found],
        "unchanged": {**_unchanged(now, found), "hazard": counts.get("hazard", 0)},
        "layers": plot_layers(was, now, found),
    }


def numbering_of(was: Document, now: Document) -> Numbering:
    """Return which waypoint, leg and turn has which number in two revisions."""
    sides = [
        {
            "waypoint": [one["id"] for one in document["inputs"]["route"]["waypoints"]],
            "leg": [one["to_id"] for one in document["result"]["legs"]],
            "turn": [one["waypoint_id"] for one in document["result"]["turns"]],
        }
        for document in (was, now)
    ]
    hazards_differ = was["inputs"].get("hazards") != now["inputs"].get("hazards") or (
        was["loaded"].get("hazard_sets") != now["loaded"].get("hazard_sets")
    )
    ids = {kind: (sides[0][kind], sides[1][kind]) for kind in sides[0]}
    return Numbering.of(ids, hazards_differ=hazards_differ)


def _changes(
    was: Document, now: Document, contents: Contents, counts: dict[str, int]
) -> Iterator[Change]:
    """Yield every change, the drawing last: it needs to know what else changed."""
    numbering, places = numbering_of(was, now), Places(was, now)
    found = [
        *_of_inputs(was, now, numbering, places, (contents, counts)),
        *_of_result(was["result"], now["result"], numbering, places),
        *engine_changes(was, now, numbering),
        *_record(was, now, numbering),
    ]
    yield from found
    changed = {one.about.id for one in found if one.about.id is not None}
    changed |= _dangers_at_another_distance(now["result"]["clearances"], found)
    yield from drawing_changes(was["result"], now["result"], numbering, changed)


def _dangers_at_another_distance(rows: list[Document], changes: list[Change]) -> set[str]:
    """Return the ids of the dangers whose clearances are told together."""
    return {
        rows[int(figure.pointer.split("/")[3])]["hazard_id"]
        for one in changes
        if (one.kind, one.what) == ("clearance", "distances")
        for figure in one.figures
    }


def _of_inputs(
    was: Document, now: Document, numbering: Numbering, places: Places,
    held: tuple[Contents, dict[str, int]],
) -> Iterator[Change]:  # fmt: skip
    """Yield what differs in the inputs; of wishes that the answer repeats, the answer speaks."""
    asked: Asked = {}
    yield from route_changes(was, now, numbering, places, asked)
    for name, change in (("legs", leg_changes), ("turns", turn_changes)):
        yield from change(was["result"][name], now["result"][name], numbering, places, asked)
    yield from ship_changes(was, now, numbering)
    yield from margin_changes(was, now, numbering)
    yield from limit_set_changes(was, now, numbering)
    yield from waiver_changes(was, now, numbering)
    yield from danger_changes(was, now, numbering, *held)
    yield from case_changes(was, now, numbering, places)
    yield from alternative_changes(was, now, numbering)
    yield from amendment_change(was, now, numbering)
    yield from bridge_changes(was, now, numbering)
    yield from other_inputs(was, now, numbering, _SPOKEN)


def changes_of_inputs(
    was: Document, now: Document, numbering: Numbering, places: Places
) -> list[Change]:
    """Return what differs in the inputs of two documents, as the ship meets it."""
    held: tuple[Contents, dict[str, int]] = (lambda _sha256: None, {})
    found = [*_of_inputs(was, now, numbering, places, held)]
    return sorted(found, key=_place_in_order)


def _of_result(
    was: Document, now: Document, numbering: Numbering, places: Places
) -> Iterator[Change]:
    """Yield what differs in the answer, legs and turns aside."""
    yield from finding_changes(was["findings"], now["findings"], numbering, places)
    yield from check_changes(was["checks"], now["checks"], numbering)
    yield from clearance_changes(was["clearances"], now["clearances"], numbering)
    yield from basis_changes(was["basis"], now["basis"], numbering)
    yield from caution_changes(was.get("cautions"), now.get("cautions"), numbering)


def _record(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in the document around inputs and answer, and in members new to us."""
    answer = Both(was["result"], now["result"], "/result", "/result", numbering)
    answer.taken.update(_ANSWER)
    sides = (was, now)
    repeats = {
        "name": [one["inputs"]["route"].get("name") for one in sides],
        "demonstration": [bool(one["inputs"].get("demonstration")) for one in sides],
        "inputs_sha256": [one.get("inputs_sha256") for one in sides],
    }
    for member, values in repeats.items():
        if values == [one["result"].get(member) for one in sides]:
            answer.taken.add(member)
    track = answer.take("track")
    if track:
        old, new = ((one["result"].get("track") or {}).get("distance_nm") for one in sides)
        yield _track(old, new, track)
    yield from rest_of("record", About(kind="plan"), "Answer", answer)
    loaded = Both(was["loaded"], now["loaded"], "/loaded", "/loaded", numbering)
    loaded.taken.update(("ship", "hazard_sets", "limit_set"))
    yield from rest_of("record", About(kind="plan"), "Loaded", loaded)
    whole = Both(was, now, "", "", numbering)
    whole.taken.update(_HEAD)
    explained = any(was.get(one) != now.get(one) for one in ("inputs", "loaded", "engine_version"))
    if not explained:
        whole.taken.discard("inputs_sha256")
    yield from rest_of("record", About(kind="plan"), "Revision", whole)


def _track(was: Any, now: Any, figures: tuple[Figure, ...]) -> Change:
    """Return that the track has another length."""
    sentence = f"Length of the track {was_now(was, now, 'NM')}"
    if was == now:
        sentence = figures_said("Track", figures, 2)
    return Change(
        kind="route", about=PLAN, what="track", was=was, now=now, unit="NM", sentence=sentence,
        figures=figures,
    )  # fmt: skip


def _place_in_order(change: Change) -> tuple[int, int, int]:
    """Return where a change comes: the route as the ship meets it, then what lies around it."""
    if change.kind not in _SAILING:
        return _ORDER.index(change.kind), 0, 0
    about = change.about
    index = about.index_now if about.index_now is not None else about.index_was
    # A leg has the number of the waypoint before it, a turn that of the one before its own.
    at = (index or 0) + (0 if change.kind == "waypoint" else 1)
    return _ORDER.index("sailing"), at, _SAILING.index(change.kind)


def _with_causes(changes: list[Change]) -> list[Change]:
    """Return changes, with those marked that only repeat another or come with it."""
    causes: dict[Any, str] = {}
    for one in changes:
        if one.kind in ("ship", "limits", "conditions", "waypoint", "leg", "turn"):
            causes.setdefault(_values(one), one.id)
        if one.kind in ("leg", "turn") and one.what in ("added", "removed"):
            causes[one.kind, one.about.id] = one.id
        if one.kind in ("leg", "turn") and one.what not in _FOLLOWING:
            causes.setdefault((one.about.kind, one.about.id, "first"), one.id)
        if one.kind == "bridge" and not one.what.startswith(AS_LAID):
            causes.setdefault((one.about.kind, one.about.id, "first"), one.id)
        for figure in one.figures:
            if one.kind == "finding" and figure.pointer.endswith("/message"):
                causes[figure.now] = one.id
    return [one.after(cause) if (cause := _cause(one, causes)) else one for one in changes]


def _cause(change: Change, causes: dict[Any, str]) -> str | None:
    """Return the id of the change that says the same: of the input, the finding, the new leg."""
    if change.kind == "basis":
        return causes.get(_values(change))
    if (change.kind in ("leg", "turn") and change.what in _FOLLOWING) or (
        change.kind == "bridge" and change.what.startswith(AS_LAID)
    ):
        return causes.get((change.about.kind, change.about.id, "first"))
    if change.kind == "check" and change.what == "reason":
        reasons = {one.now for one in change.figures if isinstance(one.now, str)}
        return next((causes[one] for one in reasons if one in causes), None)
    if change.kind == "check":
        return causes.get((change.about.kind, change.about.id))
    if change.kind == "finding" and "not_checked" in (change.was, change.now):
        row = change.figures[0].now or change.figures[0].was
        subject = row.get("subject") if isinstance(row, dict) else None
        return causes.get((subject["kind"], subject["id"])) if subject else None
    return None


def _values(change: Change) -> tuple[str, str, str | None]:
    """Return both values of a change and their unit, so that they can be looked up."""
    return repr(change.was), repr(change.now), change.unit


def _unchanged(now: Document, changes: list[Change]) -> dict[str, int]:
    """Return how many rows of each kind are in both and the same."""
    rows = {
        "waypoint": now["inputs"]["route"]["waypoints"],
        **{kind: now["result"][f"{kind}s"] for kind in ("leg", "turn", "finding", "clearance")},
        "check": now["result"]["checks"]["rows"],
        "basis": now["result"]["basis"],
    }
    touched: dict[str, set[str]] = {kind: set() for kind in rows}
    for one in changes:
        if one.what in _GONE or one.what in ("renumbered", "order"):
            continue
        for figure in one.figures:
            found = _ROW.match(figure.pointer)
            if found:
                kind = found[1] or found[2] or found[3]
                touched["basis" if kind == "basi" else kind].add(found[4])
    return {kind: len(rows[kind]) - len(touched[kind]) for kind in rows}


__all__ = ["Contents", "differences", "numbering_of"]
