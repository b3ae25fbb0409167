"""What people write where they act: whether anything of it can be read."""

import unicodedata


def is_legible(text: str) -> bool:
    r"""Return whether a text shows at least one letter, number, mark of punctuation or symbol.

    Examples
    --------
    >>> is_legible("the watch looks out")
    True
    >>> is_legible(" \u200b")
    False
    """
    return any(unicodedata.category(one)[0] in "LNPS" for one in text)
