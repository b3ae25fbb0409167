"""The user's own marks of a request, to steer by."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from wheelover.api.schemas.strict import Direction, Label, Latitude, Longitude, Strict, Word
from wheelover.core.types.cues import WarningWish
from wheelover.core.types.marks import Light, Mark
from wheelover.core.types.route import Position

MOST_MARKS = 5000

Visibility = Annotated[float, Field(ge=0.05, le=50.0, description="Nautical miles")]
Height = Annotated[float, Field(ge=0.0, le=5000.0, description="Metres above the water")]
NominalRange = Annotated[float, Field(gt=0.0, le=60.0, description="Nautical miles")]
Uncertainty = Annotated[float, Field(ge=0.0, le=50_000.0, description="Metres")]


class MarkIn(Strict):
    """One mark of the user's own: what can be seen, or the radar shows, and is known on the chart.

    What is left out is not known. height_m is that of what is seen above the water, of a light its
    focal plane; nominal_range_nm the range of its light in a visibility of 10 NM; leading_deg the
    true bearing, from seaward, of the line that it leads on. A sector is given by its limits, true
    bearings of the light from seaward, clockwise from the one to the other.
    """

    id: Word
    name: Annotated[Label, Field(min_length=1)]
    lat_deg: Latitude
    lon_deg: Longitude
    kind: Literal["light", "beacon", "buoy", "structure", "landmark", "point_of_land", "other"]
    floating: bool | None = None
    lit: bool | None = None
    height_m: Height | None = None
    nominal_range_nm: NominalRange | None = None
    light_character: Annotated[Label, Field(min_length=1)] | None = None
    sector_from_deg: Direction | None = None
    sector_to_deg: Direction | None = None
    visually_conspicuous: bool | None = None
    radar_conspicuous: bool | None = None
    position_uncertainty_m: Uncertainty | None = None
    leading_deg: Direction | None = None

    @model_validator(mode="after")
    def _whole_sector(self) -> "MarkIn":
        """Refuse half a sector, and one of no width."""
        if (self.sector_from_deg is None) != (self.sector_to_deg is None):
            raise ValueError("a sector needs both sector_from_deg and sector_to_deg")
        if self.sector_from_deg is not None and self.sector_from_deg == self.sector_to_deg:
            raise ValueError("a sector from a bearing to the same bearing has no width")
        return self

    def to_core(self) -> Mark:
        """Return it as the core takes it; a buoy floats and a light is lit unless it says not."""
        plain = self.model_dump(
            exclude={"lat_deg", "lon_deg", "floating", "lit", "sector_from_deg", "sector_to_deg"}
        )
        shines = self.nominal_range_nm is not None or self.light_character is not None
        lit = (self.kind == "light" or shines) if self.lit is None else self.lit
        light = Light(
            nominal_range_nm=self.nominal_range_nm,
            height_m=self.height_m,
            character=self.light_character,
            sector_from_deg=self.sector_from_deg,
            sector_to_deg=self.sector_to_deg,
        )
        return Mark(
            **plain,
            position=Position(lat_deg=self.lat_deg, lon_deg=self.lon_deg),
            source="you",
            floating=self.kind == "buoy" if self.floating is None else self.floating,
            lit=lit,
            lights=(light,) if lit else (),
        )


def own_marks(given: list[MarkIn] | None) -> tuple[Mark, ...]:
    """Return the marks of a request as the core takes them."""
    return tuple(one.to_core() for one in given or ())


class WarningIn(Strict):
    """A warning point before each wheel-over: by time or by distance, one of both."""

    before_s: Annotated[float, Field(gt=0.0, le=36_000.0, description="Seconds")] | None = None
    before_nm: Annotated[float, Field(gt=0.0, le=100.0, description="Nautical miles")] | None = None

    @model_validator(mode="after")
    def _one_of_both(self) -> "WarningIn":
        """Refuse one that says nothing, or twice."""
        if (self.before_s is None) == (self.before_nm is None):
            raise ValueError("give either before_s or before_nm")
        return self


def warnings_wished(given: list[WarningIn] | None) -> tuple[WarningWish, ...]:
    """Return the warning points of a request as the core takes them."""
    return tuple(WarningWish(**one.model_dump()) for one in given or ())
