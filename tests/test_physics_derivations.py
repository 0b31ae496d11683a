"""The derivations of notebooks 01 to 03, against the library and against solving by other means."""

import re

import numpy as np
import pytest
import sympy

from dragwork.constants import CIPM2007
from dragwork.equations import SYMBOLS
from dragwork.physics import Conditions, Rider, power_balance, sensitivities, steady_speed
from dragwork.physics.air import density, saturation_vapour_pressure
from dragwork.teaching import derivations
from dragwork.teaching.derivations import number


@pytest.mark.parametrize("name", ["density", "cube", "air_share"])
def test_steps_can_be_read(name):
    for step in derivations.steps_of(name):
        assert step.words[0].isupper() or step.words[0].isdigit()
        assert max(len(s.split()) for s in re.split(r"[.;:,] ", step.words)) <= 25
        assert step.latex.startswith(step.left)


# -- density ----------------------------------------------------------------------------------------


def test_the_derived_law_is_the_librarys_without_its_corrections():
    gathered = derivations.steps_of("density")[2].right
    assert sympy.simplify(derivations.gas_law_without_fine_print() - gathered) == 0
    assert sympy.simplify(derivations.steps_of("density")[1].right - gathered) == 0


@pytest.mark.parametrize("state", [(268.0, 103e3, 0.5), (293.15, 101325.0, 1.0), (308.0, 80e3, 0.9)])
def test_the_derived_law_in_numbers(state):
    """p_v and T by hand in the form (p - 0.378 e)/(287.05 T), and the library within 0.1 %."""
    T, p, h = state
    k = CIPM2007
    p_sv = float(saturation_vapour_pressure(T))
    found = number(
        derivations.steps_of("density")[2].right,
        p=p, T=T, h=h, p_sv=p_sv, M_a=k.molar_mass_dry_air, M_v=k.molar_mass_water,
        R=k.molar_gas_constant,
    )  # fmt: skip
    assert found == pytest.approx((p - 0.378 * h * p_sv) / (287.05 * T), rel=1e-4)
    assert found == pytest.approx(float(density(T, p, h)), rel=1e-3)


def test_percent_of_pressure_less_percent_of_kelvin():
    by_pressure, by_temperature, dry = (s.right for s in derivations.steps_of("density")[3:])
    assert (by_pressure, by_temperature) == (1, -1)
    assert sympy.simplify(dry - derivations.steps_of("density")[0].right) == 0


# -- square and cube --------------------------------------------------------------------------------


def test_two_three_eight_and_the_slip():
    _, _, two, three, eight, slip, rest = (s.right for s in derivations.steps_of("cube"))
    assert (two, three, eight, rest) == (2, 3, 8, 0)
    assert slip == sympy.Rational(36, 10) ** 3


# -- the share of the air ---------------------------------------------------------------------------

RIDER = Rider(80, 0.3, 0.005, 0.97)


def test_limits_and_the_half():
    _, b, small, s, slow, fast, half, b_half, steep = (s.right for s in derivations.steps_of("air_share"))
    assert (slow, fast) == (0, 1)
    assert sympy.simplify(s.subs(derivations.SPEED, half)) == sympy.Rational(1, 2)
    assert sympy.series(b, SYMBOLS["G"], 0, 2).removeO().expand() == small.expand()
    a, P = derivations.AIR_FACTOR, SYMBOLS["P_wheel"]
    v = sympy.sqrt(b_half / a)
    assert sympy.simplify(derivations.steps_of("air_share")[0].right.subs(derivations.CONSTANT_FORCE, b_half).subs(derivations.SPEED, v) - P) == 0
    assert sympy.simplify(steep - (1 + 2 * derivations.SHARE)) == 0


@pytest.mark.parametrize("gradient", [0.0, 0.03])
@pytest.mark.parametrize("power", [90.0, 350.0])
def test_the_steepness_is_that_of_the_librarys_slope(gradient, power):
    by = sensitivities(RIDER, Conditions(gradient=gradient), power)
    share = power_balance(RIDER, Conditions(gradient=gradient), by.speed).air_share
    rule = float(derivations.steps_of("air_share")[8].right.subs(derivations.SHARE, share))
    assert by.speed / (power * by.power) == pytest.approx(rule, rel=1e-9)


@pytest.mark.parametrize("power", [150.0, 320.0])
def test_the_gradient_of_one_half_found_by_bisection(power):
    low, high = 0.0, 0.1
    for _ in range(50):
        middle = (low + high) / 2
        road = Conditions(gradient=middle)
        v = steady_speed(RIDER, road, power)
        low, high = (middle, high) if power_balance(RIDER, road, v).air_share > 0.5 else (low, middle)
    here = power_balance(RIDER, Conditions(gradient=low), v)
    b = number(derivations.steps_of("air_share")[7].right, a=0.5 * 1.2 * 0.3, P_wheel=power * 0.97)
    assert (here.rolling + here.slope) / v == pytest.approx(b, rel=1e-9)
    written_out = number(
        derivations.steps_of("air_share")[1].right, m=80.0, g=9.80665, C_rr=0.005, G=low
    )
    assert written_out == pytest.approx(b, rel=1e-9)


def test_number_names_what_is_missing():
    with pytest.raises(KeyError, match="P_wheel"):
        number(derivations.steps_of("air_share")[7].right, a=1.0)
    assert number(sympy.Integer(3)) == 3.0
    assert np.isfinite(number(SYMBOLS["v"] ** 2, v=2.0))
