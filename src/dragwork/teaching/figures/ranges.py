"""Several things on one axis: a dot and a line for each, the numbers beside."""

from dataclasses import dataclass

from matplotlib.ticker import MaxNLocator

from dragwork.teaching.figures.guesses import Guesses
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    INK,
    LINE,
    QUANTITY,
    QUIET_INK,
    TEXT_SIZE,
    bare,
    new_figure,
    styled,
    text_colour,
    wrapped,
)

_ROW = 0.3  # inch, a line with its dot; its words come on top
_FOOT = 0.72  # inch, the axis and what stands under it
_BELOW = 0.72  # of a row; how far the highest words go above their line
_LONGEST = 40  # letters on one line of a name
_ROOM = 0.06  # of the axis, at each end


@dataclass(frozen=True, eq=False)
class Rows:
    """What stands on the axis: names, then low, mid and high of each, and what to print beside."""

    names: tuple
    low: tuple
    mid: tuple
    high: tuple
    beside: tuple


class Ranges(Picture):
    """A row for each name, in the order given. Takes a `Rows`, or a record with `.rows`.

    A prediction is the middle of the first row.

    Parameters
    ----------
    title : str
        What the picture shows, for those who do not see it.
    across : str
        Under the axis, with the unit and the level of the lines.
    first : Rows
        Names the rows; fixes the limits where none are given.
    limits : (low, high), optional
        Of the axis, for a picture that moves.
    """

    def __init__(self, title, across, first, limits=None):
        number = len(first.names)
        names = [wrapped(name, _LONGEST) for name in first.names]
        row = _ROW + LINE * max(name.count("\n") + 1 for name in names)
        height = number * row + _FOOT
        figure, axis = new_figure(height=height)
        figure.subplots_adjust(left=0.03, right=0.97, top=1 - 0.04 / height, bottom=_FOOT / height)
        axis.set(xlim=limits or _around(first), ylim=(_BELOW - number, _BELOW), yticks=[])
        axis.grid(False, axis="y")
        axis.spines["left"].set_visible(False)
        axis.xaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
        axis.axvline(0, color=GREY, linewidth=1.2)
        with styled():
            figure.supxlabel(across, fontsize=TEXT_SIZE, color=QUIET_INK, y=0.04 / height, va="bottom")
        look = {**QUANTITY["air"], "linestyle": "-"}
        self._traces = [axis.plot([], [], **{**BEFORE, "marker": "o", "fillstyle": "none"})[0] for _ in names]
        self._lines = [axis.plot([], [], **bare(look, marker="|", markersize=10))[0] for _ in names]
        self._dots = [axis.plot([], [], **{**look, "linestyle": "None"})[0] for _ in names]
        for place, name in enumerate(names):
            _above(axis, 0, -place, "left", INK).set_text(name)
        self._texts = [_above(axis, 1, -place, "right", text_colour(look["color"])) for place in range(number)]
        self._guesses = Guesses(axis)
        super().__init__(
            title, figure, [*self._traces, *self._lines, *self._dots, *self._texts, *self._guesses.artists]
        )

    def update(self, result, before=None, predictions=()):
        rows = getattr(result, "rows", result)
        was = getattr(before, "rows", before)
        for row, (low, mid, high, text) in enumerate(zip(rows.low, rows.mid, rows.high, rows.beside)):
            self._lines[row].set_data([low, high], [-row, -row])
            self._dots[row].set_data([mid], [-row])
            self._texts[row].set_text(text)
            self._traces[row].set_data(*(([was.mid[row]], [-row]) if was else ([], [])))
        self._guesses.show([(guess.value, 0) for guess in predictions])


def _above(axis, across, row, side, colour):
    """Words above a row, at the left or the right end of the axis."""
    with styled():
        return axis.annotate(
            "", (across, row), (0, 7), xycoords=("axes fraction", "data"), color=colour,
            textcoords="offset points", ha=side, va="bottom", annotation_clip=False,
        )  # fmt: skip


def _around(rows):
    low, high = min(*rows.low, 0.0), max(*rows.high, 0.0)
    room = _ROOM * (high - low or 1.0)
    return low - room, high + room
