"""What whoever reads a record must see of how it came about: nothing is refused for it."""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from wheelover.usecases.record import RecordView

Document = dict[str, Any]


def warnings_of(view: "RecordView") -> list[Document]:
    """Return the warnings about the approval of a revision, each with a code and words.

    The author may be the master, and without accounts nobody's name is checked: both are lawful
    on a small ship, and whoever relies on the approval must know it.
    """
    approval = view.standing.approval
    if approval is None:
        return []
    found = []
    person, author = approval.person, view.author
    if author.key is not None and author.key == person.key:
        found.append(
            _warning(
                "approved_by_author",
                f"{person.name} made this plan and approved it: no second person stands behind "
                "the approval.",
            )
        )
    elif author.key is None:
        found.append(
            _warning(
                "author_not_named",
                "Nobody is named as the author: whether another person approved it is not known.",
            )
        )
    if person.claimed:
        found.append(
            _warning(
                "approval_claimed",
                f"Name and rank of whoever approved ({person.name}, {person.rank}) are claimed: "
                "there was no sign-in, and nobody checked them.",
            )
        )
    if not any(one.kind == "checked" for one in view.own_events):
        found.append(_warning("not_checked_by_second_person", "No second person has checked it."))
    return found


def _warning(code: str, words: str) -> Document:
    """Return one warning."""
    return {"code": code, "words": words}
