"""Scalars in, scalars out; arrays element by element; broadcasting as numpy does: every function."""

from dataclasses import fields, is_dataclass

import numpy as np
import pytest
from loops import over
from test_bad_input import CURVE, GOOD, RIDER

from dragwork.physics import course, drag, savings, speed, wind
from dragwork.physics.power import Conditions, Rider, air_force, power_balance

RECORDS = (Rider, Conditions, course.Leg, course.Course, drag.YawCurve)
# One answer from many numbers, or a curve for an answer.
NOT_ELEMENT_BY_ELEMENT = (
    drag.build_up, drag.wind_averaged, wind.all_directions, wind.rayleigh_speeds,
    wind.yaw_distribution, course.ride, course.steady_ride,
)  # fmt: skip
BY_ELEMENT = [f for f in GOOD if f not in RECORDS + NOT_ELEMENT_BY_ELEMENT]
STEP = 1.01  # near enough to stay inside every range


def parts(answer):
    """Names and values of an answer: of a record its fields, of a tuple its places."""
    if is_dataclass(answer):
        return {f.name: getattr(answer, f.name) for f in fields(answer)}
    return dict(enumerate(answer)) if isinstance(answer, tuple) else {"": answer}


def numbers(function):
    return [n for n, value in GOOD[function].items() if isinstance(value, (int, float))]


@over(BY_ELEMENT)
def test_scalars_in_scalars_out(function):
    for name, value in parts(function(**GOOD[function])).items():
        assert not isinstance(value, np.ndarray), name
        assert isinstance(value, (float, bool, np.bool_)), name


@over(BY_ELEMENT)
def test_one_array_among_scalars(function):
    for argument in numbers(function):
        good = GOOD[function][argument]
        several = np.array([good, good * STEP, good / STEP])
        together = parts(function(**{**GOOD[function], argument: several}))
        for i, one in enumerate(several):
            alone = parts(function(**{**GOOD[function], argument: one}))
            for name, value in alone.items():
                element = np.broadcast_to(together[name], (3,))[i]
                assert element == pytest.approx(value, rel=1e-14), (argument, name)


@over([f for f in BY_ELEMENT if len(numbers(f)) > 1])
def test_a_column_and_a_row_make_a_table(function):
    first, second, *_ = numbers(function)
    column = GOOD[function][first] * np.array([[1.0], [STEP]])
    row = GOOD[function][second] * np.array([1.0, 1 / STEP, STEP])
    crossed = parts(function(**{**GOOD[function], first: column, second: row}))
    assert (2, 3) in {np.shape(value) for value in crossed.values()}
    for i, j in np.ndindex(2, 3):
        alone = function(**{**GOOD[function], first: column[i, 0], second: row[j]})
        for name, value in parts(alone).items():
            element = np.broadcast_to(crossed[name], (2, 3))[i, j]
            assert element == pytest.approx(value, rel=1e-14), name


@over(BY_ELEMENT)
def test_lists_and_whole_numbers_are_numbers_too(function):
    for argument in numbers(function):
        good = GOOD[function][argument]
        from_list = parts(function(**{**GOOD[function], argument: [good, good]}))
        alone = parts(function(**GOOD[function]))
        for name, value in alone.items():
            assert np.broadcast_to(from_list[name], (2,))[1] == pytest.approx(value, rel=1e-14)


@over([f for f in BY_ELEMENT if len(numbers(f)) > 1])
def test_shapes_that_do_not_fit_are_refused(function):
    first, second, *_ = numbers(function)
    wrong = {first: [GOOD[function][first]] * 2, second: [GOOD[function][second]] * 3}
    with pytest.raises(ValueError):
        function(**{**GOOD[function], **wrong})


BY_POWER = {
    speed.steady_speed: {"power": 200.0},
    power_balance: {"ground_speed": 9.0},
    air_force: {"ground_speed": 9.0},
    savings.sensitivities: {"power": 200.0},
}


@over([(f, field) for f in BY_POWER for field in ("all_up_mass", "drag_area", "rolling_coefficient")])
def test_many_riders_in_many_kinds_of_weather(function, field):
    good = getattr(RIDER, field)
    values = good * np.array([[1.0], [STEP], [1 / STEP]])
    weather = Conditions(gradient=np.array([0.0, 0.02]), wind_speed=2.0, wind_angle=1.0)
    many = parts(function(Rider(**{**vars(RIDER), field: values}), weather, **BY_POWER[function]))
    for i, j in np.ndindex(3, 2):
        rider = Rider(**{**vars(RIDER), field: values[i, 0]})
        one_day = Conditions(gradient=weather.gradient[j], wind_speed=2.0, wind_angle=1.0)
        for name, value in parts(function(rider, one_day, **BY_POWER[function])).items():
            element = np.broadcast_to(many[name], (3, 2))[i, j]
            assert element == pytest.approx(value, rel=1e-13), name


def test_wind_averaged_over_many_speeds_and_many_curves():
    speeds, winds = np.array([[9.0], [12.0]]), np.array([1.0, 2.0, 3.0])
    crossed = drag.wind_averaged(CURVE, speeds, winds)
    assert crossed.shape == (2, 3)
    assert crossed[1, 2] == drag.wind_averaged(CURVE, 12.0, 3.0)
    assert isinstance(drag.wind_averaged(CURVE, 12.0, 3.0), float)


@pytest.mark.parametrize("number", [1, 3, 12, 360])
def test_wind_averaged_of_draws_keeps_them_apart_from_the_directions(number):
    """As many curves as directions must not be paired off with them."""
    tables = np.linspace(0.25, 0.35, number)[:, None] * [1.0, 0.98]
    angles = np.deg2rad([0, 30])
    averaged = drag.wind_averaged(drag.YawCurve(angles, tables), 11.0, 3.0)
    assert averaged.shape == (number,)
    for i in (0, number - 1):
        alone = drag.wind_averaged(drag.YawCurve(angles, tables[i]), 11.0, 3.0)
        assert averaged[i] == pytest.approx(alone, rel=1e-13)


@pytest.mark.parametrize("wrong", [0.3, "curve", None, [0.3, 0.3]])
def test_wind_averaged_of_something_else_is_refused(wrong):
    with pytest.raises(ValueError, match="curve .* is not a function of yaw"):
        drag.wind_averaged(wrong, 11.0, 3.0)
