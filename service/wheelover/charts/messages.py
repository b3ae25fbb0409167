"""What the process that reads cells and the one that started it say to each other."""

from dataclasses import dataclass
from typing import Any

Document = dict[str, Any]

GIVEN = "given.json"
"""List of the files given, in the folder that both share."""

RESULT = "result.json"
"""What became of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What the reading of one import may use at most; time counts for each of its
    files and for every 4 MB of them.
    """

    memory_mb: int = 1024
    cpu_s: int = 20
    wall_s: int = 60


OUTPUT_MB = 256
"""The most that one file of the folder may hold."""
