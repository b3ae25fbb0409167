"""People as they are recorded beside a plan."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Who did something, as it is recorded and printed.

    ``claimed`` says that name and rank were typed and nobody checked them. ``account_id`` is the
    account that signed in, None where there are no accounts. A name of None was not given.
    """

    name: str | None = None
    rank: str | None = None
    account_id: str | None = None
    claimed: bool = True

    @property
    def key(self) -> str | None:
        """Return by what two records of one person are known as such, None when it is not known.

        Examples
        --------
        >>> Person(name="  Ada  Berg ").key == Person(name="ada berg").key
        True
        """
        if self.account_id is not None:
            return f"account {self.account_id}"
        return None if self.name is None else f"name {' '.join(self.name.split()).casefold()}"


NOBODY = Person()
"""Nobody was named."""
