"""What the routers are given: the folders of the page and of the samples."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Folders:
    """Where the page and the sample routes lie."""

    web: Path
    samples: Path
