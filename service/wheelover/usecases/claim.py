"""A claim on work that several processes see, and one of them does."""

import secrets
from collections.abc import Iterator
from contextlib import contextmanager

from wheelover.store import Store

CLAIM_S = 90.0
"""Longer than any one step of the work that is claimed may take."""


class Claim:
    """One process's claim on work of a name; it is asked for anew with each step.

    Parameters
    ----------
    store : Store
        Where the claim is kept, for every process to see.
    name : str
        Of the work.
    """

    def __init__(self, store: Store, name: str) -> None:
        self.name, self.holder = name, secrets.token_hex(8)
        self._store = store

    def hold(self) -> bool:
        """Take the claim, or keep it, and return whether the work is ours to do."""
        with self._store.reading() as unit:
            if not unit.leases.is_free(self.name, self.holder):
                return False
        with self._store.writing() as unit:
            return unit.leases.hold(self.name, self.holder, CLAIM_S)

    def give_back(self) -> None:
        """Let another process do what is left."""
        with self._store.writing() as unit:
            unit.leases.give_back(self.name, self.holder)


@contextmanager
def claimed(store: Store, name: str) -> Iterator[Claim | None]:
    """Give a claim on work, None where another process has it, and give it back at the end."""
    claim = Claim(store, name)
    if not claim.hold():
        yield None
        return
    try:
        yield claim
    finally:
        claim.give_back()
