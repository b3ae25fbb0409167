"""How often a password may be wrong, so that nobody guesses one and nobody is locked out.

Tries are counted in the database, by account and by address, each before its password is looked at.
After four wrong ones of an account at an address the next must wait 4 s, then twice as long each
time, a minute at most: seven in the first minute, one in each after it. Besides, no more than ten a
minute are looked at of one account, from all addresses where it has not signed in before, and as
many from one address, of all accounts that have not signed in there. So one who guesses leaves room
for the owner anywhere else, and where the owner has signed in before nobody elsewhere, and nobody
who guesses at other accounts there, can take it.
"""

import hashlib
import ipaddress
from dataclasses import dataclass

from wheelover.core.errors import TooManyTries
from wheelover.store import Unit
from wheelover.usecases.accounts.times import after, epoch_s

FREE_COUNT = 4
FIRST_WAIT_S = 4
MINUTE_COUNT = 10
MOST_WAIT_S = 60
_PAIR_WINDOW_S = 15 * 60
_KNOWN_S = 90 * 24 * 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class Try:
    """A try that is counted already: its password may be looked at."""

    number: int
    account_sha256: str
    address: str


def begin(unit: Unit, name: str, address: str, now_utc: str) -> Try:
    """Count a try of a name at an address.

    Parameters
    ----------
    unit : Unit
        Inside which it is counted; nothing is looked at before that is kept.
    name : str
        The account, whether there is one or not.
    address : str
        Where the request comes from.
    now_utc : str
        The time, RFC 3339.

    Raises
    ------
    TooManyTries
        When it must wait; nothing is counted then.
    """
    # A password typed into the field of the name must not stand in the database.
    account_sha256 = hashlib.sha256(f"account {name}".encode()).hexdigest()
    place = _place(address)
    unit.tries.forget_before(after(now_utc, -_PAIR_WINDOW_S), after(now_utc, -_KNOWN_S))
    _require_pause(unit, account_sha256, place, now_utc)
    known = unit.tries.known(account_sha256, place)
    if not known:
        since = after(now_utc, -MOST_WAIT_S)
        busy = max(
            unit.tries.at_address(place, since), unit.tries.of_account(account_sha256, since)
        )
        if busy >= MINUTE_COUNT:
            raise _wait(MOST_WAIT_S)
    number = unit.tries.add(account_sha256, place, known, now_utc)
    return Try(number=number, account_sha256=account_sha256, address=place)


def was_right(unit: Unit, tried: Try, now_utc: str) -> None:
    """Forget the wrong tries of an account at an address, and know the address from now on."""
    unit.tries.right(tried.account_sha256, tried.address, now_utc)


def _require_pause(unit: Unit, account_sha256: str, place: str, now_utc: str) -> None:
    """Refuse a try that comes too soon after wrong ones of the same account at the same place."""
    count, last_utc = unit.tries.of_pair(account_sha256, place, after(now_utc, -_PAIR_WINDOW_S))
    if count < FREE_COUNT:
        return
    pause_s = min(MOST_WAIT_S, FIRST_WAIT_S * 2 ** min(count - FREE_COUNT, 10))
    left_s = epoch_s(last_utc) + pause_s - epoch_s(now_utc)
    if left_s > 0:
        raise _wait(min(MOST_WAIT_S, int(left_s) + 1))


def _wait(wait_s: int) -> TooManyTries:
    """Return the refusal, the same whether there is such an account or not."""
    return TooManyTries(
        f"Too many passwords were wrong. Try again in {wait_s} s; this one was not looked at.",
        wait_s,
    )


def _place(address: str) -> str:
    """Return an address as tries are counted: of IPv6 the network, which one sender has whole."""
    try:
        known = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address[:64]
    if isinstance(known, ipaddress.IPv4Address):
        return str(known)
    if known.ipv4_mapped is not None:
        return str(known.ipv4_mapped)
    return str(ipaddress.IPv6Network((known, 64), strict=False))
