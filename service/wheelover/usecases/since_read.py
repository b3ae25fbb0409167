"""What changed of a thing since somebody read it: both values, for who comes with an old tag."""

import re
from collections.abc import Iterator
from typing import Any, cast

from wheelover.core.errors import NotFound
from wheelover.formats.strict_json import read_json
from wheelover.render.difference.inputs import input_changes
from wheelover.store import Store, Unit
from wheelover.store.library import Kind
from wheelover.store.plans import PlanRow
from wheelover.usecases.canonical import sha256_of
from wheelover.usecases.draft_inputs import inputs_whole

Document = dict[str, Any]

MOST_CHANGES = 20
_MOST_STEPS = 30
_MOST_BYTES = 20_000_000
"""So much is looked at for the step that somebody read; beyond that it is not known."""

_OF_SET = ("Dangers given with the plan", "Dangers")
"""How dangers are called in a plan request, and in a set of their own."""

_EDIT = re.compile(r'"[0-9]+-([0-9a-f]{32})(?:-r[0-9]+(?:\.[0-9]+)?)?"')
_EDITION = re.compile(r'"([0-9]{1,9})-[0-9a-f]{32}"')


def since_read(store: Store, subject: tuple[str, str], tags: tuple[str, ...]) -> Document:
    """Return what differs between what somebody read and what is stored now.

    Parameters
    ----------
    store : Store
        Where it is kept.
    subject : tuple of str
        Kind and id: of a draft, or of a ship, hazard set or limit set.
    tags : tuple of str
        The tags of If-Match, which name what was read.

    Returns
    -------
    dict
        ``changes`` with both values of each, null where what was read is not known any more, and
        how many were left out.
    """
    kind, item_id = subject
    with store.reading() as unit:
        both = _drafts(unit, item_id, tags) if kind == "draft" else _editions(unit, subject, tags)
    if both is None:
        return {"changes": None, "changes_left_out_count": 0}
    found = input_changes(*both)
    return {
        "changes": [
            {
                "sentence": one.sentence.replace(*_OF_SET),
                "was": one.was,
                "now": one.now,
                "unit": one.unit,
            }
            for one in found[:MOST_CHANGES]
        ],
        "changes_left_out_count": max(0, len(found) - MOST_CHANGES),
    }


def _drafts(unit: Unit, plan_id: str, tags: tuple[str, ...]) -> tuple[Document, Document] | None:
    """Return the step that was read, and the draft as it stands."""
    wanted = {found[1] for tag in tags if (found := _EDIT.fullmatch(tag.removeprefix("W/")))}
    row = unit.plans.get(plan_id)
    now = inputs_whole(unit, unit.plans.inputs(row))
    for inputs in _steps(unit, row) if wanted else ():
        if sha256_of(inputs)[:32] in wanted:
            return inputs, now
    return None


def _steps(unit: Unit, row: PlanRow) -> Iterator[Document]:
    """Yield the inputs of the steps about the present one, nearest first, as far as is allowed."""
    after = [row.step + more for more in range(1, _MOST_STEPS)]
    before = [row.step - less for less in range(1, _MOST_STEPS)]
    looked_at = 0
    for number in (one for pair in zip(before, after, strict=True) for one in pair):
        if number < 1:
            continue
        try:
            kept = unit.plans.inputs(row, number)
        except NotFound:
            continue  # behind the last step there is none
        inputs = inputs_whole(unit, kept)
        yield inputs
        looked_at += len(kept) + 200 * len((inputs.get("hazards") or {}).get("features", ()))
        if looked_at > _MOST_BYTES:
            return


def _editions(
    unit: Unit, subject: tuple[str, str], tags: tuple[str, ...]
) -> tuple[Document, Document] | None:
    """Return the edition that was read and the newest, each as a plan would hold it."""
    kind, item_id = cast(tuple[Kind, str], subject)
    numbers = [int(found[1]) for tag in tags if (found := _EDITION.fullmatch(tag))]
    sides: list[Document] = []
    for number in [*numbers[:1], None]:
        try:
            edition = unit.library.get(kind, item_id, number)
        except NotFound:
            return None
        contents: Document = read_json(unit.library.body(edition))
        if kind == "hazard_set":
            sides.append({"hazards": contents.get("hazards", contents)})
        else:
            sides.append({str(kind): contents})
    return (sides[0], sides[1]) if len(sides) == 2 else None
