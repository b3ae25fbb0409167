"""What clearance is required under the keel and over the mast: a rule of somebody's, never ours."""

from collections.abc import Iterable
from dataclasses import dataclass

from wheelover.core.depth.cautious import up_m
from wheelover.core.margins import waters_of
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.dangers import WaterKind
from wheelover.core.types.track import PlannedLeg

_PER_CENT = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """A rule for the clearance required: a part of the draught, metres, or the greater of both.

    ``rule`` says whose it is, and ``water`` the kind of water for which a limit set has it; None
    where the plan itself asks for it. Parts of the draught are rules of companies and ports, not
    physics.
    """

    draught_ratio: float | None = None
    metres_m: float | None = None
    rule: str = ""
    water: WaterKind | None = None


NO_POLICY = Policy()


def required_ukc_m(policy: Policy, draught_m: float) -> float | None:
    """Return the under-keel clearance that a rule requires, in metres; None where none is given.

    Parameters
    ----------
    policy : Policy
        The rule.
    draught_m : float
        The deepest draught, without what motion adds to it.

    Examples
    --------
    >>> round(required_ukc_m(Policy(draught_ratio=0.1, metres_m=0.5), 5.5), 2)
    0.55
    """
    parts_m = [] if policy.draught_ratio is None else [policy.draught_ratio * draught_m]
    if policy.metres_m is not None:
        parts_m.append(policy.metres_m)
    return max(parts_m, default=None)


def policy_words(policy: Policy, draught_m: float) -> str:
    """Return which part of a rule requires the most, and whose it is.

    Parameters
    ----------
    policy : Policy
        The rule.
    draught_m : float
        As for ``required_ukc_m``.

    Examples
    --------
    >>> policy_words(Policy(draught_ratio=0.1, metres_m=0.5, rule="limits of the plan"), 5.5)
    'limits of the plan: 10 % of the draught of 5.50 m'
    """
    of_draught_m = (policy.draught_ratio or 0.0) * draught_m
    if policy.draught_ratio is None or (policy.metres_m or 0.0) > of_draught_m:
        return f"{policy.rule}: {policy.metres_m:g} m"
    part = policy.draught_ratio * _PER_CENT
    return f"{policy.rule}: {part:g} % of the draught of {draught_m:.2f} m"


def strictest(policies: Iterable[Policy], draught_m: float) -> Policy:
    """Return that of several rules which requires the most, the first of equal ones.

    Parameters
    ----------
    policies : iterable of Policy
        The rules.
    draught_m : float
        As for ``required_ukc_m``.
    """
    asked = [(required_ukc_m(one, draught_m), one) for one in policies]
    given = [(metres, one) for metres, one in asked if metres is not None]
    return max(given, key=lambda row: row[0])[1] if given else NO_POLICY


def keel_policies(leg: PlannedLeg, limits: Limits) -> tuple[Policy, ...]:
    """Return the rules for the clearance under the keel on a leg: the plan's and the limit set's.

    Parameters
    ----------
    leg : PlannedLeg
        Names its kind of water; where nobody does, every kind that the set knows counts.
    limits : Limits
        The plan's own, with its limit set.
    """
    own = Policy(
        draught_ratio=limits.min_ukc_draught_ratio,
        metres_m=limits.min_ukc_m,
        rule="limits of the plan",
    )
    label = "" if limits.limit_set is None else limits.limit_set.label
    of_set = (
        Policy(
            draught_ratio=one.min_ukc_draught_ratio,
            metres_m=one.min_ukc_m,
            rule=f"{label}, {kind} water",
            water=kind,
        )
        for kind, one in waters_of(limits.limit_set, leg.water or limits.water)
    )
    return (own, *of_set)


def mast_policies(leg: PlannedLeg, limits: Limits) -> tuple[Policy, ...]:
    """Return the rules for the clearance over the mast on a leg.

    Parameters
    ----------
    leg, limits
        As for ``keel_policies``.
    """
    own = Policy(metres_m=limits.min_overhead_m, rule="limits of the plan")
    label = "" if limits.limit_set is None else limits.limit_set.label
    of_set = (
        Policy(metres_m=one.min_overhead_m, rule=f"{label}, {kind} water", water=kind)
        for kind, one in waters_of(limits.limit_set, leg.water or limits.water)
    )
    return (own, *of_set)


def missed_of(
    policies: Iterable[Policy], draught_m: float, left_m: float
) -> tuple[bool, tuple[str, ...]]:
    """Return whether a rule of the plan's own is missed, and which rules of a limit set are.

    Parameters
    ----------
    policies : iterable of Policy
        The rules.
    draught_m : float
        As for ``required_ukc_m``.
    left_m : float
        The clearance that is left.
    """
    own = False
    of_set: dict[str, None] = {}
    for one in policies:
        in_draughts_m = None if one.draught_ratio is None else one.draught_ratio * draught_m
        asked = (("min_ukc_m", one.metres_m), ("min_ukc_draught_ratio", in_draughts_m))
        missed = [
            name for name, metres in asked if metres is not None and left_m < float(up_m(metres))
        ]
        if one.water is None:
            own = own or bool(missed)
        else:
            of_set |= {f"{one.water}/{name}": None for name in missed}
    return own, tuple(of_set)
