"""Every line of a working sheet gives its printed result when its printed numbers are put in."""

import re
from fractions import Fraction

import pytest

from tests.calculator import calculated
from tests.render.paper.plans import demonstration_plan, long_plan
from wheelover.render.paper.working import Line, workings

PLANS = {"demonstration": demonstration_plan, "long": lambda: long_plan(12)}


def lines(name: str) -> list[tuple[str, Line]]:
    """Return every line of a plan's sheets with its method."""
    request, result = PLANS[name]()
    return [
        (one.method, line)
        for turn in result["turns"]
        for one in workings(turn, request["ship"])
        for line in one.lines
    ]


def decimals(text: str) -> int:
    return len(text.partition(".")[2])


@pytest.mark.parametrize("name", sorted(PLANS))
def test_a_pocket_calculator_agrees_with_every_line(name: str) -> None:
    found = lines(name)
    assert {method for method, _ in found} == {"GEO", "RUL", "ADV", "line"}
    for _, line in found:
        printed = line.text
        put_in, result = re.fullmatch(
            r"[^=]+ = .+ = ([^=]+) = (-?\d+(?:\.\d+)?) (?:NM|m|min|deg/min)(?: -> .*)?", printed
        ).groups()  # type: ignore[union-attr]
        half_step = 0.5 * 10.0 ** -decimals(result)
        assert abs(calculated(put_in) - float(result)) <= half_step * (1 + 1e-6), printed
        if line.answer is not None:
            # Rounded once: from what the line gives, not from its own rounded result.
            assert abs(calculated(put_in) - float(line.answer)) <= 0.005 * (1 + 1e-6), printed
            assert decimals(line.result) == decimals(line.answer) + 2


def test_the_hand_agrees_with_the_plan_to_what_can_be_set() -> None:
    """The plan is computed on the ellipsoid with whole numbers: by hand, a step away at most."""
    for name in PLANS:
        for _, line in lines(name):
            if line.answer is not None and line.plan is not None:
                plan = float(line.plan.split()[0])
                assert abs(float(line.answer) - plan) <= 0.011, line.text


def test_the_made_up_ship_of_the_design() -> None:
    """12.0 kn, R 0.50 NM, 078 to 122, reach 190 m: tangent 2.02 cab, GEO 3.05 cab, RUL 2.86 cab."""
    turn = {
        "course_change_deg": 44.0, "radius_nm": 0.5, "speed_kn": 12.0,
        "wheel_over_line": None, "planned": {"distance_nm": None},
        "wheel_overs": [
            {"method": "geometric", "status": "computed", "reach_m": 190.0,
             "distance_nm": 0.3046, "notes": []},
            {"method": "rule_of_thumb", "status": "computed", "reach_m": 190.0,
             "distance_nm": 0.2859, "notes": []},
            {"method": "advance_transfer", "status": "not_applicable", "reason": "no table"},
            {"method": "simulated", "status": "not_applicable", "reason": "no response"},
        ],
    }  # fmt: skip
    made = {one.method: [line.text for line in one.lines] for one in workings(turn, {})}
    assert made["GEO"] == [
        "tangent = R tan(D / 2) = 0.50 x tan(44.00 / 2) = 0.2020 NM",
        "reach = m / 1852 = 190.0 / 1852 = 0.1026 NM",
        "WO = tangent + reach = 0.2020 + 0.1026 = 0.3046 NM -> 0.30 NM",
        "rate = 57.296 V / (60 R) = 57.296 x 12.0 / (60 x 0.50) = 22.9 deg/min",
    ]
    assert made["RUL"] == [
        "rate = V / R = 12.0 / 0.50 = 24.000 deg/min",
        "time = D / rate = 44.00 / 24.000 = 1.8333 min",
        "run = V x time / 60 = 12.0 x 1.8333 / 60 = 0.3667 NM",
        "reach = m / 1852 = 190.0 / 1852 = 0.1026 NM",
        "WO = run / 2 + reach = 0.3667 / 2 + 0.1026 = 0.2860 NM -> 0.29 NM",
    ]
    assert made["ADV"] == []


def test_the_calculator_is_one() -> None:
    assert calculated("1 + 2 x 3 / (4 - 1)") == pytest.approx(float(Fraction(3)))
    assert calculated("2 x tan(90 / 2)") == pytest.approx(2.0)
    assert calculated("412.6 + 190.0 / 2 - 95.0") == pytest.approx(412.6)
    with pytest.raises(ValueError, match="cannot be worked"):
        calculated("1 + + 2")
