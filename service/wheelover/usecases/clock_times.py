"""Times of the clock in a plan: those counted from the start of the track, from a departure."""

from datetime import UTC, datetime, timedelta
from typing import Any

Document = dict[str, Any]

BEYOND = "the time lies beyond the year 9999"


def with_clock(document: Document, departure_utc: str | None) -> None:
    """Put the time of the clock beside every time that counts from the start of the track.

    Parameters
    ----------
    document : dict
        A plan; it is changed.
    departure_utc : str or None
        When she is at the start of the track, RFC 3339.
    """
    if departure_utc is None:
        return
    start = datetime.fromisoformat(departure_utc)
    _at_pieces(document, start)
    _at_points(document, start)
    for one in document["contingencies"]:
        _at_leaving(one["leaving"], start)
        leaves = one["leaves"]
        if leaves is None or leaves["at_s"] is None:
            continue
        leaves["at_utc"] = clock(start, leaves["at_s"])
        if leaves["at_utc"] is not None:
            _at_pieces(one["plan"], datetime.fromisoformat(leaves["at_utc"]))


def _at_leaving(leaving: Document, start: datetime) -> None:
    """Put the time of the clock at the turn onto a contingency's first leg."""
    for one in (leaving["begins"], leaving["decide"]):
        if one is not None and one["at_s"] is not None:
            one["at_utc"] = clock(start, one["at_s"])
    begins_utc = None if leaving["begins"] is None else leaving["begins"]["at_utc"]
    if leaving["turn"] is not None and begins_utc is not None:
        begins = datetime.fromisoformat(begins_utc)
        _at_pieces({"legs": [], "turns": [leaving["turn"]]}, begins)


def _at_pieces(document: Document, start: datetime) -> None:
    """Put the time of the clock where dangers are abeam, at cues, and where to give up the plan."""
    for turn in document["turns"]:
        cues = turn["cues"]
        for one in () if cues is None else (cues, *cues["warning_points"]):
            if one["after_s"] is not None:
                one["at_utc"] = clock(start, one["after_s"])
    for piece in (*document["legs"], *document["turns"]):
        for one in piece["near"]:
            abeam = one["abeam"]
            if abeam is not None and abeam["after_s"] is not None:
                at_utc = clock(start, abeam["after_s"])
                abeam["at_utc"] = at_utc
                abeam["time_reason"] = BEYOND if at_utc is None else None
    aborts = [leg["monitoring"]["abort"] for leg in document["legs"]]
    for one in (one[member] for one in aborts if one for member in ("abort", "no_return")):
        if one is not None and one["at_s"] is not None:
            one["at_utc"] = clock(start, one["at_s"])


def _at_points(document: Document, start: datetime) -> None:
    """Put the time of the clock at action points and at their notices."""
    places = [one[member] for one in document["points"] for member in ("place", "notice")]
    places += [one["place"] for one in document["points_found"]]
    for one in places:
        if one is not None and one["at_s"] is not None:
            one["at_utc"] = clock(start, one["at_s"])
    card = document["pilot_card"]
    for leg in [] if card is None else card["exchange"]["legs"]:
        for one in (leg["no_return"], leg["abort"]):
            if one is not None and one["at_s"] is not None:
                one["at_utc"] = clock(start, one["at_s"])
    for one in document["points"]:
        if one["notice_at_s"] is not None:
            one["notice_at_utc"] = clock(start, one["notice_at_s"])


def clock(start: datetime, after_s: float) -> str | None:
    """Return a time after another, to the millisecond; None beyond the year 9999.

    Examples
    --------
    >>> clock(datetime(2026, 11, 25, 14, 2, tzinfo=UTC), 90.5)
    '2026-11-25T14:03:30.500Z'
    """
    try:
        at = (start + timedelta(seconds=after_s)).astimezone(UTC)
    except OverflowError:
        return None
    return f"{at.strftime('%Y-%m-%dT%H:%M:%S')}.{at.microsecond // 1000:03d}Z"
