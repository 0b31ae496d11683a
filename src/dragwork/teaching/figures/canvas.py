"""A canvas that remembers words: most of the time that a moving picture takes goes into its text.

A word stands on a little white of its own, so that no line crosses it out. Words are drawn as they are
typed: a dollar in the name of a set-up begins no formula.
"""

from functools import lru_cache
from math import ceil

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.text import Text

_REMEMBERED = 512  # words; numbers that follow a slider push each other out
_INK = 0.2  # opacity of what counts as a letter and not as its soft edge
_REACH = 3.0  # points; how far the white behind a word goes beyond its letters


class Canvas(FigureCanvasAgg):
    """As matplotlib's own, but upright words stand on whole pixels and are shaped only once."""

    def draw(self):
        """Draw all, no label as mathematics."""
        for label in self.figure.findobj(Text):
            label.set_parse_math(False)
        super().draw()

    def let_go(self):
        """Forget the pixels."""
        self.renderer = self._key = None

    def get_renderer(self):
        """The renderer for the figure's present size; a new one when that has changed."""
        width, height = self.figure.bbox.size
        key = width, height, self.figure.dpi
        if getattr(self, "_key", None) != key:
            self.renderer, self._key = _Renderer(*key), key
        return self.renderer


class _Renderer(RendererAgg):
    def draw_text(self, gc, x, y, s, prop, angle, ismath=False, mtext=None):
        red, green, blue, *opacity = gc.get_rgb()
        if angle or ismath or opacity not in ([], [1.0]):
            super().draw_text(gc, x, y, s, prop, angle, ismath, mtext)
            return
        word, left, up = _word(s, prop, self.dpi, (red, green, blue))
        # The renderer counts rows of an image from below.
        self.draw_image(gc, round(x) - left, self.height - round(y) - up, word)


@lru_cache(_REMEMBERED)
def _word(text, font, dots_per_inch, colour):
    """Pixels of a word, last row first, and how far they reach left of and below its start."""
    bare = RendererAgg(1, 1, dots_per_inch)
    width, height, descent = bare.get_text_width_height_descent(text, font, False)
    margin = ceil(bare.points_to_pixels(font.get_size_in_points()))
    below = margin + ceil(descent)
    paper = RendererAgg(ceil(width) + 2 * margin, ceil(height) + 2 * margin, dots_per_inch)
    ink = paper.new_gc()
    ink.set_foreground(colour)
    paper.draw_text(ink, margin, paper.height - below, text, font, 0)
    reach = round(bare.points_to_pixels(_REACH))
    return _on_white(np.asarray(paper.buffer_rgba())[::-1], reach), margin, below


def _on_white(word, reach):
    """The pixels of a word on white that follows the shape of its letters."""
    ink = word[:, :, 3:] / 255
    near = ink > _INK
    for axis in (0, 1):
        near = np.max([np.roll(near, step, axis) for step in range(-reach, reach + 1)], axis=0)
    white = near * (1 - ink)
    opacity = ink + white
    colour = (word[:, :, :3] * ink + 255 * white) / np.maximum(opacity, 1e-9)
    return np.round(np.concatenate([colour, 255 * opacity], axis=2)).astype(np.uint8)
