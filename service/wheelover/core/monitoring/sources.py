"""Charts and publications: how old they are at departure, and which legs the cells cover."""

from collections.abc import Sequence

from wheelover.core.types.charted import ChartedTrack
from wheelover.core.types.sources import CellSource, ConsultedSource, SourceFound, SourceKind
from wheelover.core.types.track import PlannedLeg
from wheelover.core.utc import seconds_from_utc

ASKED_KINDS: dict[SourceKind, str] = {
    "chart": "charts",
    "notices": "notices to mariners",
    "radio_warnings": "radio navigational warnings",
    "sailing_directions": "sailing directions",
    "light_list": "list of lights",
    "radio_list": "list of radio signals",
    "tide_tables": "tide tables",
    "stream_tables": "tidal stream tables",
    "weather": "weather",
    "routeing": "ships' routeing",
    "reporting": "reporting and vessel traffic services",
    "pilotage": "pilotage",
    "port_information": "port information",
}
"""Kinds that the appraisal of a passage asks for [A893]_, as they are called."""

DATED_KINDS: tuple[SourceKind, ...] = (
    "chart", "sailing_directions", "light_list", "radio_list"
)  # fmt: skip
"""Kinds that are corrected, so that the date of the last correction is asked for."""

_DAY_S = 86_400.0


def sources_found(
    sources: Sequence[ConsultedSource], legs: Sequence[PlannedLeg], departure_s: float | None
) -> tuple[SourceFound, ...]:
    """Return the sources with their age at departure.

    Parameters
    ----------
    sources : sequence of ConsultedSource
        As they were given.
    legs : sequence of PlannedLeg
        The legs that they may be for.
    departure_s : float or None
        The time of departure, seconds since 1970 UTC.
    """
    known = {leg.to_id for leg in legs}
    return tuple(
        SourceFound(
            source=one,
            age_days=_age_days(one, departure_s),
            unknown_legs=tuple(to_id for to_id in one.leg_to_ids if to_id not in known),
        )
        for one in sources
    )


def _age_days(source: ConsultedSource, departure_s: float | None) -> float | None:
    """Return how many days before departure a source was corrected last."""
    if source.corrected_to_utc is None or departure_s is None:
        return None
    return (departure_s - seconds_from_utc(source.corrected_to_utc)) / _DAY_S


def cell_sources(
    on_chart: ChartedTrack | None, legs: Sequence[PlannedLeg]
) -> tuple[CellSource, ...]:
    """Return the cells of the plan with the legs that each covers any of.

    Parameters
    ----------
    on_chart : ChartedTrack or None
        What the cells say of the track.
    legs : sequence of PlannedLeg
        The legs.
    """
    if on_chart is None:
        return ()
    by_cell: dict[int, list[str]] = {}
    for one in on_chart.covered:
        if one.piece.kind == "leg":
            for cell in one.cells:
                by_cell.setdefault(cell, []).append(legs[one.piece.index].to_id)
    found = []
    for number, used in enumerate(on_chart.charted.cells):
        about = used.about
        missing = ", ".join(map(str, about.updates_missing))
        lacking = about.superseded or (f"updates {missing} are missing" if missing else None)
        found.append(
            CellSource(
                name=about.name,
                edition=about.edition,
                update=about.update,
                issued=about.issued,
                leg_to_ids=tuple(by_cell.get(number, ())),
                lacking=lacking,
            )
        )
    return tuple(found)
