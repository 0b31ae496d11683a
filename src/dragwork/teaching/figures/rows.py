"""Dots with their ranges, a row each: drag areas of set-ups, one axis a yaw, and anything else on one axis."""

from dataclasses import dataclass
from itertools import cycle
from math import ceil, floor, log10
from typing import NamedTuple

import numpy as np
from matplotlib.ticker import MaxNLocator

from dragwork import units
from dragwork.quantities import true_minus
from dragwork.teaching.figures import style
from dragwork.teaching.figures.guesses import Guesses
from dragwork.teaching.figures.picture import Picture


class _DotRow:
    """The artists of a row: a dot, the line of its range, and a ring where the dot was before; its words."""

    def __init__(self, axis, height, look, *words):
        line, dot = style.bare(look, linestyle="-", marker="|", markersize=10), {**look, "linestyle": "None"}
        ring = {**style.BEFORE, "marker": "o", "fillstyle": "none"}
        self.artists = [axis.plot([], [], **each)[0] for each in (ring, line, dot)]
        self._height, self.words = height, words

    def show(self, low, mid, high, was, *said):
        """Put them where they belong, and say this; what is None or nan is not there."""
        for words, text in zip(self.words, said):
            words.set_text(text)
        for artist, ends in zip(self.artists, ([was], [low, high], [mid])):
            there = [end for end in ends if end is not None and np.isfinite(end)]
            artist.set_data(there, [self._height] * len(there))


_WORDS = {"xycoords": ("axes fraction", "data")}  # of words of a row: a share of the axis across


def _moving(rows, guesses):
    """All artists of rows, their words last, and the marks of guesses."""
    return [artist for part in ("artists", "words") for row in rows for artist in getattr(row, part)] + guesses.artists


def _cleared(axis, limits, top, rows, steps):
    """An axis without clutter, for so many rows down from its top."""
    axis.set(xlim=limits, ylim=(top - rows, top), yticks=[])
    axis.grid(False, axis="y")
    axis.spines["left"].set_visible(False)
    axis.xaxis.set_major_locator(MaxNLocator(steps, steps=[1, 2, 5, 10]))


# -- drag areas -----------------------------------------------------------------------------------------

_ROW = 0.28  # inch, one set-up
_NAME = 0.42  # inch, the yaw above its axis
_LONGEST = 25  # letters on one line of a name


@dataclass(frozen=True, eq=False)
class DragAreas:
    """Drag areas of some set-ups at some yaws, with their intervals.

    Parameters
    ----------
    set_ups : (n,) sequence of str
    yaw : (k,) array [rad]
    drag_area, low, high : (n, k) array [m2]
        nan where a set-up was not measured at a yaw.
    confidence : float
        Of the intervals.
    """

    set_ups: tuple
    yaw: np.ndarray
    drag_area: np.ndarray
    low: np.ndarray
    high: np.ndarray
    confidence: float


def set_up_looks(set_ups):
    """The look of each set-up by name, in the order of the sheet."""
    return dict(zip(set_ups, cycle(style.SET_UP.values())))


class Dots(Picture):
    """One axis a yaw; on it a dot and its interval for each set-up, with the numbers beside.

    Takes a `DragAreas`. Which set-ups and yaws there are is fixed by the first one. A prediction is
    a drag area of the first set-up at the first yaw, or a step of it.

    Parameters
    ----------
    areas : DragAreas
        Says which set-ups and yaws there are, and fixes the limits.
    looks : dict of str to dict, optional
        Look of each set-up; by default the order in `areas` decides.
    limits : (low, high) [m2], optional
        Of the drag-area axis; by default all that `areas` holds, and a little room.
    width : float [inch]
    start : float [m2], optional
        From where a predicted step is marked.
    """

    def __init__(self, areas, looks=None, limits=None, width=7.0, start=0.0):
        looks = looks or set_up_looks(areas.set_ups)
        rows, number = len(areas.yaw), len(areas.set_ups)
        names = [style.wrapped(name, _LONGEST) for name in areas.set_ups]
        row = max(_ROW, style.LINE * max(name.count("\n") + 1.5 for name in names))
        height = rows * (number * row + _NAME) + 0.85
        figure, axes = style.new_figure(width, height, nrows=rows, sharex=True, squeeze=False)
        numbers = style.LETTER * len("0.000 (0.000 to 0.000)") + 0.25
        figure.subplots_adjust(
            left=max(style.LETTER * style.widest(names) + 0.25, 0.45) / width,
            right=1 - numbers / width,
            top=1 - (_NAME + 0.02) / height,
            bottom=0.55 / height,
            hspace=_NAME / (number * row),
        )
        self._guesses, self._rows, self._start = Guesses(axes[0, 0]), {}, start
        for i, (axis, degrees) in enumerate(zip(axes[:, 0], units.to_deg(areas.yaw))):
            _cleared(axis, limits or _with_room(areas), 0.5, number, 5)
            axis.set_yticks([-j for j in range(number)], names)
            axis.tick_params(axis="y", length=0)
            side = "from the right" if degrees > 0 else "from the left" if degrees else "from ahead"
            style.name_axes(axis, "", true_minus(f"Yaw {degrees:.3g}°, air {side}"))
            for j, name in enumerate(areas.set_ups):
                axis.get_yticklabels()[j].set_color(style.text_colour(looks[name]["color"]))
                words = style.label_line(axis, "", looks[name], 1, -j, xytext=(10, 0), **_WORDS)
                self._rows[j, i] = _DotRow(axis, -j, looks[name], words)
        level = f"{units.to_percent(areas.confidence):.0f} %"
        with style.styled():
            moved = " Ring: before." if limits else ""
            axes[-1, 0].set_xlabel(f"Drag area, m². Dot: mean. Line: {level} interval.{moved}")
        super().__init__("Drag area of each set-up at each yaw", figure, _moving(self._rows.values(), self._guesses))

    def update(self, result, before=None, predictions=()):
        for at, row in self._rows.items():
            area, low, high = (x[at] for x in (result.drag_area, result.low, result.high))
            words = f"{area:.3f} ({low:.3f} to {high:.3f})" if np.isfinite(area) else "not measured"
            row.show(low, area, high, before and before.drag_area[at], words)
        self._guesses.show([(self._start + guess.value, 0) for guess in predictions])


def _with_room(areas):
    """Limits that hold all intervals; room at each end, and at least a hundredth in all."""
    low, high = np.nanmin(areas.low), np.nanmax(areas.high)
    room = 0.08 * max(high - low, 0.01)
    return float(low - room), float(high + room)


# -- anything else --------------------------------------------------------------------------------------

_LINE = 0.3  # inch, a line with its dot; its words come on top
_FOOT = 0.72  # inch, the axis and what stands under it
_BELOW = 0.72  # of a row; how far the highest words go above their line
_WIDEST = 40  # letters on one line of a name
_ROOM, _STEPS = 0.03, 8  # of the axis, at each end; about so many steps along it


class RangeRow(NamedTuple):
    """What stands on the axis: a name, its low, mid and high, and what to print beside."""

    name: str
    low: float
    mid: float
    high: float
    beside: str


class Ranges(Picture):
    """A row for each name, in the order of the result. Takes a tuple of `RangeRow`, or a record with `.rows`.

    Once the picture is open its axis follows the rows, in round steps, and always shows zero. A prediction is the middle of
    the first row.

    Parameters
    ----------
    title : str
        What the picture shows, for those who do not see it.
    across : str
        Under the axis, with the unit and the level of the lines.
    first : sequence of RangeRow
        As many rows as there will be, with names as long.
    """

    def __init__(self, title, across, first):
        number = len(first)
        names = [style.wrapped(row.name, _WIDEST) for row in first]
        row = _LINE + style.LINE * max(name.count("\n") + 1 for name in names)
        height = number * row + _FOOT
        figure, axis = style.new_figure(height=height)
        figure.subplots_adjust(left=0.03, right=0.97, top=1 - 0.04 / height, bottom=_FOOT / height)
        self._first = _around(first)
        _cleared(axis, self._first, _BELOW, number, 6)
        axis.axvline(0, color=style.GREY, linewidth=1.2)
        with style.styled():
            figure.supxlabel(across, fontsize=style.TEXT_SIZE, color=style.QUIET_INK, y=0.04 / height, va="bottom")
        look, above = style.QUANTITY["air"], {"va": "bottom", "xytext": (0, 7), **_WORDS}
        self._guesses, self._axis, self._rows = Guesses(axis), axis, []
        for place in range(number):
            name = style.label_line(axis, "", {"color": style.INK}, 0, -place, ha="left", **above)
            beside = style.label_line(axis, "", look, 1, -place, ha="right", **above)
            self._rows.append(_DotRow(axis, -place, look, name, beside))
        super().__init__(title, figure, _moving(self._rows, self._guesses))

    def update(self, result, before=None, predictions=()):
        rows, was = (getattr(each, "rows", each) for each in (result, before))
        there = {row.name: row.mid for row in was or ()}
        if (limits := self._first if self.closed else _around(rows)) != self._axis.get_xlim():
            self._axis.set_xlim(limits)
        for row, new in zip(self._rows, rows):
            row.show(new.low, new.mid, new.high, there.get(new.name), style.wrapped(new.name, _WIDEST), new.beside)
        self._guesses.show([(guess.value, 0) for guess in predictions])


def _around(rows):
    """Ends of the axis: whole steps of 1, 2 or 5, with room at both."""
    low, high = min(0.0, *(row.low for row in rows)), max(0.0, *(row.high for row in rows))
    wide = (high - low or 1.0) / _STEPS
    tens = 10.0 ** floor(log10(wide))
    step = next(tens * number for number in (1, 2, 5, 10) if tens * number >= wide)
    room = _ROOM * (high - low or 1.0)
    return step * floor((low - room) / step), step * ceil((high + room) / step)
