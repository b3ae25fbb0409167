"""Bodies about people: signing in, accounts, vessels, keys, the pen."""

from typing import Annotated, Literal

from pydantic import BaseModel, Field

from wheelover.api.schemas.strict import Label, Strict, Word

AccountName = Annotated[str, Field(min_length=1, max_length=64, description="Sign-in name")]
Password = Annotated[str, Field(max_length=1024, description="Exactly as typed; may be pasted")]
Code = Annotated[str, Field(min_length=1, max_length=40)]


class SignInIn(Strict):
    """A sign-in."""

    account: AccountName
    password: Password
    one_time_code: Annotated[str, Field(max_length=20)] | None = None


class EnrolmentIn(Strict):
    """The first password of an account, by the code its owner was given."""

    account: AccountName
    code: Code
    password: Password


class UnlockIn(Strict):
    """The password again, after a while in which nothing was done."""

    password: Password


class SessionsEndIn(Strict):
    """Which session of one's own is to end, or ``others``: all but this one; the password again.

    No password is needed for five minutes after the shore office's provider asked who it is.
    """

    session_id: Annotated[str, Field(pattern=r"^(others|session-[0-9a-f]{20})$")]
    password: Password | None = None


class NewPasswordIn(Strict):
    """Another password of one's own."""

    password: Password
    new_password: Password


class GrantIn(Strict):
    """A role on one vessel (by id) or one fleet (by name); administrators are for all."""

    role: Literal["reader", "navigator", "master", "superintendent", "administrator"]
    reach: Literal["vessel", "fleet", "all"]
    of: Label = ""


class OutsideIn(Strict):
    """Who an account is for the shore office's provider: its subject, or a verified e-mail."""

    subject: Word | None = None
    email: Word | None = None


class AccountChangeIn(Strict):
    """What an administrator says of an account."""

    person: Word
    rank: Annotated[str, Field(min_length=1, max_length=100)]
    ashore: Annotated[bool, Field(description="Signs in from ashore: needs a second factor")]
    disabled: bool = False
    outside: OutsideIn | None = None
    grants: Annotated[list[GrantIn], Field(max_length=200)]


class AccountIn(AccountChangeIn):
    """A new account."""

    account: AccountName


class VesselIn(Strict):
    """A real ship, and the fleet she sails in; empty for none."""

    name: Word
    fleet: Label = ""


class KeyIn(Strict):
    """A key for another system, on one vessel or one fleet."""

    name: Word
    scopes: Annotated[list[Literal["read", "write", "parcel"]], Field(min_length=1, max_length=3)]
    reach: Literal["vessel", "fleet"]
    of: Word
    days: Annotated[int, Field(ge=1, le=365, description="How long it is good")]


class PenIn(Strict):
    """Take the pen of a draft, or ask whoever holds it for it."""

    take: Literal[True] | None = None
    ask: Annotated[str, Field(min_length=1, max_length=500)] | None = None


class Grant(BaseModel):
    """A role on a vessel, a fleet or all."""

    role: str
    reach: str
    of: str


class Me(BaseModel):
    """Who is signed in. ``locked``: changes need the password again.

    ``needs_code``: a decision needs a one-time code beside the password. ``outside``: linked to the
    shore office's provider; until ``decides_until_utc`` a decision of this account needs neither.
    """

    account: str
    person: str
    rank: str
    grants: list[Grant]
    locked: bool
    idle_s: int
    until_utc: str
    needs_code: bool
    outside: bool
    decides_until_utc: str | None


class OwnSessionOut(BaseModel):
    """A browser one is signed in with; ``this`` is the one that asks, ``locked`` one left alone."""

    id: str
    started_utc: str
    used_utc: str
    until_utc: str
    locked: bool
    this: bool


class OwnSessions(BaseModel):
    """One's own sessions, the newest first."""

    items: list[OwnSessionOut]


class SessionsEnded(BaseModel):
    """How many sessions were ended."""

    ended_count: int


class SessionAnswer(BaseModel):
    """How this service is used, and who is signed in."""

    mode: Literal["embedded", "accounts"]
    link: Literal["loopback", "tls", "open"]
    link_words: str
    outside_sign_in: bool
    signed_in: Me | None


class SecondFactor(BaseModel):
    """A second factor, shown once: for an authenticator, typed or as a picture."""

    secret: str
    uri: str


class EnrolmentAnswer(BaseModel):
    """An account that has a password now."""

    account: str
    second_factor: SecondFactor | None


class Enrolment(BaseModel):
    """The code by which the owner of an account sets a password; shown once."""

    code: str
    until_utc: str


class AccountRecord(BaseModel):
    """An account, without anything secret. ``ready`` says that it has a password."""

    id: str
    account: str
    person: str
    rank: str
    ashore: bool
    disabled: bool
    ready: bool
    outside: str | None
    grants: list[Grant]
    created_utc: str


class AccountMade(AccountRecord):
    """An account whose owner must set a password."""

    enrolment: Enrolment


class AccountList(BaseModel):
    """Accounts, last changed first."""

    items: list[AccountRecord]
    next_cursor: str | None


class VesselRecord(BaseModel):
    """A vessel, and what whoever asks may do there."""

    id: str
    name: str
    fleet: str
    actions: list[str]


class VesselList(BaseModel):
    """The vessels one may see."""

    items: list[VesselRecord]
    next_cursor: str | None


class KeyRecord(BaseModel):
    """A key, without its secret."""

    id: str
    name: str
    scopes: list[str]
    reach: str
    of: str
    created_utc: str
    until_utc: str
    revoked_utc: str | None


class KeyMade(KeyRecord):
    """A new key; it is shown once."""

    key: str


class KeyList(BaseModel):
    """Keys, last changed first."""

    items: list[KeyRecord]
    next_cursor: str | None


class PenAnswer(BaseModel):
    """Who holds the pen of a draft, and who asked for it."""

    held_by: str | None
    since_utc: str | None
    yours: bool
    asked: list[str]
