"""Passwords: which are taken, how they are kept and how they are compared.

At least 12 characters are needed and 15 advised: OWASP ASVS 5.0 6.2.1 asks for 8 at the least and
strongly recommends 15; a bridge computer is shared and its screen is seen by many, so we ask for
more than the least. No rule asks for capitals or digits (6.2.5); what is common, or made of the
names of the account, the ship or this service, is refused (6.2.4, 6.2.11) by how many guesses it
would stand. A password is taken exactly as it was typed (6.2.8), up to 128 characters (6.2.9).
"""

import threading

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from argon2.low_level import Type

from wheelover.core.errors import Fault, InvalidInput, Unavailable

LEAST_COUNT = 12
ADVISED_COUNT = 15
MOST_COUNT = 128
_LEAST_GUESSES = 1e8
_MEASURED_COUNT = 72
_AT_ONCE = threading.BoundedSemaphore(4)
_WAIT_S = 5.0

# 19 MiB, two passes, one lane: the OWASP password storage cheat sheet's argon2id (18 ms here).
_HASHER = PasswordHasher(
    time_cost=2, memory_cost=19 * 1024, parallelism=1, hash_len=32, salt_len=16, type=Type.ID
)
# What an unknown account is compared with, so that its answer takes the same time: made with the
# numbers above, of words that nobody's password is (tests/access/test_signing_in.py holds both).
_NOBODY = (
    "$argon2id$v=19$m=19456,t=2,p=1$VcklfLgwnRPQegBeWYQwsw"
    "$LMpO82iblbF4I+bgAWYddE0e7Nm/u2uTUXf4u76DI2U"
)


def hashed(password: str) -> str:
    """Return a password as it is kept."""
    with _turn():
        return _HASHER.hash(password)


def matches(kept: str | None, password: str) -> bool:
    """Return whether a password is the one that is kept; it takes as long when none is.

    Raises
    ------
    Unavailable
        When too many are being compared: each takes 19 MiB and one processor.
    """
    with _turn():
        try:
            right = _HASHER.verify(kept or _NOBODY, password)
        except (VerificationError, InvalidHashError):
            return False
    return right and kept is not None


class _turn:  # noqa: N801  reads as a word of the sentence it stands in
    """One of the four that may be compared at once."""

    def __enter__(self) -> None:
        if not _AT_ONCE.acquire(timeout=_WAIT_S):
            raise Unavailable("Too many are signing in at this moment; try again in a moment.")

    def __exit__(self, *_error: object) -> None:
        _AT_ONCE.release()


def require_good(password: str, words: tuple[str, ...], pointer: str) -> None:
    """Refuse a password that is short or easily guessed.

    Parameters
    ----------
    password : str
        As it was typed.
    words : tuple of str
        Names that whoever guesses would try: of account, person, vessels and fleets.
    pointer : str
        Where it stands in the request.

    Raises
    ------
    InvalidInput
        With what would be a better one; the password itself is not in it.
    """
    fault = _fault_of(password, words)
    if fault is not None:
        raise InvalidInput(fault, (Fault(pointer=pointer, message=fault),))


def _fault_of(password: str, words: tuple[str, ...]) -> str | None:
    """Return what is wrong with a password, or None."""
    from zxcvbn import zxcvbn  # noqa: PLC0415  its lists take a while to load

    if len(password) < LEAST_COUNT:
        return (
            f"a password needs at least {LEAST_COUNT} characters; {ADVISED_COUNT} or more are "
            "advised, for example four words that have nothing to do with each other"
        )
    if len(password) > MOST_COUNT:
        return f"a password may have at most {MOST_COUNT} characters"
    names = [part for word in ("wheelover", *words) for part in (word, *word.split())]
    found = zxcvbn(password[:_MEASURED_COUNT], user_inputs=[one for one in names if one])
    if float(found["guesses"]) < _LEAST_GUESSES:
        return (
            "this password is common, or made of names and patterns that would be guessed early; "
            "take for example four words that have nothing to do with each other"
        )
    return None
