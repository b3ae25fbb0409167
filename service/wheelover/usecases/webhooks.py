"""Telling other systems of changes: signed, in order, again after a failure, with a log.

What is told is the audit log of a vessel, which is written with each change: nothing that was kept
goes untold, and nothing is told that was not kept. Headers and signature are those of the open
Standard Webhooks specification.
"""

import base64
import hashlib
import hmac
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

from wheelover.core.errors import Fault, InvalidInput
from wheelover.formats.strict_json import read_json
from wheelover.store import Store
from wheelover.store.audit import AuditRow
from wheelover.store.webhooks import DeliveryRow, WebhookRow
from wheelover.usecases.canonical import json_bytes
from wheelover.usecases.claim import Claim, claimed

Document = dict[str, Any]

WAITS_S = (5, 30, 120, 600, 3600, 6 * 3600, 12 * 3600, 24 * 3600)
"""How long to wait after each failure; after the last of them an entry is given up."""

MOST_AT_ONCE = 50
_SECRET_BYTES = 24
_PREFIX = "whsec_"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of an attempt: the HTTP status, None where nobody answered, and a sentence."""

    status: int | None
    detail: str

    @property
    def delivered(self) -> bool:
        """Return whether the other side took it."""
        return self.status is not None and 200 <= self.status < 300


Send = Callable[[str, dict[str, str], bytes], Outcome]


def add_webhook(
    store: Store, url: str, vessel_id: str, kinds: tuple[str, ...], now_utc: str
) -> WebhookRow:
    """Keep an address that hears of every change from now on.

    Parameters
    ----------
    store : Store
        Where it is kept.
    url : str
        http or https; no other address is ever asked, and no redirect followed.
    vessel_id : str
        Whose changes.
    kinds : tuple of str
        What it hears of, as ``plan.approved``; none for everything.
    now_utc : str
        The time, RFC 3339.

    Raises
    ------
    InvalidInput
        For what is no address.
    """
    parts = urlsplit(url)
    if parts.scheme not in ("http", "https") or not parts.hostname or parts.username:
        message = "the address must be http:// or https:// with a host, without name and password"
        raise InvalidInput(message, (Fault(pointer="/url", message=message),))
    with store.writing() as unit:
        unit.vessels.get(vessel_id)
        unit.audit.add(vessel_id, {"what": "webhook.added", "host": parts.hostname}, now_utc)
        head = unit.audit.head(vessel_id)
        return unit.webhooks.add(url, _new_secret(), vessel_id, kinds, head.number, now_utc)


def switch_webhook(store: Store, webhook_id: str, *, active: bool, now_utc: str) -> WebhookRow:
    """Let a webhook hear of changes, or no longer; what it missed meanwhile it hears later."""
    with store.writing() as unit:
        row = unit.webhooks.switch(webhook_id, active=active)
        what = "webhook.on" if active else "webhook.off"
        unit.audit.add(row.vessel_id, {"what": what, "webhook_id": webhook_id}, now_utc)
        return row


def rotate_webhook(store: Store, webhook_id: str, now_utc: str) -> WebhookRow:
    """Sign what a webhook is told with a new secret, the old one being lost or in other hands."""
    with store.writing() as unit:
        row = unit.webhooks.rotate(webhook_id, _new_secret())
        entry = {"what": "webhook.rotated", "webhook_id": webhook_id}
        unit.audit.add(row.vessel_id, entry, now_utc)
        return row


def _new_secret() -> str:
    """Return a secret as the specification writes it."""
    return _PREFIX + base64.b64encode(secrets.token_bytes(_SECRET_BYTES)).decode()


def webhooks_listed(store: Store) -> list[WebhookRow]:
    """Return every webhook."""
    with store.reading() as unit:
        return unit.webhooks.all()


def deliveries_listed(
    store: Store, webhook_id: str, limit: int, before: int | None
) -> tuple[list[DeliveryRow], int | None]:
    """Return a page of the log of deliveries, newest first, and where the next page starts."""
    with store.reading() as unit:
        unit.webhooks.get(webhook_id)
        rows = unit.webhooks.deliveries(webhook_id, limit + 1, before)
    more = len(rows) > limit
    return rows[:limit], rows[limit - 1].number if more else None


def signed_headers(
    row: WebhookRow, secret: str, entry_number: int, at_s: int, body: bytes
) -> dict[str, str]:
    """Return the headers of a delivery: its id, the time and the signature over both and the body.

    Parameters
    ----------
    row : WebhookRow
        Who is told.
    secret : str
        What signs.
    entry_number : int
        Of the audit log; the same entry has the same id in every attempt.
    at_s : int
        The time of the attempt, seconds since 1970.
    body : bytes
        What is sent.
    """
    message_id = f"{row.id}-{entry_number}"
    key = base64.b64decode(secret.removeprefix(_PREFIX))
    signed = f"{message_id}.{at_s}.".encode() + body
    digest = hmac.new(key, signed, hashlib.sha256).digest()
    return {
        "content-type": "application/json",
        "webhook-id": message_id,
        "webhook-timestamp": str(at_s),
        "webhook-signature": f"v1,{base64.b64encode(digest).decode()}",
    }


def deliver_due(store: Store, send: Send, now_utc: Callable[[], str]) -> int:
    """Make every delivery that is due, in order, and return how many arrived.

    A failure ends the round of that webhook: what comes later waits, so that the order holds. One
    whose secret another key file has sealed is told nothing until an administrator rotates it.
    Of several processes one at a time delivers to a webhook.
    """
    with store.reading() as unit:
        due = unit.webhooks.due(now_utc())
    return sum(_deliver(store, row, send, now_utc) for row in due if row.secret is not None)


def _deliver(store: Store, row: WebhookRow, send: Send, now_utc: Callable[[], str]) -> int:
    """Deliver to one webhook, unless another process does, until something fails."""
    with store.reading() as unit:
        if not unit.audit.after(row.vessel_id, row.sent_number, 1):
            return 0
    with claimed(store, f"webhook:{row.id}") as claim:
        return 0 if claim is None else _deliver_all(store, row.id, claim, send, now_utc)


def _deliver_all(
    store: Store, webhook_id: str, claim: Claim, send: Send, now_utc: Callable[[], str]
) -> int:
    """Deliver to one webhook what is left of it now that it is ours."""
    with store.reading() as unit:
        row = unit.webhooks.get(webhook_id)
        entries = unit.audit.after(row.vessel_id, row.sent_number, MOST_AT_ONCE)
    if not row.active or row.next_utc > now_utc():
        return 0
    arrived, attempt = 0, row.attempt_count
    for entry in entries:
        if not claim.hold():
            return arrived
        document = read_json(entry.entry.encode())
        if row.kinds and document["what"] not in row.kinds:
            _note(store, row, entry.number, 0, now_utc())
            continue
        outcome = _attempt(row, entry, document, send, now_utc())
        if not _kept(store, row, entry, attempt + 1, outcome, now_utc()):
            return arrived
        arrived += int(outcome.delivered)
        attempt = 0
    return arrived


def _attempt(row: WebhookRow, entry: AuditRow, document: Document, send: Send, at: str) -> Outcome:
    """Send one entry."""
    if row.secret is None:
        raise LookupError("a webhook whose secret is lost is told nothing")
    body = json_bytes({"type": document["what"], "timestamp": entry.at_utc, "data": document})
    at_s = int(datetime.fromisoformat(at).timestamp())
    return send(row.url, signed_headers(row, row.secret, entry.number, at_s, body), body)


def _note(store: Store, row: WebhookRow, sent: int, attempts: int, next_utc: str) -> None:
    """Note how far a webhook has heard."""
    with store.writing() as unit:
        unit.webhooks.move(row.id, sent, attempts, next_utc)


def _kept(
    store: Store, row: WebhookRow, entry: AuditRow, attempt: int, outcome: Outcome, at: str
) -> bool:
    """Keep what came of an attempt, and return whether the next entry may follow."""
    last = attempt > len(WAITS_S)
    kind = "delivered" if outcome.delivered else ("given_up" if last else "failed")
    goes_on = kind != "failed"
    wait_s = 0 if goes_on else WAITS_S[attempt - 1]
    next_utc = (datetime.fromisoformat(at) + timedelta(seconds=wait_s)).isoformat(
        timespec="milliseconds"
    )
    with store.writing() as unit:
        sent = entry.number if goes_on else entry.number - 1
        unit.webhooks.move(row.id, sent, 0 if goes_on else attempt, next_utc.replace("+00:00", "Z"))
        unit.webhooks.log(row.id, entry.number, attempt, kind, outcome.status, outcome.detail, at)
    return goes_on


def changes_after(
    store: Store, vessel_id: str, after: int, limit: int
) -> tuple[list[Document], int]:
    """Return what changed after an entry of a vessel's log, oldest first, and where to go on."""
    with store.reading() as unit:
        rows = unit.audit.after(vessel_id, after, limit)
    items = [read_json(row.entry.encode()) for row in rows]
    return items, rows[-1].number if rows else after
