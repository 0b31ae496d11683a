"""How many misread digits are caught: the shares that docstring and notebook state."""

import pytest

from dragwork.measurement import tunnel_columns as columns
from dragwork.scenario.misread import misread


@pytest.fixture(scope="module")
def tried():
    return misread(50)


def test_most_misread_digits_are_caught(tried):
    """Three quarters of all; of those that matter, nearly all. 50: standard error 6 %; 600 in the tour."""
    assert len(tried) == 50
    assert 0.57 < tried.caught.mean() < 0.93
    assert tried[tried.effect > 0.05].caught.mean() > 0.9


@pytest.mark.tour
@pytest.mark.parametrize(
    ("without", "stated"), [((), (0.75, 0.96, 0.99)), ((columns.SPEED_KMH.heading,), (0.67, 0.91, 0.99))]
)
def test_the_shares_that_are_stated(without, stated):
    found = misread(600, without=without)
    shares = (found.caught.mean(), *(found[found.effect > effect].caught.mean() for effect in (0.01, 0.05)))
    assert shares == pytest.approx(stated, abs=0.02)


def test_what_is_missed_is_told_with_its_effect(tried):
    effects = list(tried[~tried.caught].effect)
    assert effects == sorted(effects, reverse=True) and effects[0] < 0.1


def test_one_digit_is_changed_each_time(tried):
    for one in tried.itertuples():
        assert len(one.before) == len(one.after)
        assert sum(a != b for a, b in zip(one.before, one.after)) == 1


def test_the_same_seed_misreads_the_same():
    first, again, other = (misread(3, seed) for seed in (2, 2, 3))
    assert first.equals(again) and not first.equals(other)
