"""Signing in by the shore office's OpenID Connect provider: authorization code with PKCE.

Only an account that an administrator has linked signs in so: by the provider's subject, or by a
verified e-mail address, in whose place the subject stands from the first time on. What the browser
must bring back (state) and what must come back in the token (nonce) travel sealed in a cookie of
ten minutes; no redirect of the provider's own places is followed.
"""

import base64
import hashlib
import hmac
import secrets
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode, urlsplit

import httpx

from wheelover.core.errors import NotSignedIn, Unavailable, UnreadableFile
from wheelover.formats.strict_json import read_json
from wheelover.store import Store, Unit
from wheelover.store.accounts import AccountRow
from wheelover.store.sealing import Seal
from wheelover.usecases.accounts.signed_in import FRESH_S, Started, note, start_session
from wheelover.usecases.accounts.times import epoch_s
from wheelover.usecases.accounts.where import Where
from wheelover.usecases.canonical import json_bytes

PENDING_S = 600
MAIL = "mailto:"
_SIGNED_WITH = ["RS256", "PS256", "ES256", "ES384", "Ed25519", "EdDSA"]
_LEEWAY_S = 60
_ANSWER_LIMIT = 256 * 1024
_LOOPBACK = ("127.0.0.1", "localhost", "::1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Provider:
    """The provider as it was set: who it is, what it calls us, and where it sends browsers back."""

    issuer: str
    client_id: str
    client_secret: str
    return_address: str


def start(
    provider: Provider, seal: Seal, client: httpx.Client, *, again: bool = False, to: str = "/"
) -> tuple[str, str]:
    """Return where to send the browser, and what it must carry meanwhile, sealed.

    ``again``: the provider must ask who it is, whoever it remembers, and say when it did. ``to`` is
    where the browser goes on afterwards, which the caller has found to be a place of the page.

    Raises
    ------
    Unavailable
        When the provider does not answer, or not as one.
    """
    places = _places(provider, client)
    state, nonce, verifier = (secrets.token_urlsafe(32) for _ in range(3))
    asked = {
        "response_type": "code",
        "client_id": provider.client_id,
        "redirect_uri": provider.return_address,
        "scope": "openid email",
        "state": state,
        "nonce": nonce,
        "code_challenge": _challenge(verifier),
        "code_challenge_method": "S256",
    }
    if again:
        asked |= {"prompt": "login", "max_age": str(FRESH_S)}
    pending = {"state": state, "nonce": nonce, "verifier": verifier, "again": again, "to": to}
    carried = json_bytes(pending).decode()
    place = places["authorization_endpoint"]
    return f"{place}{'&' if urlsplit(place).query else '?'}{urlencode(asked)}", seal.close(carried)


def finish(
    store: Store,
    provider: Provider,
    seal: Seal,
    client: httpx.Client,
    carried: str | None,
    returned: dict[str, str],
    where: Where,
) -> tuple[Started, str]:
    """Start a session for whom the provider says is there.

    Returns what the browser carries from now on, and where it goes.

    ``carried`` is what this browser was given at the start, ``returned`` the query with which the
    provider sent it back.

    Raises
    ------
    NotSignedIn
        When anything does not fit, or no account is linked to that person.
    Unavailable
        When the provider does not answer, or not as one.
    """
    text = None if carried is None else seal.open(carried, PENDING_S)
    if text is None:
        raise NotSignedIn("This browser has no outside sign-in under way; start it again.")
    pending: dict[str, Any] = read_json(text.encode())
    if not hmac.compare_digest(pending["state"], returned.get("state", "")):
        raise NotSignedIn("The outside sign-in that came back is not the one that was started.")
    if returned.get("iss", provider.issuer) != provider.issuer:
        raise NotSignedIn("The outside sign-in came back from another provider.")
    if "code" not in returned:
        raise NotSignedIn("The provider did not let this person sign in.")
    places = _places(provider, client)
    tokens = _tokens(provider, places, client, returned["code"], pending["verifier"])
    claims = _claims(provider, places, client, tokens["id_token"], pending["nonce"], where)
    claims |= _mail(places, client, tokens, claims)
    at_s = _asked_at_s(claims, pending["again"], where)
    with store.writing() as unit:
        account = _linked(unit, provider, claims)
        if account is None or account.disabled:
            raise NotSignedIn("No account here is linked to that person. Ask an administrator.")
        if account.outside_subject != claims["sub"]:
            unit.accounts.set(account.id, outside_subject=claims["sub"])
            note(unit, "account.outside_pinned", account, where.now_utc, by="first outside sign-in")
        started = start_session(unit, account, where, how="outside", at_s=at_s)
        return started, str(pending.get("to", "/"))


def _asked_at_s(claims: dict[str, Any], again: bool, where: Where) -> int | None:
    """Return when the provider asked who it is, in seconds since 1970, as far as it says so.

    Raises
    ------
    NotSignedIn
        When it should have asked again just now, and does not say that it did.
    """
    said, now_s = claims.get("auth_time"), int(epoch_s(where.now_utc))
    at_s = min(said, now_s) if isinstance(said, int) and 0 < said <= now_s + _LEEWAY_S else None
    if again and (at_s is None or at_s + FRESH_S <= now_s):
        raise NotSignedIn("The provider does not say that it asked again who this is.")
    return at_s


def _linked(unit: Unit, provider: Provider, claims: dict[str, Any]) -> AccountRow | None:
    """Return the account an administrator linked to these claims, if any."""
    subject = str(claims["sub"])
    if not subject.startswith(MAIL):
        account = unit.accounts.outside(provider.issuer, subject)
        if account is not None:
            return account
    email = claims.get("email")
    if not isinstance(email, str) or claims.get("email_verified") is not True:
        return None
    return unit.accounts.outside(provider.issuer, f"{MAIL}{email.casefold()}")


def _places(provider: Provider, client: httpx.Client) -> dict[str, Any]:
    """Return where the provider's places are, after it was found to be the one that was set."""
    address = f"{provider.issuer.rstrip('/')}/.well-known/openid-configuration"
    places = _json(_asked(client, "GET", address))
    if places.get("issuer") != provider.issuer:
        raise Unavailable("The outside provider says it is another one than the one that was set.")
    needed = ("authorization_endpoint", "token_endpoint", "jwks_uri")
    for name in (*needed, *(one for one in ("userinfo_endpoint",) if one in places)):
        parts = urlsplit(str(places.get(name, "")))
        here = parts.scheme == "http" and parts.hostname in _LOOPBACK
        if not parts.hostname or not (parts.scheme == "https" or here):
            raise Unavailable(f"The outside provider gives no https address as its {name}.")
    return places


def _tokens(
    provider: Provider, places: dict[str, Any], client: httpx.Client, code: str, verifier: str
) -> dict[str, Any]:
    """Return the tokens that a code stands for; each code is good once."""
    form = {
        "grant_type": "authorization_code",
        "code": code,
        "redirect_uri": provider.return_address,
        "code_verifier": verifier,
        "client_id": provider.client_id,
    }
    how = places.get("token_endpoint_auth_methods_supported", ["client_secret_basic"])
    auth: httpx.BasicAuth | None = None
    if provider.client_secret and "client_secret_basic" in how:
        auth = httpx.BasicAuth(provider.client_id, provider.client_secret)
    elif provider.client_secret:
        form["client_secret"] = provider.client_secret
    answer = _asked(client, "POST", places["token_endpoint"], data=form, auth=auth)
    if answer.status_code != 200:
        raise NotSignedIn("The provider did not take the code of this sign-in; start it again.")
    tokens = _json(answer)
    if not isinstance(tokens.get("id_token"), str):
        raise NotSignedIn("The provider gave no identity token.")
    return tokens


def _mail(
    places: dict[str, Any], client: httpx.Client, tokens: dict[str, Any], claims: dict[str, Any]
) -> dict[str, Any]:
    """Return the e-mail address that a provider tells apart from its token, of the same person."""
    place, token = places.get("userinfo_endpoint"), tokens.get("access_token")
    if "email" in claims or not isinstance(place, str) or not isinstance(token, str):
        return {}
    answer = _asked(client, "GET", place, headers={"Authorization": f"Bearer {token}"})
    told = _json(answer) if answer.status_code == 200 else {}
    if told.get("sub") != claims["sub"]:
        return {}
    return {name: told[name] for name in ("email", "email_verified") if name in told}


def _claims(
    provider: Provider,
    places: dict[str, Any],
    client: httpx.Client,
    token: str,
    nonce: str,
    where: Where,
) -> dict[str, Any]:
    """Return what an identity token says, after signature, issuer, audience, time and nonce."""
    # They take a while to load, and most services have no such provider.
    from joserfc import jwt  # noqa: PLC0415
    from joserfc.errors import JoseError  # noqa: PLC0415
    from joserfc.jwk import KeySet  # noqa: PLC0415

    try:
        keys = KeySet.import_key_set(_json(_asked(client, "GET", places["jwks_uri"])))  # type: ignore[arg-type]
        claims = jwt.decode(token, keys, algorithms=_SIGNED_WITH).claims
        registry = jwt.JWTClaimsRegistry(
            now=int(epoch_s(where.now_utc)),
            leeway=_LEEWAY_S,
            iss={"essential": True, "value": provider.issuer},
            aud={"essential": True, "value": provider.client_id},
            sub={"essential": True},
            exp={"essential": True},
            iat={"essential": True},
            nonce={"essential": True, "value": nonce},
        )
        registry.validate(claims)
    except (JoseError, ValueError) as error:
        raise NotSignedIn("The identity token of the provider is not right.") from error
    audience = claims["aud"]
    several = isinstance(audience, list) and len(audience) > 1
    if claims.get("azp", None if several else provider.client_id) != provider.client_id:
        raise NotSignedIn("The identity token was made for another service.")
    return dict(claims)


def _challenge(verifier: str) -> str:
    """Return what a verifier is known by beforehand (RFC 7636, S256)."""
    digest = hashlib.sha256(verifier.encode()).digest()
    return base64.urlsafe_b64encode(digest).rstrip(b"=").decode()


def _asked(client: httpx.Client, method: str, address: str, **more: Any) -> httpx.Response:
    """Return the provider's answer. A redirect is an answer like any other: it is not followed."""
    try:
        answer = client.request(method, address, follow_redirects=False, timeout=10.0, **more)
    except httpx.HTTPError as error:
        raise Unavailable(
            "The outside provider does not answer; sign in with a password."
        ) from error
    if len(answer.content) > _ANSWER_LIMIT:
        raise Unavailable("The outside provider's answer is too long.")
    return answer


def _json(answer: httpx.Response) -> dict[str, Any]:
    """Return an answer's JSON object."""
    try:
        value = read_json(answer.content) if answer.status_code == 200 else None
    except UnreadableFile:
        value = None
    if not isinstance(value, dict):
        raise Unavailable("The outside provider does not answer as one; sign in with a password.")
    return value
