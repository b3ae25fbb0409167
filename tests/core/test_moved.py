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
from wheelover.core.types.clearance import Piece
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
        assert found.turns == tuple(whole.turns[turn.index] for turn in found.turns)


def _bare(route: Route, which: str) -> Route:
    """Return a route of which some or all turns have no radius, so no arc."""
    waypoints = [
        replace(one, turn_radius_nm=None) if which == "none" or number % 2 else one
        for number, one in enumerate(route.waypoints)
    ]
    return route if which == "all" else replace(route, waypoints=tuple(waypoints))


@pytest.mark.parametrize("radii", ["all", "every other", "none"])
@pytest.mark.parametrize("off_deg", [0.0, 0.011])
def test_each_leg_and_turn_told_of_clears_what_the_whole_says(radii: str, off_deg: float) -> None:
    """Also where its piece did not change: without arcs, or moved back to where it was."""
    route = _bare(a_route(9, PLACES["mid"], 4.0), radii)
    hazards, ship = about(route, 9), replace(zoo.SHIP, turn_radius_nm=None)
    base = base_of(route, ship, Chart(loaded=True, hazards=hazards), Conditions(), LIMITS)
    not_met = unmoved = 0
    for index in (0, 1, 2, 5, 10, 11):
        one = route.waypoints[index]
        there = Position(lat_deg=one.lat_deg + off_deg, lon_deg=one.lon_deg - off_deg)
        found = moved_waypoint(base, index, there)
        whole = lay_track(_elsewhere(base.route, index, there), ship, base.conditions)
        expected = {row.piece: row for row in clear(whole.pieces, hazards, LIMITS).least}
        least = {row.piece: row for row in found.again.local.least}
        told = {Piece(kind="leg", index=leg.index) for leg in found.legs}
        told |= {Piece(kind="turn", index=turn.index) for turn in found.turns}
        assert {leg.from_index for leg in found.legs} == set(range(11)) & set(
            range(index - 2, index + 2)
        )
        assert {turn.waypoint_index for turn in found.turns} == set(range(1, 11)) & set(
            range(index - 2, index + 3)
        )
        assert least == {piece: row for piece, row in expected.items() if piece in told}
        not_met += sum(row.met is False for row in least.values())
        same = set(base.track.pieces) & set(whole.pieces)
        unmoved += len({one.piece for one in same} & set(least))
    assert not_met > 5
    assert unmoved > 0 or (radii == "all" and off_deg > 0.0)


def test_a_turn_two_off_loses_its_room() -> None:
    """The turns next to the one moved are wide: as they sharpen they take up the legs beyond."""
    places = [(47.0, -30.0 + 0.04 * number) for number in range(9)]
    places = [(lat + 0.0015 * (number % 2), lon) for number, (lat, lon) in enumerate(places)]
    route = zoo.route(places, radii_nm=[0.8, 0.8, 4.0, 0.3, 4.0, 0.8, 0.8])
    chart = Chart(loaded=True, hazards=about(route, 4))
    base = base_of(route, zoo.SHIP, chart, Conditions(), LIMITS)
    assert all(turn.fits for turn in base.track.turns)
    lost = set()
    for off_deg in (-0.03, 0.03):
        there = Position(lat_deg=places[4][0] + off_deg, lon_deg=places[4][1])
        found = moved_waypoint(base, 4, there)
        whole = lay_track(_elsewhere(base.route, 4, there), zoo.SHIP, base.conditions)
        misfits = {turn.waypoint_index for turn in whole.turns if not turn.fits}
        assert misfits == {turn.waypoint_index for turn in found.turns if not turn.fits}
        lost |= misfits
    assert {2, 6} <= lost
    assert not {1, 7} & lost
