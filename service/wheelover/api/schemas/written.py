"""What people write where they act: what can be read, and names that are what they seem."""

import unicodedata
from typing import Annotated

from pydantic import AfterValidator, Field

from wheelover.usecases.written import is_legible

_JOINERS = "\u200c\u200d"
"""Signs that join letters in some scripts and show nothing of themselves."""


def legible(text: str) -> str:
    """Return a text that shows at least one letter, number, mark of punctuation or symbol.

    Raises
    ------
    ValueError
        For one of which nothing is to be seen on paper.

    Examples
    --------
    >>> legible("the watch looks out")
    'the watch looks out'
    """
    if not is_legible(text):
        raise ValueError("nothing of this can be read; write words")
    return text


def plain_name(text: str) -> str:
    """Return a name or rank without signs that are not seen or that turn the text about them.

    Raises
    ------
    ValueError
        Naming the first such sign.
    """
    for one in text:
        unseen = unicodedata.category(one) in ("Cc", "Cf") and one not in _JOINERS
        if unseen and not one.isspace():
            raise ValueError(f"holds a sign that is not seen (U+{ord(one):04X}); leave it out")
    return legible(text)


PersonName = Annotated[
    str, Field(min_length=1, max_length=120, pattern=r"\S"), AfterValidator(plain_name)
]
Rank = Annotated[str, Field(min_length=1, max_length=60, pattern=r"\S"), AfterValidator(plain_name)]
Reason = Annotated[
    str, Field(min_length=1, max_length=4000, pattern=r"\S"), AfterValidator(legible)
]
ShortReason = Annotated[
    str, Field(min_length=1, max_length=2000, pattern=r"\S"), AfterValidator(legible)
]
