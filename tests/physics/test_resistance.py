"""Tyres, slope, bearings, inertia and chain against trigonometry and limits."""

import numpy as np
import pytest
from hypothesis import given
from strategies import GRAVITY, floats

from dragwork.physics.resistance import (
    bearing_resistance,
    crank_power,
    inertia_force,
    rolling_force,
    rotating_mass,
    slope_force,
)

masses = floats(1, 300)
gradients = floats(-0.4, 0.4)


@given(masses, floats(0, 0.2), gradients)
def test_weight_is_split_by_the_angle_of_the_road(m, coefficient, gradient):
    angle = np.arctan(gradient)
    assert slope_force(m, gradient) == pytest.approx(m * GRAVITY * np.sin(angle), rel=1e-13)
    rolling = coefficient * m * GRAVITY * np.cos(angle)
    assert rolling_force(m, coefficient, gradient) == pytest.approx(rolling, rel=1e-13)


@given(masses, gradients)
def test_slope_and_load_on_the_road_add_up_to_the_weight(m, gradient):
    pressing = rolling_force(m, 0.1, gradient) / 0.1
    assert np.hypot(slope_force(m, gradient), pressing) == pytest.approx(m * GRAVITY, rel=1e-13)


@given(masses, gradients)
def test_up_and_down_are_mirrored(m, gradient):
    assert slope_force(m, -gradient) == -slope_force(m, gradient)
    assert rolling_force(m, 0.004, -gradient) == rolling_force(m, 0.004, gradient)


@given(floats(0, 45), floats(0, 1), floats(0, 1))
def test_bearings_hold_back_in_a_straight_line(v, force, slope):
    half = bearing_resistance(v / 2, force, slope)
    ends = bearing_resistance(np.array([0.0, v]), force, slope)
    assert ends[0] == force
    assert half == pytest.approx(ends.mean(), rel=1e-14)


@given(floats(0.05, 2), floats(0.2, 0.5), masses, floats(0.5, 5), floats(1, 20))
def test_inertia_accounts_for_the_kinetic_energy(J, r, m, a, start):
    """Work of the force over a second = gain of m v^2/2 + J omega^2/2."""
    end = start + a
    force = inertia_force(m, rotating_mass(J, r), a)
    gain = 0.5 * m * (end**2 - start**2) + 0.5 * J * ((end / r) ** 2 - (start / r) ** 2)
    assert force * (start + end) / 2 == pytest.approx(gain, rel=1e-12)


@given(floats(-3000, 3000), floats(0.5, 1))
def test_chain_takes_its_share_only_where_it_pulls(wheel, efficiency):
    crank = crank_power(wheel, efficiency)
    assert crank >= wheel
    assert (crank * efficiency if wheel > 0 else crank) == pytest.approx(wheel, rel=1e-14)
