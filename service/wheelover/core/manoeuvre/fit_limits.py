"""Where a response does not hold, and what the data it is made from cannot tell.

That she differs with environment, hull and loading is the caution of the papers' own form [A601]_.
"""

from collections.abc import Iterator

from wheelover.core.types.fitted import Statement
from wheelover.core.types.trials import TrialSet, TrialShip, WantedUse

DEEP_RATIO = 3.0
"""Depth over draught above which water counts as deep."""

_SHALLOW_RATIO, _SAME_RATIO = 1.5, 0.1
_SLOW_KN = 5.0
_OTHER_DRAUGHT_RATIO, _OTHER_SPEED_RATIO = 0.1, 0.2
_SMALL_HELM_DEG, _HARD_OVER_DEG = 20.0, 30.0
_REFUSED_STEERING = {
    "pods": "she is steered by pods: what is fitted here is how a ship answers a rudder",
    "rudder_and_thrusters": "thrusters help to turn her: what is fitted here is how a ship answers "
    "a rudder alone",
}


def mean_draught_m(trial_set: TrialSet) -> float:
    """Return the mean draught of a set."""
    return 0.5 * (trial_set.draught_fore_m + trial_set.draught_aft_m)


def has_trials(trial_set: TrialSet) -> bool:
    """Return whether a set tells how she answers the helm."""
    return bool(
        trial_set.circles
        or trial_set.zig_zags
        or trial_set.initial_turnings
        or trial_set.course_changes
        or trial_set.own_turns
    )


def band_ratio_of(ship: TrialShip, trial_set: TrialSet, wanted: WantedUse) -> float:
    """Return how many times as wide as usual the band of a response is to be taken."""
    ratio = 2.0 if ship.propeller_count > 1 else 1.0
    return ratio * (2.0 if _other_draught(trial_set, wanted) else 1.0)


def refusals(ship: TrialShip, trial_set: TrialSet, wanted: WantedUse) -> Iterator[Statement]:
    """Yield the reasons for which there is no response."""
    if ship.steered_by in _REFUSED_STEERING:
        yield Statement(
            code=ship.steered_by, message=_REFUSED_STEERING[ship.steered_by], refuses=True
        )
    if ship.propeller_count > 1 and not has_trials(trial_set):
        yield Statement(
            code="twin_screw",
            message=f"she has {ship.propeller_count} propellers and no trials of her own: "
            "estimates are for ships with one propeller and one rudder",
            refuses=True,
        )
    yield from _slow(ship, trial_set, wanted)
    yield from _too_shallow(trial_set, wanted)


def _slow(ship: TrialShip, trial_set: TrialSet, wanted: WantedUse) -> Iterator[Statement]:
    """Yield a refusal for speeds at which a ship no longer answers in proportion to them."""
    slowest_kn = min(_speeds_kn(ship, trial_set), default=None)
    for what, speed_kn in (
        ("a response is wanted", wanted.speed_kn),
        ("she was tried", slowest_kn),
    ):
        if speed_kn is not None and speed_kn < _SLOW_KN:
            yield Statement(
                code="slow",
                message=f"{what} at {speed_kn:g} kn: below {_SLOW_KN:g} kn wind, current and "
                "propeller decide, and no response holds",
                refuses=True,
            )


def _speeds_kn(ship: TrialShip, trial_set: TrialSet) -> tuple[float, ...]:
    """Return the approach speeds of the trials, or what the ship's speed is without any."""
    speeds = (
        *(one.speed_kn for one in trial_set.circles),
        *(one.speed_kn for one in trial_set.zig_zags),
        *(one.speed_kn for one in trial_set.initial_turnings),
        *(one.speed_kn for one in trial_set.course_changes),
        *(one.speed_kn for one in trial_set.own_turns),
    )
    if speeds or ship.speed_kn is None:
        return speeds
    return (ship.speed_kn,)


def _of_speed(ship: TrialShip, trial_set: TrialSet, wanted: WantedUse) -> Iterator[Statement]:
    """Yield what is assumed where the response is wanted at another speed than was tried."""
    speeds = _speeds_kn(ship, trial_set)
    if wanted.speed_kn is None or not speeds:
        return
    off_kn = min(abs(wanted.speed_kn - one) for one in speeds)
    if off_kn > _OTHER_SPEED_RATIO * wanted.speed_kn:
        yield Statement(
            code="other_speed",
            message=f"tried at {', '.join(f'{one:g}' for one in sorted(set(speeds)))} kn, wanted "
            f"at {wanted.speed_kn:g} kn: turns are taken to be alike in ship lengths, but for the "
            "time the rudder needs; this is extrapolated",
        )


def _too_shallow(trial_set: TrialSet, wanted: WantedUse) -> Iterator[Statement]:
    """Yield what is to be said of the depth wanted and that of the trials."""
    own = _depth_ratio(trial_set.depth_m, mean_draught_m(trial_set))
    asked = _depth_ratio(wanted.depth_m, wanted.draught_m or mean_draught_m(trial_set))
    like = own is not None and asked is not None and abs(own - asked) <= _SAME_RATIO
    if own is not None and own < DEEP_RATIO:
        yield Statement(
            code="data_of_shallow_water",
            message=f"the trials were made in {own:.2f} draughts of water: the response holds in "
            "such depth only",
        )
    if like:
        return
    if asked is not None and asked < _SHALLOW_RATIO:
        yield Statement(
            code="shallow_water",
            message=f"the depth is {asked:.2f} draughts and there are no trials from such depth: "
            "below 1.5 turns become up to four times as wide, small helm most; no figure is given",
            refuses=True,
        )
    elif asked is not None and asked < DEEP_RATIO:
        yield Statement(
            code="shallow_water",
            message=f"the depth is {asked:.2f} draughts and the trials are not from such depth: "
            "turns are wider than computed, at 10 degrees of helm by up to two thirds",
        )
    elif asked is None and own is None:
        yield Statement(
            code="deep_water_only",
            message="the data are of deep water: below three draughts turns become wider, and "
            "below 1.5 the response does not hold",
        )


def _depth_ratio(depth_m: float | None, draught_m: float) -> float | None:
    """Return depth over draught, None where no depth is given."""
    return None if depth_m is None else depth_m / draught_m


def _other_draught(trial_set: TrialSet, wanted: WantedUse) -> bool:
    """Return whether the response is wanted for another draught than that of the trials."""
    own_m = mean_draught_m(trial_set)
    return (
        wanted.draught_m is not None
        and abs(wanted.draught_m - own_m) > _OTHER_DRAUGHT_RATIO * own_m
    )


def untold(ship: TrialShip, trial_set: TrialSet, wanted: WantedUse) -> Iterator[Statement]:
    """Yield what the data of a set cannot tell."""
    if has_trials(trial_set):
        yield from _of_helm(trial_set)
        yield from _of_the_trials(trial_set)
    yield from _of_loading(trial_set, wanted)
    yield from _of_speed(ship, trial_set, wanted)
    yield Statement(
        code="trial_conditions",
        message="the data are of calm water and the trim and hull of the trials; wind, waves, "
        "another trim and a foul hull change them",
    )
    if ship.lpp_m is None:
        yield Statement(
            code="length_assumed",
            message="no length between perpendiculars is given: standards are compared with the "
            "length overall, which flatters her by a few per cent",
        )
    if ship.propeller_count > 1:
        yield Statement(
            code="twin_screw",
            message="she has more than one propeller: the form of the response is that of ships "
            "with one, and the band is taken twice as wide",
        )


def _of_helm(trial_set: TrialSet) -> Iterator[Statement]:
    """Yield what is not known of small and of large helm."""
    circles = [one.rudder_deg for one in trial_set.circles]
    checked = trial_set.zig_zags or trial_set.course_changes or trial_set.own_turns
    if not (checked or trial_set.initial_turnings or min(circles, default=90.0) <= _SMALL_HELM_DEG):
        yield Statement(
            code="small_helm",
            message="no circle at 20 degrees of rudder or less, no zig-zag and no initial turning: "
            "turns at the helm of a passage are extrapolated from hard over, by what ships are "
            "like; advance may be 10 %, the diameter 20 % off",
        )
    if max(circles, default=0.0) < _HARD_OVER_DEG:
        yield Statement(
            code="hard_over",
            message="no circle at 30 degrees of rudder or more: hard-over turns are extrapolated",
        )
    if not checked:
        yield Statement(
            code="checking",
            message="no zig-zag, no course change and no recorded turn: how she is checked comes "
            "from what ships are like; real overshoots are often larger",
        )
    if not trial_set.own_turns:
        yield Statement(
            code="smallest_helm",
            message="below about 7 degrees of rudder papers tell nothing; record turns of her own, "
            "or turn by rate of turn",
        )


def _of_the_trials(trial_set: TrialSet) -> Iterator[Statement]:
    """Yield what is not known of the trials themselves."""
    sides = {one.side for one in trial_set.circles} | {one.side for one in trial_set.zig_zags}
    if len(sides) == 1:
        (side,) = sides
        yield Statement(
            code="one_side",
            message=f"only trials to {side} are given: the other side is taken to be alike",
        )
    points = [point for circle in trial_set.circles for point in circle.points]
    if not trial_set.own_turns and all(point.speed_kn is None for point in points):
        yield Statement(
            code="speed_in_the_turn",
            message="no speeds in the turn are given: how she slows comes from what ships are like",
        )
    if trial_set.reference_from_bow_m is None:
        yield Statement(
            code="point_assumed",
            message="the point of the ship is not named: midships is taken; numbers of a bridge or "
            "an antenna would shift advance and transfer by its distance",
        )
    if trial_set.stoppings:
        yield Statement(
            code="stopping_kept",
            message="stopping distances are kept and compared with the standard; the response says "
            "nothing of them",
        )


def _of_loading(trial_set: TrialSet, wanted: WantedUse) -> Iterator[Statement]:
    """Yield what is not known of other loadings."""
    own_m = mean_draught_m(trial_set)
    if _other_draught(trial_set, wanted):
        yield Statement(
            code="other_loading",
            message=f"the trials are of {own_m:g} m draught and {wanted.draught_m:g} m is wanted: "
            "she answers otherwise then, up to twice as fast or slowly; the band is taken twice as "
            "wide",
        )
    elif wanted.draught_m is None:
        yield Statement(
            code="this_loading_only",
            message=f"the response is that of {own_m:g} m draught; in another loading she answers "
            "otherwise",
        )
