"""Charts and publications, and checklists, in requests and in answers."""

from typing import Annotated, Literal

from pydantic import Field, field_validator

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.strict import Strict, Word
from wheelover.api.schemas.utc import UtcTime
from wheelover.api.schemas.words import LongWords, Words
from wheelover.core.monitoring.checklists import CHECKLISTS
from wheelover.core.types.checklists import LIST_NAMES, ItemState, Ticked
from wheelover.core.types.sources import ConsultedSource, SourceKind


class SourceIn(Strict):
    """A chart or publication, and whether it was consulted.

    ``corrected_to_utc`` is the date that it is corrected to. Without ``leg_to_ids`` it is for the
    whole passage.
    """

    id: Word
    kind: SourceKind
    title: Words
    number: Words | None = None
    edition: Words | None = None
    corrected_to_utc: UtcTime | None = None
    leg_to_ids: Annotated[list[Word], Field(max_length=10_000)] | None = None
    consulted: bool
    remark: LongWords | None = None

    def to_core(self) -> ConsultedSource:
        """Return it as the core takes it."""
        plain = self.model_dump(exclude={"leg_to_ids"})
        return ConsultedSource(**plain, leg_to_ids=tuple(self.leg_to_ids or ()))


class TickIn(Strict):
    """What somebody says of an item of a checklist."""

    state: ItemState
    who: Words | None = None
    at_utc: UtcTime | None = None
    remark: LongWords | None = None


Ticks = dict[str, TickIn]


class ChecklistsIn(Strict):
    """What people say of the items of the lists, by the ids of the items."""

    appraisal: Ticks | None = None
    planning: Ticks | None = None
    pilotage: Ticks | None = None

    @field_validator("appraisal", "planning", "pilotage")
    @classmethod
    def _known_items(cls, given: Ticks | None, about: object) -> Ticks | None:
        """Refuse an item that is not on the list: it would look ticked and not be."""
        name = about.field_name  # type: ignore[attr-defined]
        known = [one.id for one in CHECKLISTS[name]]
        for item in given or {}:
            if item not in known:
                raise ValueError(f"{item[:60]!r} is no item of it; it has {', '.join(known)}")
        return given

    def to_core(self) -> tuple[Ticked, ...]:
        """Return it as the core takes it."""
        return tuple(
            Ticked(list_name=name, item_id=item, **tick.model_dump())
            for name in LIST_NAMES
            for item, tick in (getattr(self, name) or {}).items()
        )


class SourceOut(Answer):
    """What the plan is drawn from.

    ``origin`` is ``you`` for what somebody gave, ``cell`` for a chart cell that the plan is checked
    against: whether anybody looked at it is not known, so ``consulted`` is null. ``leg_to_ids`` is
    empty where it is for the whole passage, or where a cell covers no leg.
    """

    id: str
    origin: Literal["you", "cell"]
    kind: SourceKind
    title: str
    number: str | None
    edition: str | None
    corrected_to_utc: str | None
    age_days: float | None
    leg_to_ids: list[str]
    consulted: bool | None
    remark: str | None


class SourcesOut(Answer):
    """Every source, the kinds of the appraisal that are missing, and the limit of their age."""

    rows: list[SourceOut]
    missing_kinds: list[SourceKind]
    max_age_days: float | None


class ComputedOut(Answer):
    """What the checks beside an item say: the worst, and how many rows of each result.

    ``reason`` is that of the worst row.
    """

    result: Literal["met", "must_explain", "must_resolve", "not_checked"] | None
    met_count: int
    must_explain_count: int
    must_resolve_count: int
    not_checked_count: int
    reason: str | None


class ChecklistItemOut(Answer):
    """An item: what somebody says of it beside what is computed.

    ``differs`` says that it is ticked as done while a check beside it is not met.
    """

    id: str
    text: str
    checks: list[str]
    computed: ComputedOut | None
    state: ItemState | None
    who: str | None
    at_utc: str | None
    remark: str | None
    differs: bool


class ChecklistsOut(Answer):
    """The checklists."""

    appraisal: list[ChecklistItemOut]
    planning: list[ChecklistItemOut]
    pilotage: list[ChecklistItemOut]
