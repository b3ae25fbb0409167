"""How far she runs on before she is stopped: of her own trials, never made shorter."""

import math

from wheelover.core.geo.angles import sin_cos_deg
from wheelover.core.types.monitoring import Stop
from wheelover.core.types.ship import ShipProfile, StoppingTrial
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import m_per_s_from_kn

LONGEST_LENGTHS = 15.0
"""Track reach of a crash stop, in ship lengths, that the standard allows."""

LONGEST_ALLOWED_LENGTHS = 20.0
"""The same where the Administration allows more, for ships of large displacement."""

_SAME_KN = 0.05


def stop_from(ship: ShipProfile | None, leg: PlannedLeg) -> Stop | str:
    """Return how far she runs on from the speed of a leg before she is stopped, or why not.

    Of the trials as fast as the leg or faster the slowest is taken as it stands. Where none is as
    fast the run of the fastest is made longer with the square of the speed, and that is said.

    Parameters
    ----------
    ship : ShipProfile or None
        Her stopping trials.
    leg : PlannedLeg
        Her speed through the water, and the stream.

    Returns
    -------
    Stop or str
        The run along her track over the ground, or the reason why it is not known.

    Notes
    -----
    Track reach of a full astern test, at most 15 lengths and where the Administration allows it 20
    [MSC137]_. That the run grows with the square of the speed is common practice of the trade. The
    stream carries her its drift times the time of the trial; without a time that is not known.
    """
    if ship is None or not ship.stopping:
        return "the ship's stopping trials are not given"
    speed_kn = leg.speed_kn
    if speed_kn is None:
        return "no speed is given on the leg"
    faster = [one for one in ship.stopping if one.speed_kn >= speed_kn - _SAME_KN]
    if faster:
        # Of trials at one speed the longest run counts.
        trial = min(faster, key=lambda one: (one.speed_kn, -one.track_reach_m))
        times_ratio = 1.0
    else:
        trial = max(ship.stopping, key=lambda one: (one.speed_kn, one.track_reach_m))
        times_ratio = (speed_kn / trial.speed_kn) ** 2
    run_m = trial.track_reach_m * times_ratio
    stream_m, notes = _stream(trial, leg, times_ratio)
    if not faster:
        notes.append(
            f"no trial is as fast as {speed_kn:g} kn: the run of {trial.speed_kn:g} kn is made "
            "longer with the square of the speed, beyond her trials"
        )
    elif trial.speed_kn > speed_kn + _SAME_KN:
        notes.append(
            f"the trial was at {trial.speed_kn:g} kn, faster than the leg; its run is not shortened"
        )
    notes.append("trials are in deep calm water, in the loading of the trial")
    total_m = run_m + max(stream_m or 0.0, 0.0)
    return Stop(
        speed_kn=speed_kn,
        run_m=total_m,
        trial_speed_kn=trial.speed_kn,
        trial_run_m=trial.track_reach_m,
        engine_order=trial.engine_order,
        time_s=None if trial.time_s is None else trial.time_s * math.sqrt(times_ratio),
        extrapolated=not faster,
        stream_m=stream_m,
        source=trial.source,
        working=tuple(_working(trial, speed_kn, times_ratio, stream_m, total_m)),
        notes=tuple(notes),
    )


def _stream(
    trial: StoppingTrial, leg: PlannedLeg, times_ratio: float
) -> tuple[float | None, list[str]]:
    """Return how far the stream carries her along the leg meanwhile, and what is not known."""
    if leg.set_deg is None or leg.drift_kn is None or leg.path is None:
        return None, ["no current is given: still water is assumed"]
    if trial.time_s is None:
        return None, ["the trial gives no time, so the stream is not applied"]
    _, along = sin_cos_deg(leg.set_deg - leg.path.course_deg)
    carried_m = float(along) * m_per_s_from_kn(leg.drift_kn) * trial.time_s * math.sqrt(times_ratio)
    if carried_m < 0.0:
        return carried_m, ["the stream is against her; the run is not shortened by it"]
    return carried_m, []


def _working(
    trial: StoppingTrial,
    speed_kn: float,
    times_ratio: float,
    stream_m: float | None,
    total_m: float,
) -> list[str]:
    """Return the lines of the hand calculation."""
    lines = [f"trial: {trial.track_reach_m:.0f} m from {trial.speed_kn:g} kn"]
    if times_ratio != 1.0:
        lines.append(
            f"run = {trial.track_reach_m:.0f} m x ({speed_kn:g} / {trial.speed_kn:g})^2 = "
            f"{trial.track_reach_m * times_ratio:.0f} m"
        )
    if stream_m is not None and stream_m > 0.0:
        lines.append(f"with the stream {stream_m:.0f} m more")
    lines.append(f"run = {math.ceil(total_m - 1e-6)} m")
    return lines
