"""Wind: triangles, bearings, the log law, Rayleigh's distribution."""

import numpy as np
import published
import pytest
from hypothesis import given
from scipy import stats
from scipy.integrate import quad
from strategies import floats

from dragwork.physics.wind import (
    ROUGHNESS,
    all_directions,
    angle_to_road,
    apparent_wind,
    rayleigh_exceedance,
    rayleigh_speeds,
    wind_at_height,
    yaw_distribution,
)

angles = floats(-np.pi, np.pi)
bearings = floats(-2 * np.pi, 2 * np.pi)


def test_rayleigh_moments():
    """E[V^n] = integral of n V^(n-1) P(V' > V), from our exceedance alone."""
    (record,) = published.for_test("test_rayleigh_moments")
    mean = record.si["mean_wind_speed"]

    def slope(w, n):
        return n * w ** (n - 1) * rayleigh_exceedance(w, mean)

    record.assert_close([quad(slope, 0, 30, args=(n,))[0] / mean**n for n in (2, 3)])


def test_rayleigh_mean_is_its_mean():
    assert quad(lambda w: rayleigh_exceedance(w, 5.0), 0, 45)[0] == pytest.approx(5, rel=1e-9)


def test_rayleigh_speeds_against_scipy():
    (record,) = published.for_test("test_rayleigh_speeds_against_scipy")
    mean, number = record.si["mean_wind_speed"], record.si["number"]
    shares = (np.arange(number) + 0.5) / number
    library = stats.rayleigh.ppf(shares, scale=mean * np.sqrt(2 / np.pi))
    assert rayleigh_speeds(mean, number) == pytest.approx(library, rel=record.tolerance)


@given(floats(0.5, 20))
def test_rayleigh_speeds_stand_for_their_shares(mean):
    speeds = rayleigh_speeds(mean, 400)
    assert np.all(np.diff(speeds) > 0)
    assert speeds.mean() == pytest.approx(mean, rel=2e-3)
    assert (speeds**2).mean() == pytest.approx(4 / np.pi * mean**2, rel=1e-2)
    assert rayleigh_exceedance(speeds[:300], mean) == pytest.approx(
        1 - (np.arange(300) + 0.5) / 400, rel=1e-12
    )


@given(floats(0.5, 20), floats(0, 20))
def test_yaw_shares_add_up_and_are_even_on_both_sides(v, w):
    shares = yaw_distribution(v, w, edges=np.linspace(-np.pi, np.pi, 8))
    assert shares.sum() == pytest.approx(1)
    assert shares == pytest.approx(shares[::-1], abs=1 / 360 + 1e-12)


def test_weights_are_shares_of_the_time():
    """A wind from ahead three days in four, from the right on the fourth."""
    shares = yaw_distribution(5, 5, [0.0, np.pi / 2], [3, 1], edges=np.deg2rad([-1, 1, 44, 46]))
    assert shares.tolist() == [0.75, 0.0, 0.25]
    assert yaw_distribution(5, 5, [0.0], edges=np.deg2rad([10, 20])).tolist() == [0.0]
    with pytest.raises(ValueError, match="weights"):
        yaw_distribution(5, 5, [0.0, 1.0], [0, 0], edges=[0, 1])
    with pytest.raises(ValueError, match="edges"):
        yaw_distribution(5, 5, edges=[1, 0])


@given(floats(0, 45), floats(0, 45), angles)
def test_apparent_wind_is_the_sum_of_two_vectors(v, w, angle):
    """As complex numbers: the air comes from ahead with v and from `angle` with w."""
    felt = apparent_wind(v, w, angle)
    total = v + w * np.exp(1j * angle)
    assert felt.speed == pytest.approx(abs(total), abs=1e-12)
    assert complex(felt.along, felt.across) == pytest.approx(total, abs=1e-12)
    assert felt.speed * np.exp(1j * felt.yaw) == pytest.approx(total, abs=1e-12)


@given(floats(0, 45), floats(0, 45), angles)
def test_yaw_is_mirrored_with_the_wind(v, w, angle):
    right, left = apparent_wind(v, w, angle), apparent_wind(v, w, -angle)
    assert left.speed == right.speed
    assert left.across == -right.across
    assert abs(left.yaw) == abs(right.yaw)


def test_wind_from_the_right_has_a_positive_yaw():
    """Riding north in an east wind: the air comes from the rider's right."""
    felt = apparent_wind(10, 5, angle_to_road(np.pi / 2, 0.0))
    assert felt.yaw > 0 and felt.across > 0


@given(bearings, bearings)
def test_angle_to_road_is_the_difference_of_bearings(wind_from, heading):
    angle = angle_to_road(wind_from, heading)
    assert np.exp(1j * angle) == pytest.approx(np.exp(1j * (wind_from - heading)), abs=1e-12)
    assert -np.pi < angle <= np.pi


@given(bearings)
def test_a_turn_of_the_map_changes_nothing(turn):
    straight = angle_to_road(1.0, 0.3)
    turned = angle_to_road((1.0 + turn) % (2 * np.pi), (0.3 + turn) % (2 * np.pi))
    assert turned == pytest.approx(straight, abs=1e-12)


@given(floats(0.1, 40), floats(0.0002, 1.0), floats(1, 40), floats(1, 40))
def test_log_law_goes_there_and_back(w, z0, low, high):
    low, high = (10 + low) * z0, (10 + high) * z0
    there = wind_at_height(w, low, z0, reference_height=high)
    if there <= 45:
        assert wind_at_height(there, high, z0, reference_height=low) == pytest.approx(w, rel=1e-12)


def test_log_law_has_the_slope_that_defines_it():
    """Equal steps for equal ratios of height."""
    w = wind_at_height(6.0, np.array([0.5, 1.0, 2.0, 4.0]), 0.03)
    assert np.diff(w, 2) == pytest.approx(0, abs=1e-12)
    assert wind_at_height(6.0, 10.0) == pytest.approx(6.0, rel=1e-14)


def test_rougher_ground_slows_the_wind_more():
    """At 5 m, which even the 'very rough' class reaches."""
    classes = sorted(z0 for z0 in ROUGHNESS.values() if z0 <= 0.5)
    winds = [wind_at_height(6.0, 5.0, z0) for z0 in classes]
    assert np.all(np.diff(winds) < 0)


def test_log_law_stops_at_ten_roughness_lengths():
    wind_at_height(5.0, 0.3, 0.03)
    with pytest.raises(ValueError, match="roughness"):
        wind_at_height(5.0, 0.299, 0.03)
    with pytest.raises(ValueError, match="roughness"):
        wind_at_height(5.0, 20.0, 1.1)


@pytest.mark.parametrize("number", [2, 3, 6, 36, 361])
def test_directions_are_even_and_balanced(number):
    directions = all_directions(number)
    assert directions.shape == (number,)
    assert np.diff(directions) == pytest.approx(2 * np.pi / number)
    assert abs(np.exp(1j * directions).sum()) < 1e-9
    assert directions == pytest.approx(-directions[::-1])


def test_a_tail_wind_is_plus_pi_whatever_the_rounding():
    """Bearings half a turn apart, in floating point: a little more or less than pi."""
    wind_from = np.linspace(-2 * np.pi, 2 * np.pi, 20_001)
    for half_turns in (-3, -1, 1, 3):
        heading = wind_from - half_turns * np.pi
        inside = np.abs(heading) <= 2 * np.pi
        angle = angle_to_road(wind_from[inside], heading[inside])
        assert np.all((angle > -np.pi) & (angle <= np.pi))
        assert np.abs(angle) == pytest.approx(np.pi, abs=1e-14)
    assert angle_to_road(np.nextafter(np.pi, 4), 0.0) == np.pi
