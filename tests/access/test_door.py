"""The link: which settings start, cookies over https, the proxy's word, pages of other sites."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.access.people import PASSWORD, House, grant
from wheelover.api import create_app
from wheelover.api.door import SettingRefused
from wheelover.api.guard import SECURITY_HEADERS
from wheelover.cli import main

NAMES = {"HOST_NAMES": "plans.example, bridge.local"}
PROXY = {**NAMES, "BEHIND_TLS_PROXY": "on"}
TLS = {**NAMES, "TLS_CERTIFICATE": "chain.pem", "TLS_KEY": "key.pem"}
OPEN = {**NAMES, "PLAIN_HTTP": "own-network"}


def opened(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, **settings: str) -> House:
    house = House(monkeypatch, f"sqlite:///{tmp_path / 'd.sqlite3'}", **settings)
    house.account("berg", grant("navigator", "own"))
    return house


@pytest.mark.parametrize("settings", [PROXY, TLS], ids=["proxy", "tls"])
def test_over_https_the_cookie_is_bound_to_it(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, settings: dict[str, str]
) -> None:
    """ASVS 3.3.1 to 3.3.4, 3.4.1."""
    house = opened(monkeypatch, tmp_path, **settings)
    browser = house.browser("127.0.0.1")
    answer = browser.sign_in("berg")
    assert answer.status_code == 200, answer.text
    names = []
    for cookie in answer.headers.get_list("set-cookie"):
        name, _, rest = cookie.partition("=")
        names.append(name)
        parts = {part.strip().lower() for part in rest.split(";")[1:]}
        assert {"secure", "httponly", "samesite=strict", "path=/"} <= parts
        assert not any(part.startswith("domain") for part in parts)
    assert names == ["__Host-wheelover", "__Host-wheelover-browser"]
    assert answer.headers["strict-transport-security"] == "max-age=31536000; includeSubDomains"
    assert answer.json()["link"] == "tls"
    assert browser.get("/plans").status_code == 200
    token = browser.cookies[names[0]]
    other = house.browser("127.0.0.1")
    other.cookies.set("wheelover", token)
    assert other.get("/plans").status_code == 401, "the name without the prefix is not read"
    house.store.close()


def test_plain_http_on_the_ships_own_network_is_said_to_be_open(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    house = opened(monkeypatch, tmp_path, **OPEN)
    browser = house.browser()
    browser.base = "http://bridge.local"
    answer = browser.sign_in("berg")
    for cookie, name in zip(
        answer.headers.get_list("set-cookie"), ("wheelover", "wheelover-browser"), strict=True
    ):
        assert cookie.startswith(f"{name}=")
        assert "secure" not in cookie.lower().split("; ")
    assert "strict-transport-security" not in answer.headers
    assert answer.json()["link"] == "open"
    assert "open (plain http)" in answer.json()["link_words"]
    house.store.close()


def test_only_named_hosts_are_answered(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    house = opened(monkeypatch, tmp_path, **TLS)
    browser = house.browser()
    for host, status in (
        ("plans.example", 200),
        ("bridge.local:8765", 200),
        ("127.0.0.1", 200),
        ("plans.example.evil.example", 421),
        ("evil.example", 421),
        ("10.0.0.1", 421),
    ):
        assert browser.get("/session", headers={"host": host}).status_code == status, host
    house.store.close()


def test_over_https_a_page_over_http_is_a_foreign_one(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    house = opened(monkeypatch, tmp_path, **TLS)
    browser = house.browser()
    body = {"account": "berg", "password": PASSWORD}
    for origin, status in (
        ("https://plans.example", 200),
        ("http://plans.example", 403),
        ("https://evil.example", 403),
        ("null", 403),
    ):
        answer = browser.post("/session", body, headers={"origin": origin})
        assert answer.status_code == status, origin
    house.store.close()


def test_a_form_of_another_site_changes_nothing(house: House) -> None:
    """ASVS 3.5: a cross-site multipart POST needs no leave of the browser; it is refused here."""
    house.account("berg", grant("navigator", "own"))
    browser = house.signed_in("berg")
    file = {"file": ("route.csv", b"latitude,longitude\n1,1\n2,2\n")}
    foreign = [
        {"origin": "https://evil.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"x-wheelover": "0"},
    ]
    for headers in foreign:
        answer = browser.send("POST", "/api/v1/routes/read", files=file, headers=headers)
        assert answer.status_code == 403, headers
    assert browser.send("POST", "/api/v1/routes/read", files=file).status_code == 200
    for headers in foreign:
        assert browser.send("DELETE", "/api/v1/session", headers=headers).status_code == 403
    assert browser.get("/session").json()["signed_in"] is not None


def test_the_proxy_says_who_asks_and_nobody_else(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """ASVS 4.1.3: an address made up by the sender counts for nothing."""
    house = opened(monkeypatch, tmp_path, **PROXY, PROXY_ADDRESSES="127.0.0.1, 10.9.9.9")
    assert house.browser("192.0.2.1").get("/session").status_code == 403
    for number in range(8):
        forged = {"x-forwarded-for": f"198.51.100.{number}, 203.0.113.7"}
        answer = house.browser("127.0.0.1").post(
            "/session", {"account": "berg", "password": "wrong"}, headers=forged
        )
        assert answer.status_code == (401 if number < 4 else 429), number
    owner = {"x-forwarded-for": "203.0.113.8, 10.9.9.9"}
    body = {"account": "berg", "password": PASSWORD}
    answer = house.browser("127.0.0.1").post("/session", body, headers=owner)
    assert answer.status_code == 200
    house.store.close()


def test_without_a_proxy_its_headers_count_for_nothing(house: House) -> None:
    house.account("berg", grant("navigator", "own"))
    for number in range(6):
        forged = {"x-forwarded-for": f"198.51.100.{number}"}
        answer = house.browser("192.0.2.1").post(
            "/session", {"account": "berg", "password": "wrong"}, headers=forged
        )
    assert answer.status_code == 429


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"ACCOUNTS": "yes"}, "on or off"),
        ({"PLAIN_HTTP": "yes"}, "own-network"),
        ({"ACCOUNTS": "off", "PLAIN_HTTP": "own-network"}, "accounts are off"),
        ({"ACCOUNTS": "off", "BEHIND_TLS_PROXY": "on"}, "accounts are off"),
        ({"BEHIND_TLS_PROXY": "on"}, "WHEELOVER_HOST_NAMES"),
        ({**PROXY, "PROXY_ADDRESSES": "any"}, "no address"),
        ({**PROXY, "PLAIN_HTTP": "own-network"}, "three kinds"),
        ({"TLS_CERTIFICATE": "chain.pem"}, "both"),
        ({"OUTSIDE_ISSUER": "https://id.example"}, "CLIENT_ID"),
        (
            {
                "OUTSIDE_ISSUER": "http://id.example",
                "OUTSIDE_CLIENT_ID": "x",
                "OUTSIDE_ADDRESS": "https://plans.example",
            },
            "https",
        ),
    ],
)
def test_settings_that_do_not_go_together(
    monkeypatch: pytest.MonkeyPatch, settings: dict[str, str], words: str
) -> None:
    for name, value in {"ACCOUNTS": "on", **settings}.items():
        monkeypatch.setenv(f"WHEELOVER_{name}", value)
    with pytest.raises(SettingRefused, match=words):
        create_app()


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"ACCOUNTS": "off"}, "only loopback"),
        ({}, "open link"),
        (NAMES, "open link"),
        ({"PLAIN_HTTP": "own-network"}, "WHEELOVER_HOST_NAMES"),
    ],
)
def test_addresses_that_are_not_listened_on(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    settings: dict[str, str],
    words: str,
) -> None:
    """No password goes over an open link unless the setting for the ship's network says so."""
    monkeypatch.setenv("WHEELOVER_DATABASE", f"sqlite:///{tmp_path / 'x.sqlite3'}")
    for name, value in {"ACCOUNTS": "on", **settings}.items():
        monkeypatch.setenv(f"WHEELOVER_{name}", value)
    assert main(["serve", "--host", "192.0.2.1"]) == 2
    assert words in capsys.readouterr().err


def test_a_certificate_that_cannot_be_read_is_said(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setenv("WHEELOVER_DATABASE", f"sqlite:///{tmp_path / 'x.sqlite3'}")
    for name, value in {"ACCOUNTS": "on", **TLS}.items():
        monkeypatch.setenv(f"WHEELOVER_{name}", value)
    assert main(["serve", "--port", "0"]) == 3
    assert "certificate" in capsys.readouterr().err


@pytest.mark.parametrize("path", ["/", "/api/v1/session", "/api/v1/plans", "/api/v1/nowhere"])
def test_every_answer_carries_the_headers(house: House, path: str) -> None:
    headers = house.browser().send("GET", path).headers
    for name, value in SECURITY_HEADERS.items():
        assert headers[name] == value
    assert headers["cache-control"] == "no-store" or path == "/"


def test_accounts_from_the_machine_itself(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """``wheelover account``: also when nobody can sign in."""
    url = f"sqlite:///{tmp_path / 'c.sqlite3'}"
    monkeypatch.setenv("WHEELOVER_DATABASE", url)

    def run(*words: str, code: int = 0) -> str:
        assert main(["account", *words]) == code
        told = capsys.readouterr()
        return told.out if code == 0 else told.err

    assert "no accounts" in run("list")
    made = run(
        "add", "Boss", "--person", "B. Oss", "--rank", "Office", "--grant", "administrator:all"
    )
    enrolment = made.split("code ")[1].split()[0]
    run("add", "berg", "--person", "A. Berg", "--rank", "Master", "--grant", "navigator:vessel:own")
    assert "master:vessel:own" in run("grant", "berg", "master:vessel:own")
    assert "no fleet" in run("grant", "berg", "reader:fleet:no fleet", code=3)
    assert "last account" in run("disable", "boss", code=3)
    assert "disabled" in run("disable", "berg")
    assert "disabled" not in run("enable", "berg")
    assert "There is no account" in run("reset", "nobody", code=3)
    assert "already" in run("add", "berg", "--person", "x", "--rank", "y", code=3)
    house = House(monkeypatch, url)
    monkeypatch.undo()
    with house.store.reading() as unit:
        house.clock.utc = unit.accounts.page(1, None)[0].created_utc
    body = {"account": "boss", "code": enrolment, "password": PASSWORD}
    assert house.browser().post("/session/enrolment", body).status_code == 200
    assert house.browser().sign_in("boss").status_code == 200
    house.store.close()


def test_serve_says_the_first_code_and_signs_in_over_https(tmp_path: Path) -> None:
    """The real service, its certificate checked, from the code on the console to a session."""
    import os  # noqa: PLC0415
    import re  # noqa: PLC0415
    import socket  # noqa: PLC0415
    import ssl  # noqa: PLC0415

    import httpx  # noqa: PLC0415
    import trustme  # noqa: PLC0415

    authority = trustme.CA()
    certificate = authority.issue_cert("localhost")
    certificate.private_key_pem.write_to_path(tmp_path / "key.pem")
    with (tmp_path / "chain.pem").open("wb") as chain:
        for part in certificate.cert_chain_pems:
            chain.write(part.bytes())
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    environment = {
        **os.environ,
        "WHEELOVER_ACCOUNTS": "on",
        "WHEELOVER_DATABASE": f"sqlite:///{tmp_path / 's.sqlite3'}",
        "WHEELOVER_TLS_CERTIFICATE": str(tmp_path / "chain.pem"),
        "WHEELOVER_TLS_KEY": str(tmp_path / "key.pem"),
    }
    command = [sys.executable, "-m", "wheelover", "serve", "--port", str(port)]
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            lines = [process.stdout.readline() for _ in range(4)]
            assert f"https://127.0.0.1:{port}/" in lines[0]
            assert "Encrypted link" in lines[1]
            code = re.search(r"code ([A-Z2-9-]{27})", lines[3])
            assert code is not None, lines
            trusted = ssl.create_default_context()
            authority.configure_trust(trusted)
            base = f"https://localhost:{port}/api/v1"
            with httpx.Client(verify=trusted, headers={"X-Wheelover": "1"}) as client:
                body = {"account": "administrator", "code": code[1], "password": PASSWORD}
                assert client.post(f"{base}/session/enrolment", json=body).status_code == 200
                del body["code"]
                signed = client.post(f"{base}/session", json=body)
                assert signed.json()["signed_in"]["account"] == "administrator"
                assert signed.json()["link"] == "tls"
                assert client.get(f"{base}/accounts").status_code == 200
            assert not list(tmp_path.glob("*.first-code")) or code[1] in (
                next(tmp_path.glob("*.first-code")).read_text()
            )
        finally:
            process.terminate()
            process.wait(timeout=30)
