"""Making a parcel for a peer."""

from dataclasses import asdict, dataclass
from typing import Any, Literal

from wheelover import __version__
from wheelover.core.errors import Conflict, Fault, InvalidInput, NotFound, ParcelRefused
from wheelover.core.types.people import Person
from wheelover.formats.parcel import (
    AuditHead,
    Manifest,
    Part,
    Place,
    digests_of,
    index_bytes,
    key_id_of,
    packed,
    sealed,
)
from wheelover.formats.strict_json import read_json
from wheelover.store import Store, Unit
from wheelover.store.parcels import OutRow
from wheelover.store.peers import PeerRow
from wheelover.usecases.canonical import canonical
from wheelover.usecases.parcels.carrying import Load, load_for
from wheelover.usecases.parcels.identity import Identity, identity_in

Document = dict[str, Any]
Since = Literal["last", "acknowledged", "nothing"]
MADE_WITH = f"wheelover {__version__}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A parcel and its bytes."""

    row: OutRow
    body: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class _Chain:
    """Where a parcel stands in the row of those made for a peer."""

    sequence: int
    previous_sha256: str | None
    acknowledged: Place | None
    next_key: bytes | None


def make_parcel(
    store: Store,
    peer_id: str,
    plans: tuple[str, ...],
    since: Since,
    person: Person,
    now_utc: str,
) -> Made:
    """Make the next parcel for a peer: what it lacks of the plans that were chosen for it.

    Parameters
    ----------
    store : Store
        Where plans are kept.
    peer_id : str
        For whom.
    plans : tuple of str
        Plans that go to it from now on, besides those chosen before and those that came from it.
    since : str
        ``last``: what is new since the last parcel made. ``acknowledged``: since the last that
        the peer has confirmed, for when one was lost for good. ``nothing``: everything, for a
        peer that lost its store.
    person : Person
        Who makes it.
    now_utc : str
        The time, RFC 3339.

    Raises
    ------
    NotFound
        For a peer or a plan that is not known.
    Conflict
        For a peer that is revoked, a plan that cannot go to it, when there is nothing to send, or
        when it would be larger than is taken.
    """
    with store.writing() as unit:
        own = identity_in(unit, now_utc)
        peer = unit.peers.get(peer_id)
        if peer.state != "paired":
            raise Conflict(f"{peer.name} was revoked. Pair with it anew before anything is sent.")
        for index, plan_id in enumerate(plans):
            _choose(unit, peer, plan_id, f"/plans/{index}", now_utc)
        chain, known = _chain(unit, own, peer, since)
        load = load_for(unit, peer_id, known)
        if not load.items and not _has_word(unit, peer, chain):
            raise Conflict(f"{peer.name} has everything already; there is nothing to send.")
        made = _sealed(unit, own, peer, load, chain, now_utc)
        unit.parcels.add_out(made.row, made.body)
        unit.parcels.note_sent(peer_id, chain.sequence, load.items)
        entry = {
            "what": "parcel.made",
            "peer_id": peer_id,
            "sequence": chain.sequence,
            "manifest_sha256": made.row.manifest_sha256,
            "by": asdict(person),
        }
        unit.audit.add(peer.vessel_id, entry, now_utc)
        return made


def _choose(unit: Unit, peer: PeerRow, plan_id: str, pointer: str, now_utc: str) -> None:
    """Let a plan go to a peer, if it may."""
    row = unit.plans.get(plan_id)
    if row.vessel_id != peer.vessel_id:
        # In the words of a plan that is not there: of another vessel nothing is to be learnt.
        raise NotFound(f"plan {plan_id[:80]!r} is not stored")
    if row.demonstration:
        message = "a demonstration is not sent"
        raise InvalidInput(message, (Fault(pointer=pointer, message=message),))
    home = unit.homes.of_plan(plan_id)
    if home not in (None, peer.id):
        raise Conflict(f"The plan {row.name!r} came from another peer and goes to none but it.")
    if row.revision == 0:
        raise Conflict(f"Nothing of the plan {row.name!r} is frozen yet. Offer its draft first.")
    unit.peers.choose(peer.id, plan_id, now_utc)


def _chain(
    unit: Unit, own: Identity, peer: PeerRow, since: Since
) -> tuple[_Chain, dict[tuple[str, str], str]]:
    """Return where the next parcel to a peer stands, and what the peer has before it."""
    base = None
    if since != "nothing":
        base = unit.parcels.last_out(peer.id, acknowledged=since == "acknowledged")
    up_to = 0 if base is None else base.sequence
    known = {
        key: item.sha256
        for key, item in unit.parcels.items(peer.id).items()
        if since != "nothing" and (item.came_sequence is not None or 0 < item.sequence <= up_to)
    }
    taken = unit.parcels.last_taken(peer.id)
    newest = own.public_key
    chain = _Chain(
        sequence=unit.parcels.next_sequence(peer.id),
        previous_sha256=None if base is None else base.manifest_sha256,
        acknowledged=None
        if taken is None
        else Place(sequence=taken.sequence, manifest_sha256=taken.manifest_sha256),
        next_key=None if newest.hex() == peer.our_key else newest,
    )
    return chain, known


def _has_word(unit: Unit, peer: PeerRow, chain: _Chain) -> bool:
    """Return whether a parcel that carries nothing still says something new."""
    last = unit.parcels.last_out(peer.id)
    if last is None:
        return chain.acknowledged is not None
    said = read_json(last.summary.encode())["acknowledged"]
    now = None if chain.acknowledged is None else chain.acknowledged.sequence
    announced = None if chain.next_key is None else chain.next_key.hex()
    return said != now or last.next_key != announced


def _sealed(
    unit: Unit, own: Identity, peer: PeerRow, load: Load, chain: _Chain, now_utc: str
) -> Made:
    """Return the signed parcel of a load."""
    key = next((one for one in own.keys if one.public_key.hex() == peer.our_key), None)
    if key is not None and key.lost:
        raise Conflict(
            "The key that signs parcels is sealed with a key file that is not here. Put that file "
            "back (WHEELOVER_KEY_FILE), or make a new key as lost and pair with every peer anew."
        )
    if key is None or key.private_key is None:
        raise Conflict(f"The key that {peer.name} has pinned is gone. Pair with it anew.")
    both = [packed(index_bytes(load.index)), *(_packed(unit, load, one) for one in load.blobs)]
    head = unit.audit.head(peer.vessel_id)
    manifest = Manifest(
        sender_id=own.row.id,
        sender_name=own.row.name,
        sender_side=own.row.side,
        recipient_id=peer.id,
        key_id=key_id_of(key.public_key),
        sequence=chain.sequence,
        previous_sha256=chain.previous_sha256,
        acknowledged=chain.acknowledged,
        next_key=None if chain.next_key is None else chain.next_key.hex(),
        made_utc=now_utc,
        made_with=MADE_WITH,
        audit_heads=(AuditHead(vessel_id=head.vessel_id, number=head.number, hash=head.hash),),
        witnessed=_witnessed(unit, peer),
        index_sha256=both[0][0].sha256,
        parts=tuple(part for part, _ in both),
    )
    streams = {part.sha256: stream for part, stream in both}
    try:
        body = sealed(manifest, streams, key.private_key)
    except ParcelRefused as error:
        raise Conflict(f"{error} Send fewer plans at a time.") from error
    return Made(row=_row(unit, peer, load, chain, manifest, body), body=body)


def _packed(unit: Unit, load: Load, digest: str) -> tuple[Part, bytes]:
    """Return bytes as a part, as the difference to what the peer has where that is smaller."""
    base = load.bases.get(digest)
    return packed(unit.blobs.get(digest), base=None if base is None else unit.blobs.get(base))


def _witnessed(unit: Unit, peer: PeerRow) -> tuple[AuditHead, ...]:
    """Return the ends of the peer's audit chains as they came last, for it to hold against."""
    last = unit.parcels.last_taken(peer.id)
    heads = [] if last is None else read_json(last.summary.encode())["audit_heads"]
    return tuple(AuditHead(**head) for head in heads)


def _row(
    unit: Unit, peer: PeerRow, load: Load, chain: _Chain, manifest: Manifest, body: bytes
) -> OutRow:
    """Return what is kept of a parcel beside its bytes."""
    digest, manifest_digest = digests_of(body)
    summary = {
        "plans": [
            {
                "id": plan.id,
                "name": unit.plans.get(plan.id).name,
                "revisions": [one.number for one in plan.revisions],
                "events_count": len(plan.events),
                "notes_count": len(plan.notes),
            }
            for plan in load.plans
        ],
        "editions": [{"name": one.name, "edition": one.edition} for one in load.library],
        "parts_count": len(manifest.parts),
        "unpacked_count": sum(part.size_count for part in manifest.parts),
        "acknowledged": None if chain.acknowledged is None else chain.acknowledged.sequence,
    }
    return OutRow(
        peer_id=peer.id,
        sequence=chain.sequence,
        manifest_sha256=manifest_digest,
        previous_sha256=chain.previous_sha256,
        sha256=digest,
        size_count=len(body),
        next_key=manifest.next_key,
        summary=canonical(summary).decode(),
        made_utc=manifest.made_utc,
        pushed_utc=None,
        acknowledged_utc=None,
    )


def parcel_bytes(store: Store, peer_id: str, sequence: int) -> Made:
    """Return a parcel that was made, with its bytes.

    Raises
    ------
    NotFound
        For one that was not made, or whose bytes are no longer kept: the peer has it.
    """
    with store.reading() as unit:
        row = unit.parcels.out(peer_id, sequence)
        return Made(row=row, body=unit.parcels.out_body(peer_id, sequence))
