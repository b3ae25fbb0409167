"""``wheelover account``: accounts from this machine itself, also when nobody can sign in.

Whoever may read and write the database owns it; this asks for no password. Each change is written
into the audit log as made on this machine.
"""

import argparse
import sys
from collections.abc import Callable
from dataclasses import replace

from wheelover.settings import setting
from wheelover.store import Store, open_store
from wheelover.store.accounts import AccountData, AccountRow, Grant
from wheelover.usecases.accounts import manage
from wheelover.usecases.accounts.signed_in import account_name

BY = "this machine"
_GRANT = "ROLE:vessel:ID, ROLE:fleet:NAME, or administrator:all"


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its own commands."""
    account = commands.add_parser("account", help="accounts, from this machine itself")
    actions = account.add_subparsers(dest="action", required=True)
    add = actions.add_parser("add", help="make an account; prints the code for its password")
    add.add_argument("name", help="sign-in name")
    add.add_argument("--person", required=True, help="name, as recorded and printed")
    add.add_argument("--rank", required=True, help="rank or office")
    add.add_argument("--ashore", action="store_true", help="signs in from ashore: second factor")
    add.add_argument("--grant", action="append", default=[], metavar="GRANT", help=_GRANT)
    add.set_defaults(act=_add)
    grant = actions.add_parser("grant", help="give an account a role")
    grant.add_argument("name")
    grant.add_argument("grant", nargs="+", help=_GRANT)
    grant.set_defaults(act=_grant)
    for name, act, words in (
        ("disable", _disable, "end an account's sessions and let it sign in no more"),
        ("enable", _enable, "let an account sign in again"),
        ("reset", _reset, "take password and second factor; prints the code for new ones"),
    ):
        one = actions.add_parser(name, help=words)
        one.add_argument("name")
        one.set_defaults(act=act)
    actions.add_parser("list", help="list the accounts").set_defaults(act=_list)
    account.set_defaults(run=run_it)


def run_it(chosen: argparse.Namespace) -> int:
    """Run the command; returns 0, or 3 with one sentence when it cannot be done."""
    from wheelover.core.errors import WheeloverError  # noqa: PLC0415
    from wheelover.usecases.clock import now_utc  # noqa: PLC0415  --help need not wait for it

    act: Callable[[Store, argparse.Namespace, str], str] = chosen.act
    try:
        store = open_store(setting("database"))
        try:
            sys.stdout.write(act(store, chosen, now_utc()))
        finally:
            store.close()
    except WheeloverError as error:
        sys.stderr.write(f"wheelover account: {error}\n")
        return 3
    return 0


def _add(store: Store, chosen: argparse.Namespace, now: str) -> str:
    """Make an account."""
    data = AccountData(
        person=chosen.person,
        rank=chosen.rank,
        ashore=chosen.ashore,
        grants=tuple(_one_grant(text) for text in chosen.grant),
    )
    account, code = manage.add_account(store, chosen.name, data, BY, now)
    return _code_words(account, code)


def _grant(store: Store, chosen: argparse.Namespace, now: str) -> str:
    """Give an account roles beside those it has."""
    account = _named(store, chosen.name)
    more = tuple(_one_grant(text) for text in chosen.grant)
    changed = _change(store, account, now, grants=tuple({*account.grants, *more}))
    return _line(changed)


def _disable(store: Store, chosen: argparse.Namespace, now: str) -> str:
    """Disable an account."""
    return _line(_change(store, _named(store, chosen.name), now, disabled=True))


def _enable(store: Store, chosen: argparse.Namespace, now: str) -> str:
    """Enable an account."""
    return _line(_change(store, _named(store, chosen.name), now, disabled=False))


def _reset(store: Store, chosen: argparse.Namespace, now: str) -> str:
    """Take password and second factor from an account."""
    account = _named(store, chosen.name)
    return _code_words(*manage.reset_account(store, account.id, BY, now))


def _list(store: Store, _chosen: argparse.Namespace, _now: str) -> str:
    """List the accounts."""
    with store.reading() as unit:
        rows = unit.accounts.page(10_000, None)
    return "".join(_line(row) for row in rows) or "There are no accounts.\n"


def _named(store: Store, name: str) -> AccountRow:
    """Return the account of a name."""
    from wheelover.core.errors import NotFound  # noqa: PLC0415

    with store.reading() as unit:
        account = unit.accounts.named(account_name(name))
    if account is None:
        raise NotFound(f"There is no account {name}.")
    return account


def _change(store: Store, account: AccountRow, now: str, **members: object) -> AccountRow:
    """Change some members of an account."""
    data = AccountData(
        person=account.person,
        rank=account.rank,
        ashore=account.ashore,
        disabled=account.disabled,
        outside_issuer=account.outside_issuer,
        outside_subject=account.outside_subject,
        grants=account.grants,
    )
    data = replace(data, **members)  # type: ignore[arg-type]
    return manage.change_account(store, account.id, data, (manage.account_tag(account),), BY, now)


def _one_grant(text: str) -> Grant:
    """Return a grant as it is typed."""
    role, _, rest = text.partition(":")
    reach, _, of = rest.partition(":")
    return Grant(role=role, reach=reach, of=of)


def _code_words(account: AccountRow, code: str) -> str:
    """Return the words with which a code is handed over."""
    return f"account {account.name}, code {code}\nGood once, for a day, on the sign-in page.\n"


def _line(account: AccountRow) -> str:
    """Return an account in a line."""
    grants = ", ".join(
        ":".join(part for part in (one.role, one.reach, one.of) if part) for one in account.grants
    )
    words = [
        "disabled" if account.disabled else "",
        "" if account.password_hash else "no password",
        "ashore" if account.ashore else "",
        grants or "no role",
    ]
    told = "; ".join(word for word in words if word)
    return f"{account.name}  {account.person}, {account.rank}  {told}\n"
