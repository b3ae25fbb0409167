"""How far the making of a file is."""

from typing import Literal

from pydantic import BaseModel, Field


class ProgressAnswer(BaseModel):
    """How far a file is that is being made."""

    state: Literal["working", "not_known"] = Field(
        description="not_known before it is begun and after it is made"
    )
    stage: str | None = Field(description="What is being made")
    done_count: int = Field(description="How many of it are done")
    of_count: int = Field(description="Of how many; 0 where that is not known yet")
