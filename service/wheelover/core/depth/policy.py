"""What clearance is required under the keel and over the mast: a rule of somebody's, never ours."""

from dataclasses import dataclass

_PER_CENT = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """A rule for the clearance required: a part of the draught, metres, or the greater of both.

    ``rule`` says whose it is. Parts of the draught are rules of companies and ports, not physics.
    """

    draught_ratio: float | None = None
    metres_m: float | None = None
    rule: str = ""


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


def stricter(one: Policy, other: Policy, draught_m: float) -> Policy:
    """Return that of two rules which requires more.

    Parameters
    ----------
    one, other : Policy
        The rules.
    draught_m : float
        As for ``required_ukc_m``.
    """
    first_m, second_m = required_ukc_m(one, draught_m), required_ukc_m(other, draught_m)
    if first_m is None:
        return other
    return one if second_m is None or first_m >= second_m else other
