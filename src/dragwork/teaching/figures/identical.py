"""Dots with intervals of set-ups that are all the same: who wins is chance."""

import numpy as np

from dragwork.teaching.figures.curves import GUIDE, Drawn
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
_COUNTS = 2.4  # inch, of the plane below with its names


class IdenticalDots(Picture):
    """One row a label; a dashed line where all of them truly are. Takes a `panels.identical.Chance`.

    Parameters
    ----------
    names : sequence of str
    truth : float [m2]
    reach : float [m2]
        How far the axis goes to either side of the truth.
    counts : curves.Plane, optional
        Shown below, of the days so far; without it the bottom row has the gap of an average day.
    """

    def __init__(self, names, truth, reach, counts=None):
        rows, below = len(names), _COUNTS if counts else 0
        height = (rows + 2 - bool(counts)) * _ROW + 1.3 + below
        figure, axes = new_figure(height=height, nrows=1 + bool(counts))
        axes, *others = np.atleast_1d(axes)
        axes.set_position([0.19, (0.45 + below) / height, 0.66, 1 - (1.3 + below) / height])
        self._counts = None
        if others:
            others[0].set_position([0.09, 0.5 / height, 0.87, (below - 0.75) / height])
            self._counts = Drawn(counts, others[0])
        axes.set(xlim=(truth - reach, truth + reach), ylim=(-rows - (0.7 if counts else 1.6), 0.6))
        bars = ["gap today", *(() if counts else ["average gap"])]
        self._places = [-rows - 0.1 - 0.9 * row for row in range(len(bars))]
        axes.set_yticks([*(-row for row in range(rows)), *self._places], [*names, *bars])
        axes.tick_params(axis="y", length=0)
        axes.grid(False, axis="y")
        axes.spines["left"].set_visible(False)
        name_axes(axes, "", "Drag area, m². Dot: mean. Line: 95 % interval. Ring: before.")
        axes.set_title(axes.get_title("left"), loc="left", pad=30, x=-0.265, color=QUIET_INK)
        axes.axvline(truth, color=GREY, linestyle="--", linewidth=1.4)
        with styled():
            axes.annotate(
                f"the truth: {truth:.3f}", (truth, 0.6), (0, 3), textcoords="offset points",
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
        self._bars = [
            axes.plot([], [], **{**look, "linestyle": "-", "marker": "|", "markersize": 11})[0]
            for look, _ in zip((gap, GUIDE), bars)
        ]
        looks = (gap, *(look for look, _ in zip((gap, GUIDE), bars)))
        self._wins, *self._gaps = (label_line(axes, "leads", look, side="right") for look in looks)
        for words in (self._wins, *self._gaps):
            words.set_position((12, 0))
            words.xycoords = ("axes fraction", "data")
        self._guesses = Guesses(axes)
        super().__init__(
            "Measured drag areas of one helmet under several labels",
            figure,
            moving=[
                self._traces, *self._lines, self._dots, self._winner, self._wins, *self._bars,
                *self._gaps, *self._guesses.artists, *(self._counts.artists if self._counts else ()),
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        rows = -np.arange(len(result.mean))
        self._dots.set_data(result.mean, rows)
        for line, mean, row in zip(self._lines, result.mean, rows):
            ends = [mean - result.half, mean + result.half]
            line.set_data(*(ends, [row, row]) if np.isfinite(result.half) else ([], []))
        best = result.mean[result.best]
        self._winner.set_data([best], [rows[result.best]])
        self._wins.xy = (1, rows[result.best])
        there = [] if before is None else before.mean
        self._traces.set_data(there, rows[: len(there)])
        for bar, words, place, gap in zip(self._bars, self._gaps, self._places, (result.gap, result.expected_gap)):
            bar.set_data([best, best + gap], [place] * 2)
            words.set_text(f"{gap:.4f}")
            words.xy = (1, place)
        if self._counts:
            self._counts.update(result, before, predictions)
        else:
            self._guesses.show([(best + guess.value, self._places[-1]) for guess in predictions])
