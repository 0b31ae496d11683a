"""What a change is worth: exact rules, small-change rules and where they part."""

from dataclasses import fields, replace

import numpy as np
import published
import pytest
from hypothesis import assume, given
from strategies import conditions, floats, riders

from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.savings import (
    Sensitivities,
    drag_area_behind,
    sensitivities,
    small_change_gain,
    speed_gain,
    time_saved,
    time_saved_per_hour,
    watts_saved,
)
from dragwork.physics.speed import steady_speed


def test_exact_elasticities():
    """Still air, constant drag area: relative change of speed for one of CdA, P and Crr."""
    (record,) = published.for_test("test_exact_elasticities")
    case = dict(record.si)
    weather = Conditions(case.pop("air_density"), gradient=case.pop("gradient")[:, None])
    power = case.pop("power")[:, None, None]
    rider = Rider(**case)
    by = sensitivities(rider, weather, power)
    balance = power_balance(rider, weather, by.speed)
    s, rest = balance.air_share, 1 + 2 * balance.air_share
    rolling_share = balance.rolling / (balance.rolling + balance.slope + balance.air)
    for slope, value, expected in (
        (by.drag_area, rider.drag_area, -s / rest),
        (by.power, power, 1 / rest),
        (by.rolling_coefficient, rider.rolling_coefficient, -rolling_share / rest),
        (by.all_up_mass, rider.all_up_mass, -(1 - s) / rest),
        (by.air_density, weather.air_density, -s / rest),
    ):
        assert slope * value / by.speed == pytest.approx(expected, rel=record.tolerance)


def test_sensitivities_are_those_of_steady_speed_on_many_cases():
    """Central differences of steady_speed, in every weather, with numbers and with curves."""
    rng = np.random.default_rng(4)
    number = 400
    curve = YawCurve(np.deg2rad([0, 90 / 7, 25]), rng.uniform(0.25, 0.32, (number, 3)))
    weather = Conditions(
        rng.uniform(1, 1.3, number), rng.uniform(0, 8, number),
        rng.uniform(-3.1, 3.1, number), rng.uniform(-0.08, 0.08, number),
    )  # fmt: skip
    power = rng.uniform(50, 500, number)
    for area in (rng.uniform(0.2, 0.4, number), curve):
        rider = Rider(
            rng.uniform(50, 110, number), area, 0.005,
            wheel_drag_area=0.004, bearing_force=0.09, bearing_slope=0.009,
        )  # fmt: skip
        by = sensitivities(rider, weather, power)
        assert by.speed == pytest.approx(steady_speed(rider, weather, power), rel=1e-15)
        for name, step in (
            ("drag_area", 1e-5), ("all_up_mass", 1e-3), ("rolling_coefficient", 1e-6),
            ("air_density", 1e-5), ("gradient", 1e-6), ("wind_speed", 1e-5), ("power", 1e-3),
        ):  # fmt: skip
            up, down = (
                steady_speed(*shifted(rider, weather, power, name, x)) for x in (step, -step)
            )
            difference = (up - down) / (2 * step)
            miss = np.abs(getattr(by, name) - difference) / (1e-6 + np.abs(difference))
            kinks = number // 50 if area is curve else 0  # a row whose step crosses a table angle
            assert np.sum(miss > 2e-5) <= kinks, name


def shifted(rider, weather, power, name, step):
    """The same case with one input moved by a step."""
    if name == "power":
        return rider, weather, power + step
    if name == "drag_area" and isinstance(rider.drag_area, YawCurve):
        curve = rider.drag_area
        return replace(rider, drag_area=YawCurve(curve.yaw, curve.drag_area + step)), weather, power
    if hasattr(rider, name):
        return replace(rider, **{name: getattr(rider, name) + step}), weather, power
    return rider, replace(weather, **{name: getattr(weather, name) + step}), power


@given(floats(0.05, 1), floats(0, 0.4))
def test_small_change_rule_never_promises_a_third(s, x):
    gain = small_change_gain(s, x)
    assert 0 <= gain <= x / 3
    assert small_change_gain(s, x / 2) == pytest.approx(gain / 2)


def test_small_change_rule_is_low_by_what_its_docstring_says():
    """Air alone: at 5 % by about a thirtieth, at 30 % by about a fifth."""
    for x, low_by in ((0.05, 1 / 30), (0.30, 1 / 5)):
        exact = (1 - x) ** (-1 / 3) - 1
        assert 1 - small_change_gain(1.0, x) / exact == pytest.approx(low_by, rel=0.07)


@given(floats(0.2, 0.5), floats(50, 500), floats(0, 0.08), floats(0.001, 0.01))
def test_exact_and_first_order_gains_agree_for_small_cuts(area, power, gradient, x):
    before, weather = Rider(80, area), Conditions(gradient=gradient)
    after = replace(before, drag_area=area * (1 - x))
    s = power_balance(before, weather, steady_speed(before, weather, power)).air_share
    gain = speed_gain(before, after, weather, power)
    assert gain == pytest.approx(small_change_gain(s, x), rel=2 * x)


def test_seconds_over_a_distance_peak_where_air_is_a_quarter():
    """The heart of the workbook: one rider, still air, a small cut, a steep road, rising power."""
    before, weather = Rider(80, 0.3), Conditions(gradient=0.06)
    after = replace(before, drag_area=0.3 * (1 - 1e-5))
    power = np.linspace(50, 3000, 2951)
    saved = time_saved(before, after, weather, power, 10_000.0)
    best = np.argmax(saved)
    v = steady_speed(before, weather, power[best])
    assert power_balance(before, weather, v).air_share == pytest.approx(0.25, abs=0.002)


def test_per_hour_rises_per_distance_falls_on_the_flat():
    before, after, flat = Rider(80, 0.32), Rider(80, 0.304), Conditions()
    power = np.linspace(60, 600, 50)
    per_hour = time_saved_per_hour(before, after, flat, power)
    per_distance = time_saved(before, after, flat, power, 40_000.0)
    assert np.all(np.diff(per_hour) > 0)
    assert np.all(np.diff(per_distance) < 0)
    assert per_hour.max() < 3600 * (1 - 0.95 ** (1 / 3))


@given(riders, conditions, floats(30, 1000), floats(100, 1e5), floats(0.001, 0.1))
def test_there_and_back_cancels(rider, weather, power, distance, change):
    other = replace(rider, all_up_mass=rider.all_up_mass * (1 + change))
    there = time_saved(rider, other, weather, power, distance)
    back = time_saved(other, rider, weather, power, distance)
    assert there == -back
    hour = time_saved_per_hour(rider, other, weather, power)
    v = steady_speed(rider, weather, power)
    assert hour == pytest.approx(time_saved(rider, other, weather, power, 3600 * v), abs=1e-6)


@given(floats(0.2, 0.5), floats(0.001, 0.1), conditions, floats(1, 20), floats(0.9, 1))
def test_watts_saved_and_the_drag_area_behind_them(area, cut, weather, v, efficiency):
    """Quoted at the crank, times efficiency, it is the cut that was put in."""
    felt_along = v + weather.wind_speed * np.cos(weather.wind_angle)
    assume(felt_along > 0.1)
    before = Rider(80, area + cut, drivetrain_efficiency=efficiency)
    after = replace(before, drag_area=area)
    flat = replace(weather, gradient=0.0)
    assume(power_balance(after, flat, v).total > 0)
    watts = watts_saved(before, after, flat, v)
    assume(abs(watts) < 3000)
    found = drag_area_behind(watts * efficiency, weather, v)
    assert found == pytest.approx(cut, rel=1e-7)


def test_where_the_brakes_work_nothing_is_saved():
    downhill = Conditions(gradient=-0.08)
    assert watts_saved(Rider(80, 0.32), Rider(80, 0.30), downhill, 5.0) == 0


def test_pushed_by_the_wind_less_drag_area_costs_time():
    pushed = Conditions(wind_speed=9.0, wind_angle=np.pi, gradient=0.05)
    assert time_saved(Rider(80, 0.32), Rider(80, 0.28), pushed, 150, 1000.0) < 0


def test_refusals_in_words():
    rider, still = Rider(80, 0.3), Conditions()
    with pytest.raises(ValueError, match="power"):
        sensitivities(rider, still, 0)
    with pytest.raises(ValueError, match="does not roll"):
        time_saved(rider, rider, still, 0, 1000)
    with pytest.raises(ValueError, match="ahead"):
        drag_area_behind(20, Conditions(wind_speed=9, wind_angle=np.pi), 8)
    with pytest.raises(ValueError, match="ahead"):
        drag_area_behind(20, still, 0)


def test_scalars_and_arrays():
    rider, after, still = Rider(80, 0.3), Rider(80, 0.28), Conditions()
    for value in (
        watts_saved(rider, after, still, 10), time_saved(rider, after, still, 200, 1000),
        speed_gain(rider, after, still, 200), time_saved_per_hour(rider, after, still, 200),
        small_change_gain(0.8, 0.1), drag_area_behind(20, still, 10),
    ):  # fmt: skip
        assert isinstance(value, float)
    crossed = Conditions(gradient=np.array([0.0, 0.03]))
    powers = np.array([150.0, 200.0, 250.0])[:, None]
    one, many = sensitivities(rider, still, 200), sensitivities(rider, crossed, powers)
    for field in fields(Sensitivities):
        assert isinstance(getattr(one, field.name), float), field.name
        assert getattr(many, field.name).shape == (3, 2), field.name
        assert getattr(many, field.name)[1, 0] == pytest.approx(getattr(one, field.name), rel=1e-13)
