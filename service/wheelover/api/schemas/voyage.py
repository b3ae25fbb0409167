"""The voyage a plan is for: its number, and the ports it leads from and to."""

from typing import Annotated

from pydantic import Field, model_validator

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.strict import Strict

Locode = Annotated[
    str,
    Field(pattern=r"^[A-Z]{2}[A-Z2-9]{3}$", description="UN/LOCODE: country and place, no space"),
]
PortText = Annotated[str, Field(min_length=1, max_length=200, pattern=r"\S")]


class PortIn(Strict):
    """A port by its UN/LOCODE, in words, or both."""

    locode: Locode | None = None
    text: PortText | None = None

    @model_validator(mode="after")
    def _something(self) -> "PortIn":
        """Refuse a port of which nothing is said."""
        if self.locode is None and self.text is None:
            raise ValueError("a port needs a locode or a text")
        return self


class VoyageIn(Strict):
    """Number and ports of the voyage, as they were given; nothing is computed from them."""

    number: PortText | None = None
    departure_port: PortIn | None = None
    arrival_port: PortIn | None = None


class PortOut(Answer):
    """A port."""

    locode: str | None
    text: str | None


class VoyageOut(Answer):
    """The voyage."""

    number: str | None
    departure_port: PortOut | None
    arrival_port: PortOut | None
