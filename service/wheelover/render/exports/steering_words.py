"""What is steered and watched, in a navigator's words, for notes that people read."""

from wheelover.render.exports.rows import Row
from wheelover.render.exports.stamp import Document
from wheelover.render.exports.steering import cues_of, in_use

_KINDS = {"bearing": "bearing", "range": "range", "index": "index line"}
_SPOKEN_OF = ("report", "call_master", "pilot", "tugs")


def cue_words(row: Row) -> str:
    """Return the wheel-over as it is set, and by which marks it is known."""
    turn = row.turn
    if turn is None or not turn.get("cues"):
        return ""
    words = []
    to_set = turn["cues"].get("wheel_over_set")
    if to_set is not None:
        words.append(f"Set {to_set['distance_to_go_nm']:.2f} NM to go.")
    for order, cue in cues_of(turn).items():
        words.append(f"{order.capitalize()} cue: {cue_of(cue)}.")
    return " ".join(words)


def cue_of(cue: Document) -> str:
    """Return one cue and what it reads at the wheel-over."""
    name = cue["mark_name"] or cue["mark_id"]
    reads = cue.get("set_to") or {}
    if reads.get("bearing_deg") is not None:
        value = f" {round(reads['bearing_deg']) % 360:03d} T"
    elif reads.get("distance_nm") is not None:
        side = f" to {reads['side']}" if cue["kind"] == "index" else ""
        value = f" {reads['distance_nm']:.2f} NM{side}"
    else:
        value = ", not set"
    unseen = {"no": ", not to be seen then", "not_known": ", whether it is seen is not known"}
    return f"{_KINDS.get(cue['kind'], cue['kind'])} of {name}{value}{unseen.get(cue['seen'], '')}"


def index_words(row: Row) -> str:
    """Return the index lines in use on the leg to a waypoint."""
    lines = [] if row.leg is None else in_use(row.leg.get("index_lines"))
    return " ".join(
        f"Index {one['mark_name'] or one['mark_id']} {one['set_nm']:.2f} NM to {one['side']}."
        for one in lines
    )


def watch_words(row: Row) -> str:
    """Return how a leg is watched, as far as anybody said it."""
    watch = {} if row.leg is None else row.leg.get("monitoring") or {}
    words = [f"Stage: {watch['stage']}."] if watch.get("stage") else []
    fixing = watch.get("fixing") or {}
    methods = [fixing[name] for name in ("primary", "secondary") if fixing.get(name)]
    if methods:
        every = fixing.get("interval_min")
        often = "" if every is None else f", every {every:g} min"
        words.append(f"Fix by {' and '.join(methods).replace('_', ' ')}{often}.")
    words += [
        f"{title}: {watch[name]}"
        for name, title in (
            ("watch", "Watch"),
            ("machinery", "Machinery"),
            ("pilot", "Pilot"),
            ("tugs", "Tugs"),
            ("call_master", "Call master"),
            ("notes", "Notes"),
        )
        if watch.get(name)
    ]
    return " ".join(words)


def report_words(row: Row, result: Document) -> str:
    """Return whom to call on the leg to a waypoint."""
    words = []
    for one in result.get("points") or []:
        place = one.get("place") or {}
        if place.get("leg_to_id") != row.waypoint["id"] or one["kind"] not in _SPOKEN_OF:
            continue
        channel = f", {one['channel']}" if one.get("channel") else ""
        text = f": {one['text']}" if one.get("text") else ""
        words.append(
            f"{one['kind'].replace('_', ' ')} {place['before_nm']:.2f} NM before "
            f"{row.waypoint['id']}{channel}{text}."
        )
    return " ".join(words)
