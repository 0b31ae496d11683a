"""Two formulas over one number: the right one, and the one behind a learner's answer."""

import numpy as np

from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BLUE,
    VERMILLION,
    bare,
    label_line,
    name_axes,
    new_figure,
)

_RIGHT = {"color": BLUE, "linestyle": "-", "linewidth": 2.4, "marker": "None"}
_OWN = {"color": VERMILLION, "linestyle": "--", "linewidth": 2.2, "marker": "D", "markersize": 9}
_SIDES = ("above left", "above", "above right", "below", "below right")  # of the answer's name
_NAMES_APART = 0.09  # of the height: below that two names would stand on each other


class TwoWorlds(Picture):
    """The world as it is and the world of a slip. Takes a `questions.Worlds`."""

    def __init__(self):
        figure, axes = new_figure(height=3.2)
        figure.subplots_adjust(bottom=0.18, top=0.86, right=0.80, left=0.11)
        self.axes = axes
        (self.right,) = axes.plot([], [], **_RIGHT)
        (self.own,) = axes.plot([], [], **bare(_OWN))
        (self.point,) = axes.plot([], [], **_OWN)
        self.names = [
            label_line(axes, "right formula", _RIGHT),
            label_line(axes, "your formula", _OWN),
        ]
        self.answers = {side: label_line(axes, "", _OWN, side=side) for side in _SIDES}
        super().__init__(
            "The right formula and the one behind your answer", figure, moving=[]
        )

    def update(self, result, before=None, predictions=()):
        axes, x = self.axes, result.numbers
        name_axes(axes, result.along.label, f"The answer, {result.unit}".rstrip(", "))
        self.right.set_data(x, result.right)
        self.own.set_data(x, result.slip)
        self.point.set_data([result.at], [result.own])
        low, high = _reach(result)
        axes.set(xlim=(x[0], x[-1]), ylim=(low, high))
        free = _free_side(result, (result.own - low) / (high - low))
        for side, name in self.answers.items():
            name.xy = (result.at, result.own)
            name.set_text("your answer" if side == free else "")
        ends = [curve[np.isfinite(curve)][-1] for curve in (result.right, result.slip)]
        for name, end in zip(self.names, _apart(*ends, high - low)):
            name.xy = (x[-1], end)


def _free_side(result, height):
    """Where there is room for a word at the learner's answer, away from both curves and the axes.

    height: of the answer, as a share of the picture's.
    """
    known = result.slip[np.isfinite(result.slip)]
    slope = np.sign(known[-1] - known[0])
    above = height < 0.1 or result.own >= np.interp(result.at, result.numbers, result.right)
    across = slope if not above else -slope  # -1 left, 0 in the middle, 1 right
    along = (result.at - result.numbers[0]) / (result.numbers[-1] - result.numbers[0])
    if (across < 0 and along < 0.25) or (across > 0 and along > 0.75):
        across = 0
    side = f"{'above' if above else 'below'} {('left', '', 'right')[int(across) + 1]}".strip()
    return side if side in _SIDES else "below"


def in_words(result):
    """What both formulas give at one end of the picture; it does not tell the answer itself."""
    end = _telling_end(result)
    right, slip = (_number(curve[end], result.unit) for curve in (result.right, result.slip))
    what, _, unit = result.along.label.partition(", ")
    there = f"{what} {_number(result.numbers[end], unit)}"
    return f"The same two formulas elsewhere. {there}: yours gives {slip}, the right one {right}."


def _telling_end(result):
    """The end of the picture where the two formulas lie further apart."""
    both = np.flatnonzero(np.isfinite(result.right) & np.isfinite(result.slip))
    return max(both[[-1, 0]], key=lambda end: abs(result.right[end] - result.slip[end]))


def _number(value, unit):
    dust = abs(value) < 1e-9  # what is left of a 0
    text = "0" if dust else np.format_float_positional(value, 3, fractional=False, trim="-")
    return f"{text}{'' if unit[:1] in ('', '°') and unit != '°C' else ' '}{unit}"


def _reach(result):
    values = np.concatenate([result.right, result.slip, [result.own, 0.0]])
    low, high = np.nanmin(values), np.nanmax(values)
    margin = 0.08 * (high - low)
    return low - margin * (low < 0), high + margin * (high > 0)


def _apart(first, second, height):
    """Two heights, moved apart if names there would stand on each other."""
    least = _NAMES_APART * height
    gap = first - second
    if abs(gap) >= least:
        return first, second
    up = (least - abs(gap)) / 2 * (1 if gap >= 0 else -1)
    return first + up, second - up
