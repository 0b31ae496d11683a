"""How often a range holds the truth, on sheets made by chance without the library (`sheets_by_chance`).

The short run tries two dozen sheets of a kind and allows chance two and a half standard errors; the long
one (`-m tour`, a quarter of an hour) tries three hundred and allows one.
"""

from dataclasses import replace

import numpy as np
import pytest
from sheets_by_chance import KINDS, coverage

from dragwork.measurement.tunnel import SharedErrors, compare, read_sheet

# Least share of 95 % ranges that hold the truth, and of the 80 % ranges of the draws.
TARGETS = {
    "full": (0.93, 0.78),
    "one sitting": (0.90, 0.75),
    "three of three": (0.92, 0.76),
    "three of three, no repeats": (0.92, 0.76),
    "AABB": (0.92, 0.76),
    "1 N": (0.93, 0.78),
    "1 N, one speed": (0.93, 0.78),
    "wild": (0.92, 0.74),
}
MORE = {
    "one sitting, grid": (0.90, 0.75),
    "three of three, mirrored": (0.92, 0.76),
    "two rounds": (0.93, 0.78),
    "AABB, many": (0.92, 0.76),
    "ABAB": (0.92, 0.76),
    "ABCABC": (0.92, 0.76),
    "1 N, two passes": (0.93, 0.78),
    "wild, one speed": (0.92, 0.74),
}


def short_of(target, sheets, errors):
    return target - errors * np.sqrt(target * (1 - target) / sheets)


def held(day, targets, sheets, errors, seed=0):
    found = coverage(day, sheets, read_sheet, compare, seed=seed)
    for share, target in zip((found["held"], found["draws"]), targets):
        assert share >= short_of(target, sheets, errors), found
    return found


@pytest.mark.parametrize("kind", TARGETS)
def test_ranges_hold_the_truth(kind):
    held(KINDS[kind], TARGETS[kind], 24, 2.5)


def test_a_full_sheet_pays_nothing_for_what_it_shows():
    """Two passes, unequal repeats, missing runs, mirrored order: 5 % wider at most than by passes alone."""
    widths = {}
    for name, shared in (("all", SharedErrors()), ("passes alone", SharedErrors(sitting=0, drift=0))):
        found = [compare(read_sheet(KINDS["full"].file([1, n]), shared), "A", "B") for n in range(8)]
        widths[name] = np.median([one.high - one.low for one in found])
    assert widths["all"] < 1.05 * widths["passes alone"]


@pytest.mark.tour
@pytest.mark.parametrize("kind", TARGETS | MORE)
def test_ranges_hold_the_truth_of_three_hundred_sheets(kind):
    held(KINDS[kind], (TARGETS | MORE)[kind], 300, 1, seed=11)


@pytest.mark.tour
@pytest.mark.parametrize("times", [0.5, 1, 1.5])
def test_the_spread_of_sittings_may_be_half_or_half_as_much_again(times):
    """Of the size from common practice; at its own size the range is at most twice a knower's."""
    size = SharedErrors().sitting
    day = replace(KINDS["one sitting"], sitting=times * size)
    found = held(day, (0.90, 0.72), 300, 1, seed=12)
    knower = 1.96 * np.sqrt(2 * day.sitting**2 + 2 * day.run**2 / day.runs)
    assert times < 1 or found["width"] < 2 * knower
