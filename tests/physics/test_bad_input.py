"""Bad input to every public function: a sentence that names argument, value, range and slip."""

import inspect
import re

import numpy as np
import pytest
from loops import over

from dragwork.physics import air, course, drag, power, resistance, savings, speed, wind
from dragwork.physics.course import Course, Leg
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, Rider
from dragwork.quantities import QUANTITIES, in_words

RIDER, STILL = Rider(80, 0.3), Conditions()
ROAD = Course([Leg(1000), Leg(1000, 0.03)])
CURVE = YawCurve(np.deg2rad([0, 20]), [0.3, 0.3])

# One good call for every public function and record that takes numbers.
GOOD = {
    air.saturation_vapour_pressure: {"temperature": 293.0},
    air.density: {"temperature": 293.0, "pressure": 1e5, "relative_humidity": 0.5},
    air.vapour_fraction: {"temperature": 293.0, "pressure": 1e5, "relative_humidity": 0.5},
    air.dynamic_viscosity: {"temperature": 293.0},
    air.standard_atmosphere: {"altitude": 500.0},
    air.station_pressure: {"sea_level_pressure": 101e3, "altitude": 500.0, "temperature": 288.0},
    wind.apparent_wind: {"ground_speed": 10.0, "wind_speed": 3.0, "angle": 0.5},
    wind.angle_to_road: {"wind_from": 1.0, "heading": 2.0},
    wind.wind_at_height: {
        "wind_speed": 5.0, "height": 1.0, "roughness_length": 0.03, "reference_height": 10.0,
    },
    wind.rayleigh_exceedance: {"wind_speed": 5.0, "mean_wind_speed": 4.0},
    wind.rayleigh_speeds: {"mean_wind_speed": 4.0, "number": 8},
    wind.all_directions: {"number": 8},
    wind.yaw_distribution: {
        "ground_speed": 10.0, "wind_speed": 3.0, "directions": [0.5, 1.0], "weights": [1.0, 2.0],
        "edges": [0.1, 0.2],
    },
    drag.dynamic_pressure: {"air_density": 1.2, "air_speed": 10.0},
    drag.drag_force: {"drag_area": 0.3, "air_density": 1.2, "air_speed": 10.0},
    drag.area_from_force: {"force": 18.0, "air_density": 1.2, "air_speed": 10.0},
    drag.from_along_road: {"drag_area": 0.3, "yaw": 0.1},
    drag.body_from_wind_axes: {"drag": 18.0, "side_force": 5.0, "yaw": 0.1},
    drag.wind_from_body_axes: {"axial_force": 18.0, "side_force": 5.0, "yaw": 0.1},
    drag.reynolds_number: {
        "air_density": 1.2, "air_speed": 10.0, "length": 0.1, "dynamic_viscosity": 1.8e-5,
    },
    drag.blockage_factor: {"model_area": 0.5, "section_area": 5.0},
    drag.YawCurve: {"yaw": [0.1, 0.2], "drag_area": [0.3, 0.3]},
    drag.build_up: {"parts": {"rider": 0.3}, "interaction": -0.01},
    drag.wind_averaged: {
        "curve": np.cos, "ground_speed": 10.0, "wind_speed": 3.0, "directions": 0.5,
    },
    resistance.rolling_force: {"all_up_mass": 80.0, "rolling_coefficient": 0.004, "gradient": 0.0},
    resistance.slope_force: {"all_up_mass": 80.0, "gradient": 0.0},
    resistance.bearing_resistance: {
        "ground_speed": 10.0, "bearing_force": 0.09, "bearing_slope": 0.009,
    },
    resistance.rotating_mass: {"moment_of_inertia": 0.14, "wheel_radius": 0.31},
    resistance.inertia_force: {"all_up_mass": 80.0, "rotating_mass": 1.4, "acceleration": 0.1},
    resistance.crank_power: {"wheel_power": 200.0, "drivetrain_efficiency": 0.97},
    power.Rider: {
        "all_up_mass": 80.0, "drag_area": 0.3, "rolling_coefficient": 0.004,
        "drivetrain_efficiency": 0.97, "wheel_drag_area": 0.004, "bearing_force": 0.09,
        "bearing_slope": 0.009, "rotating_mass": 1.4,
    },
    power.Conditions: {
        "air_density": 1.2, "wind_speed": 3.0, "wind_angle": 0.5, "gradient": 0.01,
        "shelter": 0.8,
    },
    power.air_force: {"rider": RIDER, "conditions": STILL, "ground_speed": 10.0},
    power.power_balance: {
        "rider": RIDER, "conditions": STILL, "ground_speed": 10.0, "acceleration": 0.1,
    },
    speed.steady_speed: {"rider": RIDER, "conditions": STILL, "power": 200.0},
    course.Leg: {"distance": 1000.0, "gradient": 0.01, "heading": 1.0, "speed_limit": 10.0, "shelter": 0.7},
    course.Course: {"legs": [Leg(1000)]},
    course.ride: {
        "course": ROAD, "rider": RIDER, "power": 200.0,
        "air_density": 1.2, "wind_speed": 3.0, "wind_from": 1.0, "start_speed": 5.0,
    },
    course.steady_ride: {
        "course": ROAD, "rider": RIDER, "power": 200.0,
        "air_density": 1.2, "wind_speed": 3.0, "wind_from": 1.0,
    },
    savings.watts_saved: {
        "before": RIDER, "after": RIDER, "conditions": STILL, "ground_speed": 10.0,
    },
    savings.time_saved: {
        "before": RIDER, "after": RIDER, "conditions": STILL, "power": 200.0, "distance": 1000.0,
    },
    savings.speed_gain: {"before": RIDER, "after": RIDER, "conditions": STILL, "power": 200.0},
    savings.time_saved_per_hour: {
        "before": RIDER, "after": RIDER, "conditions": STILL, "power": 200.0,
    },
    savings.small_change_gain: {"air_share": 0.8, "drag_area_cut": 0.05},
    savings.drag_area_behind: {"power_saved": 20.0, "conditions": STILL, "ground_speed": 10.0},
    savings.sensitivities: {"rider": RIDER, "conditions": STILL, "power": 200.0},
}  # fmt: skip
RECORDS = ("rider", "conditions", "before", "after", "course", "legs")
ARGUMENTS = [(function, name) for function, good in GOOD.items() for name in good]
CALLS_BY_RECORD = [(function, name) for function, name in ARGUMENTS if name in RECORDS]
NUMBERS = [(f, name) for f, name in ARGUMENTS if name not in (*RECORDS, "curve", "parts")]
SLIPS = {  # argument: what a learner types, the unit that it was in
    "temperature": (21.0, "Celsius"),
    "pressure": (1013.0, "hectopascal"),
    "sea_level_pressure": (1013.0, "hectopascal"),
    "relative_humidity": (55.0, "percent"),
    "gradient": (5.0, "percent"),
    "drivetrain_efficiency": (97.5, "percent"),
    "air_share": (85.0, "percent"),
    "drag_area_cut": (5.0, "percent"),
    "yaw": (12.0, "degrees"),
    "angle": (60.0, "degrees"),
    "directions": (60.0, "degrees"),
    "wind_angle": (-45.0, "degrees"),
    "wind_from": (310.0, "degrees"),
    "heading": (340.0, "degrees"),
    "ground_speed": (50.0, "km/h"),
    "air_speed": (50.0, "km/h"),
    "wind_speed": (50.0, "km/h"),
    "mean_wind_speed": (50.0, "km/h"),
    "speed_limit": (50.0, "km/h"),
    "start_speed": (50.0, "km/h"),
}


def refusal(function, name, value):
    """The message that a good call with one bad argument raises."""
    with pytest.raises(ValueError) as raised:
        function(**{**GOOD[function], name: value})
    said = str(raised.value)
    assert not re.search(r"[a-z]_[a-z]|units\.|[a-z]\[\d", said), f"a programmer's words: {said}"
    return said.replace("−", "-")


def test_every_public_function_stands_in_the_table():
    for module in (air, wind, drag, resistance, power, speed, course, savings):
        for name, thing in vars(module).items():
            its_own = inspect.isfunction(thing) and thing.__module__ == module.__name__
            if its_own and not name.startswith("_"):
                assert thing in GOOD, f"{module.__name__}.{name}"
                asked = set(inspect.signature(thing).parameters) - {"progress"}
                assert asked == set(GOOD[thing])


@over(GOOD)
def test_the_good_call_is_good(function):
    function(**GOOD[function])


@over(NUMBERS)
def test_below_and_above_the_range(function, name):
    """Wrong sign and all else outside: argument, value, range and unit are named."""
    quantity = QUANTITIES[name]
    span = quantity.high - quantity.low
    for value in (quantity.low - 0.01 * span, quantity.high + 0.01 * span):
        said = refusal(function, name, value)
        unit = quantity.unit
        if unit in ("m2", "kg/m3"):
            unit = unit.replace("m2", "m²").replace("m3", "m³")
        assert in_words(name) in said and unit in said, said
        assert any(f"{value:{form}}" in said for form in ("g", ".6g", ".0f")), said
        assert quantity.range_in_words().replace("−", "-") in said, said
    if quantity.above_low:
        assert in_words(name) in refusal(function, name, quantity.low)


@over(NUMBERS)
def test_nan_and_infinity(function, name):
    for value in (np.nan, np.inf, -np.inf):
        said = refusal(function, name, value)
        assert in_words(name) in said and str(value) in said and "number" in said, said


@over(NUMBERS)
def test_what_is_not_a_number(function, name):
    for value in ("12", "0,32", None, True, [1, [2]], {"a": 1}, 1j):
        if value is None and name in ("speed_limit", "start_speed", "directions", "weights"):
            continue  # there None means: none given
        said = refusal(function, name, value)
        assert in_words(name) in said and "not a number" in said, said


@over([c for c in NUMBERS if c[1] in SLIPS])
def test_the_slip_is_guessed(function, name):
    value, unit = SLIPS[name]
    said = refusal(function, name, value)
    assert f"Were {value:g} {unit}" in said.replace("degrees Celsius", "Celsius"), said


@over([(f, name) for f, name in NUMBERS if f is not Leg and name not in ("number", "start_speed")])
def test_one_bad_element_is_named_by_its_place(function, name):
    good = np.asarray(GOOD[function][name], dtype=float).flat[0]
    bad = np.full((2, 2), good)
    bad[1, 0] = np.nan
    assert f"{in_words(name)} (value 2, 1)" in refusal(function, name, bad)
    assert f"{in_words(name)} (value 2, 1)" in refusal(function, name, bad.tolist())


@over(CALLS_BY_RECORD)
def test_a_record_of_another_kind(function, name):
    for value in (80.0, "rider", None, {}, (1, 2)):
        assert name.removesuffix("s") in refusal(function, name, value)


def test_swapped_rider_and_conditions():
    with pytest.raises(ValueError, match="rider.*is not a Rider"):
        speed.steady_speed(STILL, RIDER, 200)
    with pytest.raises(ValueError, match="conditions.*is not a Conditions"):
        power.power_balance(RIDER, 10.0, 10.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda bad: wind.wind_at_height(5.0, bad, 0.03), "height 0.2 m"),
        (lambda bad: drag.area_from_force(10.0, 1.2, bad - 0.2), "air speed 0 m/s"),
        (lambda bad: drag.blockage_factor(5.0, bad * 10), "model area 5 m²"),
        (lambda bad: drag.wind_averaged(np.cos, bad - 0.2, 0.0), "ground speed 0 m/s"),
        (lambda bad: savings.drag_area_behind(9.0, Conditions(wind_speed=0.3, wind_angle=np.pi), bad), "ground speed 0.2 m/s"),
        (lambda bad: savings.sensitivities(RIDER, STILL, bad - 0.2), "power 0 W"),
        (lambda bad: savings.time_saved(RIDER, RIDER, STILL, bad - 0.2, 100.0), "power is 0"),
    ],
)  # fmt: skip
def test_rules_between_arguments_name_the_element(call, words):
    with pytest.raises(ValueError) as raised:
        call(np.array([1.0, 0.2, 1.0]))
    assert words in str(raised.value) and "(value 2 of 3)" in str(raised.value)


def test_nothing_is_changed_in_what_was_passed():
    """Inputs keep type and values, also where an element is refused."""
    typed = np.array([1013, 985], dtype=int)
    with pytest.raises(ValueError):
        air.density(293.0, typed)
    assert typed.dtype == int and typed.tolist() == [1013, 985]


def test_refusals_are_never_warnings():
    """The suite runs with warnings as errors: hard but lawful cases pass in silence."""
    power.power_balance(RIDER, Conditions(wind_speed=10, wind_angle=np.pi), [0.0, 5.0, 10.0, 20.0])
    speed.steady_speed(RIDER, Conditions(wind_speed=10, wind_angle=np.pi), [0.0, 1e-12, 3000.0])
    flat_out = Rider(80, 0.0, rolling_coefficient=0.0)
    power.power_balance(flat_out, STILL, [0.0, 10.0])
    speed.steady_speed(flat_out, Conditions(gradient=0.05), [0.0, 100.0])
