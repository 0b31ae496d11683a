"""The regression behind the road test, against certified data sets, the GUM and a general fit."""

import numpy as np
import published
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from dragwork.measurement.regression import condition_of, least_squares, odd_ones


def line(x):
    return np.column_stack([np.ones(len(x)), x])


def test_nist_norris():
    records = {r.part: r for r in published.for_test("test_nist_norris")}
    data = records["coefficients"].si
    found = least_squares(line(data["x"]), data["y"])
    for part, record in records.items():
        record.assert_close(getattr(found, part))


def test_gum_h3():
    records = {r.part: r for r in published.for_test("test_gum_h3")}
    data = records["coefficients"].si
    found = least_squares(line(data["t"] - 20), data["b"])
    records["coefficients"].assert_close(found.coefficients)
    records["standard_errors"].assert_close(found.standard_errors)
    records["correlation"].assert_close(found.covariance[0, 1] / np.prod(found.standard_errors))
    band = found.predict([1.0, 10.0], confidence=0.6826894921)
    value, u = records["predict"].expected
    slack = records["predict"].tolerance
    assert band.mid == pytest.approx(value, abs=slack)
    # The half-width is Student's factor for one standard deviation and 9 degrees of freedom, 1.059.
    assert (band.high - band.low) / 2 / 1.0588 == pytest.approx(u, abs=slack)


def test_weighted_least_squares_agrees_with_a_general_fit():
    (record,) = published.for_test("test_weighted_least_squares_agrees_with_a_general_fit")
    rng = np.random.default_rng(3)
    x, u = rng.uniform(10, 90, 25), rng.uniform(0.2, 1.5, 25)
    y = 3.0 + 0.31 * x + u * rng.standard_normal(25)
    found = least_squares(line(x), y, u)
    values, covariance = optimize.curve_fit(lambda x, a, b: a + b * x, x, y, p0=(1, 1), sigma=u)
    assert found.coefficients == pytest.approx(values, rel=record.tolerance)
    assert found.covariance == pytest.approx(covariance, rel=1e-4)
    variance = np.array([1, 50.0]) @ covariance @ np.array([1, 50.0])
    band, new = (found.predict([1, 50.0], u) for u in (0.0, 0.7))
    assert ((band.high - band.low) / (new.high - new.low)) ** 2 == pytest.approx(
        variance / (variance + (0.7 * found.residual_spread) ** 2), rel=1e-4
    )


def test_deleted_residuals_are_those_of_fits_without_the_observation():
    rng = np.random.default_rng(5)
    x, u = rng.uniform(0, 9, 9), rng.uniform(0.5, 2, 9)
    y = 1 + 2 * x + u * rng.standard_normal(9)
    t = least_squares(line(x), y, u).deleted_residuals
    for i in range(9):
        others = np.arange(9) != i
        alone = least_squares(line(x[others]), y[others], u[others])
        at = np.array([1, x[i]])
        spread = np.sqrt((alone.residual_spread * u[i]) ** 2 + at @ alone.covariance @ at)
        assert t[i] == pytest.approx((y[i] - at @ alone.coefficients) / spread, rel=1e-9)


def test_condition_of_two_columns_follows_from_their_angle():
    (record,) = published.for_test("test_condition_of_two_columns_follows_from_their_angle")
    for ratio in (4.0, 2.0, 1.2, 1.05):
        x = np.array([1.0, 1.0, ratio, ratio])
        found = least_squares(line(x), [1.0, 2.0, 1.5, 2.5])
        c = x.sum() / (2 * np.linalg.norm(x))
        condition = condition_of(line(x), np.ones(4))
        assert condition == pytest.approx(np.sqrt((1 + c) / (1 - c)), rel=record.tolerance)
        assert found.covariance[0, 1] / np.prod(found.standard_errors) == pytest.approx(-c, rel=1e-9)
    assert condition_of(line(np.full(4, 3.0)), np.ones(4)) == np.inf


@given(st.floats(-5, 5), st.floats(-5, 5), st.floats(0.1, 10), st.integers(0, 99))
def test_scaling_and_shifting_the_response_scales_and_shifts_the_line(shift, slope, scale, seed):
    rng = np.random.default_rng(seed)
    x, y, u = rng.uniform(0, 10, 8), rng.standard_normal(8), rng.uniform(0.5, 2, 8)
    old, new = (least_squares(line(x), r, u) for r in (y, scale * y + shift + slope * x))
    assert new.coefficients == pytest.approx(scale * old.coefficients + [shift, slope], abs=1e-9)
    assert new.standard_errors == pytest.approx(scale * old.standard_errors, rel=1e-7)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (([[1, 1], [1, 2]], [1, 2]), "2 observations for 2 coefficients"),
        (([[1, 1], [1, 1], [1, 1]], [1, 2, 3]), "multiples of each other"),
        (([[1, 0], [1, 0], [1, 0]], [1, 2, 3]), "is 0 throughout"),
        (([[1], [1]], [1, 2, 3]), "do not fit together"),
        (([[1], [1], [np.nan]], [1, 2, 3]), "no finite number"),
        (([[1], [1], [1]], [1, 2, 3], [1, 1, 0]), "must be above 0"),
    ],
)
def test_what_cannot_be_fitted_is_refused_in_words(arguments, words):
    with pytest.raises(ValueError, match=words):
        least_squares(*arguments)


def test_odd_ones_are_those_of_a_reference_library():
    import statsmodels.api as sm  # slow to load
    from statsmodels.stats.outliers_influence import OLSInfluence

    (record,) = published.for_test("test_odd_ones_are_those_of_a_reference_library")
    rng = np.random.default_rng(5)
    x = np.column_stack([np.linspace(1, 9, 24), np.ones(24)])
    u = np.linspace(0.5, 2, 24)
    y = x @ [0.3, 4.0] + u * rng.standard_normal(24)
    y[7] += 12.0
    y[19] -= 9.0
    found = odd_ones(x, y, u, risk=0.01, most=0.2)
    assert [place for place, _ in found] == [7, 19]
    left = np.arange(24)
    for place, t in found:
        model = sm.OLS(y[left] / u[left], x[left] / u[left, None]).fit()
        expected = OLSInfluence(model).resid_studentized_external
        worst = int(np.argmax(np.abs(expected)))
        assert left[worst] == place and t == pytest.approx(expected[worst], rel=record.tolerance)
        left = np.delete(left, worst)


def test_what_agrees_better_than_anybody_can_measure_is_never_odd():
    x, u = np.column_stack([np.linspace(1, 9, 12), np.ones(12)]), np.ones(12)
    y = x @ [0.3, 4.0]
    assert odd_ones(x, y, u, 0.01, 0.2, least_spread=0.1) == []
    y[3] += 0.2  # two of the least spread
    assert odd_ones(x, y, u, 0.01, 0.2, least_spread=0.1) == []
    assert [place for place, _ in odd_ones(x, y, u, 0.01, 0.2)] == [3]
    doubled = np.column_stack([x, 2 * x[:, 0]])  # columns that are multiples of each other
    assert [place for place, _ in odd_ones(doubled, y, u, 0.01, 0.2)] == [3]
    assert least_squares(x, x @ [0.3, 4.0], least_spread=0.1).residual_spread == 0.1
