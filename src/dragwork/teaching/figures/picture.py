"""A picture that moves: one figure drawn once, and a few artists drawn again on top of it."""

import struct
import zlib
from functools import partial
from io import BytesIO

import numpy as np
from PIL import Image

from dragwork.teaching.figures.style import DOTS_PER_INCH

GUESS = "guess"  # the group id of artists that show what the learner expects
SAVED_SCALE = 1.5  # pixels per pixel of the page in a notebook's saved picture
_COLOURS = 128  # of a saved picture: lines, their blends with white, greys of the text


class Picture:
    """Base of all pictures that a panel can move.

    A subclass builds its figure with `style.new_figure`, names its moving artists, and writes
    `update`, which changes artists and returns nothing. What does not move is drawn once and kept;
    when a static artist has changed all the same (limits, ticks, a title), all is drawn again.
    So an artist left out of `moving` costs time, never truth.

    Parameters
    ----------
    title : str
        What the picture shows, for those who do not see it: 'Air power against speed'.
    figure : Figure
    moving : sequence of Artist
        Drawn last, in this order.

    Attributes
    ----------
    closed : bool
        Whether only the guesses are drawn, and no answer.
    anew : callable
        Makes another one as this one was made; so whoever shows it may let it go until it is wanted.
    """

    def __new__(cls, *args, **options):
        picture = super().__new__(cls)
        picture.anew = partial(cls, *args, **options)
        return picture

    def __init__(self, title, figure, moving):
        self.title = title
        self.figure = figure
        self.moving, self.closed = tuple(moving), False
        for artist in self.moving:
            artist.set_animated(True)
        self._still = {}  # scale -> the static part, drawn

    def update(self, result, before=None, predictions=()):
        """Set the artists to a result.

        Parameters
        ----------
        result : record
            What the panel's model returned.
        before : record or None
            The result before the last move, for a faint trace.
        predictions : sequence of Prediction
            `.value` and `.at`, for hollow marks.
        """
        raise NotImplementedError

    def shape(self, result):
        """How what is drawn runs, in sentences; empty where the panel's own sentence says it."""
        return ""

    def tables(self, result):
        """Tables of what is drawn: a tuple of (caption, rows)."""
        return ()

    @property
    def size(self):
        """Width and height on the page [pixel]."""
        width, height = self.figure.get_size_inches() * DOTS_PER_INCH
        return round(width), round(height)

    def png(self, scale=1.0):
        """The picture as it stands, as PNG bytes, quickly written."""
        return _quick_png(self._drawn(scale))

    def saved_png(self):
        """The picture as it stands, as a small PNG for a notebook's output."""
        pixels = Image.fromarray(self._drawn(SAVED_SCALE)).convert("RGB")
        small = pixels.quantize(_COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
        out = BytesIO()
        small.save(out, "PNG", optimize=True)
        # All pixels are forgotten: a picture that moves is soon drawn again, and a still one never.
        self._still.clear()
        self.figure.canvas.let_go()
        return out.getvalue()

    def _drawn(self, scale):
        """Pixels: the kept static part with the moving artists on top."""
        figure, canvas = self.figure, self.figure.canvas
        if figure.stale:  # a static artist changed: animated ones do not tell their figure
            self._still.clear()
        figure.set_dpi(DOTS_PER_INCH * scale)
        if scale in self._still:
            canvas.get_renderer()
            canvas.restore_region(self._still[scale])
        else:
            canvas.draw()
            self._still[scale] = canvas.copy_from_bbox(figure.bbox)
        for artist in self.moving:
            if not self.closed or artist.get_gid() == GUESS:
                figure.draw_artist(artist)
        figure.stale = False
        return np.asarray(canvas.buffer_rgba())


def _quick_png(pixels):
    """Encode opaque RGBA pixels as an RGB PNG with the least work: no filter, light compression.

    Source: PNG (ISO/IEC 15948), sections 5 and 11
    """
    height, width, _ = pixels.shape
    rows = np.zeros((height, 1 + 3 * width), np.uint8)  # each row starts with its filter type, 0
    for channel in range(3):  # one by one: ten times faster than all three at once
        rows[:, 1 + channel :: 3] = pixels[:, :, channel]
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = ((b"IHDR", header), (b"IDAT", zlib.compress(rows, 1)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in parts
    )
