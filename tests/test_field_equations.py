"""The derivation of notebook 06 against the library, on numbers and in its limits."""

import numpy as np
import pytest
import sympy

from dragwork.equations import SYMBOLS
from dragwork.measurement.one_ride import drag_area_of_ride
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.teaching.derivations import field_drag_area, steps_of

NAMES = ("P", "eta", "v", "w", "rho", "m", "g", "C_rr", "G")


def test_the_solved_balance_is_the_function_of_the_library():
    formula = sympy.lambdify([SYMBOLS[name] for name in NAMES], field_drag_area())
    rng = np.random.default_rng(1)
    P, eta, v, w = rng.uniform([150, 0.9, 5, -2], [400, 1, 14, 3], (30, 4)).T
    rho, m, C_rr = rng.uniform([0.9, 50, 0.002], [1.3, 110, 0.01], (30, 3)).T
    found = drag_area_of_ride(P, v, m, rho, C_rr, eta, w)
    assert found == pytest.approx(formula(P, eta, v, w, rho, m, 9.80665, C_rr, 0.0), rel=1e-9)


def test_the_slopes_are_those_of_the_power_balance():
    """Small steps: the drag area that hides a change of tyres or wind from an unchanged power."""
    rider, power = Rider(84, 0.32, 0.004), None
    power = power_balance(rider, Conditions(1.2), 11.0).total
    at = {SYMBOLS[n]: x for n, x in zip(NAMES, (power, 0.975, 11.0, 0, 1.2, 84, 9.80665, 0.004, 0))}
    steps = steps_of("field_drag_area")
    by_rolling = float(steps[2].right.subs(at))
    by_wind = float(steps[3].right.subs(at | {SYMBOLS["CdA"]: 0.32}))
    for name, change, slope in (
        ("rolling_coefficient", {"rolling_coefficient": 0.004 + 1e-7}, by_rolling),
        ("head_wind", {"head_wind": 1e-5}, by_wind),
    ):
        base = {"rolling_coefficient": 0.004, "head_wind": 0.0}
        moved = drag_area_of_ride(power, 11.0, 84, 1.2, **(base | change))
        assert (moved - 0.32) / (change[name] - base[name]) == pytest.approx(slope, rel=1e-4)


def test_the_last_steps_are_the_mean_of_squares_and_its_limit():
    v, w = SYMBOLS["v"], SYMBOLS["w"]
    steps = steps_of("field_drag_area")
    assert sympy.expand(steps[4].right - ((v + w) ** 2 + (v - w) ** 2) / 2) == 0
    assert steps[5].right == 1
