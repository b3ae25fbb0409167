"""Every route of the OpenAPI document, for every role and key, on the own ship and on another.

``matrix.csv`` says by hand who may do what; it is not made from the rules it is held against. A
route of the document without a row there, or without a rule, fails.
"""

import csv
import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import httpx
import pytest

from tests import zoo
from tests.access.people import PASSWORD, Browser, House, grant
from tests.api.keeping import SHIP, hazards
from tests.charts.cells import reading_of, rich_cell
from wheelover.api import access, create_app
from wheelover.api.routers import page
from wheelover.core.types.people import Person
from wheelover.formats.cell_document import cell_bytes
from wheelover.formats.parcel import fingerprint_of, public_of
from wheelover.store.charts import ChartContents
from wheelover.usecases.accounts.keys import make_key
from wheelover.usecases.accounts.signed_in import start_session
from wheelover.usecases.accounts.where import Where
from wheelover.usecases.parcels.pairing import Card, pair

ROLES = ("reader", "navigator", "master", "superintendent", "administrator")
SCOPES = ("read", "write", "parcel")
ROWS = list(csv.DictReader((Path(__file__).parent / "matrix.csv").read_text().splitlines()))
SIGNED = (
    "/decisions",
    "/checks",
    "/sign-offs",
    "/conflicts/{conflict_id}",
    "/shore-decisions",
    "/answers",
)
RANDOM = "plan-0123456789abcdef0123"
SAID = json.dumps(
    {
        "about": {"scale": 1},
        "outline": None,
        "outline_simplified": False,
        "counts": {},
        "files": [],
        "lines": [],
        "remarks": [],
    }
)
"""What a list says of a cell of which it says nothing."""


def of_a_ship(row: dict[str, str]) -> bool:
    """Return whether a place is about one ship; ``any`` takes what says itself whose it is."""
    return row["on"] not in ("nothing", "any")


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """What is on one ship, to fill the paths with."""

    vessel_id: str
    plan: str
    ship: str
    hazard_set: str
    limit_set: str
    chart: str
    peer: str

    def of(self, on: str) -> str:
        things = {"plan": self.plan, "ship": self.ship, "hazard set": self.hazard_set}
        more = {"limit set": self.limit_set, "chart": self.chart, "peer": self.peer}
        return {**things, **more}[on]


class Ships:
    """Two ships of two fleets with everything on each, and everybody on the first one."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.own = self._filled("own fleet")
        self.other = self._filled("another fleet")
        self.accounts = {role: house.account(f"one-{role}", self._grant(role)) for role in ROLES}
        self.keys = {scope: self._key(scope) for scope in SCOPES}

    def _key(self, scope: str) -> str:
        by, own = self.accounts["administrator"], self.own.vessel_id
        made = make_key(self.house.store, scope, (scope,), "vessel", own, 9, by, self.house.clock())
        return made[1]

    def _grant(self, role: str) -> Any:
        from wheelover.store.accounts import Grant  # noqa: PLC0415

        if role == "administrator":
            return Grant(role=role, reach="all")
        return grant(role, self.own.vessel_id)

    def _filled(self, fleet: str) -> Thing:
        vessel_id = self.house.vessel(f"Ship of {fleet}", fleet)
        name = f"filler-{fleet.partition(' ')[0]}"
        self.house.account(name, grant("navigator", vessel_id))
        browser = self.as_account(name)
        plan = browser.post("/plans", zoo.request())
        ship = browser.post("/ships", SHIP)
        hazard_set = browser.post("/hazard-sets", {"name": fleet, "hazards": hazards((1.0, 2.0))})
        limit_set = browser.post("/limit-sets", {"name": fleet, "open": {"min_ukc_m": 2.0}})
        made = [one.json()["id"] for one in (plan, ship, hazard_set, limit_set)]
        assert browser.post(f"/plans/{made[0]}/revisions").status_code == 201
        assert browser.send("DELETE", f"/api/v1/plans/{made[0]}/pen").status_code == 200
        return Thing(
            vessel_id=vessel_id,
            plan=made[0],
            ship=made[1],
            hazard_set=made[2],
            limit_set=made[3],
            chart=self._charted(fleet, vessel_id),
            peer=self._paired(fleet, vessel_id),
        )

    def _charted(self, fleet: str, vessel_id: str) -> str:
        """Keep a chart cell of a ship and return its id."""
        contents = ChartContents(
            name=fleet.upper().replace(" ", "-"),
            producer_edition=1,
            producer_update=0,
            sha256="",
            object_count=0,
            box_deg=(0.0, 0.0, 1.0, 1.0),
            said=SAID,
        )
        with self.house.store.writing() as unit:
            body = cell_bytes(reading_of(rich_cell().base()).cell)
            kept = replace(contents, sha256=unit.blobs.put(body))
            return unit.charts.keep(kept, self.house.clock(), vessel_id).id

    def _paired(self, fleet: str, vessel_id: str) -> str:
        """Pair with another installation of a ship and return its id."""
        public_key = public_of(hashlib.sha256(fleet.encode()).digest())
        card = Card(
            id=f"wo-{fleet.partition(' ')[0]}", name=fleet, side="ship", public_key=public_key.hex()
        )
        read = fingerprint_of(card.id, card.side, public_key)
        store, now_utc = self.house.store, self.house.clock()
        return str(pair(store, card, read, vessel_id, Person(name="x"), now_utc)["id"])

    def as_account(self, name: str, locked: bool = False) -> Browser:
        """Return a browser with a new session of an account."""
        browser = self.house.browser()
        where = Where(address="10.0.0.1", now_utc=self.house.clock())
        with self.house.store.writing() as unit:
            account = unit.accounts.named(name)
            assert account is not None
            token = start_session(unit, account, where).token
        browser.cookies.set(self.house.app.state.door.cookie, token)
        if locked:
            self.house.clock.pass_by(15 * 60)
        return browser

    def as_key(self, scope: str) -> Browser:
        browser = self.house.browser()
        browser.headers["Authorization"] = f"Bearer {self.keys[scope]}"
        return browser


@pytest.fixture(scope="module")
def ships(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ships]:
    with pytest.MonkeyPatch.context() as patch:
        house = House(patch, f"sqlite:///{tmp_path_factory.mktemp('matrix') / 'm.sqlite3'}")
        yield Ships(house)
        house.store.close()


def ask(browser: Browser, row: dict[str, str], thing: Thing | None) -> httpx.Response:
    """Send the request of a row about what is on a ship; without one, about a random id."""
    names = {
        "number": "1",
        "format_name": "csv",
        "zoom": "3",
        "column": "3",
        "row": "2",
        "account_id": RANDOM,
        "key_id": RANDOM,
        "webhook_id": RANDOM,
        "thread_id": RANDOM,
        "peer_id": RANDOM,
        "sequence": "1",
        "upload_id": "0" * 64,
        "conflict_id": RANDOM,
        "sha256": "0" * 64,
        "explanation_id": RANDOM,
        "import_id": RANDOM,
        "watch": "waits-for-a-file-0",
        "vessel_id": RANDOM,
    }
    query = ""
    if row["on"] in ("plan", "ship", "hazard set", "limit set", "chart", "peer"):
        named = {"plan": "plan_id", "chart": "chart_id", "peer": "peer_id"}
        name = named.get(row["on"], "item_id")
        names[name] = RANDOM if thing is None else thing.of(row["on"])
    elif row["on"] == "query":
        query = f"?vessel_id={RANDOM if thing is None else thing.vessel_id}"
    more: dict[str, Any] = {}
    if row["path"].endswith(SIGNED):
        # The role that counts is that of whose password is typed: here, of who is signed in.
        more["json"] = {"words": "x", "by": {"password": PASSWORD}}
        if row["path"].endswith("/shore-decisions"):
            more["json"]["kind"] = "read"
        if row["path"].endswith("/answers"):
            more["json"]["answer"] = "accepted"
        if row["path"].endswith("/decisions"):
            more["json"]["kind"] = "return"
            more["headers"] = {"If-Match": '"as read"'}
        if row["path"].endswith("/conflicts/{conflict_id}"):
            more["json"]["pick"] = "here"
    return browser.send(row["method"], row["path"].format(**names) + query, **more)


def refusal(answer: httpx.Response) -> str | None:
    """Return how access was refused, None when the request was let through to its place."""
    if answer.status_code < 400:
        return None
    body = answer.json()
    kind = str(body["type"]).removeprefix("/problems/")
    if kind in ("not-signed-in", "not-allowed", "session-locked"):
        return kind
    return "not-there" if body["detail"] == access.NOTHING_THERE else None


def label(row: dict[str, str]) -> str:
    return f"{row['method']} {row['path']}"


def everybody(ships: Ships) -> Iterator[tuple[str, str, Browser]]:
    for role in ROLES:
        yield "roles", role, ships.as_account(f"one-{role}")
    for scope in SCOPES:
        yield "keys", scope, ships.as_key(scope)


def test_every_route_has_a_row_and_a_rule() -> None:
    document = create_app().openapi()
    routes = {
        (method.upper(), path) for path, places in document["paths"].items() for method in places
    }
    assert routes - {(row["method"], row["path"]) for row in ROWS} == set(), "not in matrix.csv"
    assert {(row["method"], row["path"]) for row in ROWS} - routes == set(), "no such route"
    assert routes - set(access.RULES) == set(), "no rule in api/access.py"
    pages = {("GET", one.path) for one in page.router.routes if one.path not in document["paths"]}
    assert set(access.RULES) - routes == pages, "a rule for nothing, or a page without one"


def test_a_place_without_a_rule_is_closed_to_everybody(house: House) -> None:
    @house.app.get("/api/v1/new-place")
    def new_place() -> str:
        return "secret"

    ships = Ships(house)
    for _, name, browser in everybody(ships):
        answer = browser.get("/new-place")
        assert answer.status_code == 403, name
        assert "secret" not in answer.text
    assert house.browser().get("/new-place").status_code == 401


@pytest.mark.parametrize("row", ROWS, ids=label)
def test_own_ship(ships: Ships, row: dict[str, str]) -> None:
    is_open = row["roles"] == "open"
    nobody = refusal(ask(ships.house.browser(), row, ships.own))
    assert nobody == (None if is_open else "not-signed-in")
    for kind, name, browser in everybody(ships):
        answer = ask(browser, row, ships.own)
        found = refusal(answer)
        if is_open or name in row[kind].split():
            assert found is None, (name, answer.text)
        elif name == "administrator" and of_a_ship(row) and "POST" not in row["method"]:
            assert found == "not-there", (name, answer.text)
        else:
            assert found in ("not-allowed", "not-there", "not-signed-in"), (name, answer.text)
            _names_what_is_needed(row, kind, name, answer, found)


def _names_what_is_needed(
    row: dict[str, str], kind: str, name: str, answer: httpx.Response, found: str
) -> None:
    """What may be seen and not done is refused with the role or scope that may."""
    sees = name != "administrator" or not of_a_ship(row)
    if row["path"].startswith("/api/v1/session") and kind == "keys":
        assert found in ("not-allowed", "not-signed-in")
        return
    assert found == ("not-allowed" if sees else "not-there"), answer.text
    if found != "not-allowed":
        return
    detail = answer.json()["detail"]
    if kind == "roles":
        assert all(role in detail for role in row["roles"].split()), detail
    elif row["keys"]:
        assert all(scope in detail for scope in row["keys"].split() if scope == "write"), detail
    else:
        assert "No key" in detail


@pytest.mark.parametrize("row", [one for one in ROWS if of_a_ship(one)], ids=label)
def test_another_ship_is_not_there(ships: Ships, row: dict[str, str]) -> None:
    """Of another ship's id and of one that is made up, the answers differ in no byte."""
    for _, name, browser in everybody(ships):
        foreign, random = ask(browser, row, ships.other), ask(browser, row, None)
        assert foreign.status_code == 404, (name, foreign.text)
        assert refusal(foreign) == "not-there"
        assert foreign.content == random.content, name
        assert foreign.headers == random.headers, name


@pytest.mark.parametrize("row", ROWS, ids=label)
def test_a_locked_session_reads_and_changes_nothing(ships: Ships, row: dict[str, str]) -> None:
    if row["roles"] == "open" or "master" not in row["roles"].split():
        return
    found = refusal(ask(ships.as_account("one-master", locked=True), row, ships.own))
    changes = row["method"] != "GET"
    harmless = row["path"].startswith("/api/v1/session") or (
        row["on"] == "nothing" and row["method"] == "POST"
    )
    assert found == ("session-locked" if changes and not harmless else None)


def test_lists_show_what_is_visible_and_nothing_else(ships: Ships) -> None:
    own, other = ships.own, ships.other
    for _, name, browser in everybody(ships):
        for place, mine, theirs in (
            ("plans", own.plan, other.plan),
            ("ships", own.ship, other.ship),
            ("hazard-sets", own.hazard_set, other.hazard_set),
            ("limit-sets", own.limit_set, other.limit_set),
            ("charts", own.chart, other.chart),
            ("peers", own.peer, other.peer),
        ):
            items = browser.get(f"/{place}").json()["items"]
            ids = [one["id"] for one in items]
            if (name, place) == ("administrator", "peers"):
                assert {mine, theirs} <= set(ids)
                continue
            assert theirs not in ids, (name, place)
            assert (mine in ids) is (name != "administrator"), (name, place)
        vessels = [one["id"] for one in browser.get("/vessels").json()["items"]]
        if name == "administrator":
            assert {own.vessel_id, other.vessel_id} <= set(vessels)
        else:
            assert vessels == [own.vessel_id]


def test_a_plan_uses_no_ship_or_hazard_set_of_another_vessel(ships: Ships) -> None:
    browser = ships.as_account("one-navigator")
    bare = {name: value for name, value in zoo.request().items() if name not in ("ship", "hazards")}
    for member, mine, theirs in (
        ("ship_id", ships.own.ship, ships.other.ship),
        ("hazard_set_ids", [ships.own.hazard_set], [ships.other.hazard_set]),
        ("limit_set_id", ships.own.limit_set, ships.other.limit_set),
        ("chart_ids", [ships.own.chart], [ships.other.chart]),
    ):
        for place in ("/plan", "/plans"):
            made_up = ["set-0"] if isinstance(mine, list) else f"{mine.partition('-')[0]}-0"
            refused = browser.post(place, {**bare, member: theirs})
            random = browser.post(place, {**bare, member: made_up})
            assert (refused.status_code, random.status_code) == (404, 404)
            theirs_id = theirs if isinstance(theirs, str) else theirs[0]
            random_id = made_up if isinstance(made_up, str) else made_up[0]
            assert refused.text.replace(theirs_id, "*") == random.text.replace(random_id, "*")
            assert browser.post(place, {**bare, member: mine}).status_code < 300


def test_a_role_on_a_fleet_follows_the_vessel(ships: Ships) -> None:
    from wheelover.store.accounts import Grant  # noqa: PLC0415

    house = ships.house
    house.account("fleet-supt", Grant(role="superintendent", reach="fleet", of="own fleet"))
    browser = ships.as_account("fleet-supt")
    assert browser.get(f"/plans/{ships.own.plan}").status_code == 200
    assert browser.get(f"/plans/{ships.other.plan}").status_code == 404
    admin = ships.as_account("one-administrator")
    place = f"/api/v1/vessels/{ships.other.vessel_id}"
    moved = {"name": "Ship of another fleet", "fleet": "own fleet"}
    assert admin.send("PUT", place, json=moved).status_code == 200
    assert browser.get(f"/plans/{ships.other.plan}").status_code == 200
    moved["fleet"] = "another fleet"
    assert admin.send("PUT", place, json=moved).status_code == 200
    assert browser.get(f"/plans/{ships.other.plan}").status_code == 404


def test_what_is_for_all_vessels(ships: Ships) -> None:
    """Everybody on any vessel reads it; shore keeps and renews it; who sees no vessel does not."""
    shore = ships.as_account("one-superintendent")
    made = shore.post("/hazard-sets?vessel_id=all", {"name": "all", "hazards": hazards((3.0, 4.0))})
    assert made.status_code == 201, made.text
    item, tag = made.json()["id"], made.headers["etag"]
    place = f"/api/v1/hazard-sets/{item}"
    body = {"name": "all", "hazards": hazards((3.0, 5.0))}
    for _, name, browser in everybody(ships):
        expected = 404 if name == "administrator" else 200
        assert browser.send("GET", place).status_code == expected, name
        if name != "superintendent":
            changed = browser.send("PUT", place, json=body, headers={"If-Match": tag})
            assert changed.status_code == (404 if name == "administrator" else 403), name
    changed = shore.send("PUT", place, json=body, headers={"If-Match": tag})
    assert changed.status_code == 200


def test_refusals_are_logged(ships: Ships, caplog: pytest.LogCaptureFixture) -> None:
    reader = ships.as_account("one-reader")
    assert reader.post(f"/plans/{ships.own.plan}/undo").status_code == 403
    assert reader.get(f"/plans/{ships.other.plan}").status_code == 404
    lines = [one.getMessage() for one in caplog.records if one.name == "wheelover.access"]
    assert len(lines) == 2
    assert all(ships.accounts["reader"] in line for line in lines)


def test_with_two_vessels_one_is_named(ships: Ships) -> None:
    house = ships.house
    both = (grant("navigator", ships.own.vessel_id), grant("navigator", ships.other.vessel_id))
    house.account("two-ships", *both)
    browser = ships.as_account("two-ships")
    refused = browser.post("/plans", zoo.request())
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "/vessel_id"
    made = browser.post(f"/plans?vessel_id={ships.other.vessel_id}", zoo.request())
    assert made.status_code == 201
    assert ships.as_account("one-reader").get(f"/plans/{made.json()['id']}").status_code == 404


def test_the_log_of_accounts_is_for_administrators(ships: Ships) -> None:
    for _, name, browser in everybody(ships):
        answer = browser.get("/audit?vessel_id=accounts")
        assert answer.status_code == (200 if name == "administrator" else 404), name
    entries = ships.as_account("one-administrator").get("/audit?vessel_id=accounts").json()
    assert "account.added" in str(entries)
