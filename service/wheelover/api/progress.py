"""How far the making of a file is, for whoever asked for it and waits.

Whoever asks for a file may send a word of its own with it, ``watch``, and ask with the same word
how far it is. It is kept in this process while the file is made, and says nothing of the plan.
"""

import threading
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from fastapi import Request

from wheelover.render.paper.matter import Told

Document = dict[str, Any]

MOST_WATCHED = 200


class Progress:
    """Files that are being made in one service, by the word of who waits for them."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._files: OrderedDict[str, Document] = OrderedDict()

    @contextmanager
    def watched(self, word: str | None) -> Iterator[Told | None]:
        """Keep what is told of a file while it is made; without a word nothing is kept."""
        if word is None:
            yield None
            return
        self._note(word, "beginning", 0, 0)
        try:
            yield lambda stage, done_count, of_count: self._note(word, stage, done_count, of_count)
        finally:
            with self._lock:
                self._files.pop(word, None)

    def _note(self, word: str, stage: str, done_count: int, of_count: int) -> None:
        """Write down how far a file is."""
        with self._lock:
            self._files[word] = {
                "state": "working",
                "stage": stage,
                "done_count": done_count,
                "of_count": of_count,
            }
            while len(self._files) > MOST_WATCHED:
                self._files.popitem(last=False)

    def of(self, word: str) -> Document:
        """Return how far the file of a word is; ``not_known`` before and after it is made."""
        with self._lock:
            found = self._files.get(word)
        return found or {"state": "not_known", "stage": None, "done_count": 0, "of_count": 0}


def progress_of(request: Request) -> Progress:
    """Return what the service knows of files that are being made."""
    progress = request.app.state.progress
    if not isinstance(progress, Progress):
        raise TypeError("the app has no progress")
    return progress
