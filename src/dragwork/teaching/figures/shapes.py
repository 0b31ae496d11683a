"""The shape of a curve in words, from its points: for those who do not see the picture."""

import numpy as np

from dragwork.quantities import true_minus

_FLAT = 0.01  # of the axis: a smaller rise or fall is not seen
_STRAIGHT = 0.02  # of its height: how far a straight line may be from its chord
_STEEPER = 1.25  # the slope of the last third over that of the first
_MOST_TURNS = 3


def shape_in_words(x, y, across, up):
    """How a curve runs as it is drawn: `rises from 0 W at 0 km/h to 935 W at 60 km/h, steeper and steeper`.

    Parameters
    ----------
    x, y : (n,) array
        Its points, as the axes show them.
    across, up : object
        The axes: `.words(value)` with its unit, `.share(value)` along the axis, 0 to 1.

    Returns
    -------
    str
    """
    order = np.argsort(x, kind="stable")
    x, y = x[order], y[order]
    drawn = across.share(x), up.share(y)
    if np.ptp(drawn[1]) < _FLAT:
        return f"stays near {up.words(np.median(y))} from {across.words(x[0])} to {across.words(x[-1])}"
    turns = _turns(drawn[1])
    if len(turns) - 2 > _MOST_TURNS:
        return f"goes up and down between {up.words(y.min())} and {up.words(y.max())}"
    parts = [f"{'rises' if y[end] > y[start] else 'falls'} to {up.words(y[end])} at {across.words(x[end])}"
             for start, end in zip(turns, turns[1:])]  # fmt: skip
    parts[0] = parts[0].replace(" to ", f" from {up.words(y[0])} at {across.words(x[0])} to ", 1)
    return ", then ".join(parts) + (_bend(*drawn) if len(turns) == 2 else "")


def _turns(y):
    """Places of the first point, each turn that is seen, and the last point."""
    places, best, way = [0], 0, 0
    for here in range(1, len(y)):
        step = y[here] - y[best]
        if way == 0 and abs(step) > _FLAT:
            way, best = np.sign(step), here
        elif way and step * way >= 0:
            best = here
        elif way and abs(step) > _FLAT:
            places.append(best)
            way, best = -way, here
    return [*places, len(y) - 1]


def _bend(x, y):
    chord = np.interp(x, x[[0, -1]], y[[0, -1]])
    if np.max(np.abs(y - chord)) < _STRAIGHT * np.ptp(y):
        return ", in a straight line"
    third = np.linspace(x[0], x[-1], 4)
    first, _, last = np.abs(np.diff(np.interp(third, x, y)))
    if last > _STEEPER * first:
        return ", steeper and steeper"
    if first > _STEEPER * last:
        return ", less and less steeply"
    return ""


def figures(value):
    """A number with three figures and a true minus: `935`, `0.251`, `1,230`."""
    return true_minus(f"{float(f'{float(value):.3g}'):,.10g}")
