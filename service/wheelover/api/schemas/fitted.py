"""The answer to a ship's papers."""

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict


class FittedResponseOut(BaseModel):
    """How she answers the helm, in the shape a ship and a manoeuvre take it."""

    model_config = ConfigDict(extra="forbid")

    k_per_s: float
    t_s: float
    at_speed_kn: float
    alpha_s2: float
    drift_lengths: float
    race_exponent: float
    speed_recovery: float
    speed_loss: float
    drift_lag: float
    origin: Literal["recorded", "fitted", "estimated"]
    at_depth_m: float | None
    covariance: list[list[float]]


class UncertainOut(BaseModel):
    """The values that were fitted, by name, and their covariance in rows.

    A gain K', a lag T' and so on are counted in ``length_m`` and the approach speed.
    """

    model_config = ConfigDict(extra="forbid")

    names: list[str]
    theta: list[float]
    covariance: list[list[float]]
    length_m: float
    at_speed_kn: float
    scatter_ratio: float
    band_ratio: float
    structural_floor_lengths: float


class ComparisonOut(BaseModel):
    """A number given beside that of the response, in ``unit``."""

    model_config = ConfigDict(extra="forbid")

    trial: str
    quantity: str
    side: Literal["port", "starboard"] | None
    rudder_deg: float | None
    heading_change_deg: float | None
    unit: Literal["m", "s", "kn", "deg"]
    given: float
    computed: float
    difference_percent: float | None
    words: str
    weighed: bool


class StandardCheckOut(BaseModel):
    """A number beside the limit of the standard, both in ``unit``."""

    model_config = ConfigDict(extra="forbid")

    criterion: str
    by: Literal["given", "computed"]
    measured: float
    limit: float
    unit: str
    met: bool
    words: str


class StatementOut(BaseModel):
    """What the data cannot tell, or why there is no response."""

    model_config = ConfigDict(extra="forbid")

    code: str
    message: str
    refuses: bool


class FittedOut(BaseModel):
    """The response of one loading and depth; None where a statement refuses one."""

    model_config = ConfigDict(extra="forbid")

    loading: str
    draught_m: float
    depth_m: float | None
    origin: Literal["recorded", "fitted", "estimated"]
    source: str
    response: FittedResponseOut | None
    uncertain: UncertainOut | None
    comparisons: list[ComparisonOut]
    checks: list[StandardCheckOut]
    statements: list[StatementOut]


class EngineOrderOut(BaseModel):
    """A line of the table of engine orders, as it was given."""

    model_config = ConfigDict(extra="forbid")

    order: str
    propeller_rpm: float | None
    pitch_ratio: float | None
    laden_speed_kn: float | None
    ballast_speed_kn: float | None


class FitAnswer(BaseModel):
    """The responses that the papers give, one for each loading and depth."""

    model_config = ConfigDict(extra="forbid")

    fits: list[FittedOut]
    engine_orders: list[EngineOrderOut]


class TrialRowOut(BaseModel):
    """One line of the file beside what was understood of it."""

    model_config = ConfigDict(extra="forbid")

    line: int
    raw: str
    understood: str | None
    problem: str | None


class TrialsReadingAnswer(BaseModel):
    """A file of trial data as it was read; ``fit`` is in the shape a fit takes."""

    model_config = ConfigDict(extra="forbid")

    format: Literal["csv"]
    fit: dict[str, Any]
    report: list[TrialRowOut]
    accepted_count: int
    rejected_count: int
    notes: list[str]
