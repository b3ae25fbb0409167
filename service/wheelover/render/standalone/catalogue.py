"""The layers of the page: their names, groups and whether they are on show at first.

A layer that is not listed gets its name from the plan and stands among the others: nothing that a
plan draws is left out.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerWords:
    """How a layer is called, in which group its switch stands, and whether it is shown at first."""

    title: str
    group: str
    shown: bool = True


_TRACK, _TURNS, _DANGERS = "Track", "Turns and wheel-over", "Dangers and clearances"
_MARKS, _WATCH, _CHART = "Marks and lines to steer by", "Watch and reports", "Charted"
OTHER = "Other"

GROUPS = (_TRACK, _TURNS, _DANGERS, _MARKS, _WATCH, _CHART, OTHER)

LAYERS = {
    "coverage": LayerWords(title="Cells that cover the water", group=_CHART, shown=False),
    "coverage_hole": LayerWords(title="Water that no cell covers", group=_CHART),
    "no_go": LayerWords(title="No-go areas", group=_CHART),
    "margin": LayerWords(title="Margin around no-go areas", group=_CHART),
    "charted_area": LayerWords(title="Charted areas", group=_CHART, shown=False),
    "hazard": LayerWords(title="Dangers", group=_DANGERS),
    "course_line": LayerWords(title="Course lines to the waypoints", group=_TRACK),
    "alternative": LayerWords(title="Alternatives, laid and not checked", group=_TRACK),
    "contingency": LayerWords(title="Contingency tracks", group=_WATCH),
    "land": LayerWords(title="Track over land", group=_DANGERS),
    "parallel_index": LayerWords(title="Parallel index lines", group=_MARKS),
    "index_limit": LayerWords(title="Limits of index lines", group=_MARKS),
    "bend_index": LayerWords(title="Index lines in bends", group=_MARKS),
    "clearing_line": LayerWords(title="Clearing lines", group=_MARKS),
    "transit": LayerWords(title="Transits and leading lines", group=_MARKS),
    "leg": LayerWords(title="Legs of the planned track", group=_TRACK),
    "turn": LayerWords(title="Arcs of the planned track", group=_TURNS),
    "hull": LayerWords(title="Hull through the turns, as simulated", group=_TURNS),
    "simulated_track": LayerWords(title="Simulated way of her midships", group=_TURNS),
    "wheel_over_line": LayerWords(title="Wheel-over lines", group=_TURNS),
    "warning_point": LayerWords(title="Warning points before wheel-over", group=_TURNS),
    "time_label": LayerWords(title="Times along the track", group=_TRACK),
    "clearance": LayerWords(title="Clearances to dangers", group=_DANGERS),
    "mark": LayerWords(title="Marks", group=_MARKS),
    "cue_line": LayerWords(title="Wheel-over cues, first and second", group=_MARKS),
    "point": LayerWords(title="Points of the watch: calls, reports, abort", group=_WATCH),
    "wheel_over": LayerWords(title="Wheel-over points, every method", group=_TURNS),
    "waypoint": LayerWords(title="Waypoints", group=_TRACK),
}
"""In the order they are drawn: what stands later lies on top."""

SIGNS = {
    "waypoint": "M-6 0A6 6 0 1 0 6 0A6 6 0 1 0 -6 0",
    "wheel_over": "M-6 5L0 -6L6 5Z",
    "hazard": "M-6 -6L6 6M-6 6L6 -6M0 -8V8M-8 0H8",
    "mark": "M0 -8L5 6H-5Z",
}
"""Of points, in pixels around the place."""

OTHER_SIGN = "M0 -7L7 0L0 7L-7 0Z"


def words_of(layer: str) -> LayerWords:
    """Return how a layer is called; one that is not listed by its own name.

    Examples
    --------
    >>> words_of("radio_beacon")
    LayerWords(title='Radio beacon', group='Other', shown=True)
    """
    known = LAYERS.get(layer)
    if known is not None:
        return known
    title = layer.replace("_", " ").strip()
    return LayerWords(title=(title[:1].upper() + title[1:]) or "Without a name", group=OTHER)


def in_drawing_order(names: list[str]) -> list[str]:
    """Return names of layers as they are drawn: those not listed above areas and below lines."""
    places = {name: number for number, name in enumerate(LAYERS)}
    middle = places["leg"] - 0.5
    return sorted(names, key=lambda name: (places.get(name, middle), name))
