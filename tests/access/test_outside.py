"""Signing in by the shore office's provider: a real one beside the service, and hostile ones.

The real one is the npm package oidc-provider (a certified implementation), run by Node on loopback:
it enforces PKCE, the return address and that a code is used once. The hostile ones answer what a
real one never would.
"""

import contextlib
import html
import http.server
import json
import os
import re
import shutil
import ssl
import subprocess
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urljoin, urlsplit

import httpx
import pytest
import trustme
from joserfc import jwt
from joserfc.jwk import OctKey, RSAKey

from tests.access.people import PASSWORD, Browser, House, grant
from tests.access.test_decisions import offered
from tests.stores import new_file
from wheelover.usecases.accounts.times import epoch_s
from wheelover.usecases.clock import now_utc

FOLDER = Path(__file__).parents[1] / "outside_provider"
RETURN = "http://127.0.0.1/api/v1/sign-in/outside/return"
SECRET = "a secret of the two services"
PEOPLE = {
    "sub-upt": {"email": "S.Upt@Office.example", "email_verified": True},
    "sub-dahl": {"email": "dahl@office.example", "email_verified": False},
    "sub-stranger": {"email": "stranger@elsewhere.example", "email_verified": True},
}


@pytest.fixture(scope="module")
def issuer() -> Iterator[str]:
    """Start the provider and give its address. With CI=true it must be there."""
    if shutil.which("node") is None or not (FOLDER / "node_modules").is_dir():
        if os.environ.get("CI") == "true":
            pytest.fail("Node or the packages of tests/outside_provider are not installed")
        pytest.skip("Node or the packages of tests/outside_provider are not installed; npm ci")
    command = ["node", "provider.mjs", RETURN, SECRET, json.dumps(PEOPLE)]
    with subprocess.Popen(
        command, cwd=FOLDER, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        assert process.stdout is not None
        try:
            yield _address(process.stdout)
        finally:
            process.terminate()


def _address(lines: Any) -> str:
    """Return the line that is an address; the provider says other things before it."""
    for line in lines:
        if line.startswith("http://127.0.0.1:"):
            return str(line.strip())
    raise RuntimeError("the provider did not start")


@contextlib.contextmanager
def office(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str, secret: str = SECRET
) -> Iterator[House]:
    """Give the service with a provider set, and a superintendent linked to nobody yet."""
    (tmp_path / "secret").write_text(secret)
    settings = {
        "OUTSIDE_ISSUER": issuer,
        "OUTSIDE_CLIENT_ID": "wheelover",
        "OUTSIDE_CLIENT_SECRET_FILE": str(tmp_path / "secret"),
        "OUTSIDE_ADDRESS": "http://127.0.0.1",
    }
    house = House(monkeypatch, new_file(tmp_path / "o.sqlite3"), **settings)
    house.clock.utc = now_utc()
    house.account("supt", grant("superintendent", "own"), person="S. Upt", ashore=True)
    yield house
    house.store.close()


def link(house: House, name: str = "supt", **outside: str) -> httpx.Response:
    """Let the administrator link an account."""
    admin = house.administrator()
    with house.store.reading() as unit:
        account = unit.accounts.named(name)
    assert account is not None
    read = admin.get(f"/accounts/{account.id}")
    kept = {key: read.json()[key] for key in ("person", "rank", "ashore", "disabled", "grants")}
    return admin.send(
        "PUT",
        f"/api/v1/accounts/{account.id}",
        json={**kept, "outside": outside or None},
        headers={"If-Match": read.headers["etag"]},
    )


def begin(browser: Browser, *, again: bool = False) -> str:
    """Start an outside sign-in and return where the browser is sent."""
    answer = browser.get(f"/sign-in/outside{'?again=true' if again else ''}")
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def at_provider(address: str, person: str) -> str:
    """Sign in at the provider as a person does; return with what it sends the browser back."""
    with httpx.Client(follow_redirects=False) as client:
        answer = client.get(address)
        for _ in range(12):
            if answer.is_redirect:
                address = urljoin(str(answer.url), answer.headers["location"])
                if address.startswith(RETURN):
                    return urlsplit(address).query
                answer = client.get(address)
                continue
            form = re.search(r'action="([^"]+)"', answer.text)
            prompt = re.search(r'name="prompt" value="(\w+)"', answer.text)
            assert form is not None, answer.text
            assert prompt is not None, answer.text
            fields = {"prompt": prompt[1], "login": person, "password": "anything"}
            answer = client.post(urljoin(str(answer.url), html.unescape(form[1])), data=fields)
    raise AssertionError("the provider never sent the browser back")


def test_a_linked_person_signs_in(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str
) -> None:
    with office(monkeypatch, tmp_path, issuer) as house:
        assert link(house, subject="sub-upt").status_code == 200
        browser = house.browser()
        assert browser.get("/session").json()["outside_sign_in"] is True
        address = begin(browser)
        asked = {name: values[0] for name, values in parse_qs(urlsplit(address).query).items()}
        assert asked["code_challenge_method"] == "S256"
        assert min(len(asked[name]) for name in ("state", "nonce", "code_challenge")) >= 43
        query = at_provider(address, "sub-upt")
        answer = browser.get(f"/sign-in/outside/return?{query}")
        assert answer.status_code == 200, answer.text
        assert answer.headers["content-type"].startswith("text/html")
        cookies = " ".join(answer.headers.get_list("set-cookie")).lower()
        assert "samesite=strict" in cookies
        assert browser.get("/session").json()["signed_in"]["person"] == "S. Upt"
        assert browser.get("/plans").status_code == 200
        again = browser.get(f"/sign-in/outside/return?{query}")
        assert again.status_code == 401, "its cookie is gone"
        log = house.administrator().get("/audit?vessel_id=accounts").json()["items"]
        started = [one["entry"] for one in log if one["entry"]["what"] == "session.started"]
        assert "outside" in {one["how"] for one in started}


@pytest.mark.parametrize(
    "to",
    [
        "/",
        "/plans/demonstration",
        "/plans/plan-1/r/2",
        "/plans/plan-1/review?was=1&now=draft",
        "/plans/plan-1/r/2/turns/W%2F1",
        "/plans/plan-1#turn=WPT%2003",
    ],
)
def test_the_browser_goes_on_to_the_page_where_it_was(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str, to: str
) -> None:
    with office(monkeypatch, tmp_path, issuer) as house:
        link(house, subject="sub-upt")
        browser = house.browser()
        asked = browser.get("/sign-in/outside", params={"again": "true", "to": to})
        query = at_provider(asked.headers["location"], "sub-upt")
        answer = browser.get(f"/sign-in/outside/return?{query}")
        assert answer.status_code == 200
        refresh = re.search(r'content="0; url=([^"]*)"', answer.text)
        assert refresh is not None
        assert html.unescape(refresh[1]) == to


ELSEWHERE = (
    "//evil.example/plans/x",
    "/\\evil.example",
    "///evil.example",
    "https://evil.example/plans/x",
    "javascript:alert(1)",
    "data:text/html,x",
    "plans/x",
    "",
    "/api/v1/sign-in/outside",
    "/static/x",
    "/plans/",
    "/plans//evil.example",
    "/plans/../api/v1/audit",
    "/plans/%2e%2E/r/1",
    "/plans/.%2e",
    "/plans/x/r/1/turns/../../../../api/v1/audit",
    "/plans/x/r/0x1",
    "/plans/x\r\nSet-Cookie: a=b",
    "/plans/x\n",
    '/plans/x"><script>alert(1)</script>',
    "/plans/x?was=1'><img src=x>",
    "/plans/x y",
    "/plans/\u2215evil",
    "/plans/" + "x" * 1000,
)


@pytest.mark.parametrize("to", ELSEWHERE)
def test_no_address_but_of_the_page_is_gone_on_to(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str, to: str
) -> None:
    """ASVS 3.7.2 and 1.2.2: no open redirect, no script, no place of the API in a redirect."""
    with office(monkeypatch, tmp_path, issuer) as house:
        answer = house.browser().get("/sign-in/outside", params={"to": to})
        assert answer.status_code == 422
        assert answer.json()["errors"][0]["pointer"] == "/to"
        assert "set-cookie" not in answer.headers


def test_a_verified_address_is_pinned_to_its_subject(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str
) -> None:
    """An address may be given to somebody else later; the provider's subject is not."""
    with office(monkeypatch, tmp_path, issuer) as house:
        assert link(house, email="s.upt@office.example").json()["outside"].startswith("mailto:")
        browser = house.browser()
        query = at_provider(begin(browser), "sub-upt")
        assert browser.get(f"/sign-in/outside/return?{query}").status_code == 200
        with house.store.reading() as unit:
            account = unit.accounts.named("supt")
        assert account is not None
        assert account.outside_subject == "sub-upt"


@pytest.mark.parametrize(
    ("person", "outside"),
    [
        ("sub-stranger", {"subject": "sub-upt"}),
        ("sub-upt", {}),
        ("sub-dahl", {"email": "dahl@office.example"}),
    ],
    ids=["another", "nobody linked", "address not verified"],
)
def test_whoever_is_not_linked_does_not_sign_in(
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    issuer: str,
    person: str,
    outside: dict[str, str],
) -> None:
    with office(monkeypatch, tmp_path, issuer) as house:
        assert link(house, **outside).status_code == 200
        browser = house.browser()
        answer = browser.get(f"/sign-in/outside/return?{at_provider(begin(browser), person)}")
        assert answer.status_code == 401
        assert "linked" in answer.json()["detail"]
        assert browser.get("/plans").status_code == 401


def _agreed(house: House, browser: Browser, by: Any = None) -> httpx.Response:
    """Offer a plan as a navigator, and agree with it from ashore in a browser."""
    place = offered(house.signed_in("berg", "10.0.0.3"))
    more = {} if by is None else {"by": by}
    return browser.post(f"{place}/shore-decisions", {"kind": "agree", **more})


def test_whoever_the_provider_asked_just_now_decides_without_a_password(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str
) -> None:
    """ASVS 6.8.4 and 7.5.3: it must have asked, not remembered, within five minutes."""
    with office(monkeypatch, tmp_path, issuer) as house:
        link(house, subject="sub-upt")
        house.account("berg", grant("navigator", "own"), person="A. Berg", rank="2/O")
        browser = house.browser()
        back = at_provider(begin(browser), "sub-upt")
        assert browser.get(f"/sign-in/outside/return?{back}").status_code == 200
        assert browser.get("/session").json()["signed_in"]["decides_until_utc"] is None
        refused = _agreed(house, browser)
        assert refused.json()["errors"][0]["pointer"] == "/by/password"

        asked = parse_qs(urlsplit(begin(browser, again=True)).query)
        assert asked["prompt"] == ["login"]
        back = at_provider(begin(browser, again=True), "sub-upt")
        assert browser.get(f"/sign-in/outside/return?{back}").status_code == 200
        me = browser.get("/session").json()["signed_in"]
        assert me["outside"] is True
        assert 240 <= epoch_s(me["decides_until_utc"]) - epoch_s(house.clock()) <= 300
        made = _agreed(house, browser)
        assert made.status_code == 201, made.text
        (shore,) = made.json()["shore"]
        assert (shore["by"]["name"], shore["by"]["claimed"]) == ("S. Upt", False)
        other = _agreed(house, browser, {"account": "berg", "password": PASSWORD})
        assert other.status_code == 403, "for that account alone, and its own role"
        house.clock.pass_by(301)
        assert browser.get("/plans").status_code == 200
        assert _agreed(house, browser).json()["errors"][0]["pointer"] == "/by/password"


@pytest.mark.parametrize(
    ("asked_ago_s", "status", "decides"),
    [(0, 200, True), (240, 200, True), (301, 401, False), (None, 401, False), (-300, 401, False)],
)
def test_a_provider_that_only_remembers_is_not_believed_to_have_asked(
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    hostile: "Hostile",
    asked_ago_s: int | None,
    status: int,
    decides: bool,
) -> None:
    with office(monkeypatch, tmp_path, hostile.issuer) as house:
        link(house, subject="sub-upt")

        def token(claims: dict[str, Any]) -> str:
            at = {} if asked_ago_s is None else {"auth_time": claims["iat"] - asked_ago_s}
            return hostile.signed({**claims, **at})

        hostile.token = token
        browser = house.browser()
        assert returned(house, hostile, browser, again=True).status_code == status
        assert returned(house, hostile, browser).status_code == 200, "to read and discuss"
        me = browser.get("/session").json()["signed_in"]
        assert (me["decides_until_utc"] or "") > house.clock() or not decides
        assert decides or (me["decides_until_utc"] or "") <= house.clock()


def test_a_token_cannot_be_made_to_say_that_the_provider_asked(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str
) -> None:
    with office(monkeypatch, tmp_path, issuer) as house:
        house.account("berg", grant("navigator", "own"))
        browser = house.signed_in("berg")
        token = browser.cookies["wheelover"]
        browser.cookies.clear()
        browser.cookies.set("wheelover", f"asked.{int(epoch_s(house.clock()))}.{token}")
        assert browser.get("/plans").status_code == 401


def test_a_disabled_account_does_not_sign_in(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str
) -> None:
    with office(monkeypatch, tmp_path, issuer) as house:
        link(house, subject="sub-upt")
        with house.store.writing() as unit:
            account = unit.accounts.named("supt")
            assert account is not None
            unit.accounts.set(account.id, disabled=True)
        browser = house.browser()
        answer = browser.get(f"/sign-in/outside/return?{at_provider(begin(browser), 'sub-upt')}")
        assert answer.status_code == 401


def _sealed(house: House, browser: Browser, **members: str) -> None:
    """Let a browser carry another thing than it was given, as if the seal could be made."""
    name = "wheelover-outside"
    seal = house.app.state.door.seal
    carried = json.loads(seal.opened(browser.cookies[name]))  # noqa: TID251  our own
    browser.cookies.clear()
    browser.cookies.set(name, seal.close(json.dumps({**carried, **members})))


def _nothing_carried(_house: House, browser: Browser, query: str) -> str:
    browser.cookies.clear()
    return query


def _no_seal(_house: House, browser: Browser, query: str) -> str:
    browser.cookies.clear()
    browser.cookies.set("wheelover-outside", "x")
    return query


def _another_nonce(house: House, browser: Browser, query: str) -> str:
    _sealed(house, browser, nonce="x" * 43)
    return query


def _another_verifier(house: House, browser: Browser, query: str) -> str:
    _sealed(house, browser, verifier="x" * 43)
    return query


def _in_query(old: str, new: str) -> Callable[[House, Browser, str], str]:
    return lambda _house, _browser, query: re.sub(old, new, query)


@pytest.mark.parametrize(
    "spoil",
    [
        _in_query("state=", "state=x"),
        _in_query("code=", "code=x"),
        _in_query("code=", "cod="),
        _in_query("iss=[^&]+", "iss=https%3A%2F%2Fevil"),
        _in_query("code=", "error=access_denied&cod="),
        _nothing_carried,
        _no_seal,
        _another_nonce,
        _another_verifier,
    ],
    ids=["state", "code", "no code", "issuer", "denied", "no cookie", "no seal", "nonce", "PKCE"],
)
def test_what_does_not_fit_signs_nobody_in(
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    issuer: str,
    spoil: Callable[[House, Browser, str], str],
) -> None:
    with office(monkeypatch, tmp_path, issuer) as house:
        link(house, subject="sub-upt")
        browser = house.browser()
        query = spoil(house, browser, at_provider(begin(browser), "sub-upt"))
        answer = browser.get(f"/sign-in/outside/return?{query}")
        assert answer.status_code == 401, answer.text
        assert browser.get("/plans").status_code == 401


def _last(browser: Browser) -> dict[str, str]:
    """Return a browser's cookies, of two of one name the one set last."""
    return {cookie.name: cookie.value or "" for cookie in browser.cookies.jar}


def test_what_was_sealed_anew_unchanged_signs_in(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str
) -> None:
    """What the test above refuses, it refuses for what was spoilt."""
    with office(monkeypatch, tmp_path, issuer) as house:
        link(house, subject="sub-upt")
        browser = house.browser()
        query = at_provider(begin(browser), "sub-upt")
        _sealed(house, browser)
        assert browser.get(f"/sign-in/outside/return?{query}").status_code == 200


def test_a_code_is_good_once(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str) -> None:
    with office(monkeypatch, tmp_path, issuer) as house:
        link(house, subject="sub-upt")
        browser = house.browser()
        address = begin(browser)
        carried = _last(browser)
        query = at_provider(address, "sub-upt")
        assert browser.get(f"/sign-in/outside/return?{query}").status_code == 200
        thief = house.browser("203.0.113.9")
        thief.cookies = httpx.Cookies(carried)
        assert thief.get(f"/sign-in/outside/return?{query}").status_code == 401


def test_a_wrong_client_secret_signs_nobody_in(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str
) -> None:
    with office(monkeypatch, tmp_path, issuer, secret="another") as house:
        link(house, subject="sub-upt")
        browser = house.browser()
        answer = browser.get(f"/sign-in/outside/return?{at_provider(begin(browser), 'sub-upt')}")
        assert answer.status_code == 401


def test_a_sign_in_under_way_runs_out(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str
) -> None:
    with office(monkeypatch, tmp_path, issuer) as house:
        link(house, subject="sub-upt")
        browser = house.browser()
        query = at_provider(begin(browser), "sub-upt")
        from wheelover.usecases.accounts import outside  # noqa: PLC0415

        monkeypatch.setattr(outside, "PENDING_S", -1)
        assert browser.get(f"/sign-in/outside/return?{query}").status_code == 401


def test_another_issuer_than_the_one_set_is_not_believed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, issuer: str
) -> None:
    with office(monkeypatch, tmp_path, f"{issuer}/") as house:
        answer = house.browser().get("/sign-in/outside")
        assert answer.status_code == 503
        assert "another one" in answer.json()["detail"]


def test_off_until_it_is_set(house: House) -> None:
    browser = house.browser()
    assert browser.get("/session").json()["outside_sign_in"] is False
    for place in ("/sign-in/outside", "/sign-in/outside/return?code=x&state=y"):
        assert browser.get(place).status_code == 409
    house.account("supt", grant("superintendent", "own"))
    assert link(house, subject="sub-upt").status_code == 422


def test_only_the_return_may_be_begun_by_another_site(house: House) -> None:
    """And only as a whole page: no script, frame or form of another site gets there."""
    page = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}
    document = {**page, "sec-fetch-dest": "document"}
    browser = house.browser()
    place = "/sign-in/outside/return"
    assert browser.get(place, headers=document).status_code == 409, "let in: nothing is set here"
    for headers in (
        {**page, "sec-fetch-dest": "iframe"},
        {"sec-fetch-site": "cross-site", "sec-fetch-mode": "cors", "sec-fetch-dest": "empty"},
        {**document, "origin": "https://evil.example"},
    ):
        assert browser.get(place, headers=headers).status_code == 403
    assert browser.get("/plans", headers=document).status_code == 403
    assert browser.send("POST", f"/api/v1{place}", headers=document).status_code == 403


class Hostile:
    """A provider that answers what a test says."""

    def __init__(self) -> None:
        self.key = RSAKey.generate_key(2048, {"kid": "own", "use": "sig"})
        self.token: Callable[[dict[str, Any]], str] = self.signed
        self.more: dict[str, Any] = {}
        self.redirect: str | None = None
        self.asked: list[str] = []
        self.nonce = ""
        hostile = self

        class Answers(http.server.BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                hostile.answer(self)

            def do_POST(self) -> None:
                self.rfile.read(int(self.headers["content-length"]))
                hostile.answer(self)

            def log_message(self, *_: object) -> None:
                pass

        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Answers)
        self.issuer = f"http://127.0.0.1:{self.server.server_port}"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def claims(self) -> dict[str, Any]:
        now = int(epoch_s(now_utc()))
        return {
            "iss": self.issuer,
            "aud": "wheelover",
            "sub": "sub-upt",
            "iat": now,
            "exp": now + 300,
            "nonce": self.nonce,
        }

    def signed(self, claims: dict[str, Any]) -> str:
        return jwt.encode({"alg": "RS256", "kid": "own"}, claims, self.key)

    def answer(self, request: http.server.BaseHTTPRequestHandler) -> None:
        path = urlsplit(request.path).path
        self.asked.append(path)
        if self.redirect is not None and path.endswith(self.redirect):
            request.send_response(302)
            request.send_header("Location", "/elsewhere")
            request.end_headers()
            return
        body: Any = {
            "/.well-known/openid-configuration": {
                "issuer": self.issuer,
                "authorization_endpoint": f"{self.issuer}/authorize",
                "token_endpoint": f"{self.issuer}/token",
                "jwks_uri": f"{self.issuer}/keys",
                **self.more,
            },
            "/keys": {"keys": [self.key.as_dict(private=False)]},
            "/token": {"id_token": self.token(self.claims()), "token_type": "Bearer"},
        }.get(path, {})
        request.send_response(200)
        request.send_header("Content-Type", "application/json")
        request.end_headers()
        request.wfile.write(json.dumps(body).encode())


@pytest.fixture
def hostile() -> Iterator[Hostile]:
    made = Hostile()
    yield made
    made.server.shutdown()
    made.server.server_close()


def _unsigned(claims: dict[str, Any]) -> str:
    import base64  # noqa: PLC0415

    parts = [json.dumps(one).encode() for one in ({"alg": "none"}, claims)]
    return ".".join(base64.urlsafe_b64encode(one).rstrip(b"=").decode() for one in parts) + "."


def _secret_signed(claims: dict[str, Any]) -> str:
    """Sign with the secret of the two services, which a thief of it could do."""
    return jwt.encode({"alg": "HS256"}, claims, OctKey.import_key(SECRET * 2), algorithms=["HS256"])


def _elsewhere_signed(claims: dict[str, Any]) -> str:
    return jwt.encode({"alg": "RS256", "kid": "own"}, claims, RSAKey.generate_key(2048))


TOKENS: dict[str, Callable[[Hostile], Callable[[dict[str, Any]], str]]] = {
    "no signature": lambda _: _unsigned,
    "the shared secret": lambda _: _secret_signed,
    "another key": lambda _: _elsewhere_signed,
    "another issuer": lambda one: lambda claims: one.signed({**claims, "iss": "https://evil"}),
    "another audience": lambda one: lambda claims: one.signed({**claims, "aud": "other"}),
    "two audiences": lambda one: (
        lambda claims: one.signed({**claims, "aud": ["wheelover", "other"]})
    ),
    "run out": lambda one: lambda claims: one.signed({**claims, "exp": claims["iat"] - 300}),
    "of the future": lambda one: lambda claims: one.signed({**claims, "iat": claims["exp"] + 300}),
    "another nonce": lambda one: lambda claims: one.signed({**claims, "nonce": "x"}),
    "no nonce": lambda one: (
        lambda claims: one.signed(
            {name: value for name, value in claims.items() if name != "nonce"}
        )
    ),
    "no subject": lambda one: (
        lambda claims: one.signed({name: value for name, value in claims.items() if name != "sub"})
    ),
    "a subject like an address": lambda one: (
        lambda claims: one.signed({**claims, "sub": "mailto:s.upt@office.example"})
    ),
    "no token": lambda _: lambda _claims: "not.a.token",
}


def returned(
    house: House, hostile: Hostile, browser: Browser | None = None, *, again: bool = False
) -> httpx.Response:
    """Start a sign-in at a hostile provider and come back from it."""
    browser = browser or house.browser()
    asked = parse_qs(urlsplit(begin(browser, again=again)).query)
    hostile.nonce = asked["nonce"][0]
    return browser.get(f"/sign-in/outside/return?code=x&state={asked['state'][0]}")


@pytest.mark.parametrize("what", TOKENS)
def test_tokens_that_are_not_believed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, hostile: Hostile, what: str
) -> None:
    with office(monkeypatch, tmp_path, hostile.issuer) as house:
        outside = {"email": "s.upt@office.example"} if "address" in what else {"subject": "sub-upt"}
        assert link(house, **outside).status_code == 200
        hostile.token = TOKENS[what](hostile)
        answer = returned(house, hostile)
        assert answer.status_code == 401, answer.text


def test_the_hostile_provider_is_believed_when_it_is_honest(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, hostile: Hostile
) -> None:
    """What the tests above refuse is refused for its fault, and for nothing else."""
    with office(monkeypatch, tmp_path, hostile.issuer) as house:
        link(house, subject="sub-upt")
        assert returned(house, hostile).status_code == 200


@pytest.mark.parametrize("place", ["openid-configuration", "token", "keys"])
def test_no_redirect_is_followed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, hostile: Hostile, place: str
) -> None:
    with office(monkeypatch, tmp_path, hostile.issuer) as house:
        link(house, subject="sub-upt")
        hostile.redirect = place
        if place == "openid-configuration":
            assert house.browser().get("/sign-in/outside").status_code == 503
        else:
            assert returned(house, hostile).status_code in (401, 503)
        assert "/elsewhere" not in hostile.asked


@pytest.mark.parametrize(
    "more",
    [
        {"issuer": "https://evil.example"},
        {"token_endpoint": "http://192.0.2.1/token"},
        {"jwks_uri": "file:///etc/passwd"},
        {"authorization_endpoint": None},
    ],
    ids=["issuer", "plain http", "file", "none"],
)
def test_a_provider_that_names_other_places_is_not_used(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, hostile: Hostile, more: dict[str, Any]
) -> None:
    with office(monkeypatch, tmp_path, hostile.issuer) as house:
        hostile.more = more
        assert house.browser().get("/sign-in/outside").status_code == 503


def test_a_provider_whose_certificate_is_not_trusted(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, hostile: Hostile
) -> None:
    certificate = trustme.CA().issue_cert("localhost")
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    certificate.configure_cert(context)
    hostile.server.socket = context.wrap_socket(hostile.server.socket, server_side=True)
    monkeypatch.setattr(hostile.server, "handle_error", lambda *_: None)
    issuer = hostile.issuer.replace("http://127.0.0.1", "https://localhost")
    with office(monkeypatch, tmp_path, issuer) as house:
        assert house.browser().get("/sign-in/outside").status_code == 503
    assert hostile.asked == []


def test_a_provider_that_does_not_answer_is_said_to(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    with office(monkeypatch, tmp_path, "http://127.0.0.1:9") as house:
        answer = house.browser().get("/sign-in/outside")
        assert answer.status_code == 503
        assert house.browser().sign_in("supt", PASSWORD).status_code == 401, "no second factor yet"
