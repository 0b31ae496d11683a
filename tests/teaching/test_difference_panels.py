"""The panels of notebook 05, held against simulation, reference libraries and printed tables."""

import re

import numpy as np
import pytest
from scipy import stats

from dragwork.teaching import panels
from dragwork.teaching.derivations import RUN_SPREAD, WANTED, runs_for_known_spread, steps_of
from dragwork.teaching.panels.chance import TRUTH, measured, planned

# -- identical set-ups --------------------------------------------------------------------------------


def each_day(number, runs, spread=0.004):
    """The panel's own days, one by one, as a learner presses through them."""
    return [measured(number, runs, spread, day) for day in range(1, 101)]


def test_the_days_of_two_helmets_are_as_often_surprising_as_chance_has_it():
    """Rates of normal theory (scipy); 100 days have a standard error of 4.7 and 2.2 of them.

    Both labels lead about equally often, and a learner who presses ten times meets a lead that large.
    """
    days = each_day(2, 2)
    share = 2 * stats.norm.sf(0.004, scale=0.004)  # of differences of two means of two runs
    assert days[0].expected_leads == pytest.approx(share)
    assert abs(days[-1].leads[-1] - 100 * share) < 6
    assert 2 <= days[-1].alarms[-1] <= 8
    assert days[9].leads[-1] >= 2
    assert 40 <= sum(day.best == 0 for day in days) <= 60


def test_the_counts_of_a_day_are_those_of_the_days_before_it():
    """Each day alone, by another library's t-test, and then added up."""
    luck, wide, low = [], 0, 0
    for day in each_day(2, 4):
        luck.append(day.gap)
        wide += day.gap >= 0.004
        low += stats.t.sf(day.gap / (day.named[-1] / stats.t.ppf(0.975, 6)), 6) < 0.025
        assert (day.leads[-1], day.alarms[-1]) == (wide, low)
        assert list(day.gaps) == luck


def test_the_best_of_eight_named_afterwards_beats_the_worst_at_the_stated_rate():
    """51 of 100 by the distribution of the range (scipy's studentised range, many degrees of freedom)."""
    rate = stats.studentized_range.sf(stats.norm.ppf(0.975) * np.sqrt(2), 8, 1e6)
    last = each_day(8, 5)[-1]
    assert np.mean(last.gaps > last.named) == pytest.approx(rate, abs=0.12)
    assert np.mean(last.gaps > last.picked) <= 0.10


def test_the_gap_is_expected_where_the_table_of_ranges_has_it():
    """d2 of eight is 2.847 (any table for control charts); 100 days leave 0.08 on their mean."""
    last = measured(8, 1, 0.004, 100)
    assert last.expected_gap == pytest.approx(2.847 * 0.004, rel=1e-3)
    assert np.mean(last.gaps) / 0.004 == pytest.approx(2.847, abs=0.25)


def test_the_two_intervals_of_the_gap_are_those_of_a_reference_library():
    found = measured(2, 6, 0.004, 3)
    luck = np.random.default_rng(213).standard_normal((100, 2, 30))[2, :, :6]
    best, worst = (TRUTH + 0.004 * luck[place] for place in (found.best, found.worst))
    interval = stats.ttest_ind(worst, best).confidence_interval(0.95)
    assert [found.gap - found.named[-1], found.gap + found.named[-1]] == pytest.approx([interval.low, interval.high])
    eight = measured(8, 6, 0.004, 3)
    t = stats.t.ppf([1 - 0.025, 1 - 0.025 / 28], 8 * 5)
    assert eight.picked[-1] / eight.named[-1] == pytest.approx(t[1] / t[0], rel=1e-9)


def test_the_same_day_is_the_same_luck_at_every_spread():
    one, two = (measured(8, 4, spread, 9) for spread in (0.002, 0.004))
    assert 2 * (one.mean - TRUTH) == pytest.approx(two.mean - TRUTH)
    assert not np.allclose(measured(8, 4, 0.002, 10).mean, one.mean)


def test_the_panels_open_at_the_lesson_s_case():
    assert panels.identical_helmets(2).values["runs"] == 2
    assert panels.identical_helmets().values["runs"] == 1
    assert panels.identical_helmets(2, runs=5).values["runs"] == 5


def test_a_button_counts_a_hundred_days():
    panel = panels.identical_helmets(2)
    panel.set(**panel.jumps["100 days"])
    leads = sum(day.gap >= 0.004 for day in each_day(2, 2))
    assert f"So far, {leads} of 100 days" in panel.sentence


def test_one_run_each_has_no_interval():
    panel = panels.identical_helmets()
    assert "no interval" in panel.sentence and "one run each" in panel.sentence


def test_a_prediction_of_the_average_gap_is_seen():
    panel = panels.identical_helmets()
    panel.predict(0.005)
    gap = float(re.search(r"best and worst (0\.\d+) m²", panel.sentence)[1])
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


def test_a_guess_for_twelve_passes_stays_with_twelve_passes():
    """The mark is where a session of twelve passes is, whatever the sliders say."""
    panel = panels.planner()
    panel.predict(0.002, repeats=12)
    for set_ups in (3, 5):
        panel.set(set_ups=set_ups, repeats=4)
        (x,), (y,) = panel.picture.planes[0].guesses.artists[0].get_data()
        assert x == pytest.approx(planned(set_ups, 12, 0.0025).plan.time / 3600) and y == 0.002


# -- the derivation -----------------------------------------------------------------------------------


def test_the_derivation_gives_the_sample_size_of_normal_theory():
    """n = 2 (z 0.975 + z 0.8)^2 (s/d)^2 with quantiles from another library."""
    runs = float(runs_for_known_spread().subs({RUN_SPREAD: 0.004, WANTED: 0.003}))
    z = stats.norm.ppf(0.975) + stats.norm.ppf(0.8)
    assert runs == pytest.approx(2 * z**2 * (4 / 3) ** 2, rel=1e-9)
    right = [step.right for step in steps_of("runs_needed")]
    assert right[-2] == 4 and right[-1] == 0
    assert "15.7" in steps_of("runs_needed")[4].latex
