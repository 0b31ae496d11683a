"""Dots with intervals: the drag area of each set-up, one axis a yaw."""

from dataclasses import dataclass
from itertools import cycle

import numpy as np
from matplotlib.ticker import MaxNLocator

from dragwork import units
from dragwork.teaching.figures import style
from dragwork.teaching.figures.guesses import Guesses
from dragwork.teaching.figures.picture import Picture

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
    a drag area of the first set-up at the first yaw.

    Parameters
    ----------
    areas : DragAreas
        Says which set-ups and yaws there are, and fixes the limits.
    looks : dict of str to dict, optional
        Look of each set-up; by default the order in `areas` decides.
    limits : (low, high) [m2], optional
        Of the drag-area axis; by default all that `areas` holds, and a little room.
    width : float [inch]
    """

    def __init__(self, areas, looks=None, limits=None, width=7.0):
        looks = looks or set_up_looks(areas.set_ups)
        rows, number = len(areas.yaw), len(areas.set_ups)
        names = [style.wrapped(name, _LONGEST) for name in areas.set_ups]
        row = max(_ROW, style.LINE * max(name.count("\n") + 1.5 for name in names))
        height = rows * (number * row + _NAME) + 0.85
        figure, axes = style.new_figure(width, height, nrows=rows, sharex=True, squeeze=False)
        self._axes = axes[:, 0]
        numbers = style.LETTER * len("0.000 (0.000 to 0.000)") + 0.25
        figure.subplots_adjust(
            left=max(style.LETTER * style.widest(names) + 0.25, 0.45) / width,
            right=1 - numbers / width,
            top=1 - (_NAME + 0.02) / height,
            bottom=0.55 / height,
            hspace=_NAME / (number * row),
        )
        self._limits = limits or _with_room(areas)
        self._lines, self._dots, self._traces, self._numbers = {}, {}, {}, {}
        self._guesses = Guesses(self._axes[0])
        for i, (axis, yaw) in enumerate(zip(self._axes, areas.yaw)):
            self._prepare(axis, float(units.to_deg(yaw)), dict(zip(areas.set_ups, names)), looks)
            for j, name in enumerate(areas.set_ups):
                self._add(axis, (j, i), looks[name])
        level = f"{units.to_percent(areas.confidence):.0f} %"
        with style.styled():
            moved = " Ring: before." if limits else ""
            self._axes[-1].set_xlabel(f"Drag area, m². Dot: mean. Line: {level} interval.{moved}")
        moving = [
            artist
            for artists in (self._traces, self._lines, self._dots, self._numbers)
            for artist in artists.values()
        ] + self._guesses.artists
        super().__init__("Drag area of each set-up at each yaw", figure, moving)

    def _prepare(self, axis, degrees, names, looks):
        """An axis without clutter: the yaw above, the names of the set-ups on its left."""
        axis.set(xlim=self._limits, ylim=(-len(names) + 0.5, 0.5))
        axis.set_yticks([-j for j in range(len(names))], names.values())
        axis.tick_params(axis="y", length=0)
        for label, name in zip(axis.get_yticklabels(), names):
            label.set_color(style.text_colour(looks[name]["color"]))
        axis.grid(False, axis="y")
        axis.spines["left"].set_visible(False)
        axis.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
        side = "from the right" if degrees > 0 else "from the left" if degrees else "from ahead"
        style.name_axes(axis, "", f"Yaw {degrees:.3g}°, air {side}".replace("-", "−"))

    def _add(self, axis, place, look):
        """The artists of one set-up at one yaw."""
        plain = {**look, "linestyle": "-"}
        (self._traces[place],) = axis.plot([], [], **{**style.BEFORE, "marker": "o", "fillstyle": "none"})
        (self._lines[place],) = axis.plot([], [], **style.bare(plain, marker="|", markersize=9))
        (self._dots[place],) = axis.plot([], [], **{**plain, "linestyle": "None"})
        with style.styled():
            self._numbers[place] = axis.annotate(
                "",
                (1, -place[0]),
                (10, 0),
                xycoords=("axes fraction", "data"),
                textcoords="offset points",
                va="center",
                color=style.text_colour(look["color"]),
                annotation_clip=False,
            )

    def update(self, result, before=None, predictions=()):
        for (j, i), dot in self._dots.items():
            area, low, high = (x[j, i] for x in (result.drag_area, result.low, result.high))
            here = np.isfinite(area)
            dot.set_data(*([area], [-j]) if here else ([], []))
            self._lines[j, i].set_data(*([low, high], [-j, -j]) if here else ([], []))
            text = f"{area:.3f} ({low:.3f} to {high:.3f})" if here else "not measured"
            self._numbers[j, i].set_text(text)
            there = before is not None and np.isfinite(before.drag_area[j, i])
            self._traces[j, i].set_data(*([before.drag_area[j, i]], [-j]) if there else ([], []))
        self._guesses.show([(self.guessed(guess, result), 0) for guess in predictions])

    def guessed(self, guess, result):
        """Where a prediction stands on the drag-area axis [m2]."""
        return guess.value


def _with_room(areas):
    """Limits that hold all intervals; room at each end, and at least a hundredth in all."""
    low, high = np.nanmin(areas.low), np.nanmax(areas.high)
    room = 0.08 * max(high - low, 0.01)
    return float(low - room), float(high + room)
