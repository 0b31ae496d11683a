"""Panel: identical set-ups, measured; whoever wins, wins by chance."""

from dataclasses import dataclass, replace
from math import comb, sqrt

import numpy as np

from dragwork.measurement.comparison import difference_interval, expected_range
from dragwork.measurement.uncertainty import half_width, repeatability
from dragwork.teaching.figures.identical import IdenticalDots
from dragwork.teaching.panels.knobs import CATALOGUE
from dragwork.teaching.panels.panel import Panel

TRUTH = 0.250  # m2, of each of them
CONFIDENCE = 0.95
LETTERS = "ABCDEFGHIJKL"


@dataclass(frozen=True, eq=False)
class Chance:
    """Identical set-ups as one day measured them. All drag areas in m2.

    mean, low, high: one a set-up, nan where a single run gives no interval; best, worst: places;
    gap: from best to worst; expected_gap: by chance; alone: the gap's interval as if the two had
    been named before; picked: as the outermost of all pairs; None for single runs.
    """

    names: tuple
    runs: int
    spread: float
    draw: int
    mean: np.ndarray
    low: np.ndarray
    high: np.ndarray
    best: int
    worst: int
    gap: float
    expected_gap: float
    alone: object = None
    picked: object = None

    @property
    def missed(self):
        """How many intervals leave out the truth."""
        return int(np.sum((self.low > TRUTH) | (self.high < TRUTH)))


def measured(number, runs, spread, draw):
    """One draw: the same luck at every spread, and more runs go on from fewer."""
    runs, draw = int(runs), int(draw)
    most = int(CATALOGUE["runs"].high)
    luck = np.random.default_rng([number, draw]).standard_normal((number, most))
    readings = TRUTH + spread * luck[:, :runs]
    mean = readings.mean(axis=1)
    best, worst = int(mean.argmin()), int(mean.argmax())
    found = Chance(
        tuple(f"helmet {letter}" for letter in LETTERS[:number]), runs, spread, draw, mean,
        np.full(number, np.nan), np.full(number, np.nan), best, worst,
        float(mean[worst] - mean[best]), expected_range(number) * spread / sqrt(runs),
    )  # fmt: skip
    return found if runs == 1 else _with_intervals(found, readings)


def _with_intervals(found, readings):
    pooled = repeatability(readings)
    dof, u = pooled.degrees_of_freedom, pooled.s_r / sqrt(found.runs)
    half = half_width(u, dof, confidence=CONFIDENCE)
    pairs = comb(len(found.names), 2)
    alone, picked = (
        difference_interval(found.gap, sqrt(2) * u, dof, confidence=1 - (1 - CONFIDENCE) / tests)
        for tests in (1, pairs)
    )
    return replace(
        found, low=found.mean - half, high=found.mean + half, alone=alone, picked=picked
    )


def in_words(result):
    """Who wins, by how much, and what chance makes of it."""
    number = len(result.names)
    runs = "one run" if result.runs == 1 else f"{result.runs} runs"
    said = (
        f"Draw {result.draw}: {number} identical helmets, {runs} each, SD {result.spread:.4f} m². "
        f"H{result.names[result.best][1:]} 'wins', {result.gap:.4f} m² below "
        f"{result.names[result.worst]}. Chance alone is expected to set best and worst "
        f"{result.expected_gap:.4f} m² apart. "
    )
    if result.alone is None:
        return said + "One run each tells nothing of how far repeats lie apart: no interval."
    said += f"{result.missed} of {number} intervals leave out the truth. "
    if number == 2:
        return said + f"The 95 % interval of their difference: {_ends(result.alone)}."
    return said + (
        f"Had these two been named before, their difference would be {_ends(result.alone)}; picked "
        f"from {comb(number, 2)} pairs afterwards, {_ends(result.picked)}."
    )


def _ends(interval):
    ends = (round(end, 4) + 0.0 for end in (interval.low, interval.high))  # + 0.0: no minus zero
    low, high = (f"{end:.4f}".replace("-", "−") for end in ends)
    return f"{low} to {high} m²"


def identical_helmets(number=8):
    """The panel: turn the runs of each helmet, the spread of a run, and which day it is.

    Parameters
    ----------
    number : int
        How many helmets, 2 to 12.
    """
    reach = 0.026

    def model(runs, spread, draw):
        return measured(number, runs, spread, draw)

    names = [f"helmet {letter}" for letter in LETTERS[:number]]
    return Panel(
        ("runs", "spread", "draw"), model, IdenticalDots(names, TRUTH, reach), in_words,
        observed=lambda result: result.gap,
    )  # fmt: skip
