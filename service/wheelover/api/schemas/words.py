"""Texts that people write in a plan: never only blanks."""

from typing import Annotated

from pydantic import Field

Words = Annotated[str, Field(min_length=1, max_length=300, pattern=r"\S")]
LongWords = Annotated[str, Field(min_length=1, max_length=2000, pattern=r"\S")]
