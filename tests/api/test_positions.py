"""Positions as they are typed, and positions off another one."""

import pytest
from geographiclib.geodesic import Geodesic

from tests.api.conftest import Client
from tests.api.keeping import post
from wheelover.api import create_app


@pytest.fixture
def client() -> Client:
    return Client(create_app())


@pytest.mark.parametrize(
    "text",
    [
        # The five spellings of one place; the echo is what the bridge reads.
        "51 23.456 N 001 12.345 E",
        "51-23.456N 001-12.345E",
        "51°23.456'N 001°12.345'E",
        "51°23'27.36\"N, 001°12'20.7\"E",
        "+51.3909333 +1.20575",
        "N 51 23.456 E 001 12.345",
        "51 23.456 N/001 12.345 E",
    ],
)
def test_a_typed_position_is_read(client: Client, text: str) -> None:
    answer = post(client, "/api/v1/positions/read", {"text": text})
    assert answer.status_code == 200, answer.text
    assert answer.json()["echo"] == "51-23.456N 001-12.345E"


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("51 23.456 1 12.345 E", "parted"),
        ("51 61.2 N, 1 20.1 E", "minutes"),
        ("51 23.4, 1 20.1", "hemisphere"),
        ("91 00.0 N 001 00.0 E", "over 90"),
        ("51.39 1.2", "hemisphere"),
        ("somewhere", "parted"),
    ],
)
def test_a_typed_position_that_could_mean_two_is_refused(
    client: Client, text: str, word: str
) -> None:
    answer = post(client, "/api/v1/positions/read", {"text": text})
    assert answer.status_code == 422
    assert word in answer.json()["detail"]
    assert answer.json()["errors"][0]["pointer"] == "/text"


def test_a_position_off_another(client: Client) -> None:
    start = {"lat_deg": 51.0, "lon_deg": 1.0}
    body = {"from": start, "bearing_deg": 0.0, "distance_nm": 0.03}
    answer = post(client, "/api/v1/positions/offset", body).json()["position"]
    north = Geodesic.WGS84.Direct(51.0, 1.0, 0.0, 0.03 * 1852.0)  # geographiclib
    assert answer["lat_deg"] == pytest.approx(north["lat2"], abs=1e-10)
    assert answer["lon_deg"] == pytest.approx(1.0, abs=1e-12)
    assert (
        post(client, "/api/v1/positions/offset", {**body, "bearing_deg": 360.0}).status_code == 422
    )
    over = {**body, "from": {"lat_deg": 89.9, "lon_deg": 0.0}, "distance_nm": 60.0}
    assert post(client, "/api/v1/positions/offset", over).status_code == 422
