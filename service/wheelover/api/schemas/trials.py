"""A ship's papers asked about: what pilot card, wheelhouse poster and manoeuvring booklet give."""

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from wheelover.api.schemas.strict import Knots, Label, Strict, Word
from wheelover.core.errors import Fault, InvalidShip
from wheelover.core.types.trials import (
    CircleTrial,
    CourseChange,
    EngineOrder,
    InitialTurning,
    OwnTurn,
    OwnTurnRow,
    RoundPoint,
    ShipPapers,
    Stopping,
    TrialSet,
    TrialShip,
    WantedUse,
    ZigZagTrial,
)

ShipLength = Annotated[float, Field(ge=20.0, le=600.0, description="Metres")]
Draught = Annotated[float, Field(ge=0.1, le=40.0, description="Metres")]
WaterDepth = Annotated[float, Field(gt=0.0, le=12_000.0, description="Metres")]
Way = Annotated[float, Field(gt=0.0, le=50_000.0, description="Metres")]
Lengths = Annotated[float, Field(gt=0.0, le=100.0, description="Ship lengths, see lengths_are")]
Helm = Annotated[float, Field(ge=3.0, le=70.0, description="Degrees, to the side named")]
Overshoot = Annotated[float, Field(ge=0.0, le=180.0, description="Degrees")]
Approach = Annotated[float, Field(ge=0.5, le=45.0, description="Knots through the water")]
Took = Annotated[float, Field(gt=0.0, le=7200.0, description="Seconds")]
SideName = Literal["port", "starboard"]


class TrialShipIn(Strict):
    """The ship the trials were made with. Without trials beam, block coefficient, draughts and
    speed make an estimate.
    """

    name: Label
    loa_m: ShipLength
    lpp_m: ShipLength | None = None
    beam_m: Annotated[float, Field(ge=2.0, le=120.0, description="Metres")] | None = None
    draught_fore_m: Draught | None = None
    draught_aft_m: Draught | None = None
    block_coefficient: Annotated[float, Field(gt=0.0, le=1.0)] | None = None
    rudder_area_m2: Annotated[float, Field(gt=0.0, le=1000.0)] | None = None
    speed_kn: Approach | None = None
    max_rudder_deg: Annotated[float, Field(ge=20.0, le=70.0, description="Degrees")] = 35.0
    rudder_rate_deg_per_s: Annotated[float, Field(ge=0.5, le=100.0)] = 2.33
    helm_delay_s: Annotated[float, Field(ge=0.0, le=30.0, description="Seconds")] = 0.0
    propeller_count: Annotated[int, Field(ge=1, le=4)] = 1
    steered_by: Literal["rudder", "pods", "rudder_and_thrusters"] = "rudder"

    @model_validator(mode="after")
    def _lengths_agree(self) -> "TrialShipIn":
        """Refuse a length between perpendiculars that is not that of such a ship."""
        if self.lpp_m is not None and not 0.8 * self.loa_m <= self.lpp_m <= self.loa_m:
            raise ValueError("lpp_m must be 0.8 to 1 times loa_m")
        return self


class RoundPointIn(Strict):
    """A moment of a turning circle."""

    heading_change_deg: Annotated[float, Field(ge=10.0, le=360.0, description="Degrees")]
    time_s: Took | None = None
    speed_kn: Annotated[float, Field(gt=0.0, le=45.0)] | None = None


class CircleIn(Strict):
    """A turning circle; advance and transfer at 90 degrees of heading, from the helm order."""

    side: SideName
    rudder_deg: Helm
    speed_kn: Approach
    depth_m: WaterDepth | None = None
    advance_m: Way | None = None
    advance_lengths: Lengths | None = None
    transfer_m: Way | None = None
    transfer_lengths: Lengths | None = None
    tactical_diameter_m: Way | None = None
    tactical_diameter_lengths: Lengths | None = None
    final_diameter_m: Way | None = None
    final_diameter_lengths: Lengths | None = None
    points: list[RoundPointIn] = Field(default_factory=list, max_length=12)

    @model_validator(mode="after")
    def _once(self) -> "CircleIn":
        """Refuse a number given both in metres and in lengths, or twice at one heading."""
        for name in ("advance", "transfer", "tactical_diameter", "final_diameter"):
            _not_both(self, name)
        headings = [point.heading_change_deg for point in self.points]
        if len(set(headings)) < len(headings):
            raise ValueError("two points have the same heading_change_deg")
        named = set(self.model_fields_set) - {"side", "rudder_deg", "speed_kn", "depth_m", "points"}
        timed = any(one.time_s is not None or one.speed_kn is not None for one in self.points)
        if not timed and all(getattr(self, name) is None for name in named):
            raise ValueError("the circle gives no number: at least one is needed")
        return self

    def to_core(self, length_m: float) -> CircleTrial:
        """Return it in metres."""
        return CircleTrial(
            side=self.side,
            rudder_deg=self.rudder_deg,
            speed_kn=self.speed_kn,
            depth_m=self.depth_m,
            advance_m=_metres(self.advance_m, self.advance_lengths, length_m),
            transfer_m=_metres(self.transfer_m, self.transfer_lengths, length_m),
            tactical_diameter_m=_metres(
                self.tactical_diameter_m, self.tactical_diameter_lengths, length_m
            ),
            final_diameter_m=_metres(self.final_diameter_m, self.final_diameter_lengths, length_m),
            points=tuple(RoundPoint(**point.model_dump()) for point in self.points),
        )


class ZigZagIn(Strict):
    """A zig-zag, the first helm to the side named."""

    side: SideName
    rudder_deg: Helm
    heading_change_deg: Annotated[float, Field(ge=3.0, le=40.0, description="Degrees")]
    speed_kn: Approach
    depth_m: WaterDepth | None = None
    first_overshoot_deg: Overshoot | None = None
    second_overshoot_deg: Overshoot | None = None


class _Distance(Strict):
    """A trial that gives one distance."""

    side: SideName
    rudder_deg: Helm
    speed_kn: Approach
    depth_m: WaterDepth | None = None
    distance_m: Way | None = None
    distance_lengths: Lengths | None = None

    @model_validator(mode="after")
    def _one_distance(self) -> "_Distance":
        """Refuse a trial without its distance, or with two."""
        if (self.distance_m is None) == (self.distance_lengths is None):
            raise ValueError("give one of distance_m and distance_lengths")
        return self

    def in_metres(self, length_m: float) -> float:
        """Return the distance in metres."""
        return _metres(self.distance_m, self.distance_lengths, length_m) or 0.0


class InitialTurningIn(_Distance):
    """How far she goes from a helm order until her heading has changed by so much."""

    heading_change_deg: Annotated[float, Field(ge=3.0, le=90.0, description="Degrees")]


class CourseChangeIn(_Distance):
    """A point of a course-change curve: distance from the helm order to the new course."""

    change_deg: Annotated[float, Field(ge=15.0, le=150.0, description="Degrees")]


class StoppingIn(Strict):
    """A stop, by an order such as "full astern"."""

    order: Word
    speed_kn: Approach
    track_reach_m: Way | None = None
    track_reach_lengths: Lengths | None = None
    time_s: Took | None = None

    @model_validator(mode="after")
    def _one_reach(self) -> "StoppingIn":
        """Refuse a stop without its track reach, or with two."""
        if (self.track_reach_m is None) == (self.track_reach_lengths is None):
            raise ValueError("give one of track_reach_m and track_reach_lengths")
        return self


class OwnTurnRowIn(Strict):
    """A row of a recorded turn; the rudder is where it was, starboard positive."""

    time_s: Annotated[float, Field(ge=0.0, le=86_400.0, description="Seconds")]
    heading_deg: Annotated[float, Field(ge=-720.0, le=1080.0, description="Degrees")]
    rudder_deg: Annotated[float, Field(ge=-70.0, le=70.0, description="Degrees")]
    east_m: Annotated[float, Field(ge=-1e7, le=1e7, description="Metres")] | None = None
    north_m: Annotated[float, Field(ge=-1e7, le=1e7, description="Metres")] | None = None


class OwnTurnIn(Strict):
    """A turn of her own as it was recorded, from steady on a course.

    Places are given in all rows or in none.
    """

    name: Label
    speed_kn: Approach
    depth_m: WaterDepth | None = None
    rows: Annotated[list[OwnTurnRowIn], Field(min_length=4, max_length=400)]

    @model_validator(mode="after")
    def _in_sequence(self) -> "OwnTurnIn":
        """Refuse rows out of sequence, and places for some rows only."""
        times = [row.time_s for row in self.rows]
        if any(after <= before for before, after in pairwise(times)):
            raise ValueError("time_s must grow from row to row")
        given = {value is None for row in self.rows for value in (row.east_m, row.north_m)}
        if len(given) > 1:
            raise ValueError("give east_m and north_m in all rows or in none")
        return self


class TrialSetIn(Strict):
    """The trials of one loading, in water of one depth unless a trial names its own.

    Numbers in lengths are counted in the length that ``lengths_are`` names. Places are those of the
    point ``reference_from_bow_m`` abaft the bow, midships without it.
    """

    loading: Label
    draught_fore_m: Draught
    draught_aft_m: Draught
    depth_m: WaterDepth | None = None
    reference_from_bow_m: Annotated[float, Field(ge=0.0, le=600.0)] | None = None
    lengths_are: Literal["overall", "between_perpendiculars"] = "between_perpendiculars"
    source: Label | None = None
    circles: list[CircleIn] = Field(default_factory=list, max_length=8)
    zig_zags: list[ZigZagIn] = Field(default_factory=list, max_length=8)
    initial_turnings: list[InitialTurningIn] = Field(default_factory=list, max_length=8)
    course_changes: list[CourseChangeIn] = Field(default_factory=list, max_length=8)
    stoppings: list[StoppingIn] = Field(default_factory=list, max_length=16)
    own_turns: list[OwnTurnIn] = Field(default_factory=list, max_length=6)

    def to_core(self, ship: TrialShipIn, place: str) -> TrialSet:
        """Return it in metres; ``place`` is the pointer to it.

        Raises
        ------
        InvalidShip
            For lengths between perpendiculars without that length, or a point beyond the stern.
        """
        length_m = self._length_m(ship, place)
        self._refuse_point(ship, place)
        return TrialSet(
            loading=self.loading,
            draught_fore_m=self.draught_fore_m,
            draught_aft_m=self.draught_aft_m,
            depth_m=self.depth_m,
            reference_from_bow_m=self.reference_from_bow_m,
            lengths_are=self.lengths_are,
            source=self.source,
            circles=tuple(one.to_core(length_m) for one in self.circles),
            zig_zags=tuple(ZigZagTrial(**one.model_dump()) for one in self.zig_zags),
            initial_turnings=tuple(
                InitialTurning(
                    **one.model_dump(exclude={"distance_m", "distance_lengths"}),
                    distance_m=one.in_metres(length_m),
                )
                for one in self.initial_turnings
            ),
            course_changes=tuple(
                CourseChange(
                    **one.model_dump(exclude={"distance_m", "distance_lengths"}),
                    distance_m=one.in_metres(length_m),
                )
                for one in self.course_changes
            ),
            stoppings=tuple(
                Stopping(
                    **one.model_dump(exclude={"track_reach_m", "track_reach_lengths"}),
                    track_reach_m=_metres(one.track_reach_m, one.track_reach_lengths, length_m)
                    or 0.0,
                )
                for one in self.stoppings
            ),
            own_turns=tuple(
                OwnTurn(
                    **one.model_dump(exclude={"rows"}),
                    rows=tuple(OwnTurnRow(**row.model_dump()) for row in one.rows),
                )
                for one in self.own_turns
            ),
        )

    def _length_m(self, ship: TrialShipIn, place: str) -> float:
        """Return the length that numbers in lengths are counted in."""
        if self.lengths_are == "overall":
            return ship.loa_m
        if ship.lpp_m is not None:
            return ship.lpp_m
        if self._counts_in_lengths():
            message = (
                "numbers in lengths between perpendiculars need lpp_m of the ship; or say "
                "lengths_are overall"
            )
            faults = (
                Fault(pointer="/ship/lpp_m", message=message),
                Fault(pointer=place, message=message),
            )
            raise InvalidShip(message, faults)
        return ship.loa_m

    def _counts_in_lengths(self) -> bool:
        """Return whether any number is given in lengths."""
        trials = (
            *self.circles,
            *self.initial_turnings,
            *self.course_changes,
            *self.stoppings,
        )
        return any(
            name.endswith("_lengths") and value is not None for one in trials for name, value in one
        )

    def _refuse_point(self, ship: TrialShipIn, place: str) -> None:
        """Refuse a point beyond the stern."""
        if self.reference_from_bow_m is not None and self.reference_from_bow_m > ship.loa_m:
            message = f"reference_from_bow_m must be at most loa_m, {ship.loa_m:g}"
            fault = Fault(pointer=f"{place}/reference_from_bow_m", message=message)
            raise InvalidShip(message, (fault,))


class EngineOrderIn(Strict):
    """A line of the table of engine orders."""

    order: Word
    propeller_rpm: Annotated[float, Field(ge=-5000.0, le=5000.0)] | None = None
    pitch_ratio: Annotated[float, Field(ge=-3.0, le=3.0)] | None = None
    laden_speed_kn: Annotated[float, Field(ge=-45.0, le=45.0)] | None = None
    ballast_speed_kn: Annotated[float, Field(ge=-45.0, le=45.0)] | None = None


class WantedUseIn(Strict):
    """What the response is wanted for; what is not given is not looked at."""

    speed_kn: Knots | None = None
    depth_m: WaterDepth | None = None
    draught_m: Draught | None = None


class FitIn(Strict):
    """A ship's papers, of which a response is wanted."""

    ship: TrialShipIn
    sets: list[TrialSetIn] = Field(default_factory=list, max_length=4)
    engine_orders: list[EngineOrderIn] = Field(default_factory=list, max_length=40)
    wanted: WantedUseIn = WantedUseIn()

    def to_core(self) -> ShipPapers:
        """Return them as the core takes them.

        Raises
        ------
        InvalidShip
            For a set that does not fit the ship.
        """
        return ShipPapers(
            ship=TrialShip(**self.ship.model_dump()),
            sets=tuple(
                one.to_core(self.ship, f"/sets/{index}") for index, one in enumerate(self.sets)
            ),
            engine_orders=tuple(EngineOrder(**one.model_dump()) for one in self.engine_orders),
            wanted=WantedUse(**self.wanted.model_dump()),
        )


def _not_both(model: Strict, name: str) -> None:
    """Refuse a number given both in metres and in lengths."""
    if None not in (getattr(model, f"{name}_m"), getattr(model, f"{name}_lengths")):
        raise ValueError(f"give one of {name}_m and {name}_lengths")


def _metres(value_m: float | None, lengths: float | None, length_m: float) -> float | None:
    """Return a distance in metres, None where it is not given."""
    return value_m if lengths is None else lengths * length_m
