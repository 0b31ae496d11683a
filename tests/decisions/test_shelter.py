"""Shelter: the published shares, an independent solver for the seconds, and bad input."""

from dataclasses import replace

import numpy as np
import published
import pytest
from scipy.optimize import brentq

from dragwork.decisions.rides import EXACT
from dragwork.decisions.shelter import (
    BEHIND_ONE,
    IN_LINE,
    PELOTON,
    PLACES,
    Place,
    sheltered,
    time_saved_in_shelter,
)
from dragwork.physics.course import Course, ride
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import CINDER_LANE, THREE_KILNS
from dragwork.sources import SOURCES
from dragwork.units import kmh

PURSUIT = Rider(all_up_mass=85, drag_area=0.23, rolling_coefficient=0.002)  # usual on a track
DAY = CINDER_LANE.day(TOBIN.power)


@pytest.mark.parametrize(
    "record", published.for_test("test_published_pace_lines_lie_in_the_range"), ids=lambda r: r.id
)
def test_published_pace_lines_lie_in_the_range(record):
    """The share of the drag behind a share of the power, at 60 km/h on a track."""
    alone = power_balance(PURSUIT, Conditions(), kmh(60)).total

    def excess(share):
        return power_balance(sheltered(PURSUIT, share), Conditions(), kmh(60)).total / alone - record.expected

    assert IN_LINE.low <= brentq(excess, 0.01, 1) <= IN_LINE.high + record.tolerance


def test_published_shares_of_the_drag():
    for record in published.for_test("test_published_shares_of_the_drag"):
        place = {"in line": IN_LINE, "peloton": PELOTON}[record.inputs["place"]]
        record.assert_close([place.low, place.high])
        assert place.source == record.source


def test_the_largest_reduction_of_two_riders_lies_in_the_range():
    (record,) = published.for_test("test_the_largest_reduction_of_two_riders_lies_in_the_range")
    assert IN_LINE.low - record.tolerance <= record.expected <= IN_LINE.high


def test_thirty_percent_less_for_tobin_over_forty_kilometres():
    """430 s: each speed the root of a cubic, by scipy."""
    (record,) = published.for_test("test_thirty_percent_less_for_tobin_over_forty_kilometres")
    e = record.si

    def time(area):
        tyres = e["all_up_mass"] * 9.80665 * e["rolling_coefficient"]
        return e["distance"] / brentq(lambda v: (0.6 * area * v**2 + tyres) * v - 0.975 * e["power"], 1, 30)

    by_hand = time(e["drag_area"]) - time(e["share"] * e["drag_area"])
    assert by_hand == pytest.approx(430, abs=1)
    exactly = Place("thirty percent less", e["share"], e["share"], "ALGEBRA")
    found = time_saved_in_shelter(exactly, CINDER_LANE.course, TOBIN.rider, **DAY, unstated=EXACT, draws=2)
    assert found.mid == pytest.approx(by_hand, rel=record.tolerance)


def test_a_sheltered_rider_rides_as_on_sheltered_legs():
    legs = [replace(leg, shelter=0.6) for leg in THREE_KILNS.course.legs]
    by_legs = ride(Course(legs), TOBIN.rider, **THREE_KILNS.day(220)).time
    by_rider = ride(THREE_KILNS.course, sheltered(TOBIN.rider, 0.6), **THREE_KILNS.day(220)).time
    assert by_rider == pytest.approx(by_legs, rel=1e-12)


def test_a_club_ride_saves_between_the_ends_of_its_range():
    """Even draws between 70 and 85 %: the 80 % range lies inside, and the middle near 77.5 %."""
    ends = [
        time_saved_in_shelter(Place("", s, s, "ALGEBRA"), CINDER_LANE.course, TOBIN.rider, **DAY, unstated=EXACT, draws=2).mid
        for s in (0.85, 0.775, 0.70)
    ]  # fmt: skip
    found = time_saved_in_shelter(BEHIND_ONE, CINDER_LANE.course, TOBIN.rider, **DAY)
    assert ends[0] < found.low < found.mid < found.high < ends[2]
    assert found.mid == pytest.approx(ends[1], rel=0.03) and found.level == 0.8


def test_a_curve_is_sheltered_at_every_yaw():
    curve = YawCurve([0.0, 0.2], [0.32, 0.30])
    one = sheltered(Rider(84, curve, wheel_drag_area=0.004), 0.5)
    assert one.drag_area.drag_area == pytest.approx([0.16, 0.15]) and one.wheel_drag_area == 0.002
    many = sheltered(Rider(84, curve), np.array([0.5, 1.0])).drag_area
    assert many.drag_area == pytest.approx(np.array([[0.16, 0.15], [0.32, 0.30]]))
    calm = {**THREE_KILNS.day(220), "unstated": EXACT, "draws": 50}
    on_curve, plain = (
        time_saved_in_shelter(BEHIND_ONE, THREE_KILNS.course, Rider(84, area), **calm)
        for area in (YawCurve([0.0, 0.5], [0.32, 0.32]), 0.32)
    )
    assert on_curve.mid == pytest.approx(plain.mid, rel=1e-6)


def test_places_have_rising_ends_and_a_source():
    for place in PLACES:
        assert 0 < place.low < place.high < 1 and place.source in SOURCES


def test_bad_input_is_refused_in_words():
    with pytest.raises(ValueError, match="is not a Place"):
        time_saved_in_shelter("peloton", CINDER_LANE.course, TOBIN.rider, 220)
