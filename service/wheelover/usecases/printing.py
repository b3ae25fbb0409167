"""What a paper is printed with beside the plan: the time, and her runs through the turns."""

from collections.abc import Callable
from typing import Any

from wheelover.core.errors import WheeloverError
from wheelover.core.turn_card import turn_runs
from wheelover.core.types.track import PlannedTurn
from wheelover.core.types.turn_card import CardRun
from wheelover.core.units import nm_from_m
from wheelover.render.paper import Printing
from wheelover.render.paper.matter import Told, nobody
from wheelover.render.turn_card import run_document
from wheelover.usecases.plan_route import PlanInputs

Document = dict[str, Any]

RUN_MEMBERS = ("route", "ship", "conditions", "draughts", "departure_utc")
"""Members of a plan request that her runs hang on; dangers, charts and limits change none."""

_SAME_NM = 1e-6
"""Two metres in a thousand miles: the plan rounds to 1e-8 NM, another run lies further off."""


def printing_of(
    make: Callable[[Document], PlanInputs],
    inputs: Document,
    result: Document,
    printed_utc: str,
    told: Told | None = None,
) -> Printing:
    """Return what a plan is printed with.

    Her runs are made anew from the inputs, as a turn card makes them, and held against the plan:
    one that another engine made otherwise is not printed beside its numbers, but the reason why.

    Parameters
    ----------
    make : callable
        Makes the inputs of a plan from a request.
    inputs : dict
        The plan request as JSON values, its ship resolved.
    result : dict
        The plan as JSON values.
    printed_utc : str
        The time, RFC 3339.
    told : callable or None
        Is told how far the work is.
    """
    tell = told or nobody
    tell("her runs through the turns", 0, len(result["turns"]))
    asked = {name: inputs[name] for name in RUN_MEMBERS if inputs.get(name) is not None}
    return Printing(printed_utc=printed_utc, runs=_runs(make, asked, result), told=tell)


def _runs(
    make: Callable[[Document], PlanInputs], asked: Document, result: Document
) -> dict[str, Document | str]:
    """Return by waypoint her run, or why there is none."""
    turns = {one["waypoint_id"]: one for one in result["turns"]}
    try:
        inputs = make(asked)
        found = turn_runs(inputs.route, inputs.ship, inputs.conditions)
    except WheeloverError as error:
        return dict.fromkeys(turns, f"this engine makes no run of it: {error}")
    ship = inputs.ship
    loa_m = None if ship is None else ship.loa_m
    beam_m = None if ship is None else ship.beam_m
    runs: dict[str, Document | str] = {}
    for turn, run in found:
        planned = turns.get(turn.waypoint_id)
        if run is None or planned is None:
            runs[turn.waypoint_id] = _why(planned)
        elif not _same(turn, run, planned):
            runs[turn.waypoint_id] = "the run of this engine is not that of the frozen plan"
        else:
            runs[turn.waypoint_id] = run_document(run, loa_m, beam_m)
    return runs


def _why(planned: Document | None) -> str:
    """Return why a turn has no run."""
    if planned is None:
        return "the plan has no such turn"
    row = next(one for one in planned["wheel_overs"] if one["method"] == "simulated")
    return str(row["reason"] or planned["reason"] or "no reason given")


def _same(turn: PlannedTurn, run: CardRun, planned: Document) -> bool:
    """Return whether a run is the one that the plan's numbers are of."""
    row = next(one for one in planned["wheel_overs"] if one["method"] == "simulated")
    distance_nm, made = planned["planned"]["distance_nm"], row["manoeuvre"]
    if made is None or distance_nm is None or turn.planned.distance_m is None:
        return False
    off_nm = abs(nm_from_m(turn.planned.distance_m) - distance_nm)
    off_s = abs(float(run.motion.time_s[-1]) - made["steady_at_s"])
    return bool(off_nm < _SAME_NM and off_s < 1e-3)
