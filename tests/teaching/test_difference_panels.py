"""The panels of notebook 05, held against simulation, reference libraries and printed tables."""

import re

import numpy as np
import pytest
from panel_checks import every_knob_moves
from scipy import stats

from dragwork.equations import RUN_SPREAD, WANTED, runs_for_known_spread, runs_needed_derivation
from dragwork.teaching import panels
from dragwork.teaching.panels.identical import TRUTH, measured
from dragwork.teaching.panels.planner import planned

MAKERS = {
    "eight": panels.identical_helmets,
    "two": lambda: panels.identical_helmets(2),
    "planner": panels.planner,
}


@pytest.mark.parametrize("name", MAKERS)
def test_every_knob_changes_picture_and_sentence_over_its_whole_range(name):
    panel = MAKERS[name]()
    every_knob_moves(panel)


# -- identical set-ups --------------------------------------------------------------------------------


def test_intervals_of_identical_helmets_hold_the_truth_at_the_stated_rate():
    """50 draws of 8: 400 intervals, standard error 1.1 %; the day shares its spread, so 4 % allowed."""
    missed = sum(measured(8, 5, 0.004, draw).missed for draw in range(1, 51))
    assert missed / 400 == pytest.approx(0.05, abs=0.04)


def test_the_gap_is_expected_where_the_table_of_ranges_has_it():
    """d2 of eight is 2.847 (any table for control charts); 50 draws leave 0.12 on their mean."""
    gaps = [measured(8, 1, 0.004, draw).gap for draw in range(1, 51)]
    assert measured(8, 1, 0.004, 1).expected_gap == pytest.approx(2.847 * 0.004, rel=1e-3)
    assert np.mean(gaps) / 0.004 == pytest.approx(2.847, abs=0.4)


def test_the_two_intervals_of_the_gap_are_those_of_a_reference_library():
    found = measured(2, 6, 0.004, 3)
    luck = np.random.default_rng([2, 3]).standard_normal((2, 30))[:, :6]
    best, worst = (TRUTH + 0.004 * luck[place] for place in (found.best, found.worst))
    interval = stats.ttest_ind(worst, best).confidence_interval(0.95)
    assert [found.alone.low, found.alone.high] == pytest.approx([interval.low, interval.high])
    eight = measured(8, 6, 0.004, 3)
    t = stats.t.ppf([1 - 0.025, 1 - 0.025 / 28], 8 * 5)
    width = [x.high - x.low for x in (eight.alone, eight.picked)]
    assert width[1] / width[0] == pytest.approx(t[1] / t[0], rel=1e-9)


def test_the_same_draw_is_the_same_luck_at_every_spread():
    one, two = (measured(8, 4, spread, 9) for spread in (0.002, 0.004))
    assert 2 * (one.mean - TRUTH) == pytest.approx(two.mean - TRUTH)
    assert not np.allclose(measured(8, 4, 0.002, 10).mean, one.mean)


def test_one_run_each_has_no_interval():
    panel = panels.identical_helmets()
    panel.set(runs=1)
    assert "no interval" in panel.sentence and "one run each" in panel.sentence


def test_a_prediction_of_the_gap_is_seen():
    panel = panels.identical_helmets()
    panel.predict(0.005)
    gap = float(re.search(r"'wins', (0\.\d+) m²", panel.sentence)[1])
    assert panel.observed == pytest.approx(gap, abs=5e-5)


# -- the planner --------------------------------------------------------------------------------------


def test_the_planner_tells_what_simulated_days_tell():
    """3,000 days of three set-ups, four passes: standard error 0.7 %, four of them allowed."""
    found = planned(3, 4, 0.003)
    part = 0.0012 / np.hypot(0.0012, 0.0025)  # of the spread, with the pass
    rng = np.random.default_rng(6)
    sitting = part * 0.003 * rng.standard_normal((3000, 3, 4, 1))
    runs = np.sqrt(1 - part**2) * 0.003 * rng.standard_normal((3000, 3, 4, 2))
    passes = (sitting + runs).mean(axis=-1)
    passes[:, 0] += found.smallest_difference
    spread = np.sqrt(passes.var(axis=2, ddof=1).mean(axis=1))
    t = (passes[:, 0].mean(axis=1) - passes[:, 1].mean(axis=1)) / (spread * np.sqrt(2 / 4))
    told = np.abs(t) > stats.t.ppf(0.975, 9)
    assert told.mean() == pytest.approx(0.80, abs=0.03)


def test_length_worked_by_hand():
    """3 set-ups, 3 passes, 2 speeds, 2 angles: 40 runs with tares of 40 s, 9 changes of 6 min."""
    assert planned(3, 3, 0.003).plan.time == (36 + 4) * 40 + 9 * 360
    assert "1 h 21 min" in panels.planner().sentence


def test_twice_the_spread_tells_twice_the_difference():
    one, two = (planned(3, 5, spread).smallest_difference for spread in (0.002, 0.004))
    assert two == pytest.approx(2 * one)


# -- the derivation -----------------------------------------------------------------------------------


def test_the_derivation_gives_the_sample_size_of_normal_theory():
    """n = 2 (z 0.975 + z 0.8)^2 (s/d)^2 with quantiles from another library."""
    runs = float(runs_for_known_spread().subs({RUN_SPREAD: 0.004, WANTED: 0.003}))
    z = stats.norm.ppf(0.975) + stats.norm.ppf(0.8)
    assert runs == pytest.approx(2 * z**2 * (4 / 3) ** 2, rel=1e-9)
    right = [step.right for step in runs_needed_derivation()]
    assert right[-2] == 4 and right[-1] == 0
    assert "15.7" in runs_needed_derivation()[4].latex
