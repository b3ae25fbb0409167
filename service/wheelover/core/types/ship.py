"""The ship: dimensions, speed and how she is turned."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.errors import Fault, InvalidShip
from wheelover.core.types.compass import DeviationCard
from wheelover.core.types.pilot_card import PilotCard

ResponseOrigin = Literal["recorded", "fitted", "estimated"]
Propulsion = Literal["single_screw", "twin_screw", "azimuthing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """How she answers the helm: ``T r' + r + alpha r^3 = K rudder`` and its extensions.

    Values hold at ``at_speed_kn``. ``origin`` says whether they come from the ship's own records,
    were fitted to her trials, or were estimated from her dimensions; without it nobody has said.
    ``at_depth_m`` is the depth of water they hold in; without it that is deep water.
    ``covariance`` says in eight rows how uncertain ln K', ln T', ln a', q, ln ku, ln (cr / ku),
    ln kb and ln Tb' are, as a fit leaves it.
    """

    k_per_s: float
    t_s: float
    at_speed_kn: float
    alpha_s2: float = 0.0
    drift_lengths: float = 0.0
    race_exponent: float = 0.0
    speed_recovery: float | None = None
    speed_loss: float | None = None
    drift_lag: float = 0.0
    origin: ResponseOrigin | None = None
    at_depth_m: float | None = None
    covariance: tuple[tuple[float, ...], ...] | None = None

    @property
    def is_her_own(self) -> bool:
        """Return whether it is known to come from the ship's own records or trials."""
        return self.origin in ("recorded", "fitted")


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnTableRow:
    """Where she is, from the helm order, when her heading has changed by so much."""

    heading_change_deg: float
    advance_m: float
    transfer_m: float
    time_s: float | None = None
    speed_kn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnTable:
    """One turning trial from the ship's papers."""

    rudder_deg: float
    speed_kn: float
    rows: tuple[TurnTableRow, ...]
    loading: str | None = None
    side: str | None = None
    tactical_diameter_m: float | None = None
    rows_are: str | None = None
    reference_from_bow_m: float | None = None
    source: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """What is different of a ship in another loading; what is None is as it stands."""

    name: str
    draught_fore_m: float | None = None
    draught_aft_m: float | None = None
    response: Response | None = None
    turn_tables: tuple[TurnTable, ...] = ()
    lateral_windage_m2: float | None = None
    windage_centre_from_bow_m: float | None = None
    draught_midships_m: float | None = None
    air_draught_m: float | None = None
    displacement_t: float | None = None
    tpc_t_per_cm: float | None = None
    gm_m: float | None = None
    kg_m: float | None = None
    bg_m: float | None = None
    windage_centre_above_water_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StoppingTrial:
    """How far she ran along her track before she stopped, after full astern was ordered.

    ``engine_order`` is the order she went on before, ``speed_kn`` her speed through the water then.
    """

    speed_kn: float
    track_reach_m: float
    time_s: float | None = None
    engine_order: str | None = None
    source: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DraughtChange:
    """What is different of her draughts from a waypoint on, and why.

    Draughts are as they read in the water there, or in water of ``draught_density_kg_per_m3``.
    Without them those before count, changed by the density of the water where another is given.
    """

    from_id: str
    reason: str
    draught_fore_m: float | None = None
    draught_aft_m: float | None = None
    draught_midships_m: float | None = None
    draught_density_kg_per_m3: float | None = None
    water_density_kg_per_m3: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Consumption:
    """What she burns a day at a speed through the water, of one fuel."""

    speed_kn: float
    rate_t_per_day: float
    fuel: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShipProfile:
    """The ship in one loading condition, and what is different of her in others.

    ``loading`` names the one that she is in. ``lateral_windage_m2`` is the area above water seen
    from abeam, cargo on deck included, and ``windage_centre_from_bow_m`` where its centre lies;
    without that it is midships.

    Reach is given in at most one of metres, lengths or seconds; without any it is one length
    overall, which the plan reports as assumed.

    Her draughts are those in water of ``draught_density_kg_per_m3``, salt water where it is not
    said, and ``draughts`` what is different of them along the passage. ``gm_m`` is her metacentric
    height, ``kg_m`` her centre of gravity above the keel, ``bg_m`` above the centre of buoyancy.
    ``windage_centre_above_water_m`` is the height of the centre of her windage. ``stopping`` are
    her stopping trials. ``gyro_error_deg`` is what is added to the gyro's reading to get true: low
    is positive. ``max_speed_kn`` is the most that she makes through the water, ``consumption`` her
    own table of what she burns. Heights of eye and of the radar's antenna count from the water;
    ``radar_range_scale_nm`` is the scale in use.

    Raises
    ------
    InvalidShip
        When more than one reach is given, or a centre of windage that is not on her.
    """

    name: str
    loa_m: float
    beam_m: float
    draught_fore_m: float
    draught_aft_m: float
    lpp_m: float | None = None
    block_coefficient: float | None = None
    air_draught_m: float | None = None
    bridge_from_bow_m: float | None = None
    speed_kn: float | None = None
    turn_radius_nm: float | None = None
    reach_m: float | None = None
    reach_lengths: float | None = None
    reach_s: float | None = None
    min_turn_radius_nm: float | None = None
    max_rate_of_turn_deg_per_min: float | None = None
    turn_speed_ratio: float | None = None
    max_rudder_deg: float = 35.0
    rudder_rate_deg_per_s: float = 2.33
    helm_delay_s: float = 0.0
    planned_rudder_deg: float | None = None
    propulsion: Propulsion | None = None
    response: Response | None = None
    turn_tables: tuple[TurnTable, ...] = ()
    loading: str | None = None
    loadings: tuple[Loading, ...] = ()
    lateral_windage_m2: float | None = None
    windage_centre_from_bow_m: float | None = None
    draught_midships_m: float | None = None
    draught_density_kg_per_m3: float | None = None
    displacement_t: float | None = None
    tpc_t_per_cm: float | None = None
    gm_m: float | None = None
    kg_m: float | None = None
    bg_m: float | None = None
    windage_centre_above_water_m: float | None = None
    draughts: tuple[DraughtChange, ...] = ()
    eye_height_m: float | None = None
    radar_height_m: float | None = None
    radar_range_scale_nm: float | None = None
    deviation_card: DeviationCard | None = None
    gyro_error_deg: float | None = None
    stopping: tuple[StoppingTrial, ...] = ()
    pilot_card: PilotCard | None = None
    max_speed_kn: float | None = None
    consumption: tuple[Consumption, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a reach given twice: nobody can say which was meant; and a centre beside her."""
        centre_m = self.windage_centre_from_bow_m
        if centre_m is not None and centre_m > self.loa_m:
            message = (
                f"the centre of windage lies {centre_m:g} m from the bow of a ship of "
                f"{self.loa_m:g} m"
            )
            pointer = "/ship/windage_centre_from_bow_m"
            raise InvalidShip(message, (Fault(pointer=pointer, message=message),))
        reaches = {
            "reach_m": self.reach_m,
            "reach_lengths": self.reach_lengths,
            "reach_s": self.reach_s,
        }
        given = [name for name, value in reaches.items() if value is not None]
        if len(given) > 1:
            message = f"reach is given as {' and '.join(given)}; give one of them"
            faults = tuple(Fault(pointer=f"/ship/{name}", message=message) for name in given)
            raise InvalidShip(message, faults)
