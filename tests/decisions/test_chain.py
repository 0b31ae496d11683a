"""From end to end: published and exact results through the functions that the pages use."""

from dataclasses import replace

import numpy as np
import published
import pytest
from scipy.integrate import quad

from dragwork.decisions.claims import Claim
from dragwork.decisions.options import Option, seconds_saved
from dragwork.decisions.rides import EXACT
from dragwork.physics.course import Course, Leg, ride
from dragwork.physics.drag import YawCurve, from_along_road
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.savings import small_change_gain, time_saved
from dragwork.physics.speed import steady_speed
from dragwork.physics.wind import angle_to_road, apparent_wind
from dragwork.scenario.riders import TOBIN, Member
from dragwork.scenario.roads import Road
from dragwork.teaching.report import FromNumbers, PublishedArea, build_report


def test_martin_s_ride_end_to_end():
    """The worked example as a course of one leg with its wind and slope: how long does it take?"""
    (record,) = published.for_test("test_martin_s_ride_end_to_end")
    e = published.record("martin-steady-speed").si
    speed = e["distance"] / e["time"]
    yaw = abs(
        apparent_wind(speed, e["wind_speed"], angle_to_road(e["wind_from"], e["heading"])).yaw
    )
    yaws = np.array([0.0, yaw, 0.3])
    rider = Rider(
        e["all_up_mass"],
        YawCurve(yaws, from_along_road(e["along_road_drag_area"], yaws)),
        e["rolling_coefficient"],
        e["drivetrain_efficiency"],
        YawCurve(yaws, from_along_road(e["along_road_wheel_drag_area"], yaws)),
        e["bearing_force"],
        e["bearing_slope"],
    )
    course = Course([Leg(e["distance"], e["gradient"], e["heading"])])
    steady = 213.16 - 2.30 / e["drivetrain_efficiency"]  # the total less the kinetic part
    record.assert_close(
        ride(course, rider, steady, e["air_density"], e["wind_speed"], e["wind_from"]).time
    )


@pytest.mark.parametrize(
    "record", published.for_test("test_coast_down_from_steady_rides"), ids=lambda r: r.id
)
def test_coast_down_from_steady_rides(record):
    """The force at each speed is found as `ride` finds it: the power that just holds that speed."""
    m, A, C = (record.si[name] for name in ("all_up_mass", "A", "C"))
    rider = Rider(m, 2 * C * 3.6**2 / 1.2, A / (m * 9.80665), drivetrain_efficiency=1.0)
    powers = np.geomspace(100, 3000, 400)
    road = Course([Leg(1000.0)])
    speeds = 1000.0 / ride(road, rider, powers[:, None]).time

    def seconds_a_metre_a_second(v):
        return m * v / np.interp(v**2, speeds**2, powers / speeds) / v

    time, _ = quad(seconds_a_metre_a_second, record.si["to"], record.si["from"])
    record.assert_close(time)


def test_published_savings_of_two_riders_are_one_drag_area():
    """Seconds of the fast rider into a drag area, and that into seconds of the slow rider."""
    (record,) = published.for_test("test_published_savings_of_two_riders_are_one_drag_area")
    e = dict(record.si)
    slower, efficiency = e.pop("slower_ride_time"), e.pop("drivetrain_efficiency")
    area = Claim.time(**e, yaw=0.0).drag_area_change.mid
    rider = Rider(e["all_up_mass"], e["drag_area"], e["rolling_coefficient"], efficiency)
    power = power_balance(rider, Conditions(), e["distance"] / slower).total
    after = replace(rider, drag_area=e["drag_area"] - area)
    record.assert_close(time_saved(rider, after, Conditions(), power, e["distance"]))


def test_air_alone_through_the_page():
    """Without tyres and chain the seconds have a closed form: page, claim and option give it."""
    (record,) = published.for_test("test_air_alone_through_the_page")
    e = record.si
    rider = Rider(80, e["drag_area"], rolling_coefficient=0.0, drivetrain_efficiency=1.0)
    after = replace(rider, drag_area=e["drag_area"] * (1 - e["cut"]))
    course = Course([Leg(e["distance"])])
    road = Road("Straight 40", course, "Flat, calm.", np.ones(1), np.zeros(1))
    numbers = FromNumbers({
        "before": PublishedArea(e["drag_area"], e["drag_area"] * 0.99, e["drag_area"] * 1.01),
        "after": PublishedArea(
            float(after.drag_area), float(after.drag_area) * 0.99, float(after.drag_area) * 1.01
        ),
    })  # fmt: skip
    page = build_report(
        numbers, "before", "after", Member("Somebody", rider, e["power"], ""), road, draws=200
    )
    claim = Claim.percent(e["cut"], drag_area=e["drag_area"], yaw=0.0)
    record.assert_close(page.assumed)
    as_told = {"carried": (1, 1, 1), "unstated": EXACT}
    record.assert_close(claim.for_rider(rider, course, e["power"], **as_told).seconds.mid)
    record.assert_close(seconds_saved(Option("cut", after), rider, course, e["power"]))


def test_small_change_through_an_option():
    (record,) = published.for_test("test_small_change_through_an_option")
    cut, rider, distance = record.si["cut"], TOBIN.rider, 10e3
    speed = steady_speed(rider, Conditions(), TOBIN.power)
    share = power_balance(rider, Conditions(), speed).air_share
    small = Option("small", replace(rider, drag_area=rider.drag_area * (1 - cut)))
    seconds = seconds_saved(small, rider, Course([Leg(distance)]), TOBIN.power)
    by_rule = distance / speed * small_change_gain(share, cut)
    assert seconds == pytest.approx(by_rule, rel=record.tolerance)
    assert by_rule == pytest.approx(distance / speed * share / (1 + 2 * share) * cut, rel=1e-12)
