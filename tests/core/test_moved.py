"""A waypoint moved in a part of the route is the waypoint moved in the whole."""

from dataclasses import replace

import pytest

from tests import zoo
from tests.core.test_recheck import LIMITS, PLACES, a_route, about, plain
from wheelover.core.clearance.whole import clear
from wheelover.core.moved import base_of, moved_waypoint
from wheelover.core.track import lay_track
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.route import Position, Route


def _elsewhere(route: Route, index: int, place: Position) -> Route:
    waypoints = list(route.waypoints)
    waypoints[index] = replace(waypoints[index], lat_deg=place.lat_deg, lon_deg=place.lon_deg)
    return replace(route, waypoints=tuple(waypoints))


@pytest.mark.parametrize("place", ["mid", "dateline"])
@pytest.mark.parametrize("gap", [None, 6])
def test_pieces_and_rows_are_those_of_the_whole_route(place: str, gap: int | None) -> None:
    route = a_route(4, PLACES[place], 4.0)
    if gap is not None:
        waypoints = list(route.waypoints)
        waypoints[gap] = replace(waypoints[gap], gap_before=True)
        route = replace(route, waypoints=tuple(waypoints))
    hazards, still = about(route, 4), Conditions()
    chart = Chart(loaded=True, hazards=hazards)
    base = base_of(route, zoo.SHIP, chart, still, LIMITS)
    for index in (0, 1, 5, 6, 10, 11):
        one = route.waypoints[index]
        there = Position(lat_deg=one.lat_deg + 0.011, lon_deg=one.lon_deg - 0.004)
        found = moved_waypoint(base, index, there)
        whole = lay_track(_elsewhere(base.route, index, there), zoo.SHIP, base.conditions)
        assert found.again.pieces == whole.pieces, index
        assert not found.again.moved.all()
        assert plain(found.again.clearances) == plain(clear(whole.pieces, hazards, LIMITS))
        assert found.legs == tuple(whole.legs[leg.index] for leg in found.legs)
        moved_legs = {
            leg.index for leg, was in zip(whole.legs, base.track.legs, strict=True) if leg != was
        }
        assert moved_legs <= {leg.index for leg in found.legs}
        moved_turns = {
            one.index for one, was in zip(whole.turns, base.track.turns, strict=True) if one != was
        }
        assert moved_turns <= {turn.index for turn in found.turns}
