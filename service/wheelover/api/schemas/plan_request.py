"""The request to plan a route."""

from dataclasses import replace
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator, model_validator

from wheelover.api.schemas.contingencies import ContingencyIn
from wheelover.api.schemas.hazards import HazardsIn, NamedHazards, chart_of
from wheelover.api.schemas.limit_set import (
    Depth,
    HelmLate,
    LimitSetIn,
    OffTrack,
    Seconds,
    WaiverIn,
)
from wheelover.api.schemas.marks import (
    MOST_MARKS,
    MarkIn,
    Visibility,
    WarningIn,
    own_marks,
    warnings_wished,
)
from wheelover.api.schemas.passage import (
    DraughtChangeIn,
    TideIn,
    TideMetres,
    WaterDensity,
    draughts_along,
    tides_on,
)
from wheelover.api.schemas.points import PointIn
from wheelover.api.schemas.route import RouteIn
from wheelover.api.schemas.ship import ShipIn
from wheelover.api.schemas.sky import DaylightNeedIn, daylight_needs
from wheelover.api.schemas.sources import ChecklistsIn, SourceIn
from wheelover.api.schemas.stored_dangers import STORED_DANGERS
from wheelover.api.schemas.streams import StreamIn, streams_on
from wheelover.api.schemas.strict import (
    ClearanceLimit,
    Direction,
    Drift,
    Label,
    Latitude,
    Longitude,
    Strict,
    WindSpeed,
    Word,
)
from wheelover.api.schemas.tried import CaseIn
from wheelover.api.schemas.utc import UtcTime
from wheelover.api.schemas.voyage import VoyageIn
from wheelover.api.schemas.zones import ZoneIn, zones_on
from wheelover.core.types.alternative import Alternative
from wheelover.core.types.bridge import Bridge
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.dangers import WaterKind
from wheelover.core.types.ship import ShipProfile
from wheelover.core.utc import seconds_from_utc
from wheelover.usecases.coast import coast_wanted
from wheelover.usecases.gather import Gathered
from wheelover.usecases.plan_route import PlanInputs

WithIds = list[PointIn] | list[ContingencyIn] | list[SourceIn] | None
EditionNumber = Annotated[int, Field(ge=1, le=2**31)]


class ConditionsIn(Strict):
    """Current, water and wind; depth is the least in the turns, the force on the Beaufort scale.

    The true wind, by where it comes from and its mean speed, is applied where her windage is given.
    tide_m is the height of tide where no table of tides counts. Waves are taken off by their
    allowance, else by their significant height. height_datum_m is how far above chart datum the
    level lies that clearances under bridges and cables count from, where they do not say it.
    Streams go before set_deg and drift_kn on the legs that they cover. The meteorological
    visibility counts for lights and marks: 10 NM where nobody says.
    """

    set_deg: Direction | None = None
    drift_kn: Drift | None = None
    tide_m: TideMetres | None = None
    depth_m: Annotated[float, Field(gt=0.0, le=12_000.0, description="Metres")] | None = None
    wind_force_bft: Annotated[float, Field(ge=0.0, le=12.0)] | None = None
    thrusters_in_use: bool = False
    wind_from_deg: Direction | None = None
    wind_kn: WindSpeed | None = None
    tides: Annotated[list[TideIn], Field(max_length=100)] | None = None
    streams: Annotated[list[StreamIn], Field(max_length=100)] | None = None
    wave_height_m: Annotated[float, Field(ge=0.0, le=30.0, description="Metres")] | None = None
    wave_allowance_m: Annotated[float, Field(ge=0.0, le=30.0, description="Metres")] | None = None
    water_density_kg_per_m3: WaterDensity | None = None
    height_datum_m: Annotated[float, Field(ge=-20.0, le=20.0, description="Metres")] | None = None
    visibility_nm: Visibility | None = None

    def to_core(self, ids: list[str], departure_utc: str | None) -> Conditions:
        """Return them as the core takes them.

        Parameters
        ----------
        ids : list of str
            The waypoints of the route.
        departure_utc : str or None
            The time of departure.

        Raises
        ------
        InvalidConditions
            For what no plan can be made from.
        """
        plain = Conditions(**self.model_dump(exclude={"tides", "streams"}))
        departure_s = None if departure_utc is None else seconds_from_utc(departure_utc)
        return replace(
            plain,
            tides=tides_on(self.tides or (), ids),
            streams=streams_on(self.streams or (), ids),
            departure_s=departure_s,
        )


class LimitsIn(Strict):
    """Margins the plan is held against.

    Where a limit set asks too, the stricter of both counts. ``water`` is the kind of water of legs
    that name none, and ``helm_late_s`` how late the helm is taken to be to see what lies ahead
    then: 30 s where nobody says. Under the keel the greater of min_ukc_m and min_ukc_draught_ratio
    times the draught is required; over the mast min_overhead_m, and electrical_distance_m under
    cables besides. Charts and publications corrected last more than sources_max_age_days before
    departure are found.
    """

    min_clearance_m: ClearanceLimit | None = None
    min_ukc_m: Annotated[float, Field(ge=-100.0, le=1000.0, description="Metres")] | None = None
    min_to_close_s: Seconds | None = None
    max_off_track_m: OffTrack | None = None
    safety_contour_m: Depth | None = None
    safety_depth_m: Depth | None = None
    helm_late_s: HelmLate | None = None
    water: WaterKind | None = None
    min_ukc_draught_ratio: Annotated[float, Field(ge=0.0, le=5.0)] | None = None
    min_overhead_m: Annotated[float, Field(ge=0.0, le=100.0, description="Metres")] | None = None
    electrical_distance_m: (
        Annotated[float, Field(ge=0.0, le=100.0, description="Metres")] | None
    ) = None
    sources_max_age_days: Annotated[float, Field(ge=0.0, le=10_000.0)] | None = None
    warning_points: Annotated[list[WarningIn], Field(min_length=1, max_length=6)] | None = None


class AlternativeIn(Strict):
    """A route that could be sailed instead of the selected one. It is laid, not checked."""

    id: Word
    route: RouteIn
    remark: Label | None = None

    def to_core(self) -> Alternative:
        """Return it as the core takes it."""
        return Alternative(id=self.id, route=self.route.to_core(), remark=self.remark)


class AmendmentIn(Strict):
    """Why and from where a plan was amended under way. It stays with every later revision.

    ``pilot`` says that the pilot's intentions made it, ``deviation`` that the ship left the plan.
    """

    of_revision: EditionNumber
    kind: Literal["deviation", "pilot"]
    reason: Annotated[str, Field(min_length=1, max_length=2000)]
    lat_deg: Latitude
    lon_deg: Longitude
    at_utc: UtcTime | None = None


class PlanRequest(Strict):
    """Everything a plan is computed from.

    The ship is given whole or as the id of a stored one, not both, and so is the limit set.
    Editions left out are the newest.
    """

    route: RouteIn
    ship: ShipIn | None = None
    ship_id: Word | None = None
    ship_edition: EditionNumber | None = None
    hazards: HazardsIn | None = None
    hazard_set_ids: Annotated[list[Word], Field(max_length=1000)] | None = None
    hazard_set_editions: dict[str, EditionNumber] | None = None
    all_charts: Annotated[
        bool | None, Field(description="Every stored chart cell that the route touches is used")
    ] = None
    chart_ids: Annotated[list[Word], Field(max_length=1000)] | None = None
    chart_editions: Annotated[dict[str, EditionNumber], Field(max_length=1000)] | None = None
    check_land: bool | None = None
    marks: Annotated[list[MarkIn], Field(max_length=MOST_MARKS)] | None = None
    conditions: ConditionsIn | None = None
    draughts: Annotated[list[DraughtChangeIn], Field(max_length=200)] | None = None
    limits: LimitsIn | None = None
    limit_set: LimitSetIn | None = None
    limit_set_id: Word | None = None
    limit_set_edition: EditionNumber | None = None
    waivers: Annotated[list[WaiverIn], Field(max_length=500)] | None = None
    cases: Annotated[list[CaseIn], Field(max_length=200)] | None = None
    alternatives: Annotated[list[AlternativeIn], Field(max_length=20)] | None = None
    amendment: AmendmentIn | None = None
    points: Annotated[list[PointIn], Field(max_length=200)] | None = None
    contingencies: Annotated[list[ContingencyIn], Field(max_length=20)] | None = None
    sources: Annotated[list[SourceIn], Field(max_length=300)] | None = None
    checklists: ChecklistsIn | None = None
    departure_utc: UtcTime | None = None
    voyage: VoyageIn | None = None
    zones: Annotated[list[ZoneIn], Field(max_length=200)] | None = None
    daylight_needs: Annotated[list[DaylightNeedIn], Field(max_length=500)] | None = None
    demonstration: bool = False

    @field_validator("hazard_set_ids", "chart_ids")
    @classmethod
    def _each_once(cls, ids: list[str] | None) -> list[str] | None:
        """Refuse a set or a cell given twice: its dangers would count twice."""
        if ids is not None and len(set(ids)) != len(ids):
            raise ValueError("each hazard set and each chart may be named once")
        return ids

    @field_validator("marks")
    @classmethod
    def _each_mark_once(cls, given: list[MarkIn] | None) -> list[MarkIn] | None:
        """Refuse two marks of one id: nobody could say which is steered by."""
        ids = [one.id for one in given or ()]
        if len(set(ids)) != len(ids):
            raise ValueError("each mark needs an id of its own")
        return given

    @field_validator("alternatives")
    @classmethod
    def _each_named_once(cls, given: list[AlternativeIn] | None) -> list[AlternativeIn] | None:
        """Refuse two alternatives of one id: nobody could say which is selected."""
        ids = [one.id for one in given or ()]
        if len(set(ids)) != len(ids):
            raise ValueError("each alternative needs an id of its own")
        return given

    @field_validator("points", "contingencies", "sources")
    @classmethod
    def _each_id_once(cls, given: WithIds) -> WithIds:
        """Refuse two action points, contingencies or sources of one id."""
        ids = [one.id for one in given or ()]
        if len(set(ids)) != len(ids):
            raise ValueError("each needs an id of its own")
        return given

    @field_validator("ship_id")
    @classmethod
    def _one_ship(cls, ship_id: str | None, others: ValidationInfo) -> str | None:
        """Refuse a ship given twice: nobody can say which was meant."""
        if ship_id is not None and others.data.get("ship") is not None:
            raise ValueError("give the ship whole or the id of a stored one, not both")
        return ship_id

    @field_validator("limit_set_id")
    @classmethod
    def _one_limit_set(cls, set_id: str | None, others: ValidationInfo) -> str | None:
        """Refuse a limit set given twice."""
        if set_id is not None and others.data.get("limit_set") is not None:
            raise ValueError("give the limit set whole or the id of a stored one, not both")
        return set_id

    @field_validator("waivers")
    @classmethod
    def _each_waiver_once(cls, given: list[WaiverIn] | None) -> list[WaiverIn] | None:
        """Refuse two waivers of one id: nobody could say which is meant."""
        ids = [one.to_core(index).id for index, one in enumerate(given or ())]
        if len(set(ids)) != len(ids):
            raise ValueError("each waiver needs an id of its own")
        return given

    @model_validator(mode="after")
    def _editions_of_what_is_named(self) -> "PlanRequest":
        """Refuse an edition of something that is not named: it would look obeyed and not be."""
        if self.ship_edition is not None and self.ship_id is None:
            raise ValueError("ship_edition needs ship_id")
        if self.limit_set_edition is not None and self.limit_set_id is None:
            raise ValueError("limit_set_edition needs limit_set_id")
        for one in self.hazard_set_editions or {}:
            if one not in (self.hazard_set_ids or []):
                raise ValueError(f"hazard_set_editions: {one[:60]!r} is not in hazard_set_ids")
        if self.all_charts and self.chart_ids:
            raise ValueError("give all_charts or chart_ids, not both")
        for one in {} if self.all_charts else self.chart_editions or {}:
            if one not in (self.chart_ids or []):
                raise ValueError(f"chart_editions: {one[:60]!r} is not in chart_ids")
        return self

    def to_core(self, gathered: Gathered) -> PlanInputs:
        """Return the inputs of the plan.

        Parameters
        ----------
        gathered : Gathered
            The same request as JSON values, with the stored things it points at.

        Raises
        ------
        InvalidInput
            For what no plan can be made from.
        """
        ship = self.ship
        if gathered.ship is not None:
            ship = ShipIn.model_validate(gathered.ship.contents)
        origins = [
            NamedHazards(
                source=one.label,
                hazards=STORED_DANGERS.of(one),
                set_id=one.edition.id,
            )
            for one in gathered.hazard_sets
        ]
        if self.hazards is not None:
            name = self.hazards.name or "given with the plan"
            origins.insert(0, NamedHazards(source=name, hazards=self.hazards, set_id="plan"))
        coast, no_coast = coast_wanted(self.check_land)
        ids = [one.id for one in self.route.waypoints]
        return PlanInputs(
            route=self.route.to_core(),
            ship=self._ship_along(ship, ids),
            chart=replace(
                chart_of(origins),
                cells=gathered.cells,
                coast=coast,
                no_coast=no_coast,
                marks=own_marks(self.marks),
            ),
            conditions=replace(
                (self.conditions or ConditionsIn()).to_core(ids, self.departure_utc),
                zones=zones_on(self.zones or (), ids),
            ),
            limits=self._limits(gathered, ids),
            as_given=gathered.inputs,
            loaded=gathered.digests if gathered.points_somewhere else None,
            demonstration=self.demonstration,
            cases=tuple(one.to_core() for one in self.cases or ()),
            alternatives=tuple(one.to_core() for one in self.alternatives or ()),
            bridge=self._bridge(),
        )

    def _bridge(self) -> Bridge:
        """Return what is given for the bridge team."""
        return Bridge(
            points=tuple(one.to_core() for one in self.points or ()),
            contingencies=tuple(
                one.to_core(index) for index, one in enumerate(self.contingencies or ())
            ),
            sources=tuple(one.to_core() for one in self.sources or ()),
            ticked=() if self.checklists is None else self.checklists.to_core(),
        )

    def _limits(self, gathered: Gathered, ids: list[str]) -> Limits:
        """Return the limits with the limit set that counts, and what is waived of it."""
        given = self.limits or LimitsIn()
        limit_set = None if self.limit_set is None else self.limit_set.to_core()
        if gathered.limit_set is not None:
            stored = LimitSetIn.model_validate(gathered.limit_set.contents)
            limit_set = stored.to_core(gathered.limit_set)
        return Limits(
            **given.model_dump(exclude={"warning_points"}),
            warning_points=warnings_wished(given.warning_points),
            limit_set=limit_set,
            waivers=tuple(one.to_core(index) for index, one in enumerate(self.waivers or ())),
            daylight_needs=daylight_needs(self.daylight_needs or (), ids),
        )

    def _ship_along(self, ship: ShipIn | None, ids: list[str]) -> ShipProfile | None:
        """Return the ship with what is different of her draughts along the passage."""
        changes = draughts_along(self.draughts or (), ids, ship=ship is not None)
        return None if ship is None else replace(ship.to_core(), draughts=changes)
