"""Several things on one axis: a dot and a line for each, the numbers beside."""

from dataclasses import dataclass

from matplotlib.ticker import MaxNLocator

from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    LINE,
    PREDICTION,
    QUANTITY,
    QUIET_INK,
    TEXT_SIZE,
    bare,
    new_figure,
    styled,
    text_colour,
    widest,
    wrapped,
)

_ROW = 0.34  # inch
_LETTER = 0.088  # inch, about the mean width of a letter at our text size
_LONGEST = 33  # letters on one line of a name
_WIDTH = 7.0
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
        height = number * max(_ROW, LINE * max(name.count("\n") + 1.5 for name in names)) + 0.85
        figure, self._axis = new_figure(_WIDTH, height)
        beside = max(len(text) for text in first.beside)
        figure.subplots_adjust(
            left=min(widest(names) * _LETTER + 0.25, 3.2) / _WIDTH,
            right=1 - (beside * _LETTER + 0.3) / _WIDTH,
            top=1 - 0.12 / height,
            bottom=0.68 / height,
        )
        axis = self._axis
        axis.set(xlim=limits or _around(first), ylim=(-number + 0.5, 0.5))
        axis.set_yticks([-row for row in range(number)], names)
        axis.tick_params(axis="y", length=0)
        axis.grid(False, axis="y")
        axis.spines["left"].set_visible(False)
        axis.xaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
        axis.axvline(0, color=GREY, linewidth=1.2)
        with styled():
            figure.supxlabel(across, fontsize=TEXT_SIZE, color=QUIET_INK, y=0.04 / height, va="bottom")
        look = {**QUANTITY["air"], "linestyle": "-"}
        self._lines, self._dots, self._traces, self._texts = [], [], [], []
        for row in range(number):
            (trace,) = axis.plot([], [], **{**BEFORE, "marker": "o", "fillstyle": "none"})
            (line,) = axis.plot([], [], **bare(look, marker="|", markersize=10))
            (dot,) = axis.plot([], [], **{**look, "linestyle": "None"})
            with styled():
                text = axis.annotate(
                    "", (1, -row), (10, 0), xycoords=("axes fraction", "data"),
                    textcoords="offset points", va="center", fontsize=TEXT_SIZE - 1,
                    color=text_colour(look["color"]), annotation_clip=False,
                )  # fmt: skip
            for kept, artist in zip(
                (self._traces, self._lines, self._dots, self._texts), (trace, line, dot, text)
            ):
                kept.append(artist)
        (self._guesses,) = axis.plot([], [], **PREDICTION)
        super().__init__(
            title, figure, [*self._traces, *self._lines, *self._dots, *self._texts, self._guesses]
        )

    def update(self, result, before=None, predictions=()):
        rows = getattr(result, "rows", result)
        was = getattr(before, "rows", before)
        for row, (low, mid, high, text) in enumerate(zip(rows.low, rows.mid, rows.high, rows.beside)):
            self._lines[row].set_data([low, high], [-row, -row])
            self._dots[row].set_data([mid], [-row])
            self._texts[row].set_text(text)
            self._traces[row].set_data(*(([was.mid[row]], [-row]) if was else ([], [])))
        self._guesses.set_data([guess.value for guess in predictions], [0] * len(predictions))


def _around(rows):
    low, high = min(*rows.low, 0.0), max(*rows.high, 0.0)
    room = _ROOM * (high - low or 1.0)
    return low - room, high + room
