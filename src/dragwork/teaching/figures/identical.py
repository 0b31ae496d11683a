"""Dots with intervals of set-ups that are all the same: who wins is chance."""

import numpy as np

from dragwork.teaching.figures.guesses import Guesses
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    QUIET_INK,
    SET_UP,
    bare,
    label_line,
    name_axes,
    new_figure,
    styled,
)

_ROW = 0.28  # inch


class IdenticalDots(Picture):
    """One row a set-up; a dashed line where all of them truly lie. Takes a `panels.identical.Chance`.

    Parameters
    ----------
    names : sequence of str
    truth : float [m2]
    reach : float [m2]
        How far the axis goes to either side of the truth.
    """

    def __init__(self, names, truth, reach):
        rows = len(names)
        figure, axes = new_figure(height=rows * _ROW + 1.8)
        height = figure.get_size_inches()[1]
        figure.subplots_adjust(
            left=0.16, right=0.86, top=1 - 0.85 / height, bottom=0.45 / height
        )
        axes.set(xlim=(truth - reach, truth + reach), ylim=(-rows - 0.1, 0.6))
        axes.set_yticks([-row for row in range(rows)], names)
        axes.tick_params(axis="y", length=0)
        axes.grid(False, axis="y")
        axes.spines["left"].set_visible(False)
        name_axes(axes, "", "Drag area, m². Dot: mean. Line: 95 % interval. Ring: before.")
        axes.set_title(axes.get_title("left"), loc="left", pad=30, x=-0.16, color=QUIET_INK)
        axes.axvline(truth, color=GREY, linestyle="--", linewidth=1.4)
        with styled():
            axes.annotate(
                f"the truth of all: {truth:.3f}", (truth, 0.6), (0, 3), textcoords="offset points",
                ha="center", va="bottom", annotation_clip=False,
            )  # fmt: skip
        plain, gap = SET_UP["A"], SET_UP["B"]
        (self._traces,) = axes.plot([], [], **{**BEFORE, "linestyle": "None", "marker": "o",
                                              "fillstyle": "none"})  # fmt: skip
        self._lines = [
            axes.plot([], [], **bare(plain, marker="|", markersize=9))[0] for _ in names
        ]
        (self._dots,) = axes.plot([], [], **{**plain, "linestyle": "None"})
        (self._winner,) = axes.plot([], [], **{**gap, "linestyle": "None", "markersize": 12})
        self._wins = label_line(axes, "wins", gap, side="right")
        self._wins.set_position((22, 0))
        self._wins.xycoords = ("axes fraction", "data")
        (self._gap,) = axes.plot([], [], **{**gap, "linestyle": "-", "marker": "|", "markersize": 11})
        self._gap_name = label_line(axes, "", gap, side="right")
        self._guesses = Guesses(axes)
        self._right = truth + reach
        self._bottom = -rows + 0.25
        super().__init__(
            "Measured drag areas of identical set-ups",
            figure,
            moving=[
                self._traces, *self._lines, self._dots, self._winner, self._wins, self._gap,
                self._gap_name, *self._guesses.artists,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        rows = -np.arange(len(result.mean))
        self._dots.set_data(result.mean, rows)
        for line, low, high, row in zip(self._lines, result.low, result.high, rows):
            line.set_data(*([low, high], [row, row]) if np.isfinite(low) else ([], []))
        best, worst = result.mean[result.best], result.mean[result.worst]
        self._winner.set_data([best], [rows[result.best]])
        self._wins.xy = (1, rows[result.best])
        self._gap.set_data([best, worst], [self._bottom] * 2)
        self._gap_name.set_text(f"best to worst: {result.gap:.4f}")
        there = [] if before is None else before.mean
        self._traces.set_data(there, rows[: len(there)])
        guesses = [best + guess.value for guess in predictions]
        self._gap_name.xy = (max([worst, *(guess for guess in guesses if guess < self._right)]), self._bottom)
        self._guesses.show([(guess, self._bottom) for guess in guesses])
