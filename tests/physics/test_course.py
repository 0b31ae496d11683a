"""A ride: legs at steady speed or at their limit; its accounts, shapes and a fact of the trade."""

from dataclasses import fields, replace

import numpy as np
import published
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from strategies import GRAVITY, area_at, floats, riders, wheel_force

from dragwork.physics.course import Course, Leg, RiddenLegs, ride, ride_dynamic
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.savings import drag_area_behind, time_saved
from dragwork.physics.speed import steady_speed
from dragwork.physics.wind import angle_to_road

legs = st.builds(
    Leg,
    distance=floats(100, 20_000),
    gradient=floats(-0.1, 0.1),
    heading=floats(0, 2 * np.pi),
    speed_limit=st.one_of(st.none(), floats(2, 20)),
)
courses = st.builds(Course, st.lists(legs, min_size=1, max_size=6))
ROLLING = Course(
    [Leg(5000), Leg(3000, 0.05), Leg(3000, -0.05, speed_limit=11.0), Leg(2000, -0.01, 3.0)]
)


def test_one_leg_at_ten_metres_a_second():
    (record,) = published.for_test("test_one_leg_at_ten_metres_a_second")
    given_ = dict(record.si)
    power, course = given_.pop("power"), Course([Leg(given_.pop("distance"))])
    done = ride(course, Rider(**given_), power)
    record.assert_close(done.time)
    assert done.energy == pytest.approx(240_000)


def test_the_trade_fact_over_180_km():
    """Minutes that the time-trial bike is ahead, from two wattages at 50 km/h alone."""
    for record in published.for_test("test_the_trade_fact_over_180_km"):
        fact = record.si
        still = Conditions(fact["air_density"])
        watts = {"hoods": fact["saved_by_time_trial_bike"]}
        watts["clip_ons"] = fact["saved_by_time_trial_bike"] - fact["saved_by_clip_ons"]
        at_wheel = watts[record.part] * fact["drivetrain_efficiency"]
        more = drag_area_behind(at_wheel, still, fact["quoted_speed"])
        course = Course([Leg(fact["distance"])])
        for drag_area in fact["time_trial_drag_areas"]:
            bike = Rider(
                fact["all_up_mass"],
                drag_area,
                fact["rolling_coefficient"],
                fact["drivetrain_efficiency"],
            )
            other = replace(bike, drag_area=drag_area + more)
            speed = fact["distance"] / fact["time_trial_time"]
            power = power_balance(bike, still, speed).total
            fast = ride(course, bike, power, air_density=fact["air_density"])
            slow = ride(course, other, power, air_density=fact["air_density"])
            assert fast.time == pytest.approx(fact["time_trial_time"], rel=1e-12)
            record.assert_close(slow.time - fast.time)
            record.assert_close(time_saved(other, bike, still, power, fact["distance"]))


@given(courses, riders, floats(50, 800), floats(0, 8), floats(0, 6))
def test_energy_accounts_close(course, rider, power, wind, wind_from):
    """Crank work less chain and brakes = work of air, tyres and bearings + height gained."""
    done = ride(course, rider, power, wind_speed=wind, wind_from=wind_from)
    weight = rider.all_up_mass * GRAVITY
    held_back = 0.0
    for leg, v in zip(course.legs, done.legs.speed, strict=True):
        angle = wind_from - leg.heading
        along, across = v + wind * np.cos(angle), wind * np.sin(angle)
        yaw = np.arctan2(across, along)
        area = area_at(rider.drag_area, yaw) + area_at(rider.wheel_drag_area, yaw)
        slope = np.arctan(leg.gradient)
        force = 0.6 * (along**2 + across**2) * area + rider.bearing_force + rider.bearing_slope * v
        force += weight * (rider.rolling_coefficient * np.cos(slope) + np.sin(slope))
        held_back += force * leg.distance
    at_wheel = np.sum(done.legs.power * done.legs.time) * rider.drivetrain_efficiency
    by_brakes = np.sum(done.legs.braked * done.legs.time)
    assert at_wheel - by_brakes == pytest.approx(held_back, rel=1e-8, abs=1e-6 * weight)
    assert done.energy == pytest.approx(np.sum(done.legs.power * done.legs.time), rel=1e-14)
    assert done.time == pytest.approx(np.sum(done.legs.time), rel=1e-14)
    assert done.mean_power == pytest.approx(done.energy / done.time)


@given(courses, riders, floats(50, 800), floats(0, 8), floats(0, 6))
def test_limits_hold_and_the_crank_never_gives_more(course, rider, power, wind, wind_from):
    done = ride(course, rider, power, wind_speed=wind, wind_from=wind_from)
    assert np.all(done.legs.speed <= course.column("speed_limit"))
    assert np.all((done.legs.power >= 0) & (done.legs.power <= power * (1 + 1e-9)))
    assert np.all(done.legs.braked >= 0)
    assert not np.any((done.legs.braked > 0) & (done.legs.power > 0))
    free = done.legs.speed < course.column("speed_limit")
    assert np.all(done.legs.power[free] == power)


@given(courses, riders, floats(100, 800))
def test_legs_are_ridden_at_their_steady_speed(course, rider, power):
    done = ride(course, rider, power, wind_speed=4.0, wind_from=1.0)
    for i, leg in enumerate(course.legs):
        weather = Conditions(1.2, 4.0, angle_to_road(1.0, leg.heading), leg.gradient)
        free = steady_speed(rider, weather, power)
        assert done.legs.speed[i] == pytest.approx(min(free, leg.speed_limit or np.inf), rel=1e-13)


def test_a_braked_descent():
    """-10 %, limit 10 m/s: gravity less air and tyres, in watts, goes into the brakes."""
    rider = Rider(80, 0.3)
    done = ride(Course([Leg(1000, -0.10, speed_limit=10.0)]), rider, 200)
    surplus = 80 * GRAVITY * (0.1 - 0.004) / np.hypot(1, 0.1) - 0.6 * 0.3 * 100
    assert done.legs.power[0] == 0
    assert done.legs.braked[0] == pytest.approx(surplus * 10)
    assert done.time == pytest.approx(100)
    assert done.energy == 0


def test_a_limited_flat_leg_asks_only_for_what_the_limit_costs():
    done = ride(Course([Leg(1000, speed_limit=8.0)]), Rider(80, 0.3), 300)
    wheel = (0.6 * 0.3 * 64 + 80 * GRAVITY * 0.004) * 8
    assert done.legs.power[0] == pytest.approx(wheel / 0.975)
    assert done.legs.braked[0] == 0


def test_coasting_a_descent_without_power():
    done = ride(Course([Leg(1000, -0.05)]), Rider(80, 0.3), 0)
    assert done.energy == 0
    terminal = np.sqrt(80 * GRAVITY * (0.05 - 0.004) / np.hypot(1, 0.05) / (0.6 * 0.3))
    assert done.legs.speed[0] == pytest.approx(terminal, rel=1e-13)


def test_power_0_on_the_flat_is_refused_with_the_leg():
    with pytest.raises(ValueError, match="leg 2"):
        ride(Course([Leg(1000, -0.05), Leg(1000)]), Rider(80, 0.3), 0)


def test_out_and_back_in_wind_costs_time():
    out_and_back = Course([Leg(10_000, heading=0.0), Leg(10_000, heading=np.pi)])
    times = [ride(out_and_back, Rider(80, 0.3), 220, wind_speed=w).time for w in (0, 2, 4)]
    assert times[0] < times[1] < times[2]


@given(floats(0, 2 * np.pi), floats(0, 2 * np.pi))
def test_turning_map_and_wind_together_changes_nothing(turn, wind_from):
    def time(by):
        headings = (np.array([0.3, 2.0, 4.5]) + by) % (2 * np.pi)
        course = Course([Leg(1000, heading=h) for h in headings])
        wind = (wind_from + by) % (2 * np.pi)
        return ride(course, Rider(80, 0.3), 200, wind_speed=4, wind_from=wind).time

    assert time(turn) == pytest.approx(time(0.0), rel=1e-12)


def test_splitting_a_leg_changes_nothing():
    whole = ride(Course([Leg(5000, 0.02)]), Rider(80, 0.3), 250)
    parts = ride(Course([Leg(d, 0.02) for d in (1e-9, 1999.0, 3001.0 - 1e-9)]), Rider(80, 0.3), 250)
    assert parts.time == pytest.approx(whole.time, rel=1e-12)


def test_riders_by_legs():
    masses, areas = np.array([60.0, 80.0, 100.0]), np.array([0.25, 0.3, 0.35])
    power = np.array([180.0, 220.0, 260.0])
    done = ride(ROLLING, Rider(masses, areas), power[:, None], wind_speed=2.0, wind_from=0.5)
    for field in fields(RiddenLegs):
        assert np.shape(getattr(done.legs, field.name)) == (3, 4), field.name
    assert np.shape(done.time) == np.shape(done.energy) == np.shape(done.time_beyond_yaw) == (3,)
    for i in range(3):
        alone = ride(ROLLING, Rider(masses[i], areas[i]), power[i], wind_speed=2.0, wind_from=0.5)
        assert done.time[i] == pytest.approx(alone.time, rel=1e-14)
        assert done.energy[i] == pytest.approx(alone.energy, rel=1e-13)


def test_one_power_a_leg():
    power = np.array([200.0, 300.0, 100.0, 150.0])
    done = ride(ROLLING, Rider(80, 0.3), power)
    for i, leg in enumerate(ROLLING.legs):
        alone = ride(Course([leg]), Rider(80, 0.3), power[i])
        assert done.legs.time[i] == pytest.approx(alone.time, rel=1e-14)


def test_draws_of_a_yaw_curve_by_legs():
    angles = np.deg2rad([0, 10, 20])
    tables = np.array([[0.30, 0.31, 0.28], [0.29, 0.30, 0.27]])
    done = ride(ROLLING, Rider(80, YawCurve(angles, tables)), 220, wind_speed=3, wind_from=1.0)
    assert done.legs.speed.shape == (2, 4)
    for i, table in enumerate(tables):
        alone = ride(ROLLING, Rider(80, YawCurve(angles, table)), 220, wind_speed=3, wind_from=1.0)
        assert done.time[i] == pytest.approx(alone.time, rel=1e-14)


def test_time_beyond_yaw_is_that_of_the_legs_concerned():
    curve = YawCurve(np.deg2rad([0, 10]), [0.3, 0.3])
    course = Course([Leg(1000, heading=0.0), Leg(1000, heading=np.pi / 2)])
    done = ride(course, Rider(80, curve), 200, wind_speed=4, wind_from=np.pi / 2)
    assert done.legs.beyond_yaw.tolist() == [True, False]
    assert done.time_beyond_yaw == done.legs.time[0]


def test_scalars_in_scalars_out():
    done = ride(ROLLING, Rider(80, 0.3), 200)
    assert isinstance(done.time, float) and isinstance(done.energy, float)
    assert isinstance(done.mean_power, float) and isinstance(done.time_beyond_yaw, float)
    assert isinstance(ROLLING.distance, float) and isinstance(ROLLING.ascent, float)


def test_ascent_is_the_height_of_the_climbs():
    assert ROLLING.ascent == pytest.approx(3000 * np.sin(np.arctan(0.05)))
    assert ROLLING.distance == 13_000


@pytest.mark.parametrize(
    "wrong",
    [
        {"power": [200.0, 200.0, 200.0]},
        {"power": 200.0, "wind_speed": [1.0, 2.0]},
        {"power": 200.0, "air_density": np.full((2, 3), 1.2)},
    ],
)
def test_arrays_that_do_not_fit_the_legs_are_refused(wrong):
    with pytest.raises(ValueError, match="4 legs"):
        ride(ROLLING, Rider(80, 0.3), **wrong)


@pytest.mark.parametrize("wrong", [[], [Leg(1000), 3], "flat", [None]])
def test_a_course_of_something_else_is_refused(wrong):
    with pytest.raises(ValueError):
        Course(wrong)


def test_too_fast_a_descent_says_what_to_do():
    """-0.4 runs past 45 m/s, where the library stops: the message names the leg and the cure."""
    with pytest.raises(ValueError, match="leg 2.*speed_limit"):
        ride(Course([Leg(1000), Leg(1000, -0.4)]), Rider(100, 0.2), 300)


# With inertia


def test_constant_power_without_drag():
    """Nothing holds back: all work becomes kinetic energy."""
    (record,) = published.for_test("test_constant_power_without_drag")
    case = dict(record.si)
    power, start, distance = (case.pop(n) for n in ("power", "start_speed", "distance"))
    done = ride_dynamic(Course([Leg(distance)]), Rider(**case), power, start_speed=start)
    record.assert_close(done.time)
    assert done.speed[-1] == pytest.approx(10, rel=1e-8)
    assert done.energy == pytest.approx(done.kinetic, rel=1e-8)


def test_ride_dynamic_against_solve_ivp():
    """Over time instead of over distance, on the forces written out, leg by leg."""
    (record,) = published.for_test("test_ride_dynamic_against_solve_ivp")
    power, v = record.si["power"], record.si["start_speed"]
    rider = Rider(82, 0.31, rotating_mass=1.4, bearing_force=0.09, bearing_slope=0.009)
    course = Course([Leg(300, 0.03), Leg(400, -0.04, heading=1.0), Leg(200, 0.01, heading=2.0)])
    done = ride_dynamic(course, rider, power, wind_speed=3.0, wind_from=0.7, start_speed=v)
    inertia, time = rider.all_up_mass + rider.rotating_mass, 0.0
    for leg in course.legs:
        weather = Conditions(1.2, 3.0, angle_to_road(0.7, leg.heading), leg.gradient)

        def slopes(_, y, weather=weather):
            push = power * rider.drivetrain_efficiency / y[1]
            return [y[1], (push - wheel_force(rider, weather, y[1])) / inertia]

        def at_the_end(_, y, leg=leg):
            return y[0] - leg.distance

        at_the_end.terminal = True
        solved = solve_ivp(slopes, (0, 600), [0.0, v], events=at_the_end, rtol=1e-11, atol=1e-11)
        time, v = time + solved.t[-1], solved.y[1, -1]
    assert done.time == pytest.approx(time, rel=record.tolerance)
    assert done.speed[-1] == pytest.approx(v, rel=1e-7)


@given(courses, riders, floats(150, 500), floats(0, 4), floats(0, 6))
@settings(max_examples=5)
def test_accounts_of_a_ride_with_inertia_close(course, rider, power, wind, wind_from):
    assume(np.all(ride(course, rider, power, wind_speed=wind, wind_from=wind_from).legs.speed > 2))
    done = ride_dynamic(course, rider, power, wind_speed=wind, wind_from=wind_from)
    spent = done.air + done.rolling + done.slope + done.bearings + done.kinetic + done.braked
    assert done.energy * rider.drivetrain_efficiency == pytest.approx(spent, rel=1e-6, abs=1)
    rise = sum(leg.distance * np.sin(np.arctan(leg.gradient)) for leg in course.legs)
    assert done.slope == pytest.approx(rider.all_up_mass * GRAVITY * rise, rel=1e-6, abs=1)
    assert done.distance[-1] == pytest.approx(course.distance)
    assert np.all(np.diff(done.distance) > 0)
    assert done.distance.shape == done.speed.shape


def test_steady_is_good_enough_on_long_legs_and_not_on_short_ones():
    def both(length):
        course = Course([Leg(length, g) for g in (0.03, -0.03) * 4])
        rider = Rider(80, 0.3)
        return ride(course, rider, 250).time, ride_dynamic(course, rider, 250).time

    steady, dynamic = both(8000)
    assert dynamic == pytest.approx(steady, rel=0.005)
    steady, dynamic = both(100)
    assert dynamic < steady * 0.98  # the speed of the dip carries over the rise


def test_a_constant_road_is_ridden_at_the_steady_speed():
    course, rider = Course([Leg(500)] * 3), Rider(80, 0.3)
    steady, dynamic = ride(course, rider, 250), ride_dynamic(course, rider, 250)
    assert dynamic.time == pytest.approx(steady.time, rel=1e-9)
    assert dynamic.energy == pytest.approx(steady.energy, rel=1e-9)


def test_speed_limits_hold_with_inertia():
    course = Course([Leg(2000, -0.05), Leg(500, speed_limit=8.0), Leg(500)])
    done = ride_dynamic(course, Rider(80, 0.3), 250)
    inside = (done.distance >= 2000) & (done.distance <= 2500)
    assert done.speed[inside][1:].max() <= 8 * (1 + 1e-9)
    assert done.speed[-1] > 8
    spent = done.air + done.rolling + done.slope + done.kinetic + done.braked
    assert done.braked > 0 and done.energy * 0.975 == pytest.approx(spent, rel=1e-8)


def test_a_halt_is_said():
    with pytest.raises(ValueError, match="halt"):
        ride_dynamic(Course([Leg(3000, 0.3)]), Rider(80, 0.3), 5, start_speed=3.0)


def test_one_rider_only_with_inertia():
    with pytest.raises(ValueError, match="one rider and one air"):
        ride_dynamic(ROLLING, Rider([70.0, 80.0], 0.3), 250)


def test_too_fast_a_descent_says_what_to_do_with_inertia_too():
    steep, rider = Leg(3000, -0.4), Rider(100, 0.2)
    with pytest.raises(ValueError, match="pass the allowed 45 m/s.*speed_limit"):
        ride_dynamic(Course([Leg(1000), steep]), rider, 300)
    for limit in (30.0, 44.9):
        done = ride_dynamic(Course([Leg(1000), replace(steep, speed_limit=limit)]), rider, 300)
        assert done.speed.max() == pytest.approx(limit, rel=1e-8)
        spent = done.air + done.rolling + done.slope + done.kinetic + done.braked
        assert done.energy * 0.975 == pytest.approx(spent, abs=1)
