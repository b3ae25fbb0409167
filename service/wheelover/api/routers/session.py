"""Signing in and out, and who is there."""

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import Depends, Request, Response

from wheelover.api.access import DoorGiven, Session, WhereGiven
from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import Now, StoreGiven
from wheelover.api.door import LINK_WORDS, Door
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.schemas.people import (
    EnrolmentAnswer,
    EnrolmentIn,
    NewPasswordIn,
    OwnSessions,
    SessionAnswer,
    SessionsEnded,
    SessionsEndIn,
    SignInIn,
    UnlockIn,
)
from wheelover.core.errors import Conflict
from wheelover.usecases.accounts import enrolment, own_sessions, signed_in
from wheelover.usecases.accounts.signed_in import ABSOLUTE_S, IDLE_S, SignedIn, Started
from wheelover.usecases.accounts.tries import KNOWN_S
from wheelover.usecases.canonical import json_bytes

router = guarded(prefix="/api/v1/session", tags=["session"])

Raw = Annotated[bytes, Depends(raw_json)]
_NO_CONTENT: dict[int | str, dict[str, Any]] = {204: {"description": "Done"}}


def with_accounts(door: DoorGiven) -> None:
    """Refuse what there is only where people sign in.

    Raises
    ------
    Conflict
        Without accounts.
    """
    if not door.accounts:
        raise Conflict("There are no accounts here: whoever sits at this machine uses the service.")


NEEDS_ACCOUNTS = [Depends(with_accounts)]


def carry(response: Response, door: Door, started: Started) -> None:
    """Let the browser carry a session, and that it is known: out of reach of scripts and sites.

    The second outlives the session and opens nothing (``usecases/accounts/tries.py``).
    """
    for name, value, most_s in (
        (door.cookie, started.token, ABSOLUTE_S),
        (door.browser_cookie, started.browser, KNOWN_S),
    ):
        response.set_cookie(
            name,
            value,
            max_age=most_s,
            path="/",
            secure=door.secure,
            httponly=True,
            samesite="strict",
        )


def _answer(door: Door, signed: SignedIn | None) -> dict[str, Any]:
    """Return how the service is used and who is signed in."""
    account = None if signed is None else signed.account
    me = None
    if signed is not None and account is not None:
        me = {
            "account": account.name,
            "person": account.person,
            "rank": account.rank,
            "grants": [
                {"role": one.role, "reach": one.reach, "of": one.of} for one in account.grants
            ],
            "locked": signed.locked,
            "idle_s": IDLE_S,
            "until_utc": signed.until_utc,
            "needs_code": signed_in.needs_code(account),
            "outside": door.outside is not None and account.outside_subject is not None,
            "decides_until_utc": signed.decides_until_utc,
        }
    return {
        "mode": "accounts" if door.accounts else "embedded",
        "link": door.link,
        "link_words": LINK_WORDS[door.link],
        "outside_sign_in": door.outside is not None,
        "signed_in": me,
    }


@router.get("", summary="Who is signed in, and over which link", response_model=SessionAnswer)
def look(request: Request, door: DoorGiven) -> dict[str, Any]:
    """Return whether people sign in here, who is, and whether the link is open to others."""
    return _answer(door, request.state.signed)


@router.post(
    "",
    summary="Sign in",
    response_class=Response,
    responses={
        200: {"model": SessionAnswer},
        **problem_answers(401, 403, 409, 413, 415, 422, 429, 503, 507),
    },
    openapi_extra=json_body(SignInIn),
    dependencies=NEEDS_ACCOUNTS,
)
def sign_in(
    raw: Raw, request: Request, store: StoreGiven, door: DoorGiven, where: WhereGiven
) -> Response:
    """Start a session of 12 hours at the longest.

    After 15 minutes in which nothing was done the view stays, and changes need the password.
    """
    body, _ = read_model(raw, SignInIn)
    started = signed_in.sign_in(
        store, door.seal, body.account, body.password, body.one_time_code, where
    )
    signed_in.end_before(store, request.state.signed)
    answer = json_bytes(_answer(door, signed_in.who(store, started.token, where.now_utc)))
    response = Response(answer, media_type="application/json")
    carry(response, door, started)
    return response


@router.delete(
    "",
    status_code=204,
    summary="Sign out",
    response_class=Response,
    responses={**_NO_CONTENT, **problem_answers(401, 403, 409, 503, 507)},
    dependencies=NEEDS_ACCOUNTS,
)
def sign_out(signed: Session, store: StoreGiven, door: DoorGiven, now: Now) -> Response:
    """End this session, here and in the database."""
    signed_in.sign_out(store, signed, now)
    response = Response(status_code=204)
    response.delete_cookie(
        door.cookie, path="/", secure=door.secure, httponly=True, samesite="strict"
    )
    return response


@router.post(
    "/unlock",
    status_code=204,
    summary="Go on after a while in which nothing was done",
    response_class=Response,
    responses={**_NO_CONTENT, **problem_answers(401, 403, 409, 413, 415, 422, 429, 503, 507)},
    openapi_extra=json_body(UnlockIn),
    dependencies=NEEDS_ACCOUNTS,
)
def unlock(
    raw: Raw, signed: Session, store: StoreGiven, door: DoorGiven, where: WhereGiven
) -> Response:
    """Let this session change things again, under a new cookie; it ends when it would have."""
    body, _ = read_model(raw, UnlockIn)
    started = signed_in.unlock(store, signed, body.password, where)
    response = Response(status_code=204)
    carry(response, door, started)
    return response


@router.post(
    "/enrolment",
    summary="Set the first password of an account",
    response_model=EnrolmentAnswer,
    responses=problem_answers(401, 403, 409, 413, 415, 422, 429, 503, 507),
    openapi_extra=json_body(EnrolmentIn),
    dependencies=NEEDS_ACCOUNTS,
)
def enrol(raw: Raw, store: StoreGiven, door: DoorGiven, where: WhereGiven) -> dict[str, Any]:
    """Set a password by the code one was given, which is good once.

    An account that signs in from ashore is given its second factor here, and only here.
    """
    body, _ = read_model(raw, EnrolmentIn)
    factor = enrolment.enrol(store, door.seal, body.account, body.code, body.password, where)
    given = None if factor is None else {"secret": factor.secret, "uri": factor.uri}
    return {"account": signed_in.account_name(body.account), "second_factor": given}


@router.post(
    "/password",
    status_code=204,
    summary="Set another password of one's own",
    response_class=Response,
    responses={**_NO_CONTENT, **problem_answers(401, 403, 409, 413, 415, 422, 429, 503, 507)},
    openapi_extra=json_body(NewPasswordIn),
    dependencies=NEEDS_ACCOUNTS,
)
def password(raw: Raw, signed: Session, store: StoreGiven, where: WhereGiven) -> Response:
    """Set another password; every other session of the account ends."""
    body, _ = read_model(raw, NewPasswordIn)
    enrolment.change_password(store, signed, body.password, body.new_password, where)
    return Response(status_code=204)


@router.get(
    "/all",
    summary="List one's own sessions",
    response_model=OwnSessions,
    responses=problem_answers(401, 409, 503),
    dependencies=NEEDS_ACCOUNTS,
)
def listed(signed: Session, store: StoreGiven, now: Now) -> dict[str, Any]:
    """Return every browser one is signed in with: since when, when used last, until when."""
    return {"items": [asdict(one) for one in own_sessions.own_sessions(store, signed, now)]}


@router.post(
    "/end",
    summary="End another session of one's own, or all others",
    response_model=SessionsEnded,
    responses=problem_answers(401, 403, 404, 409, 413, 415, 422, 429, 503, 507),
    openapi_extra=json_body(SessionsEndIn),
    dependencies=NEEDS_ACCOUNTS,
)
def end(raw: Raw, signed: Session, store: StoreGiven, where: WhereGiven) -> dict[str, Any]:
    """End one by its id, or as ``others`` all but this one. The password is typed for it."""
    body, _ = read_model(raw, SessionsEndIn)
    ended = own_sessions.end_sessions(store, signed, body.session_id, body.password, where)
    return {"ended_count": ended}
