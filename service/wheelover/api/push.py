"""Bringing parcels to the address of a peer, in the background, over a link that drops.

Off until an administrator sets an address on this machine. No redirect is followed, and nothing
that comes from outside sets where anything is sent.
"""

import base64
import hashlib
import http.client
import logging
import threading
import time
from collections.abc import Callable
from contextlib import closing
from typing import Any
from urllib.parse import urlsplit

from wheelover.core.errors import UnreadableFile, WheeloverError
from wheelover.formats.parcel import MEDIA_TYPE
from wheelover.formats.strict_json import read_json
from wheelover.store import Store
from wheelover.usecases.canonical import canonical
from wheelover.usecases.claim import Claim, claimed
from wheelover.usecases.parcels.clocks import date_of, note_link_clock, skew_of_date_s
from wheelover.usecases.parcels.delivery import Delivery, deliveries, note_delivered, sign_of
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
    look_s : float
        While it waits it looks so often whether an address was set, or a parcel made, by the
        command or another process, and then waits no longer.
    """

    def __init__(
        self,
        store: Store,
        now_utc: Callable[[], str],
        first_wait_s: float = 5.0,
        longest_wait_s: float = 900.0,
        look_s: float = 3.0,
    ) -> None:
        self._store = store
        self._now_utc = now_utc
        self._first_wait_s = first_wait_s
        self._longest_wait_s = longest_wait_s
        self._look_s = look_s
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
            seen = self._seen()
            failures_count = 0 if self._round() else failures_count + 1
            if self._wait(self._wait_s(failures_count), seen):
                failures_count = 0

    def _wait(self, most_s: float, seen: object) -> bool:
        """Wait until it is woken, or something is new; return whether something is."""
        end_s = time.monotonic() + most_s
        while (left_s := end_s - time.monotonic()) > 0:
            if self._woken.wait(min(left_s, self._look_s)):
                return False
            if self._seen() not in (seen, None):
                return True
        return False

    def _seen(self) -> object:
        """Return what changes when there is something new to be brought; None when nobody knows."""
        try:
            return sign_of(self._store)
        except WheeloverError as error:
            _log.warning("whether parcels are to be brought cannot be looked up: %s", error)
            return None

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
        """Bring one parcel, unless another process brings it, and return whether it failed not."""
        with claimed(self._store, f"parcels:{one.peer_id}") as claim:
            if claim is None or one not in deliveries(self._store):
                return True
            return self._bring_ours(one, claim)

    def _bring_ours(self, one: Delivery, claim: Claim) -> bool:
        """Bring one parcel and return whether it arrived."""
        try:
            if one.key_lost:
                raise NotDelivered(
                    "the key for its address is sealed with another key file; set it again with "
                    "`wheelover parcel push`"
                )
            body = parcel_bytes(self._store, one.peer_id, one.sequence).body
            skew_s = bring(
                one, body, self._now_utc, lambda: self._stopped.is_set() or not claim.hold()
            )
            note_delivered(self._store, one, self._now_utc())
            note_link_clock(self._store, one.peer_id, skew_s, self._now_utc())
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


def bring(
    one: Delivery,
    body: bytes,
    now_utc: Callable[[], str],
    stopped: Callable[[], bool] = lambda: False,
) -> int | None:
    """Bring a parcel to the address of its peer, chunk by chunk; chunks there are not sent again.

    Parameters
    ----------
    one : Delivery
        Which, and where.
    body : bytes
        The parcel.
    now_utc : callable
        Gives the time, RFC 3339.
    stopped : callable
        Asked between chunks whether to leave off.

    Returns
    -------
    int or None
        By how many seconds the other side's clock is off ours, positive where it is ahead; None
        where it does not say its time.

    Raises
    ------
    NotDelivered
        When the other side answers with anything but success.
    OSError, http.client.HTTPException
        When the link fails.
    """
    with closing(_Link(one, now_utc)) as link:
        start = canonical({"size_count": one.size_count, "sha256": one.sha256})
        upload = link.ask("POST", "", start, {"Content-Type": "application/json"})
        if upload.get("state") == "already_taken":
            return link.skew_s
        chunk_count = int(upload["chunk_size_count"])
        for number in upload["missing"]:
            if stopped():
                raise NotDelivered("the service stops, or another process brings it")
            chunk = body[number * chunk_count : (number + 1) * chunk_count]
            digest = base64.b64encode(hashlib.sha256(chunk).digest()).decode()
            headers = {"Content-Type": MEDIA_TYPE, "Content-Digest": f"sha-256=:{digest}:"}
            link.ask("PUT", f"/{one.sha256}/chunks/{number}", chunk, headers)
        link.ask("POST", f"/{one.sha256}/finish", b"", {})
        return link.skew_s


class _Link:
    """A connection to the other side. ``skew_s`` is by how much its clock was off ours last."""

    def __init__(self, one: Delivery, now_utc: Callable[[], str]) -> None:
        parts = urlsplit(one.url)
        kinds = {"https": http.client.HTTPSConnection, "http": http.client.HTTPConnection}
        self._connection = kinds[parts.scheme](parts.hostname or "", parts.port, timeout=_WAIT_S)
        self._base = parts.path.rstrip("/") + _UPLOADS
        self._one, self._now_utc = one, now_utc
        self.skew_s: int | None = None

    def ask(self, method: str, place: str, body: bytes, headers: dict[str, str]) -> dict[str, Any]:
        """Return what the other side answers, which must be success and JSON."""
        path = self._base + place
        sent = {"X-Wheelover": "1", "Date": date_of(self._now_utc()), **headers}
        if self._one.key is not None:
            sent["Authorization"] = f"Bearer {self._one.key}"
        self._connection.request(method, path, body=body, headers=sent)
        answer = self._connection.getresponse()
        self.skew_s = skew_of_date_s(answer.getheader("Date"), self._now_utc())
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

    def close(self) -> None:
        """Close the connection."""
        self._connection.close()
