"""Sessions of browsers, and the passwords that were wrong before them."""

from dataclasses import dataclass

from sqlalchemy import Connection, delete, func, insert, select, update

from wheelover.store.account_tables import known_address, session, sign_in_try


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionRow:
    """A browser that has signed in."""

    token_sha256: str
    account_id: str
    started_utc: str
    used_utc: str


class Sessions:
    """The sessions of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, token_sha256: str, account_id: str, now_utc: str) -> SessionRow:
        """Keep a new session and return it."""
        row = SessionRow(
            token_sha256=token_sha256, account_id=account_id, started_utc=now_utc, used_utc=now_utc
        )
        values = {name: getattr(row, name) for name in row.__dataclass_fields__}
        self._connection.execute(insert(session).values(values))
        return row

    def find(self, token_sha256: str) -> SessionRow | None:
        """Return the session of a token's digest, if there is one."""
        wanted = select(session).where(session.c.token_sha256 == token_sha256)
        found = self._connection.execute(wanted).first()
        return None if found is None else SessionRow(**found._mapping)

    def of_account(self, account_id: str, since_utc: str) -> list[SessionRow]:
        """Return the sessions of an account started after a time, the newest first."""
        this = (session.c.account_id == account_id) & (session.c.started_utc > since_utc)
        order = (session.c.started_utc.desc(), session.c.token_sha256)
        found = self._connection.execute(select(session).where(this).order_by(*order))
        return [SessionRow(**row._mapping) for row in found]

    def use(self, token_sha256: str, now_utc: str) -> None:
        """Note that a session did something."""
        this = session.c.token_sha256 == token_sha256
        self._connection.execute(update(session).where(this).values(used_utc=now_utc))

    def go_on(self, token_sha256: str, new_sha256: str, now_utc: str) -> None:
        """Let a session go on under another token; the old one is good no more."""
        this = session.c.token_sha256 == token_sha256
        values = {"token_sha256": new_sha256, "used_utc": now_utc}
        self._connection.execute(update(session).where(this).values(values))

    def end(self, token_sha256: str) -> None:
        """End one session."""
        self._connection.execute(delete(session).where(session.c.token_sha256 == token_sha256))

    def end_all(self, account_id: str, but: str = "") -> None:
        """End every session of an account, except one."""
        these = (session.c.account_id == account_id) & (session.c.token_sha256 != but)
        self._connection.execute(delete(session).where(these))

    def end_started_before(self, utc: str) -> None:
        """End every session that was started before a time."""
        self._connection.execute(delete(session).where(session.c.started_utc < utc))


class Tries:
    """The wrong passwords of one unit of work, by account and by address."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def known(self, account_sha256: str, address: str) -> bool:
        """Return whether the account has signed in from the address."""
        this = known_address.c.account_sha256 == account_sha256
        wanted = select(known_address.c.at_utc).where(this, known_address.c.address == address)
        return self._connection.execute(wanted).first() is not None

    def of_pair(self, account_sha256: str, address: str, since_utc: str) -> tuple[int, str]:
        """Return how many tries of an account at an address there were, and when the last was."""
        wanted = select(func.count(), func.max(sign_in_try.c.at_utc)).where(
            sign_in_try.c.account_sha256 == account_sha256,
            sign_in_try.c.address == address,
            sign_in_try.c.at_utc >= since_utc,
        )
        count, last = self._connection.execute(wanted).one()
        return int(count), str(last or "")

    def at_address(self, address: str, since_utc: str) -> int:
        """Return how many tries there were at an address, of accounts not known there."""
        return self._count(sign_in_try.c.address == address, since_utc)

    def of_account(self, account_sha256: str, since_utc: str) -> int:
        """Return how many tries of an account there were, from addresses not known for it."""
        return self._count(sign_in_try.c.account_sha256 == account_sha256, since_utc)

    def _count(self, which: object, since_utc: str) -> int:
        """Return how many tries not at a known address there were."""
        wanted = select(func.count()).select_from(sign_in_try)
        wanted = wanted.where(
            which,  # type: ignore[arg-type]
            sign_in_try.c.known.is_(False),
            sign_in_try.c.at_utc >= since_utc,
        )
        return int(self._connection.execute(wanted).scalar_one())

    def add(self, account_sha256: str, address: str, known: bool, now_utc: str) -> int:
        """Count a try, before its password is looked at, and return its number."""
        values = {
            "account_sha256": account_sha256,
            "address": address,
            "known": known,
            "at_utc": now_utc,
        }
        done = self._connection.execute(insert(sign_in_try).values(values))
        key = done.inserted_primary_key
        return 0 if key is None else int(key[0])

    def forget_at(self, account_sha256: str, address: str) -> None:
        """Forget the tries of an account at an address."""
        pair = (sign_in_try.c.account_sha256 == account_sha256) & (sign_in_try.c.address == address)
        self._connection.execute(delete(sign_in_try).where(pair))

    def is_known(self, address: str) -> bool:
        """Return whether any account has signed in from an address."""
        wanted = select(known_address.c.at_utc).where(known_address.c.address == address).limit(1)
        return self._connection.execute(wanted).first() is not None

    def move(self, old: str, new: str) -> None:
        """Call an address another name, for every account known there and each of its tries."""
        for table in (known_address, sign_in_try):
            these = table.c.address == old
            self._connection.execute(update(table).where(these).values(address=new))

    def unknow(self, account_sha256: str, starting: str) -> None:
        """Forget that an account signed in from addresses that start so."""
        these = known_address.c.account_sha256 == account_sha256
        these &= known_address.c.address.startswith(starting, autoescape=True)
        self._connection.execute(delete(known_address).where(these))

    def know(self, account_sha256: str, address: str, now_utc: str) -> None:
        """Know an address of an account from now on."""
        known = known_address.c.account_sha256 == account_sha256
        here = known & (known_address.c.address == address)
        self._connection.execute(delete(known_address).where(here))
        row = {"account_sha256": account_sha256, "address": address, "at_utc": now_utc}
        self._connection.execute(insert(known_address).values(row))

    def forget(self, number: int) -> None:
        """Forget one try: its password was right and something else was missing."""
        self._connection.execute(delete(sign_in_try).where(sign_in_try.c.id == number))

    def forget_before(self, tries_utc: str, known_utc: str) -> None:
        """Forget tries and known addresses that are older than these times."""
        self._connection.execute(delete(sign_in_try).where(sign_in_try.c.at_utc < tries_utc))
        self._connection.execute(delete(known_address).where(known_address.c.at_utc < known_utc))
