"""The drawn ride: exact days are the ride as it is told, and the same seed gives the same days."""

from dataclasses import replace

import numpy as np
import pytest

from dragwork.decisions.rides import EXACT, drawn_days, outside_riding, ride_on
from dragwork.physics.course import ride
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import THREE_KILNS
from dragwork.units import kmh

DAY = THREE_KILNS.day(TOBIN.power)


def test_without_uncertainty_every_day_is_the_one_that_is_told():
    days = drawn_days(THREE_KILNS.course, TOBIN.rider, **DAY, unstated=EXACT, draws=3)
    told = ride(THREE_KILNS.course, TOBIN.rider, **DAY).time
    assert ride_on(days, days.rider).time == pytest.approx([told] * 3, rel=1e-7)


def test_the_same_seed_gives_the_same_days_and_another_seed_others():
    one, two, other = (
        drawn_days(THREE_KILNS.course, TOBIN.rider, **DAY, draws=50, seed=seed).power for seed in (1, 1, 2)
    )
    assert np.array_equal(one, two) and not np.array_equal(one, other)


def test_pieces_of_a_leg_are_summed_and_powers_a_leg_reach_every_piece():
    days = drawn_days(THREE_KILNS.course, TOBIN.rider, **DAY, unstated=EXACT, draws=2)
    factor = np.array([1.1, 0.9, 1.0, 1.0])
    harder = {**DAY, "power": DAY["power"] * factor}
    told = ride(THREE_KILNS.course, TOBIN.rider, **harder)
    found = ride_on(days, days.rider, factor)
    assert days.by_leg(found.legs.time)[0] == pytest.approx(told.legs.time, rel=1e-6)
    assert days.course.distance == pytest.approx(THREE_KILNS.course.distance)


@pytest.mark.parametrize(
    ("asked", "words"),
    [({"course": "road"}, "not a Course"), ({"rider": "me"}, "not a Rider"), ({"draws": 0}, "draws 0"),
     ({"seed": -1}, "seed -1"), ({"unstated": None}, "not a Unstated")],
)  # fmt: skip
def test_bad_input_is_refused_in_words(asked, words):
    known = {"course": THREE_KILNS.course, "rider": TOBIN.rider, **DAY}
    with pytest.raises(ValueError, match=words):
        drawn_days(**{**known, **asked})


def test_days_ridden_together_are_the_days_ridden_alone():
    calm, windy = (
        drawn_days(THREE_KILNS.course, TOBIN.rider, **DAY, unstated=unstated, draws=3)
        for unstated in (EXACT, replace(EXACT, wind_speed=1.0, all_up_mass=2.0))
    )
    both = calm.together(windy)
    times = [ride_on(days, days.rider).time for days in (calm, windy)]
    assert ride_on(both, both.rider).time == pytest.approx(np.concatenate(times), rel=1e-9)


def test_what_nobody_rides_at_is_said():
    """A walk is 5 km/h; the hour record is below 60 km/h: common practice. The limits are ours."""
    for speed in (5.1, 20, 36, 56.8, 69.9):
        assert outside_riding(kmh(speed)) == ""
    assert outside_riding(kmh(1.5)).startswith("1.5 km/h is outside riding: slower than a walk")
    assert outside_riding(kmh(90)).startswith("90.0 km/h is outside riding: faster than anybody")
