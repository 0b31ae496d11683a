"""Names of curves where the curves end, kept off each other."""

import numpy as np

from dragwork.teaching.figures.style import GREY, apart, label_line, put

_INSIDE = 0.93  # of the height; where a curve is named that leaves through the top
_LEADER = 0.02  # of the axis; how far the names stand off it
_APART = 0.07  # of the axis; two names are nearer to each other than they are high


class EndNames:
    """Names of curves, each where its curve ends or leaves the picture.

    Those that reach the right edge are named beyond it, and a thin line leads to the name; those
    that leave through the top or the bottom are named inside.

    Parameters
    ----------
    axes : Axes
        Its limits stay.
    looks : dict of str to dict
        Name to the look of its curve.

    Attributes
    ----------
    artists : list of Artist
        To be drawn.
    """

    def __init__(self, axes, looks):
        self._names = [label_line(axes, name, look) for name, look in looks.items()]
        (self._leaders,) = axes.plot([], [], color=GREY, linewidth=0.8, clip_on=False)
        (low, self._edge), (self._bottom, self._top) = axes.get_xlim(), axes.get_ylim()
        self._beyond = self._edge + _LEADER * (self._edge - low)
        self.artists = [self._leaders, *self._names]

    def follow(self, x, curves):
        """Name curves over `x`, in the order of the looks; one that is zero throughout is not."""
        rising, ending = {}, {}
        for name, y in zip(self._names, curves):
            name.set_visible(bool(np.any(y)))
            if y[-1] > self._top:
                here = np.flatnonzero(y <= _INSIDE * self._top)[-1]
                rising[name] = x[here], y[here]
            elif y[-1] < self._bottom:
                here = np.flatnonzero(y >= self._bottom / 2)[-1]
                put(name, x[here], y[here], "below left")
            elif name.get_visible():
                ending[name] = y[-1]
        side = "left"
        for name, point in sorted(rising.items(), key=lambda item: item[1]):
            put(name, *point, side)
            side = "right"
        heights = apart(list(ending.values()), _APART * (self._top - self._bottom), self._top)
        leaders = []
        for (name, end), height in zip(ending.items(), heights):
            put(name, self._beyond, height, "right")
            name.xyann = (3, 0)
            leaders += [(self._edge, end), (self._beyond, height), (np.nan, np.nan)]
        self._leaders.set_data(*zip(*leaders) if leaders else ([], []))
