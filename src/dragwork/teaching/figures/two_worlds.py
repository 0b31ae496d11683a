"""Two formulas over one number: the right one, and the one behind a learner's answer."""

import numpy as np

from dragwork.teaching.figures.curves import Axis, Line, plot
from dragwork.teaching.figures.style import BLUE, VERMILLION, bare

_RIGHT = {"color": BLUE, "linestyle": "-", "linewidth": 2.4, "marker": "None"}
_OWN = {"color": VERMILLION, "linestyle": "--", "linewidth": 2.2, "marker": "D", "markersize": 9}


def two_worlds(result):
    """The picture of the world as it is and the world of a slip, a `questions.Worlds`."""
    across = Axis(result.label, "1", *result.numbers[[0, -1]])
    up = Axis(f"The answer, {result.unit}".rstrip(", "), "1", *_reach(result))
    return plot(
        "The right formula and the one behind your answer", across, up,
        Line("numbers", "right", _RIGHT, "right formula"),
        Line("numbers", "slip", bare(_OWN), "your formula"),
        Line("at", "own", _OWN, "your answer"),
        height=3.2, left=0.11, right=0.80, bottom=0.18, top=0.86,
    )


def in_words(result):
    """What both formulas give at one end of the picture; it does not tell the answer itself."""
    both = np.flatnonzero(np.isfinite(result.right) & np.isfinite(result.slip))
    # The end of the picture where the two formulas lie further apart.
    end = max(both[[-1, 0]], key=lambda end: abs(result.right[end] - result.slip[end]))
    right, slip = (_number(curve[end], result.unit) for curve in (result.right, result.slip))
    what, _, unit = result.label.partition(", ")
    there = f"{what} {_number(result.numbers[end], unit)}"
    return f"The same two formulas elsewhere. {there}: yours gives {slip}, the right one {right}."


def _number(value, unit):
    dust = abs(value) < 1e-9  # what is left of a 0
    text = "0" if dust else np.format_float_positional(value, 3, fractional=False, trim="-")
    return f"{text}{'' if unit[:1] in ('', '°') and unit != '°C' else ' '}{unit}"


def _reach(result):
    values = np.concatenate([result.right, result.slip, [result.own, 0.0]])
    low, high = np.nanmin(values), np.nanmax(values)
    margin = 0.08 * (high - low)
    return low - margin * (low < 0), high + margin * (high > 0)
