"""Pacing: the same mean power, and quicker than even for the reason that algebra gives."""

from dataclasses import replace

import numpy as np
import pytest
from ode_ride import ode_ride
from scipy.optimize import minimize

from dragwork.decisions.pacing import BOUND, even_against_paced, hardness
from dragwork.physics.course import Course, Leg, ride
from dragwork.scenario.riders import IMKE, ROSALIND, TOBIN
from dragwork.scenario.roads import CINDER_LANE, LONG_HILL, THREE_KILNS

HILLS = Course([Leg(10_000, 0.04), Leg(10_000, 0.0), Leg(10_000, -0.01)])
MEMBERS = (TOBIN, IMKE, ROSALIND)


@pytest.mark.parametrize("member", MEMBERS, ids=lambda m: m.name)
@pytest.mark.parametrize("shift", [0.05, 0.2, 0.6, 2.0])
def test_the_mean_power_is_the_same_and_no_leg_leaves_the_bound(member, shift):
    day = THREE_KILNS.day(member.power)
    found = even_against_paced(THREE_KILNS.course, member.rider, shift=shift, **day)
    assert found.paced.mean_power == pytest.approx(found.even.mean_power, rel=1e-8)
    assert np.all(abs(found.factor - 1) <= BOUND + 1e-12)
    assert found.seconds_saved > 0


def test_times_by_an_independent_ride():
    found = even_against_paced(HILLS, TOBIN.rider, 220, 0.2, bound=0.3)
    for ridden, factor in ((found.even, np.ones(3)), (found.paced, found.factor)):
        truth = ode_ride(HILLS, TOBIN.rider, 220 * factor)
        assert ridden.time == pytest.approx(truth.time, rel=2e-6)
        assert truth.crank / truth.time == pytest.approx(220, rel=1e-5)
    mean = 30_000 / found.even.time
    speeds = found.even.legs.speed
    assert hardness(found.even) == pytest.approx(1 - speeds / mean)
    ratio = found.factor / (1 + 0.2 * hardness(found.even))
    assert ratio == pytest.approx(ratio[0])


def test_no_rule_beats_the_best_pacing_that_an_optimiser_finds():
    even = ride(HILLS, TOBIN.rider, 220)

    def time(factor):
        return ride(HILLS, TOBIN.rider, 220 * factor).time

    limits = {"type": "eq", "fun": lambda f: ride(HILLS, TOBIN.rider, 220 * f).mean_power / 220 - 1}
    best = minimize(time, np.ones(3), bounds=[(0.9, 1.1)] * 3, constraints=limits, tol=1e-9)
    saved = [even_against_paced(HILLS, TOBIN.rider, 220, k).seconds_saved for k in (0.1, 0.3, 1.0)]
    assert 0 < saved[0] < saved[1] <= even.time - best.fun + 0.01
    assert saved[-1] > 0.8 * (even.time - best.fun)


@pytest.mark.parametrize("road", [CINDER_LANE, LONG_HILL], ids=lambda r: r.name)
def test_where_all_legs_are_alike_there_is_nothing_to_shift(road):
    found = even_against_paced(road.course, TOBIN.rider, shift=0.5, **road.day(220))
    assert found.seconds_saved == pytest.approx(0, abs=1e-6)
    assert found.factor == pytest.approx(1)


def test_without_shift_or_bound_it_is_the_even_ride():
    day = THREE_KILNS.day(220)
    for options in ({"shift": 0.0}, {"shift": 1.0, "bound": 0.0}):
        found = even_against_paced(THREE_KILNS.course, TOBIN.rider, **day, **options)
        assert found.seconds_saved == pytest.approx(0, abs=1e-6)


def test_the_mean_power_stays_where_the_rule_would_take_all_of_it_from_a_leg():
    """A steep descent, far faster than the mean: 1 + k hardness lies below 0 there."""
    legs = Course([Leg(5000, 0.055), Leg(5000, 0.14), Leg(3000, -0.068, speed_limit=13.9)])
    found = even_against_paced(
        legs, TOBIN.rider, [318, 247, 81], 1.9, wind_speed=0.1, wind_from=1.0, bound=0.5
    )
    assert (1 + 1.9 * hardness(found.even)).min() < 0
    assert found.paced.mean_power == pytest.approx(found.even.mean_power, rel=1e-9)


def test_into_the_wind_more_and_with_it_less():
    found = even_against_paced(CINDER_LANE.course, TOBIN.rider, 220, 0.1, wind_speed=5.0)
    out, home = found.factor
    assert out > 1 > home and found.seconds_saved > 10


def test_it_stays_quicker_for_a_heavier_bicycle():
    heavy = replace(TOBIN.rider, all_up_mass=110)
    assert even_against_paced(HILLS, heavy, 220, 0.2).seconds_saved > 0


@pytest.mark.parametrize(
    ("bad", "words"),
    [({"shift": -0.1}, "shift −0.1 is outside"), ({"shift": 3}, "shift 3 is outside"),
     ({"bound": 0.6}, "bound 0.6 is outside"), ({"power": -5}, "power −5")],
)  # fmt: skip
def test_bad_input(bad, words):
    with pytest.raises(ValueError, match=words):
        even_against_paced(HILLS, TOBIN.rider, **{"power": 220, "shift": 0.1} | bad)
