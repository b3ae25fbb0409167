"""A response that was fitted: its numbers, how sure they are, and what they were made from."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from wheelover.core.types.ship import Response

Origin = Literal["recorded", "fitted", "estimated"]
"""From her own recorded turns, from her trials, or from her main dimensions alone."""

Unit = Literal["m", "s", "kn", "deg"]
AnyUnit: TypeAlias = float
"""A number whose unit stands beside it."""

Percent: TypeAlias = float

THETA = (
    "ln_gain",
    "ln_lag",
    "ln_cubic",
    "race_exponent",
    "ln_speed_recovery",
    "ln_loss_over_recovery",
    "ln_drift_lengths",
    "ln_drift_lag",
)
"""What is fitted: ln K', ln T', ln a', q, ln ku, ln(cr/ku), ln kb, ln Tb'; in lengths overall."""


STRUCTURAL_FLOOR_LENGTHS = 0.08
"""What no response of this form can follow of a ship, across the track, however good the data."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """A number of the papers beside what the response gives for the same trial and point.

    ``difference_percent`` is of the number given; None where that is an angle.
    ``weighed`` is false for a number that is shown only.
    """

    trial: str
    quantity: str
    side: str | None
    rudder_deg: float | None
    heading_change_deg: float | None
    unit: Unit
    given: AnyUnit
    computed: AnyUnit
    difference_percent: Percent | None
    words: str
    weighed: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class StandardCheck:
    """A number beside the limit of a standard; ``by`` says whether it was given or computed."""

    criterion: str
    by: Literal["given", "computed"]
    measured: float
    limit: float
    unit: str
    met: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """What the data cannot tell, or where the response does not hold.

    ``refuses`` says that because of it there is no response.
    """

    code: str
    message: str
    refuses: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertain:
    """The fitted values in the order of ``THETA``, and their covariance in rows.

    ``scatter_ratio`` says how many times as far off as trial numbers the data were taken to be,
    ``band_ratio`` how many times as wide as data and priors make it the band was taken.
    """

    theta: tuple[AnyUnit, ...]
    covariance: tuple[tuple[AnyUnit, ...], ...]
    length_m: float
    at_speed_kn: float
    scatter_ratio: float = 1.0
    band_ratio: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedResponse:
    """How she answers the helm in one loading, with everything that must be known beside it.

    ``response`` and ``uncertain`` are None where a statement refuses one.
    """

    loading: str
    draught_m: float
    depth_m: float | None
    origin: Origin
    source: str
    response: Response | None
    uncertain: Uncertain | None
    comparisons: tuple[Comparison, ...] = ()
    checks: tuple[StandardCheck, ...] = ()
    statements: tuple[Statement, ...] = ()
