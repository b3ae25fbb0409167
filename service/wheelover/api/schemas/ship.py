"""The ship of a request."""

from typing import Annotated, Literal

import numpy as np
from pydantic import Field, field_validator, model_validator

from wheelover.api.schemas.passage import WaterDensity
from wheelover.api.schemas.pilot_card import PilotCardIn
from wheelover.api.schemas.sky import DeviationCardIn, GyroError
from wheelover.api.schemas.strict import Knots, Label, Radius, Strict
from wheelover.core.turns.tried import in_loading
from wheelover.core.types.ship import (
    Consumption,
    Loading,
    Response,
    ShipProfile,
    StoppingTrial,
    TurnTable,
    TurnTableRow,
)

Length = Annotated[float, Field(gt=0.0, le=1000.0, description="Metres")]
Depth = Annotated[float, Field(ge=0.0, le=100.0, description="Metres")]
Run = Annotated[float, Field(ge=0.0, le=50_000.0, description="Metres")]
Seconds = Annotated[float, Field(ge=0.0, le=36_000.0, description="Seconds")]
WindageArea = Annotated[float, Field(gt=0.0, le=50_000.0, description="Square metres")]
Rudder = Annotated[float, Field(gt=0.0, le=90.0, description="Degrees")]
AirDraught = Annotated[float, Field(ge=0.0, le=200.0, description="Metres")]
Tonnes = Annotated[float, Field(gt=0.0, le=2_000_000.0, description="Tonnes")]
Immersion = Annotated[float, Field(gt=0.0, le=1000.0, description="Tonnes per centimetre")]
RangeScale = Annotated[float, Field(ge=0.125, le=96.0, description="Nautical miles")]
Metacentre = Annotated[float, Field(gt=0.0, le=100.0, description="Metres")]


CovarianceRow = Annotated[
    list[Annotated[float, Field(ge=-1e6, le=1e6)]], Field(min_length=8, max_length=8)
]


class ResponseIn(Strict):
    """How she answers the helm: T r' + r + alpha r^3 = K rudder, at one speed."""

    k_per_s: Annotated[float, Field(gt=0.0, le=10.0)]
    t_s: Annotated[float, Field(gt=0.0, le=10_000.0)]
    at_speed_kn: Knots
    alpha_s2: Annotated[float, Field(ge=0.0, le=1e9)] = 0.0
    drift_lengths: Annotated[float, Field(ge=0.0, le=10.0)] = 0.0
    race_exponent: Annotated[float, Field(ge=-5.0, le=10.0)] = 0.0
    speed_recovery: Annotated[float, Field(ge=0.0, le=100.0)] | None = None
    speed_loss: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    drift_lag: Annotated[float, Field(ge=0.0, le=100.0)] = 0.0
    origin: Literal["recorded", "fitted", "estimated"] | None = None
    at_depth_m: Annotated[float, Field(gt=0.0, le=12_000.0, description="Metres")] | None = None
    covariance: Annotated[list[CovarianceRow], Field(min_length=8, max_length=8)] | None = None

    @field_validator("covariance")
    @classmethod
    def _spreads(cls, rows: list[list[float]] | None) -> list[list[float]] | None:
        """Refuse rows that are no covariance: nothing could be drawn from them."""
        if rows is None:
            return None
        table = np.array(rows)
        if not np.allclose(table, table.T, rtol=1e-6, atol=1e-12):
            raise ValueError("a covariance is the same across its diagonal")
        if not float(np.linalg.eigvalsh(table)[0]) > 0.0:
            raise ValueError("a covariance has no direction without spread")
        return rows

    def to_core(self) -> Response:
        """Return it as the core takes it."""
        rows = self.covariance
        kept = None if rows is None else tuple(tuple(row) for row in rows)
        return Response(**self.model_dump(exclude={"covariance"}), covariance=kept)


class TurnTableRowIn(Strict):
    """A row of a turning table."""

    heading_change_deg: Annotated[float, Field(ge=0.0, le=720.0)]
    advance_m: Annotated[float, Field(ge=-50_000.0, le=50_000.0)]
    transfer_m: Annotated[float, Field(ge=-50_000.0, le=50_000.0)]
    time_s: Seconds | None = None
    speed_kn: Annotated[float, Field(ge=0.0, le=100.0)] | None = None


class TurnTableIn(Strict):
    """A turning trial from the ship's papers."""

    loading: Label | None = None
    side: Literal["port", "starboard"] | None = None
    rudder_deg: Rudder
    speed_kn: Knots
    rows: Annotated[list[TurnTableRowIn], Field(min_length=1, max_length=1000)]
    tactical_diameter_m: Annotated[float, Field(gt=0.0, le=50_000.0)] | None = None
    rows_are: Literal["heading_reached", "steadied"] | None = None
    reference_from_bow_m: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    source: Label | None = None


class LoadingIn(Strict):
    """What is different of the ship in another loading, by its name."""

    name: Label
    draught_fore_m: Depth | None = None
    draught_aft_m: Depth | None = None
    response: ResponseIn | None = None
    turn_tables: Annotated[list[TurnTableIn], Field(max_length=100)] | None = None
    lateral_windage_m2: WindageArea | None = None
    windage_centre_from_bow_m: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    air_draught_m: AirDraught | None = None
    draught_midships_m: Depth | None = None
    displacement_t: Tonnes | None = None
    tpc_t_per_cm: Immersion | None = None
    gm_m: Metacentre | None = None
    kg_m: Depth | None = None
    bg_m: Depth | None = None
    windage_centre_above_water_m: Depth | None = None

    def to_core(self) -> Loading:
        """Return it as the core takes it."""
        return Loading(
            **self.model_dump(exclude={"response", "turn_tables"}),
            response=None if self.response is None else self.response.to_core(),
            turn_tables=_tables(self.turn_tables),
        )


def _tables(tables: list[TurnTableIn] | None) -> tuple[TurnTable, ...]:
    """Return turning tables as the core takes them."""
    return tuple(
        TurnTable(
            **table.model_dump(exclude={"rows"}),
            rows=tuple(TurnTableRow(**row.model_dump()) for row in table.rows),
        )
        for table in tables or ()
    )


class ConsumptionIn(Strict):
    """What she burns a day at a speed through the water; at 0 kn it is what she burns at rest."""

    speed_kn: Annotated[float, Field(ge=0.0, le=100.0, description="Knots through the water")]
    t_per_day: Annotated[float, Field(ge=0.0, le=2000.0, description="Tonnes a day")]
    fuel: Label | None = None

    def to_core(self) -> Consumption:
        """Return it as the core takes it."""
        return Consumption(
            speed_kn=self.speed_kn, rate_t_per_day=self.t_per_day, fuel=self.fuel or None
        )


class StoppingIn(Strict):
    """A stopping trial: how far she ran along her track after full astern was ordered.

    ``engine_order`` is the order she went on before, ``speed_kn`` her speed then.
    """

    engine_order: Label | None = None
    speed_kn: Knots
    track_reach_m: Annotated[float, Field(gt=0.0, le=50_000.0, description="Metres")]
    time_s: Seconds | None = None
    source: Label | None = None


class ShipIn(Strict):
    """The ship in one loading condition. At most one of the three ways to give her reach.

    Draughts are those in water of draught_density_kg_per_m3, salt water where it is not given. GM
    is her metacentric height, KG her centre of gravity above the keel, BG above the centre of
    buoyancy. Height of eye and of the radar's antenna count from the water.
    """

    name: Label
    loa_m: Length
    beam_m: Annotated[float, Field(gt=0.0, le=200.0, description="Metres")]
    draught_fore_m: Depth
    draught_aft_m: Depth
    lpp_m: Length | None = None
    block_coefficient: Annotated[float, Field(gt=0.0, le=1.0)] | None = None
    air_draught_m: AirDraught | None = None
    bridge_from_bow_m: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    speed_kn: Knots | None = None
    turn_radius_nm: Radius | None = None
    reach_m: Run | None = None
    reach_lengths: Annotated[float, Field(ge=0.0, le=50.0)] | None = None
    reach_s: Annotated[float, Field(ge=0.0, le=3600.0)] | None = None
    min_turn_radius_nm: Annotated[float, Field(ge=0.0, le=50.0)] | None = None
    max_rate_of_turn_deg_per_min: Annotated[float, Field(gt=0.0, le=1000.0)] | None = None
    turn_speed_ratio: Annotated[float, Field(gt=0.0, le=1.5)] | None = None
    max_rudder_deg: Rudder = 35.0
    rudder_rate_deg_per_s: Annotated[float, Field(gt=0.0, le=100.0)] = 2.33
    helm_delay_s: Annotated[float, Field(ge=0.0, le=600.0)] = 0.0
    planned_rudder_deg: Rudder | None = None
    propulsion: Literal["single_screw", "twin_screw", "azimuthing"] | None = None
    response: ResponseIn | None = None
    turn_tables: Annotated[list[TurnTableIn], Field(max_length=100)] | None = None
    loading: Label | None = None
    loadings: Annotated[list[LoadingIn], Field(max_length=20)] | None = None
    lateral_windage_m2: WindageArea | None = None
    windage_centre_from_bow_m: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    draught_midships_m: Depth | None = None
    draught_density_kg_per_m3: WaterDensity | None = None
    displacement_t: Tonnes | None = None
    tpc_t_per_cm: Immersion | None = None
    gm_m: Metacentre | None = None
    kg_m: Depth | None = None
    bg_m: Depth | None = None
    windage_centre_above_water_m: Depth | None = None
    deviation_card: DeviationCardIn | None = None
    gyro_error_deg: GyroError | None = None
    eye_height_m: AirDraught | None = None
    radar_height_m: AirDraught | None = None
    radar_range_scale_nm: RangeScale | None = None
    stopping: Annotated[list[StoppingIn], Field(max_length=50)] | None = None
    pilot_card: PilotCardIn | None = None
    max_speed_kn: Knots | None = None
    consumption: Annotated[list[ConsumptionIn], Field(max_length=500)] | None = None

    @model_validator(mode="after")
    def _loadings_apart(self) -> "ShipIn":
        """Refuse two loadings of one name, and one in use that is not given."""
        names = [one.name for one in self.loadings or ()]
        if len(set(names)) != len(names):
            raise ValueError("loadings: each needs a name of its own")
        if self.loading is not None and self.loading not in names:
            raise ValueError(f"loading: {self.loading!r} is none of her loadings")
        return self

    @field_validator("consumption")
    @classmethod
    def _each_speed_once(cls, rows: list[ConsumptionIn] | None) -> list[ConsumptionIn] | None:
        """Refuse two rows of one speed and fuel: nobody could say which counts."""
        seen = [(one.fuel or None, one.speed_kn) for one in rows or ()]
        if len(set(seen)) != len(seen):
            raise ValueError("each speed may be given once for each fuel")
        return rows

    def to_core(self) -> ShipProfile:
        """Return it as the core takes it, in the loading that is in use."""
        apart = {"response", "turn_tables", "loading", "loadings", "consumption", "stopping"}
        apart |= {"deviation_card", "pilot_card"}
        plain = self.model_dump(exclude=apart)
        response = None if self.response is None else self.response.to_core()
        loadings = tuple(one.to_core() for one in self.loadings or ())
        ship = ShipProfile(
            **plain,
            response=response,
            turn_tables=_tables(self.turn_tables),
            loadings=loadings,
            consumption=tuple(one.to_core() for one in self.consumption or ()),
            deviation_card=None if self.deviation_card is None else self.deviation_card.to_core(),
            pilot_card=None if self.pilot_card is None else self.pilot_card.to_core(),
            stopping=tuple(StoppingTrial(**one.model_dump()) for one in self.stopping or ()),
        )
        return ship if self.loading is None else in_loading(ship, self.loading, "/ship/loading")
