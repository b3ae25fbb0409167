"""Secrets that must be read back, sealed at rest: keys of parcels, of webhooks and of addresses.

They stand in the database, because every process must sign with them, and are sealed with the key
file, which is not in the database: a copy of the database, or a backup, signs nothing alone.
"""

from sqlalchemy import Column, Connection, Table, select, update

from wheelover.store.account_tables import account
from wheelover.store.parcel_tables import instance_key, peer
from wheelover.store.sealing import Seal, is_sealed
from wheelover.store.tables import webhook

_SEALED: tuple[tuple[Table, Column[str], str], ...] = (
    (
        instance_key,
        instance_key.c.private_key,
        "the key that signs parcels: make a new one as lost (POST /api/v1/peers/self/keys, or on "
        "the page) and let each peer revoke this installation and pair anew",
    ),
    (
        webhook,
        webhook.c.secret,
        "the secrets of webhooks: `wheelover webhook rotate ID` makes a new one of each",
    ),
    (
        peer,
        peer.c.push_key,
        "the keys for peers' addresses: `wheelover parcel push PEER --to ... --key-file ...`",
    ),
)
_FACTORS = "second factors: `wheelover account reset NAME` for those who sign in from ashore"


def seal_secrets(connection: Connection, seal: Seal) -> tuple[str, ...]:
    """Seal what an earlier version has kept in clear, and return what cannot be opened.

    Parameters
    ----------
    connection : sqlalchemy.Connection
        In a transaction that no other writes beside.
    seal : Seal
        What secrets are sealed with; its key is made when there is something to seal.

    Returns
    -------
    tuple of str
        What another key file has sealed, each with what must be made anew.

    Raises
    ------
    StoreRefused
        When there is something to seal and the key file cannot be made or read.
    """
    lost = []
    for table, column, remedy in _SEALED:
        key = next(iter(table.primary_key.columns))
        rows = connection.execute(select(key, column).where(column.is_not(None))).all()
        for name, kept in rows:
            if not is_sealed(kept):
                sealed = update(table).where(key == name).values({column.name: seal.kept(kept)})
                connection.execute(sealed)
        if any(is_sealed(kept) and seal.read(kept) is None for _, kept in rows):
            lost.append(remedy)
    factors = select(account.c.factor_sealed).where(account.c.factor_sealed.is_not(None))
    if any(seal.open(kept) is None for kept in connection.execute(factors).scalars()):
        lost.append(_FACTORS)
    return tuple(lost)
