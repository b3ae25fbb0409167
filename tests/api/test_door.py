"""The door: origin, host, size, headers, and errors of the framework itself."""

import socket
from pathlib import Path

import pytest
from fastapi import APIRouter, FastAPI

from tests.api.conftest import Client, send
from wheelover.api import create_app
from wheelover.api.guard import SECURITY_HEADERS
from wheelover.api.guarded import take
from wheelover.api.page_files import PageFiles
from wheelover.cli import main
from wheelover.store import StoreRefused


def test_alive(client: Client) -> None:
    assert client.get("/healthz").json() == {"status": "alive"}


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/static/js/main.js",
        "/healthz",
        "/nowhere",
        "/vendor/leaflet/leaflet.css",
        "/api/v1/openapi.json",
    ],
)
def test_every_answer_carries_the_headers(client: Client, path: str) -> None:
    headers = client.get(path).headers
    for name, value in SECURITY_HEADERS.items():
        assert headers[name] == value


def test_answers_are_compressed_for_who_asks_for_it(client: Client) -> None:
    packed = client.get("/static/js/main.js", headers={"accept-encoding": "gzip"})
    plain = client.get("/static/js/main.js", headers={"accept-encoding": "identity"})
    assert packed.headers["content-encoding"] == "gzip"
    assert "content-encoding" not in plain.headers
    assert packed.content == plain.content


def test_files_of_the_page_are_kept_until_another_version_runs(client: Client) -> None:
    """RFC 9111 5.2.2, RFC 8246: a place that holds its version is never asked for again."""
    page = client.get("/").text
    place = page.split('type="module" src="')[1].split('"')[0]
    lasting = client.get(place)
    plain = client.get("/static/js/main.js")
    assert place.startswith("/static/v-")
    assert "immutable" in lasting.headers["cache-control"]
    assert plain.headers["cache-control"] == "no-cache"
    assert lasting.content == plain.content
    held = {"if-none-match": plain.headers["etag"]}
    assert client.get("/static/js/main.js", headers=held).status_code == 304
    other = client.get("/static/v-of-another-time/js/main.js")
    assert other.content == plain.content
    assert other.headers["cache-control"] == "no-cache"
    assert '"/static/' not in page.replace(place.split("/js/")[0], "")


def test_a_place_that_asks_nobody_is_not_taken_in() -> None:
    router = APIRouter()
    router.add_api_route("/open", lambda: "to everybody")
    with pytest.raises(TypeError, match="not guarded"):
        take(FastAPI(), router)


def test_a_file_that_changed_is_read_again(tmp_path: Path) -> None:
    (tmp_path / "one.css").write_text("a{}")
    app = FastAPI()
    app.mount("/static", PageFiles(tmp_path))
    files = Client(app)
    before = files.get("/static/one.css")
    (tmp_path / "one.css").write_text("a{color:red}")
    after = files.get("/static/one.css")
    assert before.text == "a{}"
    assert after.text == "a{color:red}"
    assert before.headers["etag"] != after.headers["etag"]


def test_a_file_of_another_version_is_not_kept_under_this_one(tmp_path: Path) -> None:
    for name in ("one.css", "two.css"):
        (tmp_path / name).write_text("a{}" * 999)
    page_files = PageFiles(tmp_path)
    app = FastAPI()
    app.mount("/static", page_files)
    files = Client(app)
    assert "immutable" in files.get(f"{page_files.place}/one.css").headers["cache-control"]
    (tmp_path / "one.css").write_text("b{}")
    (tmp_path / "two.css").unlink()
    assert files.get(f"{page_files.place}/one.css").headers["cache-control"] == "no-cache"
    assert send(app, "GET", f"{page_files.place}/two.css").status_code == 404


@pytest.mark.parametrize(("asks", "packed"), [("gzip", True), ("gzip;q=0", False), ("br", False)])
def test_a_file_is_packed_for_who_takes_it(client: Client, asks: str, *, packed: bool) -> None:
    """RFC 9110 12.5.3 and 12.5.5: a weight of nothing refuses, and Vary is said once."""
    answer = client.get("/static/js/main.js", headers={"accept-encoding": asks})
    assert (answer.headers.get("content-encoding") == "gzip") == packed
    assert answer.headers.get_list("vary") == ["Accept-Encoding"]


def test_a_service_that_cannot_compute_is_not_ready() -> None:
    app = create_app()
    assert send(app, "GET", "/readyz").status_code == 200
    app.state.fault = "OSError: no such loop"
    answer = send(app, "GET", "/readyz")
    assert answer.status_code == 503
    assert "no such loop" in answer.json()["detail"]


def test_nothing_and_no_such_method(client: Client) -> None:
    assert client.get("/api/v1/nowhere").status_code == 404
    assert client.get("/static/../pyproject.toml").status_code == 404
    assert client.get("/static/%2e%2e/pyproject.toml").status_code == 404
    answer = client.get("/api/v1/plan")
    assert answer.status_code == 405
    assert answer.headers["allow"] == "POST"


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://["},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"x-wheelover": "0"},
    ],
)
def test_foreign_pages_are_refused(client: Client, headers: dict[str, str]) -> None:
    answer = client.send("POST", "/api/v1/plan", json={}, headers=headers)
    assert answer.status_code == 403


def test_a_page_of_ours_may_ask(client: Client) -> None:
    headers = {"origin": "http://127.0.0.1", "sec-fetch-site": "same-origin"}
    assert client.send("POST", "/api/v1/plan", json={}, headers=headers).status_code == 422


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "", "[", "[::1"])
def test_foreign_hosts_are_refused(client: Client, host: str) -> None:
    assert client.get("/healthz", headers={"host": host}).status_code == 421


def test_a_large_upload_is_refused_by_its_length(client: Client) -> None:
    """64 MB declared: answered without a byte of it being read."""

    async def body():
        raise AssertionError("the body was read")
        yield b""

    answer = client.send(
        "POST",
        "/api/v1/routes/read",
        content=body(),
        headers={"content-length": str(64 * 2**20), "content-type": "multipart/form-data"},
    )
    assert answer.status_code == 413


def test_a_large_upload_without_a_length_is_cut_off(client: Client) -> None:
    sent = 0

    async def body():
        nonlocal sent
        for _ in range(64):
            sent += 1
            yield b" " * 2**20

    headers = {"content-type": "application/json"}
    answer = client.send("POST", "/api/v1/plan", content=body(), headers=headers)
    assert answer.status_code == 413
    assert sent <= 22


def test_a_large_upload_without_a_length_is_cut_off_in_a_form_too(client: Client) -> None:
    async def body():
        yield b'--x\r\nContent-Disposition: form-data; name="file"; filename="a"\r\n\r\n'
        for _ in range(64):
            yield b" " * 2**20

    headers = {"content-type": "multipart/form-data; boundary=x"}
    answer = client.send("POST", "/api/v1/routes/read", content=body(), headers=headers)
    assert answer.status_code == 413


@pytest.mark.parametrize("kind", ["application/json", "text/csv", "", "application/x-www-form"])
def test_a_file_comes_as_a_form(client: Client, kind: str) -> None:
    headers = {"content-type": kind}
    answer = client.send("POST", "/api/v1/routes/read", content=b"lat,lon\n1,1", headers=headers)
    assert answer.status_code == 415


def test_damaged_forms_and_doubled_files(client: Client) -> None:
    headers = {"content-type": "multipart/form-data"}
    answer = client.send("POST", "/api/v1/routes/read", content=b"--x", headers=headers)
    assert answer.status_code == 422
    files = [("file", ("a.csv", b"lat,lon\n1,1")), ("file", ("b.csv", b"lat,lon\n2,2"))]
    answer = client.send("POST", "/api/v1/routes/read", files=files)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/file"


def test_read_wants_its_field(client: Client) -> None:
    answer = client.send("POST", "/api/v1/routes/read", files={"other": ("a", b"b")})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/file"


@pytest.mark.parametrize("path", ["/", "/healthz", "/api/v1/plans", "/api/v1/demonstration"])
def test_what_can_be_read_can_be_asked_for_its_headers(client: Client, path: str) -> None:
    head, get = client.send("HEAD", path), client.get(path)
    assert (head.status_code, head.content) == (200, b"")
    for name in ("content-type", "content-security-policy"):
        assert head.headers[name] == get.headers[name]
    assert client.app is not None
    assert send(client.app, "HEAD", "/api/v1/plan").status_code == 405


def test_openapi_names_every_place_and_resolves(client: Client) -> None:
    description = client.get("/api/v1/openapi.json").json()
    contract = {
        "/healthz",
        "/readyz",
        "/api/v1/plan",
        "/api/v1/routes/read",
        "/api/v1/ships",
        "/api/v1/ships/{item_id}",
        "/api/v1/hazard-sets",
        "/api/v1/hazard-sets/{item_id}",
        "/api/v1/plans",
        "/api/v1/plans/{plan_id}",
        "/api/v1/plans/{plan_id}/revisions",
        "/api/v1/plans/{plan_id}/revisions/{number}",
    }
    assert contract <= set(description["paths"])
    models = description["components"]["schemas"]
    for reference in _references(description):
        assert reference.removeprefix("#/components/schemas/") in models


def _references(value: object) -> list[str]:
    if isinstance(value, dict):
        own = [value["$ref"]] if isinstance(value.get("$ref"), str) else []
        return own + [one for member in value.values() for one in _references(member)]
    if isinstance(value, list):
        return [one for member in value for one in _references(member)]
    return []


def test_a_fault_of_ours_tells_nothing_of_the_house(monkeypatch: pytest.MonkeyPatch) -> None:
    from wheelover.api.routers import page  # noqa: PLC0415

    def broken(_samples: object) -> None:
        raise RuntimeError("secret at /somewhere/inside")

    monkeypatch.setattr(page, "demonstration", broken)
    answer = send(create_app(), "GET", "/api/v1/demonstration")
    assert answer.status_code == 500
    Client.assert_problem(answer)
    assert "secret" not in answer.text


@pytest.mark.parametrize(
    "url", ["postgresql://127.0.0.1/x", "sqlite://", "nonsense", "sqlite:////proc/none/x.sqlite3"]
)
def test_a_database_that_cannot_be_used_is_not_taken_in_silence(url: str) -> None:
    with pytest.raises(StoreRefused):
        create_app(url)


def test_a_port_in_use_is_said_and_no_address_is_printed(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        assert main(["serve", "--port", str(taken.getsockname()[1])]) == 3
    told = capsys.readouterr()
    assert "Open http" not in told.out
    assert "--port" in told.err


def test_no_address_but_loopback(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["serve", "--host", "0.0.0.0"]) == 2  # noqa: S104
    assert "loopback" in capsys.readouterr().err
