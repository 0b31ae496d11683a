"""The road as one strip in minutes: a slow leg is a long one."""

from dataclasses import dataclass, fields

import numpy as np
from matplotlib.patches import Rectangle

from dragwork import units
from dragwork.teaching.figures import style
from dragwork.teaching.figures.guesses import Guesses
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.telling import saved_or_lost

_STRIP = (1.0, 2.0)  # lower and upper edge; the rest of the height holds words
_MOST_DRAWN = 120  # legs; more of them are drawn together, for they are narrower than a line
_LEGS_EDGED = 40  # more legs than these would be all edges
_LEGS_TOLD = 12  # more legs than these leave no room for words
_AXIS = 0.94  # of the width
_MARGIN = 0.012  # between words and the edge of a leg, or between the words of two legs
_FLAT = 0.005  # a gradient below this is drawn as flat

# Fill and hatch by gradient. The words on the strip say the same.
_EDGE = {"edgecolor": style.INK, "linewidth": 1.2, "clip_on": False}
_LOOKS = {
    "up": {"facecolor": "#d9d9d9", "hatch": "//"},
    "flat": {"facecolor": style.WHITE, "hatch": ""},
    "down": {"facecolor": "#f2f2f2", "hatch": "."},
}


@dataclass(frozen=True, eq=False)
class RoadInMinutes:
    """A ridden road, leg by leg.

    Parameters
    ----------
    distance : (n,) array [m]
    gradient : (n,) array
    time : (n,) array [s]
    saved : (n,) array [s], optional
        What a change saves on each leg.
    beyond_yaw : (n,) array of bool
        Where the drag area was not measured at the yaw that was met.
    power : (n,) array [W], optional
        At the crank, where it changes from leg to leg.
    """

    distance: np.ndarray
    gradient: np.ndarray
    time: np.ndarray
    saved: np.ndarray | None = None
    beyond_yaw: np.ndarray | None = None
    power: np.ndarray | None = None


def road_in_minutes(course, ridden, after=None):
    """The picture's data from a course and one ride, or two rides to compare.

    Parameters
    ----------
    course : Course
    ridden : Ride
        The strip shows its minutes.
    after : Ride, optional
        The same road after a change.

    Returns
    -------
    RoadInMinutes
    """
    saved = None if after is None else ridden.legs.time - after.legs.time
    return RoadInMinutes(
        course.column("distance"), course.column("gradient"), ridden.legs.time, saved,
        ridden.legs.beyond_yaw,
    )  # fmt: skip


def unmeasured(ridden):
    """For how long the drag area is not measured at the yaw that is met, in words; or nothing.

    Parameters
    ----------
    ridden : Ride

    Returns
    -------
    str
        A sentence with a blank in front.
    """
    minutes = units.to_minutes(ridden.time_beyond_yaw)
    if minutes < 0.5:
        return ""
    return (
        f" For {minutes:.0f} min of it (dashed) the wind comes from an angle at which the drag area "
        "was not measured."
    )


class RoadStrip(Picture):
    """One strip from start to finish, its length in minutes; takes a `RoadInMinutes`.

    Above each leg its length and slope, in it its minutes and, where given, its power, below it the
    seconds saved. A dashed line under a leg says that the yaw there lay beyond the measured angles.
    `before` is a dotted outline above the strip; a prediction is the time [s] at the finish.

    Parameters
    ----------
    legs : int
        How many legs the road has.
    most_time : float [s], optional
        End of the axis, for a panel in which times change; by default the time ridden.
    width : float [inch]
    """

    def __init__(self, legs, most_time=None, width=7.0):
        figure, axes = style.new_figure(width, 2.2)
        self._letter = style.LETTER / (width * _AXIS)  # as a share of the axis
        figure.subplots_adjust(left=0.03, right=0.03 + _AXIS, bottom=0.25, top=0.97)
        axes.set(ylim=(0.1, 3.0), yticks=[])
        axes.grid(False)
        axes.spines["left"].set_visible(False)
        style.name_axes(axes, "Minutes from the start, exactly as assumed", "")
        self._most_time = most_time
        self._axes = axes
        if most_time is not None:
            axes.set_xlim(0, units.to_minutes(most_time))
        low, high = _STRIP
        edge = _EDGE if legs <= _LEGS_EDGED else {**_EDGE, "linewidth": 0.2}
        self._legs = [
            axes.add_patch(Rectangle((0, low), 0, high - low, **edge))
            for _ in range(min(legs, _MOST_DRAWN))
        ]
        self._unmeasured = [
            axes.plot([], [], color=style.BLACK, linestyle=(0, (2, 1)), linewidth=3)[0]
            for _ in self._legs
        ]
        (self._trace,) = axes.plot([], [], **style.BEFORE)
        self._guesses = Guesses(axes)
        told = legs if legs <= _LEGS_TOLD else 0
        self._above = [self._text(high + 0.18, "bottom", style.QUIET_INK) for _ in range(told)]
        self._inside = [self._text((low + high) / 2, "center", style.INK) for _ in range(told)]
        self._below = [self._text(low - 0.18, "top", style.INK) for _ in range(told)]
        for text in self._inside:
            text.set_bbox({"facecolor": style.WHITE, "edgecolor": "none", "pad": 3.0, "alpha": 0.85})
        super().__init__(
            "The road as a strip in minutes",
            figure,
            [*self._legs, *self._unmeasured, self._trace, *self._above, *self._inside,
             *self._below, *self._guesses.artists],
        )  # fmt: skip

    def _text(self, y, upright, colour):
        with style.styled():
            return self._axes.text(
                0, y, "", ha="center", va=upright, color=colour, linespacing=1.15,
            )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        result, before = _as_drawn(result), before and _as_drawn(before)
        minutes = units.to_minutes(result.time)
        ends = np.cumsum(minutes)
        starts = ends - minutes
        if self._most_time is None and self._axes.get_xlim() != (0, ends[-1]):
            self._axes.set_xlim(0, ends[-1])
        beyond = (
            result.beyond_yaw if result.beyond_yaw is not None else np.zeros(len(minutes), bool)
        )
        for leg in self._legs[minutes.size :]:
            leg.set(width=0)
        for i, leg in enumerate(self._legs[: minutes.size]):
            leg.set(x=starts[i], width=minutes[i], **_LOOKS[_slope(result.gradient[i])])
            edge = [_STRIP[0] - 0.08] * 2
            self._unmeasured[i].set_data(*([starts[i], ends[i]], edge) if beyond[i] else ([], []))
        length = self._axes.get_xlim()[1]
        middles = (starts + ends) / 2
        legs = range(len(self._above))
        above, below = [_leg_in_words(result, i) for i in legs], [_saved_in_words(result, i) for i in legs]
        told = _with_room(middles / length, above, below, self._letter)
        for i, middle in enumerate(middles[: len(self._above)]):
            self._above[i].set(x=middle, text=above[i] if told[i] else "")
            self._inside[i].set(x=middle, text=_inside_in_words(result, i, minutes[i] / length, self._letter))
            self._below[i].set(x=middle, text=below[i] if told[i] else "")
        self._trace.set_data([], []) if before is None else self._trace.set_data(*_outline(before))
        self._guesses.show([(units.to_minutes(guess.value), sum(_STRIP) / 2) for guess in predictions])


def _as_drawn(result):
    """A road of many legs in as many stretches as can be seen, of like times."""
    if result.time.size <= _MOST_DRAWN:
        return result
    ends = np.cumsum(result.time)
    starts = np.searchsorted(ends, np.linspace(0, ends[-1], _MOST_DRAWN, endpoint=False), "right")
    starts = np.unique(starts)
    given = {field.name: getattr(result, field.name) for field in fields(RoadInMinutes)}
    added = {
        name: None if value is None else np.add.reduceat(np.asarray(value, float), starts)
        for name, value in given.items()
    }
    rise = np.add.reduceat(result.distance * result.gradient, starts)
    added["gradient"] = rise / added["distance"]
    added["beyond_yaw"] = None if added["beyond_yaw"] is None else added["beyond_yaw"] > 0
    if result.power is not None:
        added["power"] = np.add.reduceat(result.power * result.time, starts) / added["time"]
    return RoadInMinutes(**added)


def _width(letter, *words):
    """Width of the widest line, as a share of the axis, as a letter is."""
    return letter * max(len(line) for text in words for line in text.split("\n"))


def _with_room(middles, above, below, letter):
    """Which words have room beside those before them; the first always has."""
    told, end = [], -np.inf
    for middle, *words in zip(middles, above, below):
        half = _width(letter, *words) / 2
        told.append(middle - half >= end)
        end = middle + half + _MARGIN if told[-1] else end
    return told


def _slope(gradient):
    return "flat" if abs(gradient) < _FLAT else "up" if gradient > 0 else "down"


def _leg_in_words(result, i):
    slope = _slope(result.gradient[i])
    steep = "" if slope == "flat" else f"{units.to_percent(abs(result.gradient[i])):.2g} % "
    return f"{units.to_kilometres(result.distance[i]):.3g} km\n{steep}{slope}"


def _inside_in_words(result, i, width, letter):
    """Minutes, and watts below them, as far as the leg is wide enough for them."""
    minutes = f"{units.to_minutes(result.time[i]):.0f}"
    watts = "" if result.power is None else f"\n{result.power[i]:.0f} W"
    for words in (f"{minutes} min{watts}", f"{minutes}{watts}", minutes):
        if _width(letter, words) + _MARGIN <= width:
            return words
    return ""


def _saved_in_words(result, i):
    return "" if result.saved is None else saved_or_lost(result.saved[i]).replace(" s ", " s\n")


def _outline(result):
    """A line above the strip with a tooth at each end of a leg."""
    ends = np.concatenate([[0.0], np.cumsum(units.to_minutes(result.time))])
    low, high = _STRIP[1] + 0.02, _STRIP[1] + 0.1
    return np.repeat(ends, 3), np.tile([high, low, high], len(ends))
