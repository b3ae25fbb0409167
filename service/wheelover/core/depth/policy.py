"""What under-keel clearance is required: a company's rule or the navigator's, never ours."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """A rule for the clearance required: a part of the draught, metres, or the greater of both.

    ``rule`` says whose it is. Percentages are rules of companies and ports, not physics.
    """

    percent: float | None = None
    metres_m: float | None = None
    rule: str = ""

    @property
    def given(self) -> bool:
        """Return whether it requires anything."""
        return self.percent is not None or self.metres_m is not None


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
    >>> round(required_ukc_m(Policy(percent=10.0, metres_m=0.5), 5.5), 2)
    0.55
    """
    parts_m = [] if policy.percent is None else [policy.percent / 100.0 * draught_m]
    if policy.metres_m is not None:
        parts_m.append(policy.metres_m)
    return max(parts_m, default=None)


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
