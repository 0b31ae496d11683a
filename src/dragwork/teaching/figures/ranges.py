"""Several things on one axis: a dot and a line for each, the numbers beside."""

from dataclasses import dataclass
from math import ceil, floor, log10

from matplotlib.ticker import MaxNLocator

from dragwork.teaching.figures import style
from dragwork.teaching.figures.guesses import Guesses
from dragwork.teaching.figures.picture import Picture

_ROW = 0.3  # inch, a line with its dot; its words come on top
_FOOT = 0.72  # inch, the axis and what stands under it
_BELOW = 0.72  # of a row; how far the highest words go above their line
_LONGEST = 40  # letters on one line of a name
_ROOM, _STEPS = 0.03, 8  # of the axis, at each end; about so many steps along it


@dataclass(frozen=True, eq=False)
class RangeRows:
    """What stands on the axis: names, then low, mid and high of each, and what to print beside."""

    names: tuple
    low: tuple
    mid: tuple
    high: tuple
    beside: tuple


class Ranges(Picture):
    """A row for each name, in the order of the result. Takes a `RangeRows`, or a record with `.rows`.

    Once the picture is open its axis follows the rows, in round steps, and always shows zero. A prediction is the middle of
    the first row.

    Parameters
    ----------
    title : str
        What the picture shows, for those who do not see it.
    across : str
        Under the axis, with the unit and the level of the lines.
    first : RangeRows
        As many rows as there will be, with names as long.
    """

    def __init__(self, title, across, first):
        number = len(first.names)
        names = [style.wrapped(name, _LONGEST) for name in first.names]
        row = _ROW + style.LINE * max(name.count("\n") + 1 for name in names)
        height = number * row + _FOOT
        figure, axis = style.new_figure(height=height)
        figure.subplots_adjust(left=0.03, right=0.97, top=1 - 0.04 / height, bottom=_FOOT / height)
        self._first = _around(first)
        axis.set(xlim=self._first, ylim=(_BELOW - number, _BELOW), yticks=[])
        axis.grid(False, axis="y")
        axis.spines["left"].set_visible(False)
        axis.xaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
        axis.axvline(0, color=style.GREY, linewidth=1.2)
        with style.styled():
            figure.supxlabel(across, fontsize=style.TEXT_SIZE, color=style.QUIET_INK, y=0.04 / height, va="bottom")
        look = {**style.QUANTITY["air"], "linestyle": "-"}
        self._traces = [axis.plot([], [], **{**style.BEFORE, "marker": "o", "fillstyle": "none"})[0] for _ in names]
        self._lines = [axis.plot([], [], **style.bare(look, marker="|", markersize=10))[0] for _ in names]
        self._dots = [axis.plot([], [], **{**look, "linestyle": "None"})[0] for _ in names]
        self._names = [_above(axis, 0, -place, "left", style.INK) for place in range(number)]
        self._texts = [_above(axis, 1, -place, "right", style.text_colour(look["color"])) for place in range(number)]
        self._guesses, self._axis = Guesses(axis), axis
        super().__init__(
            title, figure, [*self._traces, *self._lines, *self._dots, *self._names, *self._texts, *self._guesses.artists]
        )

    def update(self, result, before=None, predictions=()):
        rows = getattr(result, "rows", result)
        was = getattr(before, "rows", before)
        there = dict(zip(was.names, was.mid)) if was else {}
        if (limits := self._first if self.closed else _around(rows)) != self._axis.get_xlim():
            self._axis.set_xlim(limits)
        for row, (name, low, mid, high, text) in enumerate(zip(rows.names, rows.low, rows.mid, rows.high, rows.beside)):
            self._names[row].set_text(style.wrapped(name, _LONGEST))
            self._lines[row].set_data([low, high], [-row, -row])
            self._dots[row].set_data([mid], [-row])
            self._texts[row].set_text(text)
            self._traces[row].set_data(*(([there[name]], [-row]) if name in there else ([], [])))
        self._guesses.show([(guess.value, 0) for guess in predictions])


def _above(axis, across, row, side, colour):
    """Words above a row, at the left or the right end of the axis."""
    with style.styled():
        return axis.annotate(
            "", (across, row), (0, 7), xycoords=("axes fraction", "data"), color=colour,
            textcoords="offset points", ha=side, va="bottom", annotation_clip=False,
        )  # fmt: skip


def _around(rows):
    """Ends of the axis: whole steps of 1, 2 or 5, with room at both."""
    low, high = min(*rows.low, 0.0), max(*rows.high, 0.0)
    wide = (high - low or 1.0) / _STEPS
    tens = 10.0 ** floor(log10(wide))
    step = next(tens * number for number in (1, 2, 5, 10) if tens * number >= wide)
    room = _ROOM * (high - low or 1.0)
    return step * floor((low - room) / step), step * ceil((high + room) / step)
