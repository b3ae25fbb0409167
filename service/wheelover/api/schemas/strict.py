"""What all request models share: no coercion, no unknown members, no undefined numbers."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field


class Strict(BaseModel):
    """A model that takes nothing it was not promised."""

    model_config = ConfigDict(
        strict=True, extra="forbid", allow_inf_nan=False, frozen=True, hide_input_in_errors=True
    )


Word = Annotated[str, Field(min_length=1, max_length=200)]
Label = Annotated[str, Field(max_length=200)]
Latitude = Annotated[float, Field(ge=-90.0, le=90.0, description="Degrees, north positive")]
Longitude = Annotated[float, Field(ge=-180.0, le=180.0, description="Degrees, east positive")]
Miles = Annotated[float, Field(ge=0.0, le=100.0, description="Nautical miles")]
Radius = Annotated[float, Field(ge=0.0001, le=50.0, description="Nautical miles")]
Knots = Annotated[float, Field(ge=0.001, le=100.0, description="Knots through the water")]
GroundKnots = Annotated[float, Field(ge=0.001, le=100.0, description="Knots over the ground")]
ClearanceLimit = Annotated[float, Field(ge=0.0, le=200_000.0, description="Metres")]
Direction = Annotated[float, Field(ge=0.0, lt=360.0, description="Degrees true")]
Drift = Annotated[float, Field(ge=0.0, le=30.0, description="Knots over the ground")]
WindSpeed = Annotated[float, Field(ge=0.0, le=200.0, description="Knots over the ground")]
