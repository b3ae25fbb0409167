"""Review: decisions, checks, signatures, verified courses, threads and explanations."""

from collections.abc import Iterator, Sequence
from typing import Any, Literal

from wheelover.client.link import Document, Link
from wheelover.client.types import ExplanationOut, RevisionState, ThreadOut


class Review(Link):
    """What people say of a plan. ``by`` is name and rank, with accounts a password."""

    def decide(
        self,
        record: RevisionState,
        kind: Literal["approve", "return", "take_into_use", "close"],
        by: Document | None = None,
        reasons: Sequence[Document] = (),
        words: str = "",
    ) -> RevisionState:
        """Decide of a revision as the master; it is the one whose record was read, by its sha256.

        Parameters
        ----------
        record : RevisionState
            As it was read.
        kind : str
            What is decided.
        by : dict or None
            Who decides.
        reasons : sequence of dict
            For an approval, ``items`` and ``words`` for what is open.
        words : str
            What is said with it.
        """
        body = {"kind": kind, "words": words, **_by(by)} | (
            {"reasons": list(reasons)} if reasons else {}
        )
        place = f"{_revision(record['plan_id'], record['revision'])}/decisions"
        headers = {"If-Match": f'"{record["sha256"]}"'}
        return self._said(place, body, headers=headers)

    def check(
        self, plan_id: str, number: int, by: Document | None = None, words: str = ""
    ) -> RevisionState:
        """Check a revision as the second person."""
        return self._said(f"{_revision(plan_id, number)}/checks", {"words": words, **_by(by)})

    def sign_off(
        self, plan_id: str, number: int, by: Document | None = None, words: str = ""
    ) -> RevisionState:
        """Sign that an approved revision was read."""
        return self._said(f"{_revision(plan_id, number)}/sign-offs", {"words": words, **_by(by)})

    def verify_course(
        self, plan_id: str, number: int, to_id: str, by: Document | None = None
    ) -> RevisionState:
        """Say that the course of the leg that leads to a waypoint was verified."""
        place = f"{_revision(plan_id, number)}/verified-courses"
        return self._said(place, {"to_id": to_id, **_by(by)})

    def shore_decide(
        self,
        plan_id: str,
        number: int,
        kind: Literal["return", "agree", "read"],
        by: Document | None = None,
        words: str = "",
    ) -> RevisionState:
        """Say from ashore what is thought of a revision."""
        place = f"{_revision(plan_id, number)}/shore-decisions"
        return self._said(place, {"kind": kind, "words": words, **_by(by)})

    def threads(self, plan_id: str) -> Iterator[ThreadOut]:
        """Yield the threads of a plan, the one opened first in front."""
        return self._pages(f"/plans/{plan_id}/threads")

    def open_thread(
        self,
        plan_id: str,
        anchor: Document,
        words: str,
        by: Document | None = None,
        revision: int | None = None,
    ) -> ThreadOut:
        """Open a thread about one thing of a revision, or of the draft where none is named."""
        body = {"anchor": anchor, "words": words, **_by(by), **_of(revision)}
        return self._thread(f"/plans/{plan_id}/threads", body)

    def answer_thread(
        self,
        thread: ThreadOut,
        words: str,
        by: Document | None = None,
        revision: int | None = None,
    ) -> ThreadOut:
        """Say something in a thread."""
        body = {"words": words, **_by(by), **_of(revision)}
        return self._thread(f"/plans/{thread['plan_id']}/threads/{thread['id']}/notes", body)

    def settle_thread(
        self,
        thread: ThreadOut,
        what: Literal["resolve", "reopen"],
        by: Document | None = None,
        words: str = "",
    ) -> ThreadOut:
        """Resolve a thread, or open it again."""
        place = f"/plans/{thread['plan_id']}/threads/{thread['id']}/{what}"
        return self._thread(place, {"words": words, **_by(by)})

    def explanations(self, plan_id: str, revision: int | None = None) -> Iterator[ExplanationOut]:
        """Yield the explanations of findings, of one revision where it is named."""
        return self._pages(f"/plans/{plan_id}/explanations", **_of(revision))

    def explain(
        self,
        plan_id: str,
        finding_id: str,
        words: str,
        by: Document | None = None,
        revision: int | None = None,
    ) -> ExplanationOut:
        """Say why a finding stands as it is."""
        body = {"finding_id": finding_id, "words": words, **_by(by), **_of(revision)}
        made = self._change("POST", f"/plans/{plan_id}/explanations", json=body)
        explanation: ExplanationOut = self._document(made)
        return explanation

    def answer_explanation(
        self,
        plan_id: str,
        explanation_id: str,
        answer: Literal["accepted", "not_accepted"],
        by: Document | None = None,
        words: str = "",
    ) -> ExplanationOut:
        """Accept an explanation as the master, or not."""
        place = f"/plans/{plan_id}/explanations/{explanation_id}/answers"
        body = {"answer": answer, "words": words, **_by(by)}
        explanation: ExplanationOut = self._document(self._change("POST", place, json=body))
        return explanation

    def _said(self, place: str, body: Document, **more: Any) -> RevisionState:
        """Send what somebody says of a revision, and return its record."""
        record: RevisionState = self._document(self._change("POST", place, json=body, **more))
        return record

    def _thread(self, place: str, body: Document) -> ThreadOut:
        """Send a note, and return its thread."""
        thread: ThreadOut = self._document(self._change("POST", place, json=body))
        return thread


def _revision(plan_id: str, number: int) -> str:
    """Return the place of a revision."""
    return f"/plans/{plan_id}/revisions/{number}"


def _by(by: Document | None) -> Document:
    """Return who says it, nobody where the key or the session says who."""
    return {} if by is None else {"by": by}


def _of(revision: int | None) -> Document:
    """Return which revision was read, none for the draft."""
    return {} if revision is None else {"revision": revision}
