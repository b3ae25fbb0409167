"""Checklists: what is gone through before a plan is offered, and what people say of each item."""

from dataclasses import dataclass
from typing import Literal, get_args

ListName = Literal["appraisal", "planning", "pilotage"]
"""The lists: of appraisal, of the plan, and of the exchange with the pilot."""

LIST_NAMES: tuple[ListName, ...] = get_args(ListName)

ItemState = Literal["done", "not_done", "not_applicable"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecklistItem:
    """One item. ``checks`` are the computed checks that it is held beside, by their codes."""

    id: str
    text: str
    checks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticked:
    """What somebody says of an item, who, and when."""

    list_name: ListName
    item_id: str
    state: ItemState
    who: str | None = None
    at_utc: str | None = None
    remark: str | None = None
