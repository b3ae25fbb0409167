"""The map that stands alone: nothing is fetched, nothing hostile runs, and it says what JSON says.

Content Security Policy: W3C CSP level 3, 2.3.1 (digests of inline scripts). What is markup and what
is text is told by Python's own HTML reader.
"""

import base64
import hashlib
import re
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import zoo
from tests.render.test_exports import REVISION
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.formats.strict_json import read_json
from wheelover.render.exports import ExportFile, Stamp, export_file
from wheelover.render.standalone.drawn import UNITS_IN_DEGREE, beside, middle_deg
from wheelover.render.standalone.tables import places_of
from wheelover.render.standalone.words import readable
from wheelover.usecases.gather import Gathered
from wheelover.usecases.map_parts import map_parts
from wheelover.usecases.plan_route import plan_route

MOST_BYTES = 1_000_000
HOSTILE = [
    "<script>alert(1)</script>",
    "</script><img src=x onerror=alert(1)>",
    "{{ 7 * 7 }}{% endraw %}{% include 'x' %}",
    "' onload='alert(1)",
    '" style="position:fixed',
    "<!--",
    "]]>&lt;b&gt;",
    "\u202egnp.exe\u2028\x00",
]


class Read(HTMLParser):
    """What a page holds: elements with attributes, text, and the text of scripts and styles."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.inner: list[tuple[str, dict[str, str | None], str]] = []
        self.words: list[str] = []
        self.rows: dict[str, list[tuple[dict[str, str | None], str]]] = {}
        self._in: tuple[str, dict[str, str | None]] | None = None
        self._row = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        self._in = (tag, dict(attrs)) if tag in ("script", "style") else None
        if tag == "tr":
            self._row = dict(attrs).get("id") or ""
        if tag in ("td", "th") and self._row:
            self.rows.setdefault(self._row, []).append((dict(attrs), ""))

    def handle_endtag(self, tag: str) -> None:
        self._in = None
        if tag == "tr":
            self._row = ""

    def handle_data(self, data: str) -> None:
        if self._in is not None:
            self.inner.append((*self._in, data))
            return
        self.words.append(data)
        if self._row and self.rows.get(self._row):
            attributes, text = self.rows[self._row][-1]
            self.rows[self._row][-1] = (attributes, text + data)

    def text(self) -> str:
        return " ".join(self.words)

    def drawn(self) -> dict[str, Any]:
        found = [text for tag, pairs, text in self.inner if pairs.get("id") == "drawn"]
        assert len(found) == 1
        body: dict[str, Any] = read_json(found[0].encode())
        return body


def unpacked(shape: dict[str, Any]) -> list[list[float]]:
    """Return every place of a drawn shape: its steps put together again."""
    found: list[list[float]] = []

    def take(part: list[Any]) -> None:
        if isinstance(part[0], list):
            for one in part:
                take(one)
            return
        lon = lat = 0
        for east, north in zip(part[::2], part[1::2], strict=True):
            lon, lat = lon + east, lat + north
            found.append([lon / UNITS_IN_DEGREE, lat / UNITS_IN_DEGREE])

    take(shape["steps"])
    return found


def planned(request: dict[str, Any]) -> dict[str, Any]:
    return plan_route(PlanRequest.model_validate(request).to_core(Gathered(inputs=request)))


def made(request: dict[str, Any], stamp: Stamp = REVISION) -> tuple[ExportFile, dict[str, Any]]:
    result = planned(request)
    return export_file("html", request, result, stamp, parts=map_parts(request)), result


def fifty() -> dict[str, Any]:
    """Return a coasting plan of 50 waypoints with a danger beside each leg, hull and response."""
    waypoints = [
        {
            "id": f"WP{n:02d}",
            "name": f"Turn {n}",
            "lat_deg": 37.2 + n / 12,
            "lon_deg": -9.9 + n % 2 / 14,
            **({"turn_radius_nm": 0.6} if 0 < n < 49 else {}),
        }
        for n in range(50)
    ]
    rocks = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-9.852, 37.24 + n / 12]},
            "properties": {"id": f"rock-{n}", "name": f"Rock {n}", "kind": "rock", "depth_m": 3.0},
        }
        for n in range(49)
    ]
    request = zoo.request(
        route={"name": "Fifty", "waypoints": waypoints},
        hazards={"type": "FeatureCollection", "features": rocks},
    )
    response = zoo.RESPONSE
    request["ship"]["response"] = {
        "k_per_s": response.k_per_s, "t_s": response.t_s, "at_speed_kn": response.at_speed_kn
    }  # fmt: skip
    return request


@pytest.fixture(scope="module")
def zoo_page() -> tuple[Read, dict[str, Any], bytes]:
    file, result = made(zoo.request())
    return Read(file.body.decode("utf-8")), result, file.body


def test_fifty_waypoints_with_coast_and_hull_stay_under_a_megabyte() -> None:
    file, result = made(fifty())
    layers = {one["properties"]["layer"] for one in result["layers"]["features"]}
    assert {"hull", "simulated_track", "hazard", "clearance", "wheel_over_line"} <= layers
    assert len(Read(file.body.decode()).drawn()["coast"]["rings"]) > 5
    assert len(file.body) < MOST_BYTES, f"{len(file.body)} bytes"
    assert file.warnings == ()


def test_nothing_is_fetched(zoo_page: tuple[Read, dict[str, Any], bytes]) -> None:
    page, _, _ = zoo_page
    for tag, pairs in page.elements:
        assert tag not in ("link", "img", "iframe", "object", "embed", "base", "form", "audio")
        assert "src" not in pairs
        assert not any(name.startswith("on") or name == "style" for name in pairs), (tag, pairs)
        assert (pairs.get("href") or "#").startswith("#")
    for tag, _, text in page.inner:
        if tag == "style":
            assert not re.search(r"url\(|@import|expression", text)
            assert "http" not in re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)


def test_the_policy_names_what_stands_in_the_page_and_no_more(
    zoo_page: tuple[Read, dict[str, Any], bytes],
) -> None:
    page, _, _ = zoo_page
    policies = [
        pairs["content"] or ""
        for tag, pairs in page.elements
        if tag == "meta" and pairs.get("http-equiv") == "Content-Security-Policy"
    ]
    assert len(policies) == 1
    rules = dict(one.strip().split(" ", 1) for one in policies[0].split(";"))
    assert rules.pop("default-src") == "'none'"
    assert (rules.pop("base-uri"), rules.pop("form-action")) == ("'none'", "'none'")
    for kind in ("script", "style"):
        texts = [
            text
            for tag, pairs, text in page.inner
            if tag == kind and pairs.get("type") != "application/json"
        ]
        digests = {
            base64.b64encode(hashlib.sha256(one.encode()).digest()).decode() for one in texts
        }
        assert set(rules.pop(f"{kind}-src").split()) == {f"'sha256-{one}'" for one in digests}
    assert rules == {}


def test_the_page_says_which_plan_it_is_and_what_was_not_checked(
    zoo_page: tuple[Read, dict[str, Any], bytes],
) -> None:
    page, result, _ = zoo_page
    words = re.sub(r"\s+", " ", page.text())
    for text in ("REVISION 3", "Plan p-1", REVISION.sha256 or "", result["inputs_sha256"]):
        assert text in words
    for one in result["cautions"]:
        assert re.sub(r"\s+", " ", one["text"]) in words
    not_checked = [one for one in result["findings"] if one["grade"] == "not_checked"]
    assert f"Not checked: {len(not_checked)}" in words
    for one in result["findings"]:
        assert re.sub(r"\s+", " ", one["message"]) in words
    assert "GSHHG" in words
    assert not re.search(r"\b(safe|safely|unsafe|all clear|passed|OK)\b", words, re.IGNORECASE)


def test_a_demonstration_says_so_on_the_page_and_on_the_map() -> None:
    file, _ = made(zoo.request(demonstration=True), Stamp())
    plates = re.findall(rb'<strong class="status[^>]*>([^<]*)', file.body)
    assert plates == [b"DEMONSTRATION, DRAFT"] * 2


def test_every_feature_has_its_row_and_every_number_stands_in_it(
    zoo_page: tuple[Read, dict[str, Any], bytes],
) -> None:
    page, result, _ = zoo_page
    by_name: dict[str, list[dict[str, Any]]] = {}
    for feature in result["layers"]["features"]:
        by_name.setdefault(feature["properties"]["layer"], []).append(feature)
    switches = [
        (pairs["data-testid"] or "").removeprefix("layer-")
        for _, pairs in page.elements
        if pairs.get("class") == "switch"
    ]
    assert sorted(switches) == sorted(by_name)
    numbers = {
        (pairs["data-testid"] or "").removeprefix("table-"): (pairs["id"] or "").split("-")[1]
        for tag, pairs in page.elements
        if tag == "details" and pairs.get("id")
    }
    count = 0
    for name, features in by_name.items():
        for place, feature in enumerate(features):
            cells = page.rows[f"row-{numbers[name]}-{place}"]
            kept = [pairs["data-value"] for pairs, _ in cells if "data-value" in pairs]
            given_ = [
                value
                for value in feature["properties"].values()
                if isinstance(value, int | float) and not isinstance(value, bool)
            ]
            assert [float(one or "") for one in kept] == given_
            texts = [text for _, text in cells]
            for value in feature["properties"].values():
                if isinstance(value, str) and value != name:
                    assert value in texts
            count += len(given_)
        assert f"row-{numbers[name]}-{len(features)}" not in page.rows
    assert count > 25


def test_what_is_drawn_is_what_the_layers_hold(
    zoo_page: tuple[Read, dict[str, Any], bytes],
) -> None:
    page, result, _ = zoo_page
    shapes = [one["shape"] for layer in page.drawn()["layers"] for one in layer["features"]]
    kinds = sorted(one["type"] for one in shapes)
    features = result["layers"]["features"]
    assert kinds == sorted(one["geometry"]["type"] for one in features)
    for one in features:
        places = places_of(one["geometry"])
        same = [
            shape
            for shape in shapes
            if shape["type"] == one["geometry"]["type"]
            and len(unpacked(shape)) == len(places)
            and unpacked(shape) == [pytest.approx(place, abs=1e-7) for place in places]
        ]
        assert same, one


def test_a_layer_nobody_listed_has_a_switch_a_table_and_its_shape() -> None:
    request = zoo.request()
    result = planned(request)
    result["layers"]["features"].append(
        {
            "type": "Feature",
            "geometry": {"type": "LineString", "coordinates": [[-30.0, 47.0], [-29.9, 47.1]]},
            "properties": {"layer": "swinging_circle", "radius_m": 412.5, "met": False},
        }
    )
    file = export_file("html", request, result, REVISION, parts=map_parts(request))
    page = Read(file.body.decode())
    assert "Swinging circle (1)" in page.text()
    row = next(cells for cells in page.rows.values() if cells[0][1] == "412.5")
    assert row[0][0]["data-value"] == "412.5"
    assert row[0][0]["data-unit"] == "m"
    assert row[2][1] == "47-00.000N 030-00.000W to 47-06.000N 029-54.000W"
    drawn = [one for layer in page.drawn()["layers"] for one in layer["features"]]
    assert any(one["classes"] == "layer-swinging_circle is-not-met" for one in drawn)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_names_stay_text(text: str) -> None:
    request = zoo.request()
    request["route"]["name"] = text
    for number, waypoint in enumerate(request["route"]["waypoints"]):
        waypoint.update(id=f"{number}{text}", name=text)
    properties = request["hazards"]["features"][0]["properties"]
    properties.update(id=text, name=text)
    request["ship"]["name"] = text
    page = Read(made(request)[0].body.decode())
    calm = Read(made(zoo.request())[0].body.decode())
    assert [tag for tag, _ in page.elements] == [tag for tag, _ in calm.elements]
    assert [sorted(pairs) for _, pairs in page.elements] == [
        sorted(pairs) for _, pairs in calm.elements
    ]
    shown_text = text.replace("\x00", "\ufffd")
    assert shown_text in page.text().replace("\x00", "\ufffd")
    labels = [one["label"] for layer in page.drawn()["layers"] for one in layer["features"]]
    assert f"0{text}" in labels
    assert "49" not in page.text().split()


def test_the_same_plan_gives_the_same_page(zoo_page: tuple[Read, dict[str, Any], bytes]) -> None:
    assert made(zoo.request())[0].body == zoo_page[2]


def test_across_180_degrees_all_of_it_lies_together() -> None:
    request = zoo.request()
    for waypoint, lon_deg in zip(
        request["route"]["waypoints"], (179.0, 179.9, -179.0), strict=True
    ):
        waypoint["lon_deg"] = lon_deg
    request["hazards"]["features"][0]["geometry"]["coordinates"] = [-179.9, 47.19]
    page = Read(made(request)[0].body.decode())
    lons = [
        place[0]
        for layer in page.drawn()["layers"]
        for one in layer["features"]
        for place in unpacked(one["shape"])
    ]
    assert max(lons) - min(lons) < 3.0


@given(st.lists(st.floats(-180.0, 180.0), min_size=2, max_size=6), st.floats(-180.0, 180.0))
def test_a_shape_is_moved_by_whole_turns_only(lons: list[float], lon_deg: float) -> None:
    waypoints = [{"lon_deg": one} for one in lons]
    middle = middle_deg(waypoints)
    place = unpacked(beside(middle)({"type": "Point", "coordinates": [lon_deg, 10.0]}))[0]
    assert abs(place[0] - middle) <= 180.0 + 1e-6
    turns = (place[0] - lon_deg) / 360.0
    assert turns == pytest.approx(round(turns), abs=1e-8)


@given(st.floats(0.0, 1e5))
def test_what_is_read_is_never_on_the_wrong_side(value: float) -> None:
    """A clearance is not shown larger than it is, a limit not smaller (to a micrometre)."""
    assert float(readable("clearance_m", value)) <= value + 1e-6
    assert float(readable("limit_m", value)) >= value - 1e-6
    assert abs(float(readable("clearance_m", value)) - value) <= 0.1 + 1e-6
