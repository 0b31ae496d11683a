"""The learner's guesses in a picture: hollow diamonds, and arrows at its edge for those beyond it."""

import numpy as np

from dragwork.teaching.figures.picture import GUESS
from dragwork.teaching.figures.style import PREDICTION

_ARROWS = {(-1, 0): "<", (1, 0): ">", (0, -1): "v", (0, 1): "^"}


class Guesses:
    """Marks of guesses on some axes.

    Parameters
    ----------
    axes : Axes
        Their limits say what is beyond the picture.

    Attributes
    ----------
    artists : list of Line2D
        To be drawn: the diamonds, then an arrow for each edge.
    """

    def __init__(self, axes):
        self._axes = axes
        looks = ({}, *({"marker": marker} for marker in _ARROWS.values()))
        self.artists = [axes.plot([], [], **{**PREDICTION, **look, "clip_on": False, "gid": GUESS})[0] for look in looks]

    def show(self, points):
        """Mark guesses.

        Parameters
        ----------
        points : sequence of (x, y)
            Data coordinates.
        """
        points = np.reshape(np.asarray(points, float), (-1, 2))
        low, high = np.sort(np.array([self._axes.get_xlim(), self._axes.get_ylim()]).T, axis=0)
        beyond = np.sign(points - np.clip(points, low, high))
        beyond[beyond[:, 1] != 0, 0] = 0  # one arrow: up or down first
        for line, way in zip(self.artists, ((0, 0), *_ARROWS)):
            line.set_data(*np.clip(points, low, high)[np.all(beyond == way, axis=1)].T)
