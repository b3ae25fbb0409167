"""Who acts: the person of a request, and how a name is given where there are no accounts."""

from dataclasses import dataclass

from wheelover.core.errors import Fault, InvalidInput
from wheelover.core.types.people import NOBODY, Person
from wheelover.store.plans import OWN_VESSEL


@dataclass(frozen=True, slots=True, kw_only=True)
class By:
    """Who says that he or she did something: name and rank as typed."""

    name: str
    rank: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Actor:
    """Who sends a request. Without accounts that is whoever sits at this machine.

    ``vessel_id`` is the vessel that new plans belong to.
    """

    person: Person = NOBODY
    vessel_id: str = OWN_VESSEL


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
    """
    if by is not None:
        return Person(name=" ".join(by.name.split()), rank=" ".join(by.rank.split()), claimed=True)
    if actor.person.key is None:
        message = "name and rank of whoever does this are needed"
        raise InvalidInput(message, (Fault(pointer="/by", message=message),))
    return actor.person


def named_or_nobody(actor: Actor, by: By | None) -> Person:
    """Return the person to record where a name may be left out."""
    return actor.person if by is None else person_for(actor, by)
