"""How well charted depths are surveyed."""

from typing import Literal, get_args

Catzoc = Literal["A1", "A2", "B", "C", "D", "U"]
"""Category of zone of confidence of charted depths; U is not assessed [S57A]_."""

CATZOCS: tuple[Catzoc, ...] = get_args(Catzoc)
