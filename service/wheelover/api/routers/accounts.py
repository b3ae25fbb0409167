"""Accounts, for administrators."""

from typing import Annotated, Any

from fastapi import Depends, Request, Response

from wheelover.api.access import DoorGiven
from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import Now, Page, StoreGiven, TagsNeeded, Who
from wheelover.api.door import Door
from wheelover.api.guarded import guarded
from wheelover.api.openapi import NOT_CHANGED, json_body, problem_answers
from wheelover.api.replies import reply, unchanged
from wheelover.api.routers.session import NEEDS_ACCOUNTS
from wheelover.api.schemas.people import (
    AccountChangeIn,
    AccountIn,
    AccountList,
    AccountMade,
    AccountRecord,
    OutsideIn,
)
from wheelover.core.errors import Fault, InvalidInput
from wheelover.store.accounts import AccountData, AccountRow, Grant
from wheelover.usecases.accounts import manage
from wheelover.usecases.accounts.enrolment import CODE_S
from wheelover.usecases.accounts.outside import MAIL
from wheelover.usecases.accounts.times import after

router = guarded(prefix="/api/v1/accounts", tags=["accounts"], dependencies=NEEDS_ACCOUNTS)

Raw = Annotated[bytes, Depends(raw_json)]
Document = dict[str, Any]


def _record(row: AccountRow) -> Document:
    """Return an account as it is answered: nothing secret, not even its digest."""
    return {
        "id": row.id,
        "account": row.name,
        "person": row.person,
        "rank": row.rank,
        "ashore": row.ashore,
        "disabled": row.disabled,
        "ready": row.password_hash is not None,
        "outside": row.outside_subject,
        "grants": [{"role": one.role, "reach": one.reach, "of": one.of} for one in row.grants],
        "created_utc": row.created_utc,
    }


def _made(row: AccountRow, code: str, now: str) -> Document:
    """Return an account with the code for its password."""
    until = {"code": code, "until_utc": after(now, CODE_S)}
    return {**_record(row), "ready": False, "enrolment": until}


def _data(body: AccountChangeIn, door: Door) -> AccountData:
    """Return what a body says of an account."""
    issuer, subject = _outside(body.outside, door)
    return AccountData(
        person=" ".join(body.person.split()),
        rank=" ".join(body.rank.split()),
        ashore=body.ashore,
        disabled=body.disabled,
        outside_issuer=issuer,
        outside_subject=subject,
        grants=tuple(Grant(role=one.role, reach=one.reach, of=one.of) for one in body.grants),
    )


def _outside(given: OutsideIn | None, door: Door) -> tuple[str | None, str | None]:
    """Return the provider and who the account is for it."""
    if given is None:
        return None, None
    if door.outside is None:
        raise _refused("no outside sign-in is set here")
    if (given.subject is None) == (given.email is None):
        raise _refused("give the provider's subject or a verified e-mail address, one of them")
    if given.email is not None:
        return door.outside.issuer, f"{MAIL}{given.email.strip().casefold()}"
    return door.outside.issuer, given.subject


def _refused(message: str) -> InvalidInput:
    """Return the refusal of the member ``outside``."""
    return InvalidInput(message, (Fault(pointer="/outside", message=message),))


def _by(who: Who) -> str:
    """Return who manages, as the audit log says it."""
    return str(who.person.account_id)


By = Annotated[str, Depends(_by)]


@router.post(
    "",
    status_code=201,
    summary="Make an account",
    response_class=Response,
    responses={
        201: {"model": AccountMade},
        **problem_answers(401, 403, 409, 413, 415, 422, 503, 507),
    },
    openapi_extra=json_body(AccountIn),
)
def add(raw: Raw, store: StoreGiven, door: DoorGiven, by: By, now: Now) -> Response:
    """Make an account without a password; the answer holds the code for one, good for a day."""
    body, _ = read_model(raw, AccountIn)
    row, code = manage.add_account(store, body.account, _data(body, door), by, now)
    place = f"/api/v1/accounts/{row.id}"
    return reply(_made(row, code, now), manage.account_tag(row), 201, place)


@router.get(
    "",
    summary="List the accounts",
    response_model=AccountList,
    responses=problem_answers(401, 403, 409, 422, 503),
)
def listed(store: StoreGiven, page: Page) -> Document:
    """Return the accounts, last changed first, a page at a time."""
    with store.reading() as unit:
        rows = unit.accounts.page(page.limit + 1, page.before)
    more = len(rows) > page.limit
    return {
        "items": [_record(row) for row in rows[: page.limit]],
        "next_cursor": str(rows[page.limit - 1].changed_seq) if more else None,
    }


@router.get(
    "/{account_id}",
    summary="Read an account",
    response_class=Response,
    responses={
        200: {"model": AccountRecord},
        **NOT_CHANGED,
        **problem_answers(401, 403, 404, 409, 503),
    },
)
def read(account_id: str, request: Request, store: StoreGiven) -> Response:
    """Return an account."""
    row = manage.account_of(store, account_id)
    tag = manage.account_tag(row)
    return unchanged(request, tag) or reply(_record(row), tag)


@router.put(
    "/{account_id}",
    summary="Change an account",
    response_class=Response,
    responses={
        200: {"model": AccountRecord},
        **problem_answers(401, 403, 404, 409, 412, 413, 415, 422, 428, 503, 507),
    },
    openapi_extra=json_body(AccountChangeIn),
)
def change(
    account_id: str,
    raw: Raw,
    store: StoreGiven,
    door: DoorGiven,
    tags: TagsNeeded,
    by: By,
    now: Now,
) -> Response:
    """Change an account. Disabling it or changing its grants ends its sessions at once."""
    body, _ = read_model(raw, AccountChangeIn)
    row = manage.change_account(store, account_id, _data(body, door), tags, by, now)
    return reply(_record(row), manage.account_tag(row))


@router.post(
    "/{account_id}/reset",
    summary="Take password and second factor from an account",
    response_class=Response,
    responses={
        200: {"model": AccountMade},
        **problem_answers(401, 403, 404, 409, 503, 507),
    },
)
def reset(account_id: str, store: StoreGiven, by: By, now: Now) -> Response:
    """End its sessions; the answer holds the code for a new password, good for a day."""
    row, code = manage.reset_account(store, account_id, by, now)
    return reply(_made(row, code, now), manage.account_tag(row))
