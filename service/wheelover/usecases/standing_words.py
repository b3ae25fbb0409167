"""Where a revision stands and what was said of it, in the words that are printed with it."""

from typing import Any

from wheelover.core.review import state_words
from wheelover.core.types.people import Person
from wheelover.core.types.record import Event
from wheelover.store.audit import Head
from wheelover.usecases.explanations import explanations_in
from wheelover.usecases.record import RecordView, marks_of
from wheelover.usecases.warnings import warnings_of

Document = dict[str, Any]

_SIGNED = {"checked": "Checked as second person", "signed_off": "Read and signed"}
_SHORE = {
    "shore_returned": "Shore returned it",
    "shore_agreed": "Shore agreed",
    "shore_read": "Shore has read it, without a decision",
}


def standing_lines(view: RecordView, head: Head | None = None) -> tuple[str, ...]:
    """Return what is printed of the standing of a revision.

    Its state and who approved it, or that nobody did; what must be known of that approval; who
    prepared it; its written reasons, each with what it serves; who checked and signed, which
    courses were verified; findings explained and the master's answers; what the shore says; actual
    times and remarks; the end of the audit log. A name that nobody verified is said to be claimed.

    Parameters
    ----------
    view : RecordView
        The revision with its record.
    head : Head or None
        The end of the vessel's audit log, for `wheelover verify --head`.
    """
    own = view.own_events
    return (
        f"{_lead(view)}State: {state_words(view.standing.state)}. {_approval(view)}",
        *(f"WARNING: {one['words']}" for one in warnings_of(view)),
        *_authors(view),
        *_reasons(view.standing.approval),
        *(
            f"{_SIGNED[one.kind]} by {_by(one)}.{_words(one.body)}"
            for one in own
            if one.kind in _SIGNED
        ),
        *_courses(own),
        *_explanations(view),
        *(
            f"{_SHORE[one.kind]}: {_by(one)}.{_words(one.body)}"
            for one in own
            if one.kind in _SHORE
        ),
        *(_logged(one) for one in own if one.kind in ("actual", "remark")),
        *_head(head),
    )


def _lead(view: RecordView) -> str:
    """Return what must be read before the state, as the start of a line: nothing cuts it off."""
    if view.standing.approval is None or view.standing.state not in ("approved", "in_use"):
        return ""
    if not view.approved:
        causes = {one.body.get("cause") for one in view.standing.lapses}
        engine = causes == {"engine"}
        why = "another engine computes it otherwise" if engine else "inputs changed since"
        return f"NOT COUNTED AS APPROVED: {why}. "
    if _stale(view):
        return "STALE: another engine has not yet computed it again. "
    return ""


def _stale(view: RecordView) -> list[str]:
    """Return what nobody has looked at yet, in words."""
    return [one["words"] for one in marks_of(view) if one["mark"] == "stale"]


def _approval(view: RecordView) -> str:
    """Return who approved a revision, or that it is not approved, with what changed since."""
    approval = view.standing.approval
    if approval is None:
        return "Not approved."
    said = f"Approved r{view.number} by {_by(approval)}."
    stale = "".join(f" Stale: {one}." for one in _stale(view))
    if view.approved:
        return said + stale
    changed = [one["words"] for one in marks_of(view) if one["mark"] == "inputs_changed_since"]
    return f"{said} Inputs changed since: {'; '.join(changed)}. Not counted as approved.{stale}"


def _authors(view: RecordView) -> tuple[str, ...]:
    """Return who prepared a revision: who offered it, and who else changed its draft."""
    offered = [one for one in view.own_events if one.kind == "offered"]
    if not offered:
        return ()
    others = [one for one in view.editors if one != offered[0].person]
    more = f" Changed by {'; '.join(map(_person, others))}." if others else ""
    return (f"Prepared and offered by {_by(offered[0])}.{more}",)


def _logged(event: Event) -> str:
    """Return an actual time or a remark as printed."""
    body = event.body
    at = f" at {body['waypoint_id']}" if body.get("waypoint_id") else ""
    said = _words(body)
    if event.kind == "actual":
        said = f" {body['actual_utc']}.{said}"
    what = "Actual time" if event.kind == "actual" else "Remark"
    return f"{what}{at}, kept by {_by(event)}:{said}"


def _reasons(approval: Event | None) -> tuple[str, ...]:
    """Return the written reasons of an approval, each with the messages of what it serves."""
    if approval is None:
        return ()
    found: list[Document] = approval.body["reasons"]
    return tuple(
        f"Master's reason: {one['words']} "
        f"(for {'; '.join(item.get('message') or item['id'] for item in one['items'])})"
        for one in found
    )


def _courses(events: tuple[Event, ...]) -> tuple[str, ...]:
    """Return the courses that were verified, one line for each person."""
    by_person: dict[Person, list[str]] = {}
    for one in events:
        if one.kind == "course_verified":
            course = one.body["course_deg"]
            shown = "no course" if course is None else f"{course:05.1f}"
            leg = f"{one.body['from_id']} to {one.body['to_id']} {shown} ({one.at_utc})"
            by_person.setdefault(one.person, []).append(leg)
    return tuple(
        f"Courses verified by {_person(person)}: {', '.join(legs)}."
        for person, legs in by_person.items()
    )


def _explanations(view: RecordView) -> tuple[str, ...]:
    """Return the findings of this revision that were explained, with the master's answers."""
    return tuple(_explained(one) for one in explanations_in(view.events, view.document))


def _explained(one: Document) -> str:
    """Return one explanation as printed."""
    said = (
        f"Finding explained by {_person(Person(**one['by']))}, {one['at_utc']}: "
        f"{one['words']} (of: {one['message']})"
    )
    if one["for_other_numbers"]:
        said += " Written for other numbers than this revision has."
    answer = one["answer"]
    if answer is None:
        return f"{said} No answer of the master."
    word = {"accepted": "Accepted", "not_accepted": "NOT accepted"}[answer["answer"]]
    by = _person(Person(**answer["by"]))
    return f"{said} {word} by {by}, {answer['at_utc']}.{_words(answer)}"


def _head(head: Head | None) -> tuple[str, ...]:
    """Return the end of the audit log as `wheelover verify --head` takes it."""
    if head is None or head.number == 0:
        return ()
    return (f"Audit log ends at {head.vessel_id}:{head.number}:{head.hash}",)


def _words(body: Document) -> str:
    """Return what somebody said with an act, as the end of a line."""
    words = str(body.get("words") or "").strip()
    return f" {words}" if words else ""


def _by(event: Event) -> str:
    """Return who did something and when."""
    return f"{_person(event.person)}, {event.at_utc}"


def _person(person: Person) -> str:
    """Return a person as printed."""
    if person.name is None:
        return "nobody named"
    parts = (person.name, person.rank, "claimed" if person.claimed else None)
    return ", ".join(part for part in parts if part)
