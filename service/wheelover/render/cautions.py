"""The cautions a plan carries, on the page, on every export and in the JSON."""

CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "aid",
        "Planning aid only. Not type-approved equipment, not an electronic chart display or its "
        "back-up; it meets no chart-carriage rule. Check the plan on official, corrected charts.",
    ),
    (
        "loaded",
        "Only the dangers that were loaded were measured, and only those listed as checked. A "
        "track without findings is not a proven track; no data does not mean no danger.",
    ),
    (
        "master",
        "The master decides. The ship's safety management system, official charts and "
        "publications and local regulations come before anything shown here.",
    ),
    (
        "one-set",
        "Results belong to one route, one ship condition, one speed and one set of limits. Any "
        "change makes them stale.",
    ),
    (
        "datum",
        "Positions are WGS84, courses true, distances in nautical miles of 1852 m, times UTC.",
    ),
    (
        "trials",
        "Turns are computed for calm, deep water with the radius held. Real turns are wider in "
        "shallow water, in wind, when trimmed by the stern or listed, and at other speeds.",
    ),
    ("reach", "Reach is assumed unless the ship's own was given. Check who measured it and when."),
    (
        "stream",
        "A wheel-over computed without the stream is wrong by the stream times the time of the "
        "turn: 2 kn through a 90 degree turn of 0.5 NM radius at 12 kn is 0.13 NM.",
    ),
    (
        "rate",
        "The rate of turn holds the planned radius at the planned speed. When the ship slows in "
        "the turn, holding that rate makes the turn tighter than planned.",
    ),
    (
        "large",
        "Changes of course above about 120 degrees should be split, or made from tabulated "
        "advance and transfer.",
    ),
    (
        "cue",
        "A waypoint is not the place where helm is given. Where the wheel-over mark may not be "
        "seen, have a second cue.",
    ),
    (
        "floating",
        "Buoys move and lights may be unlit. Do not index, clear a danger or give helm by a "
        "floating mark where a fixed one is there.",
    ),
    (
        "index",
        "Radar index lines hang on the alignment of the heading line and on the accuracy of "
        "ranges. Check both before use, and whether the picture is ground- or sea-stabilised.",
    ),
    (
        "reuse",
        "Index, clearing and wheel-over data belong to this revision. Do not use them again on "
        "the next call without checking tide and ship's condition.",
    ),
    (
        "squat",
        "Squat formulas are estimates for simple channels: two at least are shown, each with its "
        "limits, and the larger is used. Heel in a turn is added.",
    ),
    (
        "tide",
        "Under-keel clearance uses the tide as predicted or given. Weather, surge, density, "
        "silting and survey error are separate allowances.",
    ),
    (
        "policy",
        "A clearance required as a part of the draught is a rule of the company or port, not "
        "physics.",
    ),
    (
        "exchange",
        "Check every route again where it is loaded: data of a leg may be missing or shifted by "
        "one leg, and paths differ between systems at high latitude.",
    ),
)


def caution_rows() -> list[dict[str, str]]:
    """Return the cautions as the API writes them."""
    return [{"id": key, "text": text} for key, text in CAUTIONS]
