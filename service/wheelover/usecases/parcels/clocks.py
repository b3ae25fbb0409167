"""Telling that the clock of a peer and ours are apart. Nothing is decided or ordered by either.

A parcel may be days on its way, so its time is held against what it cannot be: later than now, or
earlier than the parcel of ours that its maker had taken by then. Over the link the other side says
its time with each answer (``Date``). Which of two clocks is wrong nobody can tell here.
"""

from datetime import UTC, datetime
from email.utils import format_datetime, parsedate_to_datetime

from wheelover.formats.parcel import Manifest
from wheelover.store import Store, Unit
from wheelover.store.peers import PeerRow
from wheelover.usecases.accounts.times import epoch_s

MOST_S = 120
"""Clocks that are further apart are told of (reliability, S10)."""

_SAME_S = 60
"""A notice is made anew when it would say another number than by so much."""


def skew_of_parcel_s(unit: Unit, manifest: Manifest, now_utc: str) -> int:
    """Return by how much the clock that a parcel was made by must be off ours, in seconds.

    Positive where it is ahead; 0 where the parcel does not tell.
    """
    made_s, now_s = epoch_s(manifest.made_utc), epoch_s(now_utc)
    if made_s > now_s:
        return round(made_s - now_s)
    place = manifest.acknowledged
    if place is None:
        return 0
    ours = {one.manifest_sha256: one for one in unit.parcels.outs(manifest.sender_id)}
    before = ours.get(place.manifest_sha256)
    return 0 if before is None else min(0, round(made_s - epoch_s(before.made_utc)))


def date_of(now_utc: str) -> str:
    """Return a time as the header Date says it."""
    return format_datetime(datetime.fromisoformat(now_utc).astimezone(UTC), usegmt=True)


def skew_of_date_s(header: str | None, now_utc: str) -> int | None:
    """Return by how much a header Date is off ours, in seconds; None where it says nothing."""
    try:
        said = parsedate_to_datetime(header or "")
    except ValueError:
        return None
    aware = said if said.tzinfo is not None else said.replace(tzinfo=UTC)
    return round(aware.timestamp() - epoch_s(now_utc))


def note_clock(unit: Unit, peer: PeerRow, skew_s: int, seen_in: str, now_utc: str) -> int | None:
    """Keep how far a peer's clock is off ours, and return it where it is told of.

    A notice that begins, ends or says another number stands in the audit log.

    Parameters
    ----------
    unit : Unit
        The transaction.
    peer : PeerRow
        Whose clock.
    skew_s : int
        Seconds; positive where it is ahead of ours.
    seen_in : str
        Where it was seen: ``parcel 3`` or ``link``.
    now_utc : str
        The time here, RFC 3339.
    """
    told = skew_s if abs(skew_s) > MOST_S else None
    before = peer.clock_skew_s
    same = told is not None and before is not None and abs(told - before) <= _SAME_S
    if same or told == before:
        return told
    noted = None if told is None else now_utc
    unit.peers.change(peer.id, clock_skew_s=told, clock_noted_utc=noted)
    entry = {"what": "clock.skew", "peer_id": peer.id, "skew_s": told, "seen_in": seen_in}
    unit.audit.add(peer.vessel_id, entry, now_utc)
    return told


def note_link_clock(store: Store, peer_id: str, skew_s: int | None, now_utc: str) -> None:
    """Keep what the link has told of a peer's clock; a write only where that is news."""
    if skew_s is None:
        return
    with store.reading() as unit:
        before = unit.peers.get(peer_id).clock_skew_s
    if before is None and abs(skew_s) <= MOST_S:
        return
    with store.writing() as unit:
        note_clock(unit, unit.peers.get(peer_id), skew_s, "link", now_utc)


def clock_words(name: str, skew_s: int) -> str:
    """Return the notice of a clock as a sentence.

    Examples
    --------
    >>> clock_words("Zoo office", -300)
    'The clock of Zoo office is 300 s behind the one here; one of them is wrong.'
    """
    way = "ahead of" if skew_s > 0 else "behind"
    return f"The clock of {name} is {abs(skew_s)} s {way} the one here; one of them is wrong."
