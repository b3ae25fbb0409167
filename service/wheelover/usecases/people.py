"""Who acts: the person of a request, and how a name is given where there are no accounts."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from wheelover.core.errors import Fault, InvalidInput
from wheelover.core.types.people import NOBODY, Person
from wheelover.store.plans import OWN_VESSEL

SHARED = "all"
"""In the place of a vessel: what is for all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class By:
    """Who says that he or she did something.

    Without accounts that is name and rank as typed; with accounts a password, the account where it
    is not the one that is signed in, and a one-time code where the account signs in from ashore.
    """

    name: str | None = None
    rank: str | None = None
    account: str | None = None
    password: str | None = None
    code: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Actor:
    """Who sends a request. Without accounts that is whoever sits at this machine.

    ``vessel_id`` is the vessel that a request is about: of what its path names, or that new things
    will belong to. ``allowed`` says by vessel what may be done there, None that everything may.
    ``confirm`` checks who decides, where there are accounts.
    """

    person: Person = NOBODY
    vessel_id: str = OWN_VESSEL
    allowed: Mapping[str, frozenset[str]] | None = None
    manages_accounts: bool = False
    confirm: Callable[[By | None], Person] | None = None

    @property
    def vessels(self) -> frozenset[str] | None:
        """Return the vessels whose plans may be read, None for every one."""
        if self.allowed is None:
            return None
        return frozenset(one for one, actions in self.allowed.items() if "read" in actions)

    @property
    def owner(self) -> str | None:
        """Return the vessel that a new ship or hazard set is kept for, None for all."""
        return None if self.allowed is None or self.vessel_id == SHARED else self.vessel_id

    @property
    def uses(self) -> frozenset[str] | None:
        """Return the vessels whose ships and hazard sets a plan may use, None for every one."""
        return None if self.allowed is None else frozenset({self.vessel_id})

    def may(self, action: str, vessel_id: str) -> bool:
        """Return whether something may be done on a vessel."""
        return self.allowed is None or action in self.allowed.get(vessel_id, frozenset())


LOCAL_ACTOR = Actor()
"""The navigator at this machine, where there are no accounts."""


def person_for(actor: Actor, by: By | None) -> Person:
    """Return the person to record for something that needs a name.

    Parameters
    ----------
    actor : Actor
        Who sent the request.
    by : By or None
        Name and rank as typed.

    Raises
    ------
    InvalidInput
        Where nobody is named.
    NotSignedIn, NotAllowed, TooManyTries
        With accounts, where the password is not right or the role is not one that may.
    """
    if actor.confirm is not None:
        return actor.confirm(by)
    if by is not None:
        if by.name is None or by.rank is None:
            message = "there are no accounts here: name and rank are needed"
            raise InvalidInput(message, (Fault(pointer="/by", message=message),))
        return Person(name=" ".join(by.name.split()), rank=" ".join(by.rank.split()), claimed=True)
    if actor.person.key is None:
        message = "name and rank of whoever does this are needed"
        raise InvalidInput(message, (Fault(pointer="/by", message=message),))
    return actor.person


def named_or_nobody(actor: Actor, by: By | None) -> Person:
    """Return the person to record where a name may be left out."""
    return actor.person if by is None else person_for(actor, by)
