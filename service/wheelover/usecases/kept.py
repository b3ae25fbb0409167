"""Whether what is kept is what the log was told when it was kept: editions, steps, homes.

The log names the digest of each edition and of the inputs after each step; a row that points at
other bytes, whole by their own digest, is found against it. What the log of an earlier version does
not tell cannot be held against it: editions that came by a parcel, where they are at home, and all
that is older than the log.
"""

from collections.abc import Iterator
from typing import Any

from wheelover.core.errors import Damaged, NotFound
from wheelover.core.review import CONFLICT_SETTLED
from wheelover.store import Unit
from wheelover.usecases.canonical import sha256_of
from wheelover.usecases.draft_inputs import inputs_whole

Entry = dict[str, Any]
_MADE = ("plan.started", "plan.edited")
_WALKED = ("plan.undone", "plan.redone")


def kept_faults(unit: Unit, told: list[Entry]) -> Iterator[str]:
    """Yield a sentence for each edition, step and home that is not as the log tells.

    Parameters
    ----------
    unit : Unit
        The store.
    told : list of dict
        The entries of every log, those of each in order.
    """
    yield from _editions(unit, told)
    yield from _steps(unit, told)
    yield from _homes(unit, told)


def _editions(unit: Unit, told: list[Entry]) -> Iterator[str]:
    """Hold every edition of ships, sets and cells against the digest it was kept under."""
    wanted: dict[tuple[str, int], str] = {}
    for entry in told:
        if "item_id" in entry and "sha256" in entry:
            wanted[(entry["item_id"], entry["edition"])] = entry["sha256"]
        for item_id, edition, sha256 in entry.get("editions", ()):
            wanted[(item_id, edition)] = sha256
    from_the_first = {item_id for item_id, edition in wanted if edition == 1}
    for item_id, edition, sha256 in (*unit.library.digests(), *unit.charts.digests()):
        known = wanted.pop((item_id, edition), None)
        if known is None and item_id in from_the_first:
            yield f"edition {edition} of {item_id} is not in the log"
        elif known not in (None, sha256):
            yield f"edition {edition} of {item_id} is not the one that was kept"
    for item_id, edition in wanted:
        yield f"edition {edition} of {item_id} is gone"


def _steps(unit: Unit, told: list[Entry]) -> Iterator[str]:
    """Hold the inputs of every step of a draft against the digest the log was told."""
    drafts: dict[str, _Draft] = {}
    for entry in told:
        if entry.get("what") in (*_MADE, *_WALKED, f"plan.{CONFLICT_SETTLED}"):
            drafts.setdefault(entry["plan_id"], _Draft()).hear(entry)
    for plan_id, number, at_utc, inputs in unit.plans.steps_kept():
        if plan_id in drafts:
            fault = drafts[plan_id].fault_of(unit, number, at_utc, inputs)
            if fault is not None:
                yield f"step {number} of {plan_id} {fault}"
    stands = unit.plans.stands_on()
    for plan_id, draft in drafts.items():
        if not draft.unsaid:
            yield from (f"step {number} of {plan_id} is gone" for number in draft.steps)
        edit, step = stands.get(plan_id, draft.stands)
        if edit == draft.stands[0] and step != draft.stands[1]:
            yield f"the draft of {plan_id} stands on another step than the log says"


class _Draft:
    """The steps of a draft as its log tells them: time and digest of the inputs by number.

    ``unsaid`` are times at which an earlier version made a step and told the log only why.
    """

    def __init__(self) -> None:
        self.from_the_first = False
        self.steps: dict[int, tuple[str, str]] = {}
        self.stands = (0, 0)
        self.unsaid: set[str] = set()

    def hear(self, entry: Entry) -> None:
        """Take the next entry."""
        what, at_utc = entry["what"], entry["at_utc"]
        if what == f"plan.{CONFLICT_SETTLED}":
            self.unsaid.add(at_utc)
            return
        self.from_the_first |= what == "plan.started"
        step, sha256 = entry["step"], entry["inputs_sha256"]
        self.stands = (entry["edit"], step)
        if what in _MADE:
            self.unsaid.discard(at_utc)
            self.steps = {number: one for number, one in self.steps.items() if number < step}
            self.steps[step] = (at_utc, sha256)

    def fault_of(self, unit: Unit, number: int, at_utc: str, inputs: str) -> str | None:
        """Return what is wrong with a step that is kept, None where nothing is."""
        if at_utc in self.unsaid:
            return None
        known = self.steps.pop(number, None)
        if known is None or known[0] != at_utc:
            return "is not in the log" if self.from_the_first else None
        same = _digest(unit, inputs) in (None, known[1])
        return None if same else "is not what was kept"


def _digest(unit: Unit, inputs: str) -> str | None:
    """Return the digest of the inputs of a step; None where its dangers are told as damaged."""
    try:
        return sha256_of(inputs_whole(unit, inputs))
    except (Damaged, NotFound):
        return None
    except ValueError:
        return ""


def _homes(unit: Unit, told: list[Entry]) -> Iterator[str]:
    """Hold where plans and things of the library are at home against where they came from."""
    here: set[str] = set()
    elsewhere: dict[str, str] = {}
    for entry in told:
        what = str(entry.get("what"))
        if what == "plan.started":
            here.add(entry["plan_id"])
        elif what.endswith(".kept") and "item_id" in entry:
            here.add(entry["item_id"])
        elif what == "parcel.taken":
            came = [*entry.get("plans", ()), *(one[0] for one in entry.get("editions", ()))]
            for one in came:
                elsewhere.setdefault(one, entry["peer_id"])
    for one, peer_id in unit.homes.all():
        if one in here:
            yield f"{one} was made here and is noted as at home at {peer_id}"
        elif elsewhere.pop(one, peer_id) != peer_id:
            yield f"{one} came from another peer than {peer_id}, where it is noted as at home"
    for one, peer_id in elsewhere.items():
        yield f"{one} came from {peer_id} and is not noted as at home there"
