"""Accounts: people who may sign in, and what each may do where."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, update

from wheelover.core.errors import Conflict, NotFound
from wheelover.store.account_tables import account, account_grant
from wheelover.store.sequence import new_id, next_seq


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Grant:
    """A role on the vessel or the fleet that ``of`` names, or on all (``of`` is empty)."""

    role: str
    reach: str
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AccountRow:
    """One account with its grants. Nothing in it may be shown but what routers pick."""

    id: str
    name: str
    person: str
    rank: str
    ashore: bool
    disabled: bool
    password_hash: str | None
    enrol_sha256: str | None
    enrol_until_utc: str | None
    factor_sealed: str | None
    factor_step: int
    outside_issuer: str | None
    outside_subject: str | None
    edit: int
    created_utc: str
    changed_seq: int
    grants: tuple[Grant, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AccountData:
    """What an administrator says of an account."""

    person: str
    rank: str
    ashore: bool = False
    disabled: bool = False
    outside_issuer: str | None = None
    outside_subject: str | None = None
    grants: tuple[Grant, ...] = ()


class Accounts:
    """The accounts of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def count(self) -> int:
        """Return how many there are."""
        return int(self._connection.execute(select(func.count()).select_from(account)).scalar_one())

    def add(self, name: str, data: AccountData, now_utc: str) -> AccountRow:
        """Keep a new account without a password and return it.

        Raises
        ------
        Conflict
            When the name is taken, or the outside subject is linked to another.
        """
        if self.named(name) is not None:
            raise Conflict(f"There is an account {name} already.")
        row = {
            "id": new_id("account"),
            "name": name,
            **self._outside_free(None, data),
            "factor_step": 0,
            "edit": 1,
            "created_utc": now_utc,
            "changed_seq": next_seq(self._connection, account),
        }
        self._connection.execute(insert(account).values(row))
        self._grant(str(row["id"]), data.grants)
        return self.get(str(row["id"]))

    def change(self, before: AccountRow, data: AccountData) -> AccountRow:
        """Put new words and grants in the place of those of an account."""
        values = {
            **self._outside_free(before.id, data),
            "edit": before.edit + 1,
            "changed_seq": next_seq(self._connection, account),
        }
        same = (account.c.id == before.id) & (account.c.edit == before.edit)
        if self._connection.execute(update(account).where(same).values(values)).rowcount != 1:
            raise Conflict("the account was changed meanwhile")
        self._connection.execute(
            delete(account_grant).where(account_grant.c.account_id == before.id)
        )
        self._grant(before.id, data.grants)
        return self.get(before.id)

    def set(self, account_id: str, **values: Any) -> None:
        """Set columns that only sign-in and enrolment change."""
        self._connection.execute(update(account).where(account.c.id == account_id).values(values))

    def use_step(self, account_id: str, step: int) -> bool:
        """Take the time step of a one-time code, and return whether it was still to be taken."""
        free = (account.c.id == account_id) & (account.c.factor_step < step)
        done = self._connection.execute(update(account).where(free).values(factor_step=step))
        return done.rowcount == 1

    def get(self, account_id: str) -> AccountRow:
        """Return an account.

        Raises
        ------
        NotFound
            For an id that stands for none.
        """
        found = self._find(account.c.id == account_id)
        if found is None:
            raise NotFound("There is no such account.")
        return found

    def named(self, name: str) -> AccountRow | None:
        """Return the account of a sign-in name, if there is one."""
        return self._find(account.c.name == name)

    def outside(self, issuer: str, subject: str) -> AccountRow | None:
        """Return the account linked to a subject of the shore office's provider, if any."""
        return self._find(
            (account.c.outside_issuer == issuer) & (account.c.outside_subject == subject)
        )

    def page(self, limit: int, before: int | None) -> list[AccountRow]:
        """Return accounts, last changed first, those before a place in that order."""
        wanted = select(account).order_by(account.c.changed_seq.desc()).limit(limit)
        if before is not None:
            wanted = wanted.where(account.c.changed_seq < before)
        return [self._with_grants(row) for row in self._connection.execute(wanted).all()]

    def administrators(self, ready: bool = False) -> int:
        """Return how many accounts can manage accounts; ``ready`` counts those with a password."""
        wanted = (
            select(func.count())
            .select_from(account)
            .join(account_grant, account_grant.c.account_id == account.c.id)
            .where(account_grant.c.role == "administrator", account.c.disabled.is_(False))
        )
        if ready:
            wanted = wanted.where(account.c.password_hash.is_not(None))
        return int(self._connection.execute(wanted).scalar_one())

    def _find(self, which: Any) -> AccountRow | None:
        """Return an account, or None."""
        found = self._connection.execute(select(account).where(which)).first()
        return None if found is None else self._with_grants(found)

    def _with_grants(self, row: Any) -> AccountRow:
        """Return a row with its grants, in order."""
        columns = (account_grant.c.role, account_grant.c.reach, account_grant.c.of)
        wanted = select(*columns).where(account_grant.c.account_id == row.id).order_by(*columns)
        grants = tuple(Grant(**one._mapping) for one in self._connection.execute(wanted))
        return AccountRow(**row._mapping, grants=grants)

    def _outside_free(self, account_id: str | None, data: AccountData) -> dict[str, Any]:
        """Return the columns an administrator sets, after the outside subject is found free."""
        if data.outside_issuer is not None and data.outside_subject is not None:
            holder = self.outside(data.outside_issuer, data.outside_subject)
            if holder is not None and holder.id != account_id:
                raise Conflict(f"That outside subject is linked to the account {holder.name}.")
        return {
            "person": data.person,
            "rank": data.rank,
            "ashore": data.ashore,
            "disabled": data.disabled,
            "outside_issuer": data.outside_issuer,
            "outside_subject": data.outside_subject,
        }

    def _grant(self, account_id: str, grants: Iterable[Grant]) -> None:
        """Insert grants, each once."""
        rows = [
            {"account_id": account_id, "role": one.role, "reach": one.reach, "of": one.of}
            for one in sorted(set(grants))
        ]
        if rows:
            self._connection.execute(insert(account_grant), rows)
