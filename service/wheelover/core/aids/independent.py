"""What cues hang on, and which second one stands when the first fails."""

from collections.abc import Sequence

from wheelover.core.types.cues import Cue, Seen

COMPASS = "compass"

_SEEN: dict[Seen, int] = {"yes": 0, "not_known": 1, "no": 2}


def hangs_on(cue: Cue) -> frozenset[str]:
    """Return what a cue is observed with: two that share one of these fail together.

    Parameters
    ----------
    cue : Cue
        The cue. A bearing of which it is not known by what it is had is taken as one by eye.

    Notes
    -----
    Ranges need the radar alone; an index line keeps its direction by the compass as bearings do, as
    in the ways to fix a position (common practice of the trade).
    """
    if cue.kind == "range":
        return frozenset({"radar"})
    if cue.kind == "index" or cue.means == "radar":
        return frozenset({"radar", COMPASS})
    return frozenset({"eyes", COMPASS})


def shared(first: Cue, second: Cue) -> tuple[str, ...]:
    """Return what two cues both hang on; empty where they are independent of each other.

    Parameters
    ----------
    first, second : Cue
        The cues.
    """
    return tuple(sorted(hangs_on(first) & hangs_on(second)))


def second_of(rows: Sequence[Cue], first: int) -> int | None:
    """Return the row that best stands in where the first one fails, None for none.

    One that shares nothing comes before one that shares the compass, and that before one that
    shares eyes or radar; then what is seen, then another mark. A cue that is not to be made out is
    none, and the same mark observed with the same is none.

    Parameters
    ----------
    rows : sequence of Cue
        The cues of a turn, the best first.
    first : int
        The number of the first cue.
    """
    found = []
    for number, one in enumerate(rows):
        common = shared(rows[first], one)
        same = one.mark.id == rows[first].mark.id
        if number == first or one.seen == "no" or (same and set(common) - {COMPASS}):
            continue
        grade = 0 if not common else 1 if common == (COMPASS,) else 2
        found.append((grade, _SEEN[one.seen], same, number))
    return min(found)[-1] if found else None
