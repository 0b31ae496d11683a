"""Steady speed: the power balance read backwards, against an oracle, limits and hard cases."""

import numpy as np
import published
import pytest
from hypothesis import assume, given, settings
from scipy.optimize import brentq, elementwise
from strategies import GRAVITY, conditions, curves, floats, random_rows, riders, wheel_force
from test_power import martin, row

from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.speed import steady_speed


def test_martin_example_backwards():
    """At the crank power of the example less its kinetic part."""
    (record,) = published.for_test("test_martin_example_backwards")
    rider, weather, _ = martin(record.si)
    total, kinetic = published.record("martin-total"), published.record("martin-acceleration")
    power = total.expected - kinetic.expected / rider.drivetrain_efficiency
    record.assert_close(steady_speed(rider, weather, power))


def forces_written_out(rider, weather):
    """What the wheel power of plain drag areas is made of, all rows at once."""
    head = weather.wind_speed * np.cos(weather.wind_angle)
    side = weather.wind_speed * np.sin(weather.wind_angle)
    slope = np.arctan(weather.gradient)
    weight = rider.all_up_mass * GRAVITY
    constant = weight * (rider.rolling_coefficient * np.cos(slope) + np.sin(slope))
    factor = weather.air_density * (rider.drag_area + rider.wheel_drag_area) / 2
    return head, side, constant + rider.bearing_force, factor, rider.bearing_slope


def test_steady_speed_against_find_root():
    (record,) = published.for_test("test_steady_speed_against_find_root")
    rider, weather, power = random_rows(record.si["number"], seed=11)
    wheel = power * rider.drivetrain_efficiency

    def power_left(v, wheel, head, side, constant, factor, bearing_slope):
        along = v + head
        air = factor * np.sqrt(along**2 + side**2) * along
        return v * (air + constant + bearing_slope * v) - wheel

    high = np.full(power.shape, 150.0)
    library = elementwise.find_root(
        power_left, (np.zeros_like(high), high), args=(wheel, *forces_written_out(rider, weather))
    )
    assert library.success.all()
    miss = np.abs(steady_speed(rider, weather, power) - library.x)
    assert miss.max() <= record.tolerance


@given(riders, conditions, floats(0.05, 40))
@settings(max_examples=300)
def test_steady_speed_inverts_the_power_balance(rider, weather, v):
    balance = power_balance(rider, weather, v)
    assume(0 < balance.total <= 3000)
    assert steady_speed(rider, weather, balance.total) == pytest.approx(v, rel=1e-10)


def test_steady_speed_inverts_the_power_balance_on_many_rows():
    rider, weather, _ = random_rows(50_000, seed=5)
    v = np.random.default_rng(6).uniform(0.05, 35, 50_000)
    total = power_balance(rider, weather, v).total
    usable = (total > 0) & (total <= 3000)
    found = steady_speed(rider, weather, np.where(usable, total, 100.0))
    assert usable.sum() > 20_000
    assert np.abs(found / v - 1)[usable].max() < 1e-10


@given(riders, conditions, floats(0.1, 3000))
def test_power_balance_gives_the_power_back(rider, weather, power):
    v = steady_speed(rider, weather, power)
    wheel = wheel_force(rider, weather, v) * v
    assert v > 0
    assert wheel == pytest.approx(power * rider.drivetrain_efficiency, rel=1e-9)


@given(riders, conditions, floats(1, 2000), floats(0.001, 0.2))
def test_more_drag_area_is_never_faster_against_the_wind(rider, weather, power, more):
    """As long as the air holds the rider back: where it pushes, more area is a sail."""
    plain = Rider(rider.all_up_mass, 0.3, rider.rolling_coefficient, rider.drivetrain_efficiency)
    bigger = Rider(
        rider.all_up_mass, 0.3 + more, rider.rolling_coefficient, rider.drivetrain_efficiency
    )
    here, there = steady_speed(plain, weather, power), steady_speed(bigger, weather, power)
    along = here + weather.wind_speed * np.cos(weather.wind_angle)
    if along > 1e-9:
        assert there <= here * (1 + 1e-14)
    elif along < -1e-9:
        assert there >= here * (1 - 1e-14)


@given(riders, conditions, floats(0, 2000), floats(0.1, 500))
def test_more_power_is_always_faster(rider, weather, power, more):
    assert steady_speed(rider, weather, power + more) > steady_speed(rider, weather, power)


@given(riders, conditions, floats(1, 2000))
def test_more_mass_uphill_is_slower(rider, weather, power):
    assume(weather.gradient >= 0 and rider.rolling_coefficient > 1e-4)
    heavier = Rider(**{**vars(rider), "all_up_mass": rider.all_up_mass + 1})
    assert steady_speed(heavier, weather, power) < steady_speed(rider, weather, power)


@given(riders, conditions, floats(1, 1000))
def test_speed_is_symmetric_in_the_wind_for_a_one_sided_table(rider, weather, power):
    assume(not isinstance(rider.drag_area, YawCurve) or rider.drag_area.yaw[0] >= 0)
    mirrored = Conditions(**{**vars(weather), "wind_angle": -weather.wind_angle})
    here, there = steady_speed(rider, weather, power), steady_speed(rider, mirrored, power)
    assert here == pytest.approx(there, rel=1e-12)


@given(riders, conditions)
def test_power_0_coasts_or_stands(rider, weather):
    """Something pushes: the speed at which it stops pushing. Nothing pushes: exactly 0."""
    v = steady_speed(rider, weather, 0)
    force = wheel_force(rider, weather, 0.0)
    assume(abs(force) > 1e-9)
    if force > 0:
        assert v == 0.0
    else:
        assert v > 0
        size = rider.all_up_mass * GRAVITY
        assert wheel_force(rider, weather, v) == pytest.approx(0, abs=1e-12 * size)


def test_coasting_meets_small_powers():
    """The coasting speed is where ever smaller powers lead."""
    rider, weather = Rider(80, 0.3), Conditions(gradient=-0.03)
    coasting = steady_speed(rider, weather, 0)
    assert steady_speed(rider, weather, 1e-9) == pytest.approx(coasting, rel=1e-11)
    assert steady_speed(rider, Conditions(), 1e-9) == pytest.approx(1e-9 * 0.975 / 3.138, rel=1e-3)


def test_no_weather_no_slope_no_power_stands_still():
    assert steady_speed(Rider(80, 0.3), Conditions(), 0) == 0.0
    level_with_rolling = Conditions(gradient=-0.004)
    assert steady_speed(Rider(80, 0.3), level_with_rolling, 0) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("w", [3.0, 8.0, 20.0, 45.0])
def test_pushed_by_the_wind_alone(w):
    """Power 0, tail wind w: CdA rho (w - v)^2/2 = rolling, so v = w - sqrt(2 F/(rho CdA))."""
    rider = Rider(80, 0.4)
    slack = np.sqrt(2 * 80 * GRAVITY * 0.004 / (1.2 * 0.4))
    for angle in (np.pi, -np.pi):
        v = steady_speed(rider, Conditions(wind_speed=w, wind_angle=angle), 0)
        assert v == pytest.approx(max(w - slack, 0.0), abs=1e-12)


def test_side_wind_costs_speed_though_it_comes_from_the_side():
    rider = Rider(80, 0.3)
    side = Conditions(wind_speed=5, wind_angle=np.pi / 2)
    assert steady_speed(rider, side, 200) < steady_speed(rider, Conditions(), 200)


def test_drag_area_0_is_limited_by_tyres_alone():
    rider = Rider(80, 0.0, drivetrain_efficiency=1)
    force = 80 * GRAVITY * 0.004
    assert steady_speed(rider, Conditions(), 31.38128) == pytest.approx(31.38128 / force, rel=1e-12)


def test_nothing_that_holds_back_is_said():
    with pytest.raises(ValueError, match="no steady speed"):
        steady_speed(Rider(80, 0.0), Conditions(gradient=-0.05), 100)
    with pytest.raises(ValueError, match=r"no steady speed.*value 3 of"):
        steady_speed(Rider(80, [0.3, 0.3, 0.0, 0.3]), Conditions(gradient=-0.05), 100)


@pytest.mark.parametrize("gradient", [-0.4, -0.2, 0.2, 0.4])
@pytest.mark.parametrize("power", [0.0, 1e-6, 1.0, 3000.0])
def test_the_steepest_roads(gradient, power):
    rider, weather = Rider(80, 0.3), Conditions(gradient=gradient)
    v = steady_speed(rider, weather, power)
    if power or gradient < 0:
        low = 1.0 if gradient < 0 else 0.0
        expected = brentq(
            lambda x: wheel_force(rider, weather, x) * x - 0.975 * power, low, 200, xtol=1e-14
        )
        assert v == pytest.approx(expected, rel=1e-11)
    else:
        assert v == 0


@given(curves(), conditions, floats(0, 1500))
def test_curves_against_brentq(curve, weather, power):
    rider = Rider(80, curve)
    force = wheel_force(rider, weather, 0.0)
    assume(power > 1e-3 or abs(force) > 1e-6)
    assume(power == 0 or power > 1e-9)  # a speed of 1e-60 m/s is nobody's question
    v = steady_speed(rider, weather, power)
    if v > 0:
        excess = [wheel_force(rider, weather, x) * x - 0.975 * power for x in (v * 0.999, v * 1.001)]
        assert excess[0] < 0 < excess[1]


def test_a_flat_curve_is_not_a_plain_number():
    """Within its table a flat curve pulls with v_a^2, a number with v_a u: 1/cos(yaw) apart."""
    flat = Rider(80, YawCurve(np.deg2rad([0, 60]), [0.3, 0.3]))
    side = Conditions(wind_speed=5, wind_angle=np.pi / 2)
    assert steady_speed(flat, side, 200) < steady_speed(Rider(80, 0.3), side, 200)
    assert steady_speed(flat, Conditions(), 200) == pytest.approx(
        steady_speed(Rider(80, 0.3), Conditions(), 200), rel=1e-13
    )


@pytest.mark.parametrize("wheels", [0.004, YawCurve(np.deg2rad([0, 15]), [0.004, 0.003])])
def test_curve_or_number_for_rider_or_wheels(wheels):
    curve = YawCurve(np.deg2rad([0, 10, 20]), [0.30, 0.31, 0.28])
    weather = Conditions(wind_speed=4, wind_angle=1.0)
    for area in (0.3, curve):
        rider = Rider(80, area, wheel_drag_area=wheels)
        v = steady_speed(rider, weather, 250)
        assert wheel_force(rider, weather, v) * v == pytest.approx(250 * 0.975, rel=1e-12)


def test_arrays_agree_with_scalars():
    rider, weather, power = random_rows(60, seed=9)
    together = steady_speed(rider, weather, power)
    alone = [steady_speed(row(rider, i), row(weather, i), power[i]) for i in range(60)]
    assert together == pytest.approx(alone, rel=1e-14)


def test_the_result_does_not_depend_on_the_company():
    """Rows are solved in blocks: one row more or less changes nothing."""
    rider, weather, power = random_rows(40_000, seed=2)
    first = steady_speed(row(rider, slice(0, 1000)), row(weather, slice(0, 1000)), power[:1000])
    assert np.array_equal(steady_speed(rider, weather, power)[:1000], first)


def test_broadcasting_as_numpy_does():
    rider = Rider(np.array([60.0, 80.0, 100.0])[:, None], 0.3)
    weather = Conditions(gradient=np.array([-0.05, 0.0, 0.02, 0.05]))
    crossed = steady_speed(rider, weather, 200.0)
    assert crossed.shape == (3, 4)
    assert crossed[1, 2] == steady_speed(Rider(80.0, 0.3), Conditions(gradient=0.02), 200.0)
    assert steady_speed(Rider(80, 0.3), Conditions(), np.empty((0,))).shape == (0,)
    assert steady_speed(Rider(80, 0.3), Conditions(), [[200.0]]).shape == (1, 1)
    with pytest.raises(ValueError):
        steady_speed(Rider([60.0, 80.0], 0.3), Conditions(gradient=[0.0, 0.1, 0.2]), 200.0)


def test_many_curves_broadcast_with_riders():
    tables = np.array([[0.30, 0.32], [0.25, 0.24], [0.4, 0.4]])
    angles = np.deg2rad([0, 20])
    weather = Conditions(wind_speed=3, wind_angle=np.array([0.0, 0.7, 1.4, 3.0]))
    crossed = steady_speed(Rider(80, YawCurve(angles, tables[:, None, :])), weather, 250)
    assert crossed.shape == (3, 4)
    for i, table in enumerate(tables):
        one = steady_speed(Rider(80, YawCurve(angles, table)), weather, 250)
        assert crossed[i] == pytest.approx(one, rel=1e-14)


def test_scalars_in_scalars_out():
    v = steady_speed(Rider(80, 0.3), Conditions(), 200)
    assert isinstance(v, float)
    v = steady_speed(Rider(80, YawCurve([0.0, 0.2], [0.3, 0.3])), Conditions(), 200)
    assert isinstance(v, float)
