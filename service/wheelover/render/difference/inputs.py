"""What differs between the inputs of two plans, before anything is computed from them."""

from typing import Any

from wheelover.render.difference.change import PLAN, Change, told_apart
from wheelover.render.difference.compare import changes_of_inputs
from wheelover.render.difference.named import Places
from wheelover.render.difference.pairs import Numbering, figures_said, leaves

Document = dict[str, Any]


def input_changes(was: Document, now: Document) -> list[Change]:
    """Return every member of two plan requests that differs, as sentences with both values.

    Parameters
    ----------
    was, now : dict
        Plan requests; of one without a route nothing is said of waypoints.
    """
    sides = [_bare(one) for one in (was, now)]
    was_ids, now_ids = (
        [one["id"] for one in side["inputs"]["route"]["waypoints"]] for side in sides
    )
    ids = (was_ids, now_ids)
    numbers = {"waypoint": ids, "leg": ids, "turn": ids}
    differ = was.get("hazards") != now.get("hazards")
    numbering = Numbering.of(numbers, hazards_differ=differ)
    found = changes_of_inputs(sides[0], sides[1], numbering, Places(sides[0], sides[1]))
    spoken = tuple(figure.pointer for one in found for figure in one.figures)
    for figure in leaves(sides[0]["inputs"], sides[1]["inputs"], "/inputs", numbering):
        at = figure.pointer
        if not any(at.startswith(one) or one.startswith(at) for one in spoken):
            sentence = figures_said(figure.pointer.removeprefix("/inputs/"), (figure,), 1)
            found.append(
                Change(
                    kind="input", about=PLAN, what=figure.pointer, was=figure.was, now=figure.now,
                    sentence=sentence, figures=(figure,),
                )
            )  # fmt: skip
    return told_apart(found)


def _bare(inputs: Document) -> Document:
    """Return inputs as the document of a revision of which nothing is computed."""
    route = {"name": "", "waypoints": [], **(inputs.get("route") or {})}
    return {
        "inputs": {**inputs, "route": route},
        "loaded": {"hazard_sets": []},
        "result": {"legs": [], "turns": [], "clearances": [], "cases": [], "alternatives": []},
    }
