"""Where a revision stands, in the words that are printed with it."""

from typing import Any

from wheelover.core.review import state_words
from wheelover.core.types.people import Person
from wheelover.core.types.record import Event
from wheelover.usecases.record import RecordView, marks_of

Document = dict[str, Any]


def standing_lines(view: RecordView) -> tuple[str, ...]:
    """Return what is printed of the standing of a revision.

    Its state and who approved it, or that nobody did; the written reasons of an approval; who
    checked and signed. A name that nobody verified is said to be claimed.

    Parameters
    ----------
    view : RecordView
        The revision with its record.
    """
    own = [one for one in view.own_events if one.kind in ("checked", "signed_off")]
    words = {"checked": "Checked as second person", "signed_off": "Read and signed"}
    return (
        f"State: {state_words(view.standing.state)}. {_approval(view)}",
        *_reasons(view.standing.approval),
        *(f"{words[one.kind]} by {_by(one)}." for one in own),
    )


def _approval(view: RecordView) -> str:
    """Return who approved a revision, or that it is not approved, with what changed since."""
    approval = view.standing.approval
    if approval is None:
        return "Not approved."
    said = f"Approved r{view.number} by {_by(approval)}."
    if view.standing.approved:
        return said
    changed = [one["words"] for one in marks_of(view) if one["mark"] == "inputs_changed_since"]
    return f"{said} Inputs changed since: {'; '.join(changed)}. Not counted as approved."


def _reasons(approval: Event | None) -> tuple[str, ...]:
    """Return the written reasons of an approval, each with what it serves."""
    if approval is None:
        return ()
    found: list[Document] = approval.body["reasons"]
    return tuple(
        f"Master's reason: {one['words']} (for {', '.join(item['id'] for item in one['items'])})"
        for one in found
    )


def _by(event: Event) -> str:
    """Return who did something and when."""
    return f"{_person(event.person)}, {event.at_utc}"


def _person(person: Person) -> str:
    """Return a person as printed."""
    if person.name is None:
        return "nobody named"
    parts = (person.name, person.rank, "claimed" if person.claimed else None)
    return ", ".join(part for part in parts if part)
