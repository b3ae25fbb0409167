"""Computing a frozen revision again: the same engine gives the same bytes, another is compared."""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from wheelover.core.errors import Unavailable, WheeloverError
from wheelover.core.review import standings
from wheelover.core.types.people import Person
from wheelover.store import Store, Unit
from wheelover.usecases.canonical import canonical
from wheelover.usecases.change import Change
from wheelover.usecases.engine import engine_id
from wheelover.usecases.gather import Gathered, gather
from wheelover.usecases.lapses import lapse
from wheelover.usecases.record import RecordView, record_of, view_in

Document = dict[str, Any]
Compute = Callable[[Document, Gathered], Document]

_log = logging.getLogger("wheelover.recompute")
_MOST_NAMED = 100
_MOST_SAID = 300
_OF_THE_ENGINE = ("engine_version", "inputs_sha256")
SERVICE = Person(name="wheelover", rank="service", claimed=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Recomputed:
    """A frozen result beside what its inputs compute to now.

    ``differences`` are JSON pointers into the result with both values, the first hundred.
    """

    same: bool
    engine: str
    made_by: str
    differences: tuple[Document, ...]
    difference_count: int


def recomputed(store: Store, plan_id: str, number: int, compute: Compute) -> Recomputed:
    """Return what the inputs of a revision compute to now, held against what was frozen.

    Parameters
    ----------
    store : Store
        Where the revision and the editions it points at are kept.
    plan_id, number : str, int
        The revision.
    compute : callable
        From inputs and what they point at to the plan as one document.
    """
    view = record_of(store, plan_id, number)
    document = view.document
    result = compute(document["inputs"], gather(store, document["inputs"]))
    made_by = engine_id(document["engine_version"], document["made_with"])
    same_engine = made_by == engine_id()
    before, after = document["result"], result
    if not same_engine:
        before, after = _without_engine(before), _without_engine(after)
    if canonical(before) == canonical(after):
        found: list[Document] = []
    else:
        found = list(_differences("", before, after))
    return Recomputed(
        same=not found,
        engine=engine_id(),
        made_by=made_by,
        differences=tuple(found[:_MOST_NAMED]),
        difference_count=len(found),
    )


def _without_engine(result: Document) -> Document:
    """Return a result without what names the engine; the figures and grades stay."""
    kept = {name: value for name, value in result.items() if name not in _OF_THE_ENGINE}
    layers = result["layers"]
    kept["layers"] = {name: value for name, value in layers.items() if name not in _OF_THE_ENGINE}
    return kept


def _differences(pointer: str, was: Any, now: Any) -> list[Document]:
    """Return where two JSON values differ, with both values."""
    if isinstance(was, dict) and isinstance(now, dict):
        members = dict.fromkeys([*was, *now])
        return [
            one
            for member in members
            for one in _differences(f"{pointer}/{member}", was.get(member), now.get(member))
        ]
    if isinstance(was, list) and isinstance(now, list) and len(was) == len(now):
        pairs = enumerate(zip(was, now, strict=True))
        return [one for i, (a, b) in pairs for one in _differences(f"{pointer}/{i}", a, b)]
    return [] if was == now else [{"pointer": pointer, "was": was, "now": now}]


def recheck_engine(store: Store, compute: Compute, now_utc: Callable[[], str]) -> int:
    """Compute again every approved revision that another engine made, and record what came of it.

    One whose figures and grades are the same keeps its approval, and that is noted; of one that
    changed, or that this engine cannot compute, the approval lapses, and so it does by anything
    else that changed since and that the version before let pass. Until then its record reads
    ``stale``.

    Returns
    -------
    int
        How many were computed again.
    """
    with store.reading() as unit:
        due = unit.record.not_hanging_on("engine", engine_id())
    done = 0
    for plan_id, revision, _ in due:
        try:
            if _is_noted(record_of(store, plan_id, revision)):
                continue
            found: Recomputed | str = recomputed(store, plan_id, revision, compute)
        except Unavailable:
            # The store gave no answer in time: that says nothing of the plan, which stays stale.
            _log.exception("revision %d of a plan could not be read to be computed again", revision)
            continue
        except Exception as error:
            # One plan that this engine cannot compute must not keep the others from being looked
            # at. Nobody can say that its figures stand, so its approval does not.
            _log.exception("revision %d of a plan could not be computed again", revision)
            found = _why(error)
        with store.writing() as unit:
            _keep(unit, plan_id, revision, found, now_utc())
        done += 1
    return done


def _why(error: Exception) -> str:
    """Return why a revision could not be computed again, in the words of its record."""
    said = " ".join(str(error).split())[:_MOST_SAID]
    if isinstance(error, WheeloverError):
        return said
    return f"a fault of the program ({type(error).__name__}{': ' if said else ''}{said})"


def _is_noted(view: RecordView) -> bool:
    """Return whether it is on record already what this engine makes of a revision."""
    return any(
        one.revision == view.number and one.body.get("engine") == engine_id() for one in view.events
    )


def _keep(unit: Unit, plan_id: str, revision: int, found: Recomputed | str, now_utc: str) -> None:
    """Record what computing again gave, or why it gave nothing."""
    engine = engine_id()
    row = unit.plans.get(plan_id)
    events = unit.record.of(plan_id)
    if any(one.revision == revision and one.body.get("engine") == engine for one in events):
        return  # another process was first
    standing = standings(events)[revision]
    same = False
    if isinstance(found, str):
        words = f"could not be computed again by engine {engine}: {found}"
    elif found.same:
        same, words = True, f"computed again by engine {engine}: no figure and no grade changed"
    else:
        first = found.differences[0]["pointer"]
        words = f"computed again by engine {engine}: "
        words += f"{found.difference_count} values differ, first {first}"
    change = Change(id=f"changed/engine@{engine}", cause="engine", words=words)
    body = {**change.body(), "engine": engine}
    kind = "noted" if same or standing.approval is None else "lapsed"
    unit.record.add(row, revision, kind, SERVICE, body, now_utc)
    _lapse_by_others(unit, plan_id, revision, now_utc)


def _lapse_by_others(unit: Unit, plan_id: str, revision: int, now_utc: str) -> None:
    """Let an approval lapse by what changed since and what the version that kept it let pass."""
    view = view_in(unit, plan_id, revision)
    for change in view.unanswered:
        if change.cause != "engine":
            lapse(unit, view.plan, view.standing, change, SERVICE, now_utc)
