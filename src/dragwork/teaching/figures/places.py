"""Free places for words among lines: each beside its line, off the others, inside the picture."""

from functools import lru_cache

import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.font_manager import FontProperties

from dragwork.teaching.figures.style import SIDES, TEXT_SIZE

_ALONG = (0.94, 0.8, 0.65, 0.5, 0.36, 0.22, 0.08)  # of a curve; where its name may be
_STEP = 7.0  # pixels between two points of a curve as it is looked at: words are higher
_MARK = 7.0  # pixels from the middle of a mark to its edge
_PIXELS = 100 / 72  # of a point
_AFTER = 0.15  # what the next best side costs, in points of a curve that a word would cover


def find_places(words, lines, size):
    """Where words stand.

    Parameters
    ----------
    words : sequence of (str, (n, 2) array [pixel], tuple of str)
        A word, the line or the one point that it names, its sides; the first has the first choice.
    lines : sequence of (n, 2) array [pixel]
        What should not be covered.
    size : (width, height, right) [pixel]
        Of the picture inside its axes, and what is free to its right.

    Returns
    -------
    list of ((2,) array [pixel], str) or None
        The point beside which it stands, and the side; None where there is no room.
    """
    covered = np.tile(np.concatenate([_points(line, size) for line in lines]), 2)  # boxes without any size
    taken, places = np.empty((0, 4)), []
    for word, line, sides in words:
        at = line if len(line) == 1 else _anchors(_points(line, size), size)
        sides = sides or tuple(SIDES)
        boxes = np.concatenate([_boxes(word, at, side) for side in sides])
        rank = np.add.outer(2 * np.arange(len(sides)), np.arange(len(at))).ravel()
        touching, beyond = _overlaps(boxes, taken), _outside(boxes, size)
        cost = _AFTER * rank + _overlaps(boxes, covered) + 1000 * touching + 100 * beyond
        best = int(cost.argmin())
        free = not touching[best] and beyond[best] < 2
        places.append((at[best % len(at)], sides[best // len(at)]) if free else None)
        taken = np.concatenate([taken, boxes[best : best + free]])
    return places


def _points(line, size):
    """A line as points that lie close, or a mark as its middle and its corners."""
    if len(line) == 1:
        return line + _MARK * np.array([[0, 0], [1, 0], [-1, 0], [0, 1], [0, -1]])
    line = np.clip(line[np.isfinite(line).all(axis=1)], -50, np.array(size[:2]) + 50)
    if len(line) < 2:
        return line
    along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    steps = np.arange(0, along[-1] + _STEP, _STEP)
    return np.column_stack([np.interp(steps, along, part) for part in line.T])


def _anchors(points, size):
    """Those points of a line that may bear its name: some of those in the picture."""
    seen = points[((points >= 0) & (points <= size[:2])).all(axis=1)]
    if not len(seen):
        return points[:1]
    return seen[np.unique(np.round(np.array(_ALONG) * (len(seen) - 1)).astype(int))[::-1]]


def _boxes(word, at, side):
    """Left, bottom, right, top of a word beside points."""
    (dx, dy), across, up = SIDES[side]
    width, height = _extent(word)
    left = at[:, 0] + dx * _PIXELS - {"left": 0, "center": width / 2, "right": width}[across]
    bottom = at[:, 1] + dy * _PIXELS - {"bottom": 0, "center": height / 2, "top": height}[up]
    return np.column_stack([left, bottom, left + width, bottom + height])


def _overlaps(boxes, taken):
    """How many of the boxes taken each box touches."""
    left, bottom, right, top = boxes.T[:, :, None]
    a, b, c, d = taken.T
    return ((left < c) & (right > a) & (bottom < d) & (top > b)).sum(axis=1)


def _outside(boxes, size):
    """By how many pixels each box leaves the picture."""
    width, height, right = size
    beyond = np.column_stack([2 - boxes[:, :2], boxes[:, 2:] - [width + right - 4, height]])
    return np.maximum(beyond, 0).sum(axis=1)


@lru_cache(1024)
def _extent(word):
    """Width and height of a word [pixel]."""
    ruler, lines = RendererAgg(1, 1, 100), word.split("\n")
    font = FontProperties(family="DejaVu Sans", size=TEXT_SIZE)
    width = max(ruler.get_text_width_height_descent(line, font, False)[0] for line in lines)
    return width, 18.0 * len(lines)
