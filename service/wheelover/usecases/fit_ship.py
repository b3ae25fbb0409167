"""Ship papers in, responses out, as JSON values that can be kept and read again."""

from dataclasses import asdict, replace
from typing import Any

from wheelover.core.manoeuvre.fit_papers import fitted_responses
from wheelover.core.types.fitted import (
    STRUCTURAL_FLOOR_LENGTHS,
    THETA,
    Comparison,
    FittedResponse,
    StandardCheck,
    Statement,
    Uncertain,
)
from wheelover.core.types.ship import Response
from wheelover.core.types.trials import ShipPapers
from wheelover.formats.trials_csv import read_trials_csv
from wheelover.render.rounding import OTHER, rounded

_COVARIANCE = 12

Document = dict[str, Any]


def fit_ship(papers: ShipPapers) -> Document:
    """Return the responses that a ship's papers give, as JSON values.

    Raises
    ------
    OutOfDomain
        For papers that no ship comes near.
    """
    return {
        "fits": [fitted_document(one) for one in fitted_responses(papers)],
        "engine_orders": [asdict(one) for one in papers.engine_orders],
    }


def fitted_document(fitted: FittedResponse) -> Document:
    """Return a fitted response as JSON values; ``fitted_from_document`` reads it again."""
    uncertain, response = fitted.uncertain, fitted.response
    return {
        "loading": fitted.loading,
        "draught_m": rounded(fitted.draught_m, OTHER),
        "depth_m": rounded(fitted.depth_m, OTHER),
        "origin": fitted.origin,
        "source": fitted.source,
        "response": None if response is None else response_document(response),
        "uncertain": None if uncertain is None else _uncertain(uncertain),
        "comparisons": [_rounded(asdict(one)) for one in fitted.comparisons],
        "checks": [_rounded(asdict(one)) for one in fitted.checks],
        "statements": [asdict(one) for one in fitted.statements],
    }


def fitted_from_document(document: Document) -> FittedResponse:
    """Return a fitted response from its JSON values, as they were rounded."""
    uncertain, response = document["uncertain"], document["response"]
    return FittedResponse(
        loading=document["loading"],
        draught_m=document["draught_m"],
        depth_m=document["depth_m"],
        origin=document["origin"],
        source=document["source"],
        response=None if response is None else response_from(response),
        uncertain=None if uncertain is None else _uncertain_from(uncertain),
        comparisons=tuple(Comparison(**one) for one in document["comparisons"]),
        checks=tuple(StandardCheck(**one) for one in document["checks"]),
        statements=tuple(Statement(**one) for one in document["statements"]),
    )


def response_document(response: Response) -> Document:
    """Return a response as JSON values, as a ship takes it."""
    covariance = response.covariance
    return {
        **_rounded(asdict(replace(response, covariance=None))),
        "covariance": None if covariance is None else _table(covariance),
    }


def response_from(document: Document) -> Response:
    """Return a response from its JSON values."""
    rows = document["covariance"]
    kept = None if rows is None else tuple(tuple(row) for row in rows)
    return Response(**{**document, "covariance": kept})


def _table(rows: tuple[tuple[float, ...], ...]) -> list[list[float]]:
    """Return a covariance as JSON values."""
    return [[rounded(value, _COVARIANCE) for value in row] for row in rows]


def _uncertain(uncertain: Uncertain) -> Document:
    """Return fitted values as JSON values."""
    return {
        "names": list(THETA),
        "theta": [rounded(value, OTHER) for value in uncertain.theta],
        "covariance": _table(uncertain.covariance),
        "length_m": rounded(uncertain.length_m, OTHER),
        "at_speed_kn": rounded(uncertain.at_speed_kn, OTHER),
        "scatter_ratio": uncertain.scatter_ratio,
        "band_ratio": uncertain.band_ratio,
        "structural_floor_lengths": STRUCTURAL_FLOOR_LENGTHS,
    }


def _uncertain_from(document: Document) -> Uncertain:
    """Return fitted values from their JSON values."""
    return Uncertain(
        theta=tuple(document["theta"]),
        covariance=tuple(tuple(row) for row in document["covariance"]),
        length_m=document["length_m"],
        at_speed_kn=document["at_speed_kn"],
        scatter_ratio=document["scatter_ratio"],
        band_ratio=document["band_ratio"],
    )


def _rounded(members: Document) -> Document:
    """Return members with their numbers rounded."""
    return {
        name: rounded(value, OTHER) if isinstance(value, float) else value
        for name, value in members.items()
    }


def read_trials(body: bytes) -> Document:
    """Return a file of trial data as the request for a fit, with every line beside it.

    Raises
    ------
    UnreadableFile
        When nothing of it was understood.
    """
    reading = read_trials_csv(body)
    accepted = sum(1 for row in reading.report if row.problem is None)
    return {
        "format": "csv",
        "fit": reading.request,
        "report": [asdict(row) for row in reading.report],
        "accepted_count": accepted,
        "rejected_count": len(reading.report) - accepted,
        "notes": list(reading.notes),
    }
