"""Errors of wheelover.

::

    WheeloverError
    +-- InvalidInput          a value that no plan can be made from
    |   +-- InvalidRoute
    |   +-- InvalidShip
    |   +-- InvalidChart
    |   +-- InvalidConditions
    +-- UnreadableFile        a file damaged as a whole, or of which no row was understood
    |   +-- UnknownFormat     a file of a kind that is not read here
    |   +-- ParcelRefused     a parcel that was changed, or is not for us, or not from a peer
    +-- OutOfDomain           a computation asked for outside where its formula is known
    +-- NotFound              an id that stands for nothing stored
    +-- Conflict              a change that cannot be made as things stand
    |   +-- Stale             a change of something that was changed meanwhile
    |   +-- PenHeld           an edit of a draft whose pen somebody else holds
    +-- NotSignedIn           a request of nobody known, or a sign-in that was not right
    |   +-- Locked            a change in a session that was left alone too long
    +-- NotAllowed            something the person may see and not do
    +-- TooManyTries          a password that is not looked at, so many were wrong before it
    +-- Unavailable           a store that cannot be reached just now
    |   +-- NoRoom            a disk that is full
    +-- Damaged               a record that is not what its digest says

A danger is a finding, a mistake is an error: a track over a shoal makes a plan with a
``must_resolve`` in it, a latitude of 91 degrees makes no plan. The core knows no status codes.
"""

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing wrong with the input: where, and what to do about it.

    ``pointer`` is an RFC 6901 JSON pointer, ``line`` a line or element number from 1.
    """

    message: str
    pointer: str | None = None
    line: int | None = None
    column: int | None = None

    def within(self, prefix: str) -> "Fault":
        """Return this fault with its pointer counted from inside ``prefix``."""
        if self.pointer is None:
            return self
        return replace(self, pointer=self.pointer.removeprefix(prefix))


class WheeloverError(Exception):
    """Base of every error this package raises on purpose."""

    def __init__(self, message: str, faults: tuple[Fault, ...] = ()) -> None:
        super().__init__(message)
        self.faults = faults


class InvalidInput(WheeloverError):
    """A value that no plan can be made from."""


class InvalidRoute(InvalidInput):
    """A route that cannot be planned."""


class InvalidShip(InvalidInput):
    """A ship that cannot be planned for."""


class InvalidChart(InvalidInput):
    """Dangers that cannot be loaded."""


class InvalidConditions(InvalidInput):
    """Conditions or limits that cannot be applied."""


class UnreadableFile(WheeloverError):
    """A file damaged as a whole, or of which no row could be understood."""


class UnknownFormat(UnreadableFile):
    """A file of a kind that is not read here."""


class ParcelRefused(UnreadableFile):
    """A parcel of which nothing is taken; ``reason`` names the step of reading that refused it."""

    def __init__(self, message: str, reason: str) -> None:
        super().__init__(message)
        self.reason = reason


class OutOfDomain(WheeloverError):
    """A computation asked for outside the domain in which its formula is known."""


class NotFound(WheeloverError):
    """An id that stands for nothing stored."""


class NotAllowed(WheeloverError):
    """Something that the person may see and not do."""


class Conflict(WheeloverError):
    """A change that cannot be made as things stand."""


class Stale(Conflict):
    """A change of something that somebody else has changed meanwhile.

    ``etag`` is the tag of what is stored now, ``subject`` the kind and id of what that is, and
    ``held_by`` who holds the pen of a draft, where somebody does.
    """

    def __init__(
        self,
        message: str,
        *,
        etag: str | None = None,
        subject: tuple[str, str] | None = None,
        held_by: str | None = None,
    ) -> None:
        super().__init__(message)
        self.etag = etag
        self.subject = subject
        self.held_by = held_by


class PenHeld(Conflict):
    """An edit of a draft whose pen somebody else holds."""


class NotSignedIn(WheeloverError):
    """A request of nobody known, or a sign-in that was not right."""


class Locked(NotSignedIn):
    """A change in a session that was left alone too long: its password is needed again."""


class TooManyTries(WheeloverError):
    """A password that is not looked at, so many were wrong before it. ``wait_s`` says how long."""

    def __init__(self, message: str, wait_s: int) -> None:
        super().__init__(message)
        self.wait_s = wait_s


class TooOften(WheeloverError):
    """Something costly that was asked for too often. ``wait_s`` says how long to wait."""

    def __init__(self, message: str, wait_s: int) -> None:
        super().__init__(message)
        self.wait_s = wait_s


class Unavailable(WheeloverError):
    """A store that cannot be reached just now. Nothing was kept."""


class NoRoom(Unavailable):
    """A disk that is full. Nothing was kept."""


class Damaged(WheeloverError):
    """A record that is not what its digest says; nothing of it is shown."""
