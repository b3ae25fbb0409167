"""OWASP ASVS 5.0 as a table (asvs.csv), held together, and the requirements a machine can see.

A row that says `met` names a test that there is; any other row says why in words.
"""

import ast
import contextlib
import csv
import re
import socket
import ssl
from pathlib import Path
from urllib.parse import urlsplit

import pytest
import trustme

from tests.access.people import House, grant
from tests.api.conftest import Client, send
from tests.running import running
from wheelover.api import create_app
from wheelover.api.schemas import people
from wheelover.cli import serve

ROOT = Path(__file__).parents[2]
SERVICE = ROOT / "service" / "wheelover"
PYTHON = sorted(SERVICE.rglob("*.py"))
LINES = (Path(__file__).parent / "asvs.csv").read_text().splitlines()
ROWS = list(csv.DictReader(line for line in LINES if not line.startswith("#")))
LEVEL_1_AND_2_COUNT = 253


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_every_row_has_its_test_or_its_reason(row: dict[str, str]) -> None:
    assert row["status"] in ("met", "partly", "none")
    if row["status"] != "met":
        assert len(row["reason"]) > 5
    if row["status"] == "met":
        assert row["test"]
    if row["test"]:
        file, _, name = row["test"].partition("::")
        text = (ROOT / file).read_text()
        assert f"def {name or 'test_'}" in text, row["test"]


def test_every_requirement_of_both_levels_stands_once() -> None:
    ids = [row["id"] for row in ROWS]
    assert len(set(ids)) == len(ids)
    chosen = [row for row in ROWS if "(L3)" in row["requirement"]]
    assert len(ROWS) - len(chosen) == LEVEL_1_AND_2_COUNT


def _calls(name: str) -> list[tuple[Path, ast.Call]]:
    """Return every call of a function or method of a name in the service."""
    found = []
    for path in PYTHON:
        for node in ast.walk(ast.parse(path.read_text())):
            called = node.func if isinstance(node, ast.Call) else None
            if getattr(called, "attr", getattr(called, "id", None)) == name:
                assert isinstance(node, ast.Call)
                found.append((path, node))
    return found


TAKES_NO_PARAMETER = re.compile(
    r"""f['"](PRAGMA|SET LOCAL|SELECT pg_advisory_xact_lock\(|ALTER TABLE|DROP TABLE)"""
)
"""Statements that take no values apart; what stands in ours are constants and own tables."""


def test_no_sql_is_put_together_from_text() -> None:
    """Values go apart from the statement. Migrations hold no input."""
    made_of_text = [
        (path.name, call.lineno, ast.unparse(part))
        for name in ("execute", "exec_driver_sql")
        for path, call in _calls(name)
        for part in ast.walk(call)
        if isinstance(part, ast.JoinedStr)
        and "migrations" not in path.parts
        and not TAKES_NO_PARAMETER.match(ast.unparse(part))
    ]
    assert made_of_text == []


def test_the_service_starts_no_command() -> None:
    for name in ("system", "popen"):
        assert _calls(name) == []
    for path in PYTHON:
        assert "shell=True" not in path.read_text(), path


def test_no_code_is_made_of_text() -> None:
    for name in ("eval", "exec", "__import__"):
        assert _calls(name) == []
    for path in PYTHON:
        assert not re.search(r"^\s*(import|from) (pickle|marshal|shelve)\b", path.read_text(), re.M)
    for path in (ROOT / "web").rglob("*.js"):
        text = path.read_text()
        made = r"\beval\(|new Function|(innerHTML|outerHTML)\s*\+?=[^=]|insertAdjacentHTML"
        assert not re.search(made, text), path


READS_OWN_BYTES = "frozen.py"
"""Reads frozen documents and blobs, canonical bytes of ours that were held against their digest."""


def test_json_and_xml_are_read_in_one_place() -> None:
    for path in PYTHON:
        if "formats" not in path.parts:
            text = path.read_text()
            assert "json.loads" not in text or path.name == READS_OWN_BYTES, path
            assert not re.search(r"^\s*(import|from) (xml|lxml|defusedxml)\b", text, re.M), path


def test_addresses_of_the_page_are_encoded() -> None:
    for path in (ROOT / "web").rglob("*.js"):
        for part in re.findall(r"/(?:plans|ships|hazard-sets)/\$\{([^}]*)\}", path.read_text()):
            assert part.startswith("encodeURIComponent("), (path.name, part)


def test_no_script_stands_in_the_page() -> None:
    page = (ROOT / "web" / "index.html").read_text()
    assert re.findall(r"<script(?![^>]*\bsrc=)", page) == []
    assert re.findall(r"\son\w+=", page) == []
    assert re.findall(r"\sstyle=|<style|<object|<embed|<applet", page) == []


def test_password_fields_hide_and_take_a_paste() -> None:
    text = (ROOT / "web" / "js" / "panels" / "sign_in.js").read_text()
    fields = re.findall(
        r'field\([`"][^`"]*[Pp]assword[^`"]*[`"], "\w+", "(\w+)", (\{[^}]*\})', text
    )
    assert len(fields) == 3
    for kind, more in fields:
        assert kind == "password"
        assert re.search(r'autocomplete: "(current|new)-password"', more)
    assert "paste:" not in text
    assert "maxlength" not in text


def test_passwords_do_not_run_out(house: House) -> None:
    house.account("berg", grant("navigator", "own"))
    house.clock.pass_by(5 * 365 * 24 * 3600)
    assert house.browser().sign_in("berg").status_code == 200
    members = {
        name
        for model in (people.AccountIn, people.AccountChangeIn, people.EnrolmentIn)
        for name in model.model_fields
    }
    assert not {"hint", "question", "answer"} & members


def test_chance_is_secure() -> None:
    for path in PYTHON:
        if {"accounts", "store", "api"} & set(path.parts):
            assert not re.search(r"^\s*(import|from) random\b", path.read_text(), re.M), path
    text = (SERVICE / "usecases" / "accounts" / "signed_in.py").read_text()
    assert "secrets.token_urlsafe(32)" in text


def test_no_weak_hash_is_used() -> None:
    for path in PYTHON:
        assert not re.search(r"\b(md5|sha1|DES|RC4|ECB)\(", path.read_text()), path


def test_keys_are_listed() -> None:
    listed = (ROOT / "DEVELOPERS.md").read_text().partition("## Keys")[2].partition("\n## ")[0]
    for word in ("argon2id", "Fernet", "HMAC", "SHA-256", "256 bits", "TLS", ".key", "reset"):
        assert word in listed, word


def test_what_is_written_down() -> None:
    text = (ROOT / "README.md").read_text().partition("## People")[2].partition("\n## ")[0]
    for words in (
        "one-time code",
        "15 minutes",
        "12 hours",
        "as many browsers",
        "ten a minute",
        "names of the account",
        "wheelover account",
        "Authorization: Bearer",
        "provider",
        "audit log",
        "standard error",
    ):
        assert words in text, words


def test_a_line_of_the_log_stays_one_line(house: House, caplog: pytest.LogCaptureFixture) -> None:
    browser = house.browser()
    browser.sign_in("x\nWARNING forged %s %(name)s", "y\r\nWARNING forged")
    browser.get("/plans%0aWARNING%20forged")
    assert caplog.records
    for record in caplog.records:
        assert "\n" not in record.getMessage()
        assert "forged" not in record.getMessage()


@pytest.mark.parametrize("path", ["/static/", "/static/js", "/static/js/", "/vendor/leaflet/"])
def test_no_folder_is_listed(client: Client, path: str) -> None:
    assert client.get(path).status_code == 404


def test_no_trace(client: Client) -> None:
    for path in ("/", "/api/v1/plan", "/api/v1/session"):
        assert client.send("TRACE", path).status_code == 405


@pytest.mark.parametrize("path", ["/docs", "/redoc", "/api/v1/docs", "/metrics", "/.git/config"])
def test_no_documentation_page(client: Client, path: str) -> None:
    assert client.get(path).status_code == 404


def test_no_secret_goes_into_an_address() -> None:
    for path, operations in create_app().openapi()["paths"].items():
        for operation in operations.values():
            for one in operation.get("parameters", ()):
                secret = re.search(r"password|token|secret|api.?key|one_time", one["name"])
                assert secret is None, (path, one["name"])


@pytest.fixture
def https(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ssl.SSLContext:
    """Give the context of https as ``serve`` sets it."""
    certificate = trustme.CA().issue_cert("localhost")
    certificate.private_key_pem.write_to_path(tmp_path / "key.pem")
    certificate.cert_chain_pems[0].write_to_path(tmp_path / "chain.pem")
    monkeypatch.setenv("WHEELOVER_TLS_CERTIFICATE", str(tmp_path / "chain.pem"))
    monkeypatch.setenv("WHEELOVER_TLS_KEY", str(tmp_path / "key.pem"))
    config = serve._config(create_app(), "127.0.0.1", 0)
    config.load()
    assert config.ssl is not None
    return config.ssl


def test_old_tls_is_not_spoken(https: ssl.SSLContext) -> None:
    assert https.minimum_version >= ssl.TLSVersion.TLSv1_2


def _agreed(https: ssl.SSLContext, ciphers: str) -> str | None:
    """Return what a client of TLS 1.2 with these ciphers agrees on, None where on nothing."""
    asking = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    asking.check_hostname, asking.verify_mode = False, ssl.CERT_NONE
    asking.maximum_version = ssl.TLSVersion.TLSv1_2
    asking.set_ciphers(ciphers)
    there, back = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = asking.wrap_bio(back, there)
    server = https.wrap_bio(there, back, server_side=True)
    try:
        for _ in range(3):
            for one in (client, server):
                with contextlib.suppress(ssl.SSLWantReadError):
                    one.do_handshake()
    except ssl.SSLError:
        return None
    cipher = client.cipher()
    return None if cipher is None else cipher[0]


def test_only_ciphers_of_the_recommendation_are_spoken(https: ssl.SSLContext) -> None:
    """RFC 9325, 4.1 and 4.2: forward secrecy and AEAD; no NULL, nobody unnamed, no CBC."""
    for good in ("ECDHE-ECDSA-AES128-GCM-SHA256", "ECDHE-ECDSA-AES256-GCM-SHA384"):
        assert _agreed(https, good) == good
    for bad in (
        "ECDHE-ECDSA-AES128-SHA",
        "ECDHE-ECDSA-AES256-SHA384",
        "ECDHE-ECDSA-NULL-SHA:@SECLEVEL=0",
        "AECDH-AES128-SHA:@SECLEVEL=0",
    ):
        assert _agreed(https, bad) is None, bad
    for one in https.get_ciphers():
        assert one["aead"], one["name"]
        assert one["kea"] in ("kx-ecdhe", "kx-any"), one["name"]
        assert one["auth"] in ("auth-rsa", "auth-ecdsa", "auth-any"), one["name"]


SMUGGLED = [
    b"Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\nGET / HTTP/1.1\r\n\r\n",
    b"Content-Length: 4\r\nContent-Length: 40\r\n\r\nabcd",
    b"Content-Length: -4\r\n\r\nabcd",
    b"Transfer-Encoding: chunked, identity\r\n\r\n0\r\n\r\n",
]


def test_two_lengths_are_refused(tmp_path: Path) -> None:
    """A body of two lengths is one request to some and two to others; it is no request here."""
    with running(f"sqlite:///{tmp_path / 'x.sqlite3'}") as address:
        place = urlsplit(address)
        for more in SMUGGLED:
            with socket.create_connection((place.hostname, place.port), timeout=20) as sent:
                head = f"POST /api/v1/plan HTTP/1.1\r\nHost: {place.netloc}\r\nX-Wheelover: 1\r\n"
                sent.sendall(head.encode() + more)
                told = b""
                while part := sent.recv(4096):
                    told += part
                    if b"\r\n\r\n" in told:
                        break
            assert told.startswith(b"HTTP/1.1 400"), (more, told[:80])


def test_the_page_needs_no_other_header_than_ours() -> None:
    """What every answer carries holds for the page itself too, whatever its status."""
    for method, path in (("GET", "/"), ("POST", "/"), ("GET", "/nowhere")):
        headers = send(create_app(), method, path).headers
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "object-src 'none'" in headers["content-security-policy"]
