"""The second factor of accounts that sign in from ashore: one-time codes by time (RFC 6238)."""

import hmac

import pyotp

from wheelover.store import Unit
from wheelover.store.accounts import AccountRow
from wheelover.store.sealing import Seal
from wheelover.usecases.accounts.times import epoch_s

PERIOD_S = 30
_STEPS = (0, -1, 1)
ISSUER = "wheelover"


def new_secret() -> str:
    """Return a new secret, base 32, 160 bits."""
    return pyotp.random_base32()


def address_of(secret: str, account_name: str) -> str:
    """Return the address that an authenticator reads as text or as a picture."""
    return pyotp.TOTP(secret).provisioning_uri(name=account_name, issuer_name=ISSUER)


def step_of(secret: str, code: str, now_utc: str) -> int | None:
    """Return the time step a code belongs to, one step early or late at most; None when to none."""
    now = int(epoch_s(now_utc)) // PERIOD_S
    totp = pyotp.TOTP(secret)
    for by in _STEPS:
        if hmac.compare_digest(totp.at((now + by) * PERIOD_S).encode(), code.encode()):
            return now + by
    return None


def use_code(unit: Unit, account: AccountRow, seal: Seal, code: str | None, now_utc: str) -> bool:
    """Return whether a code is right and was not used before; it is used by this."""
    if account.factor_sealed is None or not code:
        return False
    step = step_of(seal.opened(account.factor_sealed), code.replace(" ", ""), now_utc)
    return step is not None and unit.accounts.use_step(account.id, step)
