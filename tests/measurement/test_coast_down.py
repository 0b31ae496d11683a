"""Coast-down times against the regulation's table, the differential equation and a general fit."""

import numpy as np
import published
import pytest
from scipy import integrate, optimize

from dragwork.measurement.coast_down import coast_down, coasting_time
from dragwork.physics.power import Conditions, Rider, power_balance

MASS, WHEELS, RHO = 84.0, 1.4, 1.2
GATES = np.array([13.0, 11.5, 10.0, 8.5, 7.0, 5.5, 4.0])


def by_differential_equation(mass, A, C, v1, v2):
    def slower(t, v):
        return [-(A + C * v[0] ** 2) / mass]

    def reached(t, v):
        return v[0] - v2

    reached.terminal = True
    done = integrate.solve_ivp(slower, (0, 1e4), [v1], events=reached, rtol=1e-12, atol=1e-12)
    return done.t_events[0][0]


def gates(drag_area=0.32, rolling=0.005):
    A, C = rolling * MASS * 9.80665, RHO * drag_area / 2
    t = [by_differential_equation(MASS + WHEELS, A, C, *pair) for pair in zip(GATES, GATES[1:])]
    return GATES[:-1], GATES[1:], np.array(t)


def test_coasting_time_is_that_of_the_differential_equation():
    (record,) = published.for_test("test_coasting_time_is_that_of_the_differential_equation")
    for mass, A, C, v1, v2 in ((80, 4.0, 0.19, 14, 3), (60, 2.5, 0.12, 9, 8.9), (95, 6, 0.3, 20, 0)):
        found = coasting_time(mass, A, C, v1, v2)
        assert found == pytest.approx(by_differential_equation(mass, A, C, v1, v2), rel=record.tolerance)


def test_coast_down_finds_what_the_differential_equation_was_given():
    (record,) = published.for_test("test_coast_down_finds_what_the_differential_equation_was_given")
    found = coast_down(*gates(), MASS, RHO, WHEELS)
    assert [found.drag_area, found.rolling_coefficient] == pytest.approx(
        record.expected, rel=record.tolerance
    )
    assert found.standard_errors["drag_area"] < 1e-6


def test_coast_down_agrees_with_a_general_fit():
    (record,) = published.for_test("test_coast_down_agrees_with_a_general_fit")
    v1, v2, t = gates()
    v1, v2, t = np.tile(v1, 4), np.tile(v2, 4), np.tile(t, 4)
    t = t + 0.15 * np.random.default_rng(8).standard_normal(t.size)
    found = coast_down(v1, v2, t, MASS, RHO, WHEELS)
    values, covariance = optimize.curve_fit(
        lambda x, A, C: coasting_time(MASS, A, C, *x, WHEELS), (v1, v2), t, p0=(3.0, 0.2),
        ftol=1e-14, xtol=1e-14, gtol=1e-14,
    )  # fmt: skip
    assert [found.constant_force, found.air_factor] == pytest.approx(values, rel=record.tolerance)
    errors = [found.standard_errors[name] for name in ("constant_force", "air_factor")]
    assert errors == pytest.approx(np.sqrt(np.diag(covariance)), rel=1e-3)
    assert found.correlation == pytest.approx(covariance[0, 1] / np.prod(errors), rel=1e-3)


def test_the_force_is_that_of_the_power_balance():
    """Just below a speed, the time for a small step is the mass over the force."""
    rider = Rider(MASS, 0.32, 0.005, drivetrain_efficiency=1.0)
    for v in (4.0, 9.0, 14.0):
        force = power_balance(rider, Conditions(RHO), v).total / v
        found = coasting_time(MASS, 0.005 * MASS * 9.80665, RHO * 0.32 / 2, v + 5e-4, v - 5e-4)
        assert found == pytest.approx(MASS * 1e-3 / force, rel=1e-6)


def test_intervals_of_the_drag_area_cover_the_truth():
    v1, v2, t = (np.tile(x, 6) for x in gates())
    rng, hits = np.random.default_rng(2), 0
    for _ in range(200):
        found = coast_down(v1, v2, t + 0.2 * rng.standard_normal(t.size), MASS, RHO, WHEELS)
        hits += abs(found.drag_area - 0.32) <= 2.03 * found.standard_errors["drag_area"]  # t95(34)
    assert 0.91 <= hits / 200 <= 0.985  # three standard errors of 200 trials about 0.95


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"time": [1.0, 2.0]}, "at least 3"),
        ({"time": 1.0}, "at least 3"),
        ({"end_speed": [14.0, 8.0, 6.0]}, "must lie below start_speed"),
        ({"time": [1.0, 0.0, 2.0]}, "must be above 0"),
        ({"start_speed": [50.0, 10.0, 8.0]}, "outside the allowed range"),
        ({"all_up_mass": -1}, "all_up_mass"),
        # slower and slower, and braked the harder: A + C v^2 with no air at all
        ({"start_speed": [10.0, 9.0, 8.0], "end_speed": [9.0, 8.0, 7.0], "time": [6.0, 5.0, 4.0]},
         "leave nothing for air"),
        # 0.7 m/s a second about 10.5 m/s and a tenth of it at half the speed: more than a square
        ({"start_speed": [12.0, 8.0, 6.0], "end_speed": [9.0, 6.0, 5.0], "time": [4.0, 15.0, 20.0]},
         "leave nothing for rolling"),
    ],
)
def test_bad_input_is_refused_in_words(change, words):
    good = {"start_speed": [12.0, 10.0, 8.0], "end_speed": [10.0, 8.0, 6.0], "time": [8.0, 10.0, 13.0],
            "all_up_mass": 84.0, "air_density": 1.2}  # fmt: skip
    with pytest.raises(ValueError, match=words):
        coast_down(**good | change)
    with pytest.raises(ValueError, match="constant_force"):
        coasting_time(80, 0.0, 0.2, 10, 5)
    with pytest.raises(ValueError, match="lies above"):
        coasting_time(80, 4.0, 0.2, 5, 10)
