"""What other systems are answered. Descriptions only: the answers are made elsewhere."""

from typing import Any, Literal

from pydantic import BaseModel


class ChangeFeed(BaseModel):
    """Changes of a vessel, oldest first: entries of its audit log."""

    vessel_id: str
    items: list[dict[str, Any]]
    last_number: int


class WebhookLine(BaseModel):
    """Where changes are told, and how far it has heard. Its secret is never answered;
    ``secret_lost``: another key file has sealed it, and nothing is told until it is rotated.
    """

    id: str
    url: str
    vessel_id: str
    kinds: list[str]
    active: bool
    secret_lost: bool
    sent_number: int
    next_utc: str
    created_utc: str


class WebhookList(BaseModel):
    """Every webhook."""

    items: list[WebhookLine]
    next_cursor: str | None


class DeliveryLine(BaseModel):
    """One attempt to tell a webhook."""

    number: int
    entry_number: int
    attempt: int
    at_utc: str
    outcome: Literal["delivered", "failed", "given_up"]
    status: int | None
    detail: str


class DeliveryList(BaseModel):
    """A page of attempts, newest first."""

    items: list[DeliveryLine]
    next_cursor: str | None
