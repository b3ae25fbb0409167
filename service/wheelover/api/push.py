"""Bringing parcels to the address of a peer, in the background, over a link that drops.

Off until an administrator sets an address on this machine. No redirect is followed, and nothing
that comes from outside sets where anything is sent.
"""

import base64
import hashlib
import http.client
import logging
import threading
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from wheelover.core.errors import UnreadableFile, WheeloverError
from wheelover.formats.parcel import MEDIA_TYPE
from wheelover.formats.strict_json import read_json
from wheelover.store import Store
from wheelover.usecases.canonical import canonical
from wheelover.usecases.parcels.delivery import Delivery, deliveries, note_delivered
from wheelover.usecases.parcels.making import parcel_bytes

_UPLOADS = "/api/v1/parcels/uploads"
_WAIT_S = 30.0
_MOST_ANSWER_COUNT = 1024 * 1024

_log = logging.getLogger("wheelover.push")


class NotDelivered(Exception):
    """The other side did not take it, or cannot be reached; it is tried again later."""


class Pusher:
    """A thread that brings what is to be brought, and waits longer each time the link fails.

    Parameters
    ----------
    store : Store
        Where parcels are kept.
    now_utc : callable
        Gives the time, RFC 3339.
    first_wait_s, longest_wait_s : float
        How long it waits after the first failure, and at most. Without one it looks again after
        the longest, or at once when it is woken.
    """

    def __init__(
        self,
        store: Store,
        now_utc: Callable[[], str],
        first_wait_s: float = 5.0,
        longest_wait_s: float = 900.0,
    ) -> None:
        self._store = store
        self._now_utc = now_utc
        self._first_wait_s = first_wait_s
        self._longest_wait_s = longest_wait_s
        self._woken = threading.Event()
        self._stopped = threading.Event()
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Start the thread."""
        self._thread = threading.Thread(target=self._run, name="parcel-push", daemon=True)
        self._thread.start()

    def wake(self) -> None:
        """Let it look at once."""
        self._woken.set()

    def stop(self) -> None:
        """End the thread; a chunk on its way is waited for."""
        self._stopped.set()
        self._woken.set()
        if self._thread is not None:
            self._thread.join(_WAIT_S)

    def _run(self) -> None:
        """Bring, wait, and begin again until it is stopped."""
        failures_count = 0
        while not self._stopped.is_set():
            self._woken.clear()
            failures_count = 0 if self._round() else failures_count + 1
            self._woken.wait(self._wait_s(failures_count))

    def _wait_s(self, failures_count: int) -> float:
        """Return how long to wait: double after each failure, up to the longest."""
        if failures_count == 0:
            return self._longest_wait_s
        return float(min(self._first_wait_s * 2 ** (failures_count - 1), self._longest_wait_s))

    def _round(self) -> bool:
        """Bring everything, and return whether all of it arrived."""
        whole = True
        try:
            for one in deliveries(self._store):
                if self._stopped.is_set():
                    return whole
                whole = self._bring(one) and whole
        except WheeloverError as error:
            _log.warning("parcels cannot be looked up: %s", error)
            return False
        return whole

    def _bring(self, one: Delivery) -> bool:
        """Bring one parcel and return whether it arrived."""
        try:
            body = parcel_bytes(self._store, one.peer_id, one.sequence).body
            bring(one, body, self._stopped.is_set)
            note_delivered(self._store, one, self._now_utc())
        except (
            NotDelivered,
            WheeloverError,
            OSError,
            ValueError,
            http.client.HTTPException,
        ) as error:
            _log.warning("parcel %d for %s was not brought: %s", one.sequence, one.peer_id, error)
            return False
        return True


def bring(one: Delivery, body: bytes, stopped: Callable[[], bool] = lambda: False) -> None:
    """Bring a parcel to the address of its peer, chunk by chunk; chunks there are not sent again.

    Parameters
    ----------
    one : Delivery
        Which, and where.
    body : bytes
        The parcel.
    stopped : callable
        Asked between chunks whether to leave off.

    Raises
    ------
    NotDelivered
        When the other side answers with anything but success.
    OSError, http.client.HTTPException
        When the link fails.
    """
    parts = urlsplit(one.url)
    kinds = {"https": http.client.HTTPSConnection, "http": http.client.HTTPConnection}
    connection = kinds[parts.scheme](parts.hostname or "", parts.port, timeout=_WAIT_S)
    try:
        base = parts.path.rstrip("/") + _UPLOADS
        start = canonical({"size_count": one.size_count, "sha256": one.sha256})
        upload = _ask(connection, one, "POST", base, start, {"Content-Type": "application/json"})
        if upload.get("state") == "already_taken":
            return
        chunk_count = int(upload["chunk_size_count"])
        for number in upload["missing"]:
            if stopped():
                raise NotDelivered("the service stops")
            chunk = body[number * chunk_count : (number + 1) * chunk_count]
            digest = base64.b64encode(hashlib.sha256(chunk).digest()).decode()
            headers = {"Content-Type": MEDIA_TYPE, "Content-Digest": f"sha-256=:{digest}:"}
            _ask(connection, one, "PUT", f"{base}/{one.sha256}/chunks/{number}", chunk, headers)
        _ask(connection, one, "POST", f"{base}/{one.sha256}/finish", b"", {})
    finally:
        connection.close()


def _ask(
    connection: http.client.HTTPConnection,
    one: Delivery,
    method: str,
    path: str,
    body: bytes,
    headers: dict[str, str],
) -> dict[str, Any]:
    """Return what the other side answers, which must be success and JSON."""
    sent = {"X-Wheelover": "1", **headers}
    if one.key is not None:
        sent["Authorization"] = f"Bearer {one.key}"
    connection.request(method, path, body=body, headers=sent)
    answer = connection.getresponse()
    text = answer.read(_MOST_ANSWER_COUNT)
    if answer.status not in (200, 201):
        raise NotDelivered(f"{method} {path} was answered with {answer.status}: {text[:300]!r}")
    try:
        document = read_json(text)
    except UnreadableFile as error:
        raise NotDelivered(f"{method} {path} was answered with no JSON: {error}") from error
    if not isinstance(document, dict):
        raise NotDelivered(f"{method} {path} was answered with another kind of JSON")
    return document
