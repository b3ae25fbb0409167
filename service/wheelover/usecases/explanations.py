"""Findings explained, and what the master says to it. The grade stays; both are only recorded."""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any, Literal

from wheelover.core.errors import Conflict, Fault, InvalidInput, NotFound
from wheelover.core.types.people import Person
from wheelover.core.types.record import Event
from wheelover.store import Store
from wheelover.store.sequence import new_id
from wheelover.usecases.differences import frozen_side
from wheelover.usecases.written import is_legible

Document = dict[str, Any]

_NUMBERS = ("grade", "measured", "limit", "unit")
"""What an explanation is written for: where one of them changes, it was written for others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """Why a finding stands as it is. ``revision`` is what was read, None the draft."""

    finding_id: str
    words: str
    person: Person
    revision: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the master says to an explanation; what is not accepted needs a reason."""

    answer: Literal["accepted", "not_accepted"]
    words: str
    person: Person


def explain(
    store: Store,
    plan_id: str,
    explanation: Explanation,
    now_utc: str,
    draft: Callable[[], Document],
) -> Document:
    """Record an explanation of a finding, with the numbers it was written for.

    Parameters
    ----------
    store : Store
        Where it is kept.
    plan_id : str
        The plan.
    explanation : Explanation
        What is explained, and how.
    now_utc : str
        The time, RFC 3339.
    draft : callable
        Gives the draft as it computes now, where it is the draft that was read.

    Raises
    ------
    NotFound
        For a plan or a revision that is not stored.
    InvalidInput
        When the finding does not stand in what was read.
    """
    number = explanation.revision or 0
    if explanation.revision is None:
        read = draft()
    else:
        with store.reading() as unit:
            read = frozen_side(unit, plan_id, number).document
    finding = _finding(read, explanation.finding_id)
    body = {
        "id": new_id("explanation"),
        "finding_id": explanation.finding_id,
        "words": explanation.words,
        "message": finding["message"],
        "written_for": {name: finding[name] for name in _NUMBERS},
    }
    with store.writing() as unit:
        plan = unit.plans.get(plan_id)
        event = unit.record.add(plan, number, "explained", explanation.person, body, now_utc)
        return _document(event, None, None)


def _finding(document: Document, finding_id: str) -> Document:
    """Return a finding of what was read."""
    found: list[Document] = document["result"]["findings"]
    for one in found:
        if one["id"] == finding_id:
            return one
    message = f"there is no finding {finding_id[:120]!r} in what was read"
    raise InvalidInput(message, (Fault(pointer="/finding_id", message=message),))


def answer_explanation(
    store: Store, plan_id: str, explanation_id: str, answer: Answer, now_utc: str
) -> Document:
    """Record what the master says to an explanation; a later answer stands beside the earlier.

    Raises
    ------
    NotFound
        For an explanation that is not on record.
    Conflict
        When the finding was explained anew since: it is that which is answered.
    InvalidInput
        When it is not accepted and no reason is given.
    """
    if answer.answer == "not_accepted" and not is_legible(answer.words):
        message = "say why it is not accepted"
        raise InvalidInput(message, (Fault(pointer="/words", message=message),))
    with store.writing() as unit:
        plan = unit.plans.get(plan_id)
        events = unit.record.of(plan_id)
        explained = _pick(events, explanation_id, plan_id)
        body = {"explanation_id": explanation_id, "answer": answer.answer, "words": answer.words}
        kind = "explanation_answered"
        event = unit.record.add(plan, explained.revision, kind, answer.person, body, now_utc)
        return _document(explained, event, None)


def _pick(events: tuple[Event, ...], explanation_id: str, plan_id: str) -> Event:
    """Return an explanation that is the last one of its finding."""
    explained = {one.body["id"]: one for one, _ in _pairs(events)}
    found = explained.get(explanation_id)
    if found is None:
        raise NotFound(f"{explanation_id[:80]!r} of plan {plan_id[:80]!r} is not stored")
    finding_id = found.body["finding_id"]
    same = [one for one in explained.values() if one.body["finding_id"] == finding_id]
    if same[-1] is not found:
        raise Conflict("The finding was explained anew since. Read that explanation and answer it.")
    return found


def _pairs(events: tuple[Event, ...]) -> list[tuple[Event, Event | None]]:
    """Return the explanations of a plan in order, each with the last answer to it."""
    answers = {
        one.body["explanation_id"]: one for one in events if one.kind == "explanation_answered"
    }
    return [(one, answers.get(one.body["id"])) for one in events if one.kind == "explained"]


def explanations_in(events: tuple[Event, ...], document: Document | None) -> list[Document]:
    """Return the explanations of a plan, each beside the finding it explains.

    Parameters
    ----------
    events : tuple of Event
        The record of the plan.
    document : dict or None
        The revision in which the findings are looked up: only its findings are listed, and an
        explanation says whether it was written for other numbers. None lists all of them.
    """
    pairs = _pairs(events)
    newest = {one.body["finding_id"]: one.number for one, _ in pairs}
    findings = None
    if document is not None:
        findings = {one["id"]: one for one in document["result"]["findings"]}
    found = []
    for one, answer in pairs:
        finding_id = one.body["finding_id"]
        if findings is None or finding_id in findings:
            finding = None if findings is None else findings[finding_id]
            row = _document(one, answer, finding)
            found.append({**row, "current": newest[finding_id] == one.number})
    return found


def explanations_of(store: Store, plan_id: str, revision: int | None) -> Document:
    """Return the explanations of a plan, beside the findings of a revision where one is named.

    Raises
    ------
    NotFound
        For a plan or a revision that is not stored.
    """
    with store.reading() as unit:
        plan = unit.plans.get(plan_id)
        document = None
        if revision is not None:
            document = frozen_side(unit, plan_id, revision).document
        items = explanations_in(unit.record.of(plan.id), document)
    return {"plan_id": plan_id, "revision": revision, "items": items}


def _document(event: Event, answer: Event | None, finding: Document | None) -> Document:
    """Return an explanation as JSON values."""
    written_for = event.body["written_for"]
    others = None
    if finding is not None:
        others = {name: finding[name] for name in _NUMBERS} != written_for
    return {
        "id": event.body["id"],
        "number": event.number,
        "finding_id": event.body["finding_id"],
        "message": event.body["message"],
        "words": event.body["words"],
        "by": asdict(event.person),
        "at_utc": event.at_utc,
        "revision": event.revision or None,
        "written_for": written_for,
        "for_other_numbers": others,
        "current": True,
        "answer": None
        if answer is None
        else {
            "number": answer.number,
            "answer": answer.body["answer"],
            "words": answer.body["words"],
            "by": asdict(answer.person),
            "at_utc": answer.at_utc,
        },
    }
