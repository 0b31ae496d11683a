"""Comparisons against reference libraries, printed tables, and chance itself."""

import numpy as np
import published
import pytest
from hypothesis import given
from hypothesis import strategies as st
from loops import over
from scipy import stats

from dragwork.measurement.comparison import (
    difference,
    difference_interval,
    expected_range,
    false_alarm,
    false_winner,
    flattery,
    runs_needed,
    runs_needed_rule,
    smallest_difference,
)
from dragwork.measurement.uncertainty import half_width

RNG = np.random.default_rng(30)


def ends(found):
    return [found.low, found.high]


# -- intervals ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("equal", [True, False])
def test_difference_against_a_reference_library(equal):
    a, b = RNG.normal(0.32, 0.003, 4), RNG.normal(0.31, 0.006, 7)
    expected = stats.ttest_ind(a, b, equal_var=equal)
    found = difference(a, b, equal_spread=equal, confidence=0.9)
    interval = expected.confidence_interval(0.9)
    assert ends(found) == pytest.approx([interval.low, interval.high], rel=1e-9)
    assert found.degrees_of_freedom == pytest.approx(expected.df)
    assert found.p_value == pytest.approx(expected.pvalue)


def test_paired_difference_against_a_reference_library():
    day = RNG.normal(0, 0.02, 6)  # what the day does to both
    a, b = 0.32 + day + RNG.normal(0, 0.002, 6), 0.31 + day + RNG.normal(0, 0.002, 6)
    expected = stats.ttest_rel(a, b)
    found = difference(a, b, paired=True)
    interval = expected.confidence_interval(0.95)
    assert ends(found) == pytest.approx([interval.low, interval.high], rel=1e-9)
    assert found.p_value == pytest.approx(expected.pvalue)
    assert found.standard_uncertainty < difference(a, b).standard_uncertainty / 3


def test_student_sleep():
    for record in published.for_test("test_student_sleep"):
        found = difference(**record.inputs)
        record.assert_close([found.difference, *ends(found), found.degrees_of_freedom])


def test_m30_two_runs_each():
    """Half-width 4.303 x 0.004 m2 for two runs each, the spread from those four."""
    found = difference([0.304 - 0.004 / 2**0.5, 0.304 + 0.004 / 2**0.5],
                       [0.300 - 0.004 / 2**0.5, 0.300 + 0.004 / 2**0.5])  # fmt: skip
    assert (found.high - found.low) / 2 == pytest.approx(0.0172, abs=5e-5)
    assert found.low < 0 < found.high


readings = st.lists(st.floats(-5, 5), min_size=2, max_size=6)


@given(readings, readings, st.floats(-3, 3), st.floats(0.1, 4))
def test_difference_ignores_the_origin_and_follows_the_scale(a, b, shift, scale):
    found = difference(a, b)
    moved = difference([scale * x + shift for x in a], [scale * x + shift for x in b])
    turned = difference(b, a)
    assert moved.difference == pytest.approx(scale * found.difference, abs=1e-7)
    assert moved.standard_uncertainty == pytest.approx(scale * found.standard_uncertainty, abs=1e-7)
    assert ends(turned) == pytest.approx([-found.high, -found.low], abs=1e-9)


def test_nothing_scattered_leaves_no_doubt():
    assert difference([1, 1], [0, 0]).p_value == 0.0
    assert difference([1, 1], [1, 1]).p_value == 1.0


# -- power and runs -----------------------------------------------------------------------------------


def test_power_against_a_reference_library():
    from statsmodels.stats.power import TTestIndPower  # slow to load

    (record,) = published.for_test("test_power_against_a_reference_library")
    low, high = record.inputs["runs"]
    for runs in (low, 5, 16, high):
        for power in (0.3, 0.8, 0.99):
            smallest = smallest_difference(1, runs, power=power)
            assert TTestIndPower().power(smallest, runs, 0.05) == pytest.approx(power, abs=record.tolerance)


def test_power_is_what_chance_does():
    """4,000 sessions of four runs each: standard error 0.8 %, four of them allowed."""
    rng = np.random.default_rng(8)
    a, b = rng.normal(0, 1, (4000, 4)), rng.normal(1.5, 1, (4000, 4))
    told = stats.ttest_ind(a, b, axis=1).pvalue < 0.05
    assert smallest_difference(1, 4, power=told.mean() - 0.032) < 1.5
    assert smallest_difference(1, 4, power=told.mean() + 0.032) > 1.5


@given(st.floats(0.001, 10), st.integers(2, 200), st.floats(0.3, 0.99))
def test_smallest_difference_follows_the_spread(spread, runs, power):
    smallest = smallest_difference(spread, runs, power=power)
    assert smallest == pytest.approx(spread * smallest_difference(1.0, runs, power=power), rel=1e-9)


@given(st.floats(0.02, 20), st.floats(0.5, 0.95))
def test_runs_needed_are_enough_and_one_fewer_are_not(apart, power):
    runs = runs_needed(apart, 1.0, power=power)
    assert smallest_difference(1.0, runs, power=power) <= apart * (1 + 1e-6)
    assert runs == 2 or smallest_difference(1.0, runs - 1, power=power) > apart


def test_the_rule_of_sixteen_comes_from_two_normal_quantiles():
    """n = 2 (z 0.975 + z 0.8)^2 (s/d)^2 = 15.7 (s/d)^2 for a known spread; the exact n nears it."""
    known = 2 * (stats.norm.ppf(0.975) + stats.norm.ppf(0.8)) ** 2
    assert known == pytest.approx(15.7, abs=0.01)
    assert runs_needed(0.01, 1) == pytest.approx(known * 1e4, rel=1e-4)
    assert runs_needed_rule(0.01, 1) == pytest.approx(known * 1e4, rel=0.02)
    assert runs_needed_rule(1, 1) == 16 and runs_needed(1, 1) == 17  # short by one


def test_a_spread_known_from_elsewhere_helps():
    alone = smallest_difference(1, 2)
    helped = smallest_difference(1, 2, degrees_of_freedom=20)
    assert helped < alone / 1.5
    known = (stats.norm.ppf(0.975) + stats.norm.ppf(0.8)) * np.sqrt(2 / 2)
    assert smallest_difference(1, 2, degrees_of_freedom=1e7) == pytest.approx(known, rel=1e-4)


# -- several at once ----------------------------------------------------------------------------------


def test_all_of_tukeys_intervals_hold_at_the_stated_rate():
    """1,000 sessions of five identical set-ups: standard error 0.7 %, three of them allowed."""
    rng = np.random.default_rng(3)
    factor = stats.studentized_range.ppf(0.95, 5, 10) / np.sqrt(2)
    all_hold, separate_hold = [], []
    for _ in range(1000):
        x = rng.standard_normal((5, 3))
        gap = np.ptp(x.mean(axis=1)) / np.sqrt(x.var(axis=1, ddof=1).mean() * 2 / 3)
        all_hold.append(gap <= factor)
        separate_hold.append(gap <= half_width(1, 10))
    assert np.mean(all_hold) == pytest.approx(0.95, abs=0.021)
    assert np.mean(separate_hold) < 0.8


def test_best_and_worst_of_identical_set_ups_by_chance():
    """20,000 sheets of eight: standard error of the mean range 0.006, four of them allowed."""
    x = np.random.default_rng(4).standard_normal((20_000, 8))
    assert expected_range(8) == pytest.approx(np.ptp(x, axis=1).mean(), abs=0.024)
    assert flattery(8, 1.0) == pytest.approx(-x.min(axis=1).mean(), abs=0.024)
    winner = (np.ptp(x, axis=1) > np.sqrt(2) * 1.96).mean()
    assert false_winner(8) == pytest.approx(winner, abs=0.014)
    assert false_winner(8) == pytest.approx(0.51, abs=0.005)


@given(st.integers(2, 200))
def test_range_grows_with_the_number(number):
    assert expected_range(number) < expected_range(number + 1)
    assert expected_range(2) == pytest.approx(2 / np.sqrt(np.pi), abs=1e-9)
    assert expected_range(3) == pytest.approx(3 / np.sqrt(np.pi), abs=1e-9)


# -- bad input ----------------------------------------------------------------------------------------


@over([
    (lambda: half_width(-1, 3), "standard uncertainty -1 must be at least 0"),
    (lambda: half_width(1, 0), "degrees of freedom must be above 0"),
    (lambda: half_width(1, 3, confidence=95), "Is it in percent?"),
    (lambda: difference_interval(1, 1, -3), "degrees of freedom must be above 0"),
    (lambda: difference([1, 2], []), "b must be a list of numbers"),
    (lambda: difference([1], [2]), "no cell holds a repeat"),
    (lambda: difference([1, 2], [2], equal_spread=False), "two readings at least"),
    (lambda: difference([1, 2], [2], paired=True), r"as many readings of a \(2\) as of b \(1\)"),
    (lambda: difference([1, 2], [2, 3], confidence=1.5), "between 0 and 1"),
    (lambda: smallest_difference(0, 3), "spread 0 is outside the allowed range, above 0"),
    (lambda: smallest_difference(1, 1), "1 run each shows nothing of the spread"),
    (lambda: smallest_difference(1, 0), "runs 0 is outside"),
    (lambda: smallest_difference(1, 4, power=80), "Is it in percent?"),
    (lambda: smallest_difference(1, 4, power=0.01), "must lie between 0.05 and 1"),
    (lambda: runs_needed(0, 1), "difference 0 is outside"),
    (lambda: runs_needed(1e-6, 1), "no session would detect it"),
    (lambda: runs_needed_rule(1, float("nan")), "spread nan is outside"),
    (lambda: expected_range(1), "number 1 must be a whole number from 2"),
    (lambda: expected_range(2.5), "whole number"),
    (lambda: flattery(5, -1), "spread -1 is outside"),
    (lambda: false_alarm(0), "whole number from 1"),
    (lambda: false_winner(8, confidence=95), "Is it in percent?"),
])
def test_bad_input_gets_a_sentence(call, words):
    with pytest.raises(ValueError, match=words):
        call()
