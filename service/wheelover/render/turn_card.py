"""The turn card as JSON values: methods, run, window, band and the turn hard over."""

from dataclasses import asdict
from typing import Any

from wheelover.core.arrays import Floats
from wheelover.core.sweep.hull import hull_shape_m
from wheelover.core.sweep.strip import outlines_deg
from wheelover.core.turns.placed import places_from
from wheelover.core.types.chart import Chart
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.sweep import Ring, SweptStrip
from wheelover.core.types.turn_card import Band, Between, CardRun, CaseFound, HardOver, TurnCard
from wheelover.core.units import kn_from_m_per_s, nm_from_m
from wheelover.render.hull import hull_clearance, turn_hull, window_document
from wheelover.render.methods import planned_wheel_over, simulated_turn, wheel_over
from wheelover.render.rounding import DEGREES, METRES, MILES, OTHER, SECONDS, rounded

Document = dict[str, Any]

_OUTLINES = 12


def turn_card_document(card: TurnCard, chart: Chart) -> Document:
    """Return a turn card as JSON values.

    Parameters
    ----------
    card : TurnCard
        The card.
    chart : Chart
        Names the dangers.
    """
    turn = card.turn
    return {
        "waypoint_id": turn.waypoint_id,
        "waypoint_index": turn.waypoint_index,
        "loa_m": rounded(card.loa_m, METRES),
        "beam_m": rounded(card.beam_m, METRES),
        "methods": [
            {
                **wheel_over(row, turn, card.loa_m),
                "hull": hull_clearance(card.hull.get(row.method), chart),
                "off_track_band_m": _between(_off(card.band, row.method)),
            }
            for row in turn.wheel_overs
        ],
        "planned": {
            **planned_wheel_over(turn, card.loa_m),
            "hull": hull_clearance(card.hull.get(turn.planned.method), chart),
            "off_track_band_m": _between(_off(card.band, turn.planned.method)),
        },
        "reason": card.swept.reason,
        "run": None if card.run is None else run_document(card.run, card.loa_m, card.beam_m),
        "swept": [hull_clearance(one, chart) for one in card.swept.clearances or ()],
        "window": window_document(card.swept.window, chart),
        "window_reason": card.swept.window_reason,
        "band": None if card.band is None else _band(card.band),
        "hard_over": None if card.hard_over is None else _hard_over(card.hard_over, card, chart),
        "hard_over_reason": card.hard_over_reason,
    }


def case_document(found: CaseFound, chart: Chart) -> Document:
    """Return a kept case and what comes of it as JSON values.

    Parameters
    ----------
    found : CaseFound
        The case.
    chart : Chart
        Names the dangers.
    """
    turn = found.turn
    tried = {name: value for name, value in asdict(found.case.tried).items() if value is not None}
    swept = None if turn is None else turn_hull(found.swept, chart)
    return {
        "name": found.case.name,
        "waypoint_id": found.case.waypoint_id,
        "tried": tried,
        "reason": found.reason,
        "planned": None if turn is None else planned_wheel_over(turn, found.loa_m),
        "simulated": None
        if turn is None
        else next(
            wheel_over(row, turn, found.loa_m)
            for row in turn.wheel_overs
            if row.method == "simulated"
        ),
        "hull": swept,
    }


def _off(band: Band | None, method: str) -> Between | None:
    """Return the band of a method's place beside the new track."""
    return None if band is None else band.off_track.get(method)


def _between(between: Between | None) -> list[float] | None:
    """Return a band as its two ends."""
    if between is None:
        return None
    return [rounded(between.low_m, METRES), rounded(between.high_m, METRES)]


def _band(band: Band) -> Document:
    """Return how sure the simulated wheel-over is."""
    words = (
        f"nine in ten of {band.member_count} ships as her fit leaves her unsure, and "
        f"{band.floor_m:.0f} m to either side for what the model itself misses"
    )
    if band.member_count == 0:
        words = "0.3 lengths or a tenth of the distance, as practice has it: no fit says more"
    return {
        "kind": "stated" if band.member_count == 0 else "fitted",
        "member_count": band.member_count,
        "distance_m": _between(band.distance),
        "floor_m": rounded(band.floor_m, METRES),
        "words": words,
    }


def run_document(run: CardRun, loa_m: float | None, beam_m: float | None) -> Document:
    """Return her run in columns, and what the hull sweeps.

    Parameters
    ----------
    run : CardRun
        The run.
    loa_m, beam_m : float or None
        Of the ship; without them no outlines are drawn.
    """
    motion = run.motion
    lat, lon = places_from(run.helm_at, motion.east_m, motion.north_m)
    width = run.width
    return {
        "columns": {
            "t_s": _column(motion.time_s, SECONDS),
            "to_go_m": [rounded(one, METRES) for one in run.to_go_m],
            "lat_deg": _column(lat, DEGREES),
            "lon_deg": _column(lon, DEGREES),
            "heading_deg": _column(motion.heading_deg, OTHER),
            "rate_deg_per_min": _column(motion.rate_deg_per_min, OTHER),
            "speed_kn": [
                rounded(kn_from_m_per_s(one), OTHER) for one in motion.speed_m_per_s.tolist()
            ],
            "rudder_deg": _column(motion.rudder_deg, OTHER),
            "drift_deg": [rounded(one, OTHER) for one in run.drift_deg],
        },
        "outlines": _outlines(run, loa_m, beam_m),
        "strip": _strip(run.strip),
        "width": None
        if width is None
        else {
            "port_m": rounded(width.port_m, METRES),
            "starboard_m": rounded(width.starboard_m, METRES),
            "port_at_s": rounded(width.port_at_s, SECONDS),
            "starboard_at_s": rounded(width.starboard_at_s, SECONDS),
        },
    }


def _column(values: Floats, digits: int) -> list[float]:
    """Return numbers rounded."""
    return [rounded(one, digits) for one in values.tolist()]


def _outlines(run: CardRun, loa_m: float | None, beam_m: float | None) -> list[Document]:
    """Return the outline of the hull at some moments of the run, the first and last among them."""
    if loa_m is None or beam_m is None:
        return []
    motion = run.motion
    count = motion.time_s.size
    kept = sorted({round(one * (count - 1) / (_OUTLINES - 1)) for one in range(_OUTLINES)})
    some = Motion(
        **{name: getattr(motion, name)[kept] for name in Motion.__slots__},
    )
    lat, lon = outlines_deg(some, run.helm_at, hull_shape_m(loa_m, beam_m))
    return [
        {
            "t_s": rounded(at_s, SECONDS),
            "lat_deg": _column(lats, DEGREES),
            "lon_deg": _column(lons, DEGREES),
        }
        for at_s, lats, lons in zip(some.time_s.tolist(), lat, lon, strict=True)
    ]


def _strip(strip: SweptStrip) -> Document:
    """Return the swept water as rings."""
    return {"outer": _ring(strip.outer), "holes": [_ring(one) for one in strip.holes]}


def _ring(ring: Ring) -> Document:
    """Return a closed line."""
    return {"lat_deg": _column(ring.lat_deg, DEGREES), "lon_deg": _column(ring.lon_deg, DEGREES)}


def _hard_over(hard: HardOver, card: TurnCard, chart: Chart) -> Document:
    """Return the turn with the rudder hard over, as a last resort."""
    place = card.turn.planned.position
    return {
        "distance_nm": rounded(nm_from_m(hard.turn.distance_to_new_course_m), MILES),
        "manoeuvre": None if place is None else simulated_turn(hard.turn, place),
        "window": window_document(hard.window, chart),
        "window_reason": hard.window_reason,
    }
