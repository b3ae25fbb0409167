"""People as they are recorded beside a plan."""

from dataclasses import dataclass
from unicodedata import category, normalize


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
        >>> Person(name="Ada\u200b Berg").key == Person(name="Ada Berg").key
        True
        """
        if self.account_id is not None:
            return f"account {self.account_id}"
        return None if self.name is None else f"name {_plain(self.name)}"


def _plain(name: str) -> str:
    """Return a name without what is not seen in it: capitals, blanks, signs that show nothing."""
    seen = (one for one in normalize("NFKC", name) if category(one) != "Cf")
    return " ".join("".join(seen).split()).casefold()


NOBODY = Person()
"""Nobody was named."""
