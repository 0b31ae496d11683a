"""Uncertainty against the worked examples of the standards, a reference library and exact limits."""

import numpy as np
import published
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.integrate import quad
from scipy.special import gamma
from uncertainties import umath

from dragwork.measurement.uncertainty import (
    half_width,
    propagate,
    repeatability,
    welch_satterthwaite,
)

H2 = {
    "R": lambda V, I, phi: V / I * np.cos(phi),
    "X": lambda V, I, phi: V / I * np.sin(phi),
    "Z": lambda V, I, phi: V / I,
}


def h2_inputs(record):
    """Means, standard uncertainties of the means and correlations of the five simultaneous readings."""
    readings = np.array(list(record.inputs.values()))
    return (
        readings.mean(axis=1),
        readings.std(axis=1, ddof=1) / np.sqrt(readings.shape[1]),
        np.corrcoef(readings),
    )


@pytest.mark.parametrize("record", published.for_test("test_gum_h2"), ids=lambda r: r.part)
def test_gum_h2(record):
    found = propagate(H2[record.part], *h2_inputs(record))
    record.assert_close([found.value, found.standard_uncertainty])


def test_gum_h2_correlations():
    (record,) = published.for_test("test_gum_h2_correlations")

    def u(f):
        return propagate(f, *h2_inputs(record)).standard_uncertainty

    def r(a, b):
        both = u(lambda *x: H2[a](*x) + H2[b](*x))
        return (both**2 - u(H2[a]) ** 2 - u(H2[b]) ** 2) / (2 * u(H2[a]) * u(H2[b]))

    record.assert_close([r("R", "X"), r("R", "Z"), r("X", "Z")])


def test_gum_g4():
    (record,) = published.for_test("test_gum_g4")
    u = np.array(record.inputs["u"]) / 100
    found = propagate(lambda a, b, c: a * b * c, [1.0, 1.0, 1.0], u)
    record.assert_close(found.standard_uncertainty)


def test_gum_g4_t95():
    (record,) = published.for_test("test_gum_g4_t95")
    record.assert_close(stats.t.ppf(0.975, welch_satterthwaite(**record.inputs)))


@pytest.mark.parametrize(("dof", "level"), [(3, 0.95), (10, 0.80), (30, 0.99)])
def test_half_width_holds_its_share_of_student_s_density(dof, level):
    """The density (Student 1908), integrated."""
    scale = gamma((dof + 1) / 2) / (np.sqrt(dof * np.pi) * gamma(dof / 2))
    reach = half_width(2.0, dof, confidence=level) / 2.0
    inside, _ = quad(lambda t: scale * (1 + t * t / dof) ** (-(dof + 1) / 2), -reach, reach)
    assert inside == pytest.approx(level, abs=1e-8)


def test_jcgm101_bottom_of_a_bowl():
    for record in published.for_test("test_jcgm101_bottom_of_a_bowl"):
        method = "linear" if record.part == "linear" else "sampled"
        found = propagate(lambda a, b: a**2 + b**2, **record.inputs, method=method)
        if record.part == "interval":
            record.assert_close([found.low, found.high])
        else:
            record.assert_close([found.value, found.standard_uncertainty])


def test_iso5725_b1():
    (record,) = published.for_test("test_iso5725_b1")
    found = repeatability(record.inputs["cells"])
    record.assert_close([found.mean, found.s_r, found.s_R])
    assert found.degrees_of_freedom == 27 - 8  # readings less cells


x = st.floats(0.5, 2)
u = st.floats(0.001, 0.05)
r = st.floats(-0.99, 0.99)


@given(x, x, u, u, r)
def test_linear_propagation_against_a_reference_library(a, b, ua, ub, rab):
    correlation = [[1, rab], [rab, 1]]
    found = propagate(lambda p, q: np.exp(p) / q, [a, b], [ua, ub], correlation)
    p, q = uncertainties.correlated_values_norm([(a, ua), (b, ub)], correlation)
    expected = umath.exp(p) / q
    assert found.value == pytest.approx(expected.n, rel=1e-12)
    # The library's slopes are finite differences: their error falls with the square of the step.
    assert found.standard_uncertainty == pytest.approx(expected.s, rel=1e-4, abs=1e-6)


@given(x, x, u, u, r)
def test_sampling_and_slopes_agree_on_a_straight_line(a, b, ua, ub, rab):
    line = ([a, b], [ua, ub], [[1, rab], [rab, 1]])
    slopes = propagate(lambda p, q: 2 * p + q, *line)
    samples = propagate(lambda p, q: 2 * p + q, *line, method="sampled", draws=20_000)
    # 20,000 draws: standard errors 0.7 % of a mean's u, 0.5 % of a u, 2 % of a 95 % end's distance
    unit = slopes.standard_uncertainty
    assert samples.value == pytest.approx(slopes.value, abs=0.035 * unit)
    assert samples.standard_uncertainty == pytest.approx(unit, rel=0.025)
    assert [samples.low, samples.high] == pytest.approx([slopes.low, slopes.high], abs=0.1 * unit)


def test_fully_correlated_inputs_cancel_in_a_difference():
    found = propagate(lambda a, b: a - b, [3.0, 2.0], [0.1, 0.1], [[1, 1], [1, 1]])
    assert found.standard_uncertainty == pytest.approx(0, abs=1e-9)
    assert found.low == pytest.approx(1) == pytest.approx(found.high)


def test_the_same_seed_gives_the_same_samples():
    def sample(seed):
        return propagate(np.multiply, [1.0, 2.0], [0.1, 0.1], method="sampled", draws=500, seed=seed)

    assert sample(3) == sample(3) != sample(4)


contributions = st.lists(st.tuples(st.floats(1e-6, 10), st.floats(1, 200)), min_size=1, max_size=6)


@given(contributions)
def test_effective_degrees_of_freedom_lie_between_smallest_and_sum(parts):
    u, dof = zip(*parts)
    found = welch_satterthwaite(u, dof)
    assert min(dof) * (1 - 1e-9) <= found <= sum(dof) * (1 + 1e-9)


def test_effective_degrees_of_freedom_of_two_samples_are_those_of_welch():
    rng = np.random.default_rng(5)
    a, b = rng.normal(0, 1, 6), rng.normal(0, 3, 9)
    u = [a.std(ddof=1) / np.sqrt(6), b.std(ddof=1) / np.sqrt(9)]
    expected = stats.ttest_ind(a, b, equal_var=False).df
    assert welch_satterthwaite(u, [5, 8]) == pytest.approx(expected, rel=1e-12)


def test_known_contributions_have_no_end_of_degrees_of_freedom():
    assert welch_satterthwaite([1.0, 2.0], [np.inf, np.inf]) == np.inf
    assert welch_satterthwaite([0.0, 0.0], [3, 4]) == np.inf
    assert welch_satterthwaite([1.0, 0.0], [3, 4]) == pytest.approx(3)
    assert welch_satterthwaite([1.0, 1.0], [3, np.inf]) == pytest.approx(12)  # (1 + 1)^2/(1/3)


cells = st.lists(st.lists(st.floats(-5, 5), min_size=2, max_size=5), min_size=2, max_size=6)


@given(cells, st.floats(-3, 3), st.floats(0.1, 4))
def test_spread_ignores_the_origin_and_follows_the_scale(readings, shift, scale):
    found = repeatability(readings)
    moved = repeatability([[scale * y + shift for y in cell] for cell in readings])
    assert moved.mean == pytest.approx(scale * found.mean + shift, abs=1e-9)
    assert moved.s_r == pytest.approx(scale * found.s_r, abs=1e-7)
    assert moved.s_R == pytest.approx(scale * found.s_R, abs=1e-7)
    assert found.s_R >= found.s_r


def test_spread_within_two_equal_cells_is_the_pooled_one():
    a, b = [1.0, 2.0, 4.0], [11.0, 11.5, 12.5]
    expected = np.sqrt((np.var(a, ddof=1) + np.var(b, ddof=1)) / 2)
    assert repeatability([a, b]).s_r == pytest.approx(expected, rel=1e-12)
    assert np.isnan(repeatability([a]).s_R)  # a single cell tells nothing about others


def double(a):
    return 2 * a


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: propagate(double, [1], [0.1, 0.2]), "1 values need as many"),
        (lambda: propagate(double, [1], [-0.1]), "-0.1 is negative"),
        (lambda: propagate(double, [], []), "at least one entry"),
        (lambda: propagate(double, [np.nan], [0.1]), "not a finite number"),
        (lambda: propagate(double, [1], [0.1], method="guess"), "'guess' is not known"),
        (lambda: propagate(double, [1], [0.1], confidence=95), "Is it in percent?"),
        (lambda: propagate(double, [1], [0.1], draws=3, method="sampled"), "100 to 10000000"),
        (lambda: propagate(double, [1], [0.1], [[1, 0], [0, 1]]), "1 by 1 table"),
        (lambda: propagate(np.add, [1, 1], [1, 1], [[1, 2], [2, 1]]), "impossible"),
        (lambda: propagate(np.add, [1, 1], [1, 1], [[1, 0.5], [0.2, 1]]), "symmetric"),
        (lambda: propagate(lambda a: a * np.inf, [1], [0.1]), "not finite"),
        (lambda: welch_satterthwaite([1, 2], [3]), "2 entries and dof 1"),
        (lambda: welch_satterthwaite([-1], [3]), "negative"),
        (lambda: welch_satterthwaite([1], [0]), "above 0"),
        (lambda: welch_satterthwaite([1], [np.nan]), "above 0"),
        (lambda: repeatability([]), "empty"),
        (lambda: repeatability([[1], [2]]), "no cell holds a repeat"),
        (lambda: repeatability([[1, 2], []]), r"cells\[1\]"),
    ],
)
def test_bad_input_gets_a_sentence(call, words):
    with pytest.raises(ValueError, match=words):
        call()


@pytest.mark.parametrize("method", ["linear", "sampled"])
@pytest.mark.parametrize(("level", "factor"), [(0.95, 1.959964), (0.8, 1.281552), (0.99, 2.575829)])
def test_the_ends_of_an_interval_are_those_of_the_normal_distribution(method, level, factor):
    """Quantiles as any table of the normal distribution prints them; scipy has the same."""
    assert factor == pytest.approx(stats.norm.isf((1 - level) / 2), abs=5e-7)
    found = propagate(lambda x: x, [3.0], [0.5], method=method, confidence=level)
    assert [found.low, found.high] == pytest.approx([3 - 0.5 * factor, 3 + 0.5 * factor], abs=1e-6 if method == "linear" else 0.02)
