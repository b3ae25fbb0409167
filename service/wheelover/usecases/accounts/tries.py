"""How often a password may be wrong, so that nobody guesses one and nobody is locked out.

Tries are counted in the database, by account and by place, each before its password is looked at.
The place is the live session of that account, else the browser that it signed in from before, else
the address: a ship's bridge computer, or all that is behind one gateway, is one address. After four
wrong ones of an account at a place the next must wait 4 s, then twice as long each time, a minute
at most: seven in the first minute, one in each after it. Besides, no more than ten a minute are
looked at of one account, from all addresses where it has not signed in before, and as many from one
address, of all accounts that have not signed in there.

So whoever guesses without the owner's session or browser, at whatever address, never holds up the
right password in them. In a browser that is new the owner shares the address with whoever guesses
there, and where the owner has signed in before, nobody elsewhere can take it.

A browser is known by 256 random bits in a cookie, given anew at each sign-in and unlocking and kept
as a digest alone. They open nothing: whoever has them may be wrong as often as at one more address.
"""

import hashlib
import ipaddress
import secrets
from dataclasses import dataclass

from wheelover.core.errors import TooManyTries
from wheelover.store import Unit
from wheelover.usecases.accounts.times import after, epoch_s
from wheelover.usecases.accounts.where import Where

FREE_COUNT = 4
FIRST_WAIT_S = 4
MINUTE_COUNT = 10
MOST_WAIT_S = 60
_PAIR_WINDOW_S = 15 * 60
KNOWN_S = 90 * 24 * 3600
_SESSION, _BROWSER = "session ", "browser "
_DIGEST_LETTERS = 56  # 224 bits; with its word in front it fills the column


@dataclass(frozen=True, slots=True, kw_only=True)
class Try:
    """A try that is counted already: its password may be looked at.

    ``place`` is what it is counted by: a session, a browser or the address.
    """

    number: int
    account_sha256: str
    address: str
    place: str


def begin(unit: Unit, name: str, where: Where) -> Try:
    """Count a try of a name.

    Parameters
    ----------
    unit : Unit
        Inside which it is counted; nothing is looked at before that is kept.
    name : str
        The account, whether there is one or not.
    where : Where
        Where the request comes from, and when.

    Raises
    ------
    TooManyTries
        When it must wait; nothing is counted then.
    """
    now_utc, account_sha256 = where.now_utc, _account_sha256(name)
    address = _network(where.address)
    place = _own_place(unit, name, where) or address
    unit.tries.forget_before(after(now_utc, -_PAIR_WINDOW_S), after(now_utc, -KNOWN_S))
    _require_pause(unit, account_sha256, place, now_utc)
    known = place != address or unit.tries.known(account_sha256, address)
    if not known:
        since = after(now_utc, -MOST_WAIT_S)
        busy = max(
            unit.tries.at_address(address, since), unit.tries.of_account(account_sha256, since)
        )
        if busy >= MINUTE_COUNT:
            raise _wait(MOST_WAIT_S)
    number = unit.tries.add(account_sha256, place, known, now_utc)
    return Try(number=number, account_sha256=account_sha256, address=address, place=place)


def was_right(unit: Unit, tried: Try, where: Where) -> None:
    """Forget the wrong tries of an account at a place; know address and browser from now on.

    A browser is known only where somebody signed in from it before: it was given its cookie then.
    """
    unit.tries.forget_at(tried.account_sha256, tried.place)
    unit.tries.know(tried.account_sha256, tried.address, where.now_utc)
    browser = _browser(where.browser)
    if where.browser and unit.tries.is_known(browser):
        unit.tries.know(tried.account_sha256, browser, where.now_utc)


def know_browser(unit: Unit, name: str, where: Where) -> str:
    """Know the browser of a sign-in under new random bits, and return them.

    Whoever else signed in from it is known there under them too, and so are the wrong tries: who
    signs in as himself again and again gains no tries of others' passwords.
    """
    token = secrets.token_urlsafe(32)
    if where.browser:
        unit.tries.move(_browser(where.browser), _browser(token))
    unit.tries.know(_account_sha256(name), _browser(token), where.now_utc)
    return token


def forget_browsers(unit: Unit, name: str) -> None:
    """Know no browser of an account any more."""
    unit.tries.unknow(_account_sha256(name), _BROWSER)


def _account_sha256(name: str) -> str:
    """Return what tries of a name are kept under.

    A password typed into the field of the name must not stand in the database.
    """
    return hashlib.sha256(f"account {name}".encode()).hexdigest()


def _own_place(unit: Unit, name: str, where: Where) -> str | None:
    """Return the session or the browser that an account's tries are counted by, if there is one."""
    if where.session_sha256 and where.session_account == name:
        return f"{_SESSION}{where.session_sha256[:_DIGEST_LETTERS]}"
    browser = _browser(where.browser)
    known = bool(where.browser) and unit.tries.known(_account_sha256(name), browser)
    return browser if known else None


def _browser(token: str) -> str:
    """Return what is kept of what a browser carries."""
    return f"{_BROWSER}{hashlib.sha256(token.encode()).hexdigest()[:_DIGEST_LETTERS]}"


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


def _network(address: str) -> str:
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
