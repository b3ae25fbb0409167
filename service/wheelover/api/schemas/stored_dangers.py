"""The dangers of stored sets, kept ready in columns: an edition never changes."""

from collections import OrderedDict
from dataclasses import fields, is_dataclass
from threading import Lock
from typing import Any

import numpy as np

from wheelover.api.schemas.hazards import HazardsIn
from wheelover.usecases.gather import Loaded

MOST_BYTES = 64 * 1024 * 1024


class StoredDangers:
    """Hazard sets as they were read, those used last, under the digests of their contents.

    What they hold is bounded by the length of the JSON texts they were read from. Threads may share
    one; two that miss the same set both read it.
    """

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most_bytes = most_bytes
        self._lock = Lock()
        self._kept: OrderedDict[str, tuple[HazardsIn, int]] = OrderedDict()

    @property
    def digests(self) -> tuple[str, ...]:
        """Return what is kept, the one used last at the end."""
        with self._lock:
            return tuple(self._kept)

    def of(self, loaded: Loaded) -> HazardsIn:
        """Return the dangers of a stored set.

        Raises
        ------
        ValidationError
            For a set that an older version kept and this one does not read.
        """
        digest = loaded.edition.sha256
        with self._lock:
            found = self._kept.get(digest)
            if found is not None:
                self._kept.move_to_end(digest)
                return found[0]
        hazards = HazardsIn.model_validate(loaded.contents)
        _lock_arrays(hazards.features)
        with self._lock:
            self._kept[digest] = (hazards, len(loaded.body))
            while sum(size for _, size in self._kept.values()) > self._most_bytes:
                self._kept.popitem(last=False)
        return hazards


def _lock_arrays(value: Any) -> None:
    """Make every array in a dataclass unchangeable: plans to come are made from it."""
    for field in fields(value):
        member = getattr(value, field.name)
        if isinstance(member, np.ndarray):
            member.setflags(write=False)
        elif is_dataclass(member):
            _lock_arrays(member)


STORED_DANGERS = StoredDangers()
