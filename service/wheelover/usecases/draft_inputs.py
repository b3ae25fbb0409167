"""The inputs of a draft as a step keeps them: dangers in a blob, so that no edit copies them."""

from typing import Any

from wheelover.formats.strict_json import read_json
from wheelover.store import Unit

Document = dict[str, Any]

BLOB = "$blob"


def inputs_whole(unit: Unit, kept: str) -> Document:
    """Return the inputs of a step with the dangers back in their place."""
    inputs: Document = read_json(kept.encode())
    hazards = inputs.get("hazards")
    if isinstance(hazards, dict) and BLOB in hazards:
        inputs["hazards"] = read_json(unit.blobs.get(hazards[BLOB]))
    return inputs
