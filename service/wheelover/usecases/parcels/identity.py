"""Who this installation is: its id, name, side and key, made when they are first asked for."""

import secrets
from dataclasses import dataclass
from typing import Any

from wheelover.core.errors import Conflict
from wheelover.formats.parcel import fingerprint_of, key_id_of, public_of
from wheelover.store import Store, Unit
from wheelover.store.peers import InstanceRow, OwnKey
from wheelover.store.plans import OWN_VESSEL

Document = dict[str, Any]

CARD = "wheelover-peer"
_KEY_COUNT = 32
_UNNAMED = "Own ship"


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """What this installation is, with its keys, newest first."""

    row: InstanceRow
    keys: tuple[OwnKey, ...]

    @property
    def public_key(self) -> bytes:
        """Return the public half of the newest key, which new peers pin."""
        return self.keys[0].public_key

    @property
    def fingerprint(self) -> str:
        """Return what is read aloud to whoever pairs with this installation."""
        return fingerprint_of(self.row.id, self.row.side, self.public_key)


def identity_in(unit: Unit, now_utc: str) -> Identity:
    """Return this installation, made now if it was not before; inside a writing unit."""
    if unit.peers.own() is None:
        row = InstanceRow(
            id=f"wo-{secrets.token_hex(10)}", name=_UNNAMED, side="ship", made_utc=now_utc
        )
        unit.peers.begin(row)
        _new_key(unit, now_utc)
    return _known(unit)


def _known(unit: Unit) -> Identity:
    """Return this installation, which is known."""
    row = unit.peers.own()
    if row is None:
        raise LookupError("this installation has no identity yet")
    return Identity(row=row, keys=tuple(unit.peers.own_keys()))


def _new_key(unit: Unit, now_utc: str) -> bytes:
    """Make and keep a key of this installation, and return its public half."""
    private_key = secrets.token_bytes(_KEY_COUNT)
    public_key = public_of(private_key)
    unit.peers.add_own_key(public_key, private_key, now_utc)
    return public_key


def identity(store: Store, now_utc: str) -> Identity:
    """Return this installation.

    Parameters
    ----------
    store : Store
        Where it is kept.
    now_utc : str
        The time, RFC 3339.
    """
    with store.reading() as unit:
        if unit.peers.own() is not None:
            return _known(unit)
    with store.writing() as unit:
        return identity_in(unit, now_utc)


def name_identity(store: Store, name: str, side: str, now_utc: str) -> Identity:
    """Give this installation its name and side.

    Raises
    ------
    Conflict
        For another side once there are peers: their fingerprint of this one covers it.
    """
    with store.writing() as unit:
        before = identity_in(unit, now_utc)
        if side != before.row.side and unit.peers.all():
            raise Conflict(
                f"This installation is paired as {before.row.side}; its side stays. A second "
                "installation with a store of its own can be the other."
            )
        unit.peers.rename(" ".join(name.split()), side)
        entry = {"what": "instance.named", "name": name, "side": side}
        unit.audit.add(OWN_VESSEL, entry, now_utc)
        return _known(unit)


def renew_key(store: Store, *, lost: bool, now_utc: str) -> Identity:
    """Make a new key of this installation.

    Parameters
    ----------
    store : Store
        Where it is kept.
    lost : bool
        Whether the old key may be in other hands. If not, the old key signs for the new one: the
        next parcel to each peer says which it is, and parcels are signed with the old key until
        the peer has that one. If it may, no parcel is signed with it any more, and each peer
        revokes this installation and pairs with it anew, by voice.
    now_utc : str
        The time, RFC 3339.

    Raises
    ------
    Conflict
        When the old key cannot sign for the new one.
    """
    with store.writing() as unit:
        before = identity_in(unit, now_utc)
        if before.keys[0].lost and not lost:
            raise Conflict(
                "The old key is sealed with a key file that is not here, so it cannot sign for a "
                "new one. Put that file back, or say that the key is lost."
            )
        public_key = _new_key(unit, now_utc)
        if lost:
            for peer in unit.peers.all():
                unit.peers.change(peer.id, our_key=public_key.hex())
            unit.peers.wipe_unused()
        entry = {"what": "instance.key", "key_id": key_id_of(public_key), "lost": lost}
        unit.audit.add(OWN_VESSEL, entry, now_utc)
        return _known(unit)


def identity_document(own: Identity) -> Document:
    """Return this installation as JSON values: the card that a peer is paired from."""
    return {
        "format": CARD,
        "id": own.row.id,
        "name": own.row.name,
        "side": own.row.side,
        "public_key": own.public_key.hex(),
        "fingerprint": own.fingerprint,
    }
