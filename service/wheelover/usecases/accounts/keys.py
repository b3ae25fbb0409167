"""Keys of other systems: one vessel or one fleet, some scopes, a year at the longest."""

import hmac
import re
import secrets

from wheelover.core.errors import Fault, InvalidInput
from wheelover.store import Store
from wheelover.store.keys import KeyRow
from wheelover.usecases.accounts.manage import require_reach
from wheelover.usecases.accounts.roles import SCOPE_ACTIONS
from wheelover.usecases.accounts.signed_in import ACCOUNTS_CHAIN, digest_of
from wheelover.usecases.accounts.times import after

MOST_DAYS = 365
_KEY = re.compile(r"wo_([0-9a-f]{16})_([0-9a-f]{64})", re.ASCII)


def make_key(
    store: Store,
    name: str,
    scopes: tuple[str, ...],
    reach: str,
    of: str,
    days: int,
    by: str,
    now_utc: str,
) -> tuple[KeyRow, str]:
    """Keep a new key; return it, and the key itself, which is shown once and not kept.

    Raises
    ------
    InvalidInput
        For an unknown scope, vessel or fleet, or more than a year.
    """
    unknown = [one for one in scopes if one not in SCOPE_ACTIONS]
    if unknown or not scopes:
        message = f"scopes are one or more of {', '.join(SCOPE_ACTIONS)}"
        raise InvalidInput(message, (Fault(pointer="/scopes", message=message),))
    if not 1 <= days <= MOST_DAYS:
        message = f"a key is good for 1 to {MOST_DAYS} days"
        raise InvalidInput(message, (Fault(pointer="/days", message=message),))
    key_id, secret = secrets.token_hex(8), secrets.token_hex(32)
    with store.writing() as unit:
        require_reach(unit, reach, of, "")
        row = unit.keys.add(
            id=key_id,
            name=name,
            sha256=digest_of(secret),
            scopes=" ".join(sorted(set(scopes))),
            reach=reach,
            of=of,
            made_by=by,
            created_utc=now_utc,
            until_utc=after(now_utc, days * 24 * 3600),
        )
        entry = {"what": "key.made", "key_id": key_id, "scopes": row.scopes, "by": by}
        unit.audit.add(ACCOUNTS_CHAIN, {**entry, "reach": reach, "of": of}, now_utc)
    return row, f"wo_{key_id}_{secret}"


def revoke_key(store: Store, key_id: str, by: str, now_utc: str) -> KeyRow:
    """End a key at once.

    Raises
    ------
    NotFound
        For an id that stands for none.
    """
    with store.writing() as unit:
        unit.keys.get(key_id)
        unit.keys.revoke(key_id, now_utc)
        unit.audit.add(ACCOUNTS_CHAIN, {"what": "key.revoked", "key_id": key_id, "by": by}, now_utc)
        return unit.keys.get(key_id)


def key_of(store: Store, text: str, now_utc: str) -> KeyRow | None:
    """Return the key that a text is, None when it is none, was revoked or has run out."""
    found = _KEY.fullmatch(text)
    if found is None:
        return None
    with store.reading() as unit:
        row = unit.keys.find(found[1])
    if row is None or not hmac.compare_digest(row.sha256, digest_of(found[2])):
        return None
    return row if row.revoked_utc is None and now_utc < row.until_utc else None
