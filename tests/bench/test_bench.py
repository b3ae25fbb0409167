"""The scene is what it says, and ours and the peers measure the same."""

import os
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from psycopg import Connection

from tests.bench import mixed, ours, peer_postgis, peer_postgis_mixed, peer_shapely, scene
from tests.bench.cluster import available, cluster
from tests.bench.hits import SEARCH_M, Hits, difference, least_of_each
from tests.bench.plain import PlainTrack, plain_track

COUNT = 4_000
Query = Callable[[PlainTrack, peer_shapely.Index], Hits]
EACH = pytest.mark.parametrize("setting", scene.SETTINGS, ids=lambda one: one.name)


@EACH
def test_scene_has_the_turns_and_the_length_it_says(setting: scene.Setting) -> None:
    track = scene.track_of(setting)
    turns = [abs(turn.course_change_deg or 0.0) for turn in track.turns]
    radii = [(turn.radius_m or 0.0) / 1852.0 for turn in track.turns]
    assert len(track.legs) == scene.WAYPOINT_COUNT - 1
    assert len(track.turns) == scene.WAYPOINT_COUNT - 2
    assert scene.LEAST_TURN_DEG <= min(turns) < max(turns) <= scene.MOST_TURN_DEG
    assert scene.LEAST_RADIUS_NM <= min(radii) < max(radii) <= scene.MOST_RADIUS_NM
    assert track.length_m == pytest.approx(setting.length_m, rel=0.05)


@EACH
def test_scene_is_the_same_every_time(setting: scene.Setting) -> None:
    pieces = scene.track_of(setting).pieces
    first, second = (scene.point_hazards(setting, pieces, 50) for _ in range(2))
    assert scene.track_of(setting).pieces == pieces
    np.testing.assert_array_equal(first, second)


@pytest.mark.parametrize(("setting", "share"), [(scene.OCEAN, 0.013), (scene.COASTAL, 0.168)])
def test_share_of_dangers_near_the_track(setting: scene.Setting, share: float) -> None:
    track = plain_track(scene.track_of(setting).pieces)
    hazards = scene.point_hazards(setting, scene.track_of(setting).pieces, 100_000)
    hits = peer_shapely.query(track, peer_shapely.index_of(*hazards))
    assert hits.hazard.size / 100_000 == pytest.approx(share, rel=0.1)


@EACH
@pytest.mark.parametrize("query", [peer_shapely.query, peer_shapely.query_all])
def test_shapely_measures_what_we_measure(setting: scene.Setting, query: Query) -> None:
    pieces = scene.track_of(setting).pieces
    hazards = scene.point_hazards(setting, pieces, COUNT)
    found = difference(
        ours.ours(pieces, ours.index_of(*hazards)),
        query(plain_track(pieces), peer_shapely.index_of(*hazards)),
    )
    assert found.hazard.size > 30
    assert found.only_ours.hazard.size == found.only_theirs.hazard.size == 0
    assert found.worst_m < 1e-5


@pytest.fixture(scope="module")
def connection() -> Iterator[Connection]:
    """Start a server. Without one the test is left out, and with CI=true it fails."""
    if not available():
        reason = "PostgreSQL with PostGIS is not installed"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with cluster() as one:
        yield one


def test_postgis_measures_what_we_measure_but_for_its_chords(connection: Connection) -> None:
    for setting in scene.SETTINGS:
        pieces = scene.track_of(setting).pieces
        hazards = scene.point_hazards(setting, pieces, COUNT)
        peer_postgis.load_hazards(connection, *hazards)
        peer_postgis.load_track(connection, plain_track(pieces))
        found = difference(
            ours.ours(pieces, ours.index_of(*hazards)), peer_postgis.query(connection)
        )
        helped = difference(peer_postgis.query(connection), peer_postgis.query(connection, 2))
        assert helped.worst_m == 0.0
        assert helped.only_ours.hazard.size == helped.only_theirs.hazard.size == 0
        # Chords and the sphere that its nearest points are sought on.
        allowed_m = peer_postgis.CHORD_ERROR_M + 0.05
        assert found.hazard.size > 30
        assert found.worst_m < allowed_m
        for one in (found.only_ours, found.only_theirs):
            assert np.all(one.distance_m > SEARCH_M - allowed_m)


MIXED_COUNT = 3_000


@EACH
def test_mixed_dangers_have_the_shares_they_say(setting: scene.Setting) -> None:
    pieces = scene.track_of(setting).pieces
    one, other = (scene.mixed_hazards(setting, pieces, 1_000) for _ in range(2))
    shares = {kind: one.kinds.count(kind) / one.count for kind, _ in scene.SHARES}
    assert shares == dict(scene.SHARES)
    assert {name: one.shapes.count(name) for name in ("Point", "LineString", "Polygon")} == {
        "Point": 840,
        "LineString": 100,
        "Polygon": 60,
    }
    shapes = peer_postgis_mixed.shapes_of(one)
    assert all(shape.is_valid for shape in shapes)
    assert sum(len(shape.interiors) for shape in shapes[940:]) == 30
    np.testing.assert_array_equal(one.paths.lat_deg, other.paths.lat_deg)


def test_postgis_finds_the_mixed_dangers_that_we_find(connection: Connection) -> None:
    for setting in scene.SETTINGS:
        job = mixed.job_of(setting, MIXED_COUNT)
        mixed.load(connection, job)
        for part, found in mixed.differences(connection, job).items():
            # The hull is said to be nearer than it is by up to what lies between two poses.
            allowed_m = {"swept": 5.0}.get(part, peer_postgis.CHORD_ERROR_M + 0.3)
            assert found.worst_m < allowed_m
            half_m = scene.XTD_NM[setting.name] * 1852.0
            reach_m = half_m if part == "corridor" else SEARCH_M
            for one in (found.only_ours, found.only_theirs):
                assert np.all(one.distance_m > reach_m - allowed_m)
            assert found.hazard.size > {"track": 30, "corridor": 4, "swept": 3}[part]


@pytest.mark.parametrize("count", [4, 4_000], ids=["many of few", "few of many"])
def test_least_of_each_keeps_the_least_and_drops_what_is_far(count: int) -> None:
    distance_m = np.array([9.0, SEARCH_M, 7.0, SEARCH_M + 1.0])
    hits = least_of_each(np.array([2, 0, 2, 1]), distance_m, count)
    np.testing.assert_array_equal(hits.hazard, [0, 2])
    np.testing.assert_array_equal(hits.distance_m, [SEARCH_M, 7.0])


def test_least_of_each_of_nothing_is_nothing() -> None:
    assert least_of_each(np.empty(0, dtype=np.int64), np.empty(0), 4_000).hazard.size == 0


def test_difference_puts_the_worst_first_and_names_what_one_alone_has() -> None:
    one = Hits(hazard=np.array([1, 3, 5]), distance_m=np.array([1.0, 2.0, 3.0]))
    other = Hits(hazard=np.array([1, 5, 6]), distance_m=np.array([1.5, 1.0, 4.0]))
    found = difference(one, other)
    assert found.hazard.tolist() == [5, 1]
    assert found.worst_m == 2.0
    assert found.only_ours.hazard.tolist() == [3]
    assert found.only_theirs.hazard.tolist() == [6]
