"""The road as one strip in minutes: a slow leg is a long one."""

from dataclasses import dataclass

import numpy as np
from matplotlib.patches import Rectangle

from dragwork import units
from dragwork.teaching.figures import style
from dragwork.teaching.figures.curves import ranges
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
_EDGE = {"edgecolor": style.INK, "clip_on": False}
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
    beyond_yaw : (n,) array of bool
        Where the drag area was not measured at the yaw that was met.
    saved : (n,) array [s], optional
        What a change saves on each leg.
    power : (n,) array [W], optional
        At the crank, where it changes from leg to leg.
    """

    distance: np.ndarray
    gradient: np.ndarray
    time: np.ndarray
    beyond_yaw: np.ndarray
    saved: np.ndarray | None = None
    power: np.ndarray | None = None


def road_in_minutes(course, ridden, **more):
    """The picture's data from a course and a ride.

    Parameters
    ----------
    course : Course
    ridden : Ride
        The strip shows its minutes.
    **more
        What is saved on each leg, and the power; another `beyond_yaw` than that of the ride.

    Returns
    -------
    RoadInMinutes
    """
    legs = {"time": ridden.legs.time, "beyond_yaw": ridden.legs.beyond_yaw, **more}
    return RoadInMinutes(course.column("distance"), course.column("gradient"), **legs)


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
    """One strip from start to finish, its length in minutes.

    Takes a `RoadInMinutes`, or a record that has it as `.strip`.

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
        self._axes, self._end = axes, most_time and units.to_minutes(most_time)
        low, high = _STRIP
        edge = {**_EDGE, "linewidth": 1.2 if legs <= _LEGS_EDGED else 0.2}
        boxes = (Rectangle((0, low), 0, high - low, **edge) for _ in range(min(legs, _MOST_DRAWN)))
        self._legs = [axes.add_patch(box) for box in boxes]
        (self._unmeasured,) = axes.plot([], [], color=style.BLACK, linestyle=(0, (2, 1)), linewidth=3)
        (self._trace,) = axes.plot([], [], **style.BEFORE)
        self._guesses = Guesses(axes)
        heights = {"bottom": high + 0.18, "center": (low + high) / 2, "top": low - 0.18}
        look = {"ha": "center", "color": style.INK, "linespacing": 1.15}
        with style.styled():
            self._words = [  # above, in and below each leg
                [axes.text(0, y, "", va=va, **look) for va, y in heights.items()]
                for _ in range(legs if legs <= _LEGS_TOLD else 0)
            ]
        for above, inside, _ in self._words:
            above.set_color(style.QUIET_INK)
            inside.set_bbox({"facecolor": style.WHITE, "edgecolor": "none", "pad": 3.0, "alpha": 0.85})
        moving = [*self._legs, self._unmeasured, self._trace, *sum(self._words, []), *self._guesses.artists]
        super().__init__("The road as a strip in minutes", figure, moving)

    def update(self, result, before=None, predictions=()):
        result, before = (each and _as_drawn(getattr(each, "strip", each)) for each in (result, before))
        minutes = units.to_minutes(result.time)
        ends = np.cumsum(minutes)
        starts = ends - minutes
        end = self._end or ends[-1]
        if self._axes.get_xlim() != (0, end):
            self._axes.set_xlim(0, end)
        for leg in self._legs[minutes.size :]:
            leg.set(width=0)
        for leg, start, long, gradient in zip(self._legs, starts, minutes, result.gradient):
            leg.set(x=start, width=long, **_LOOKS[_slope(gradient)])
        edges = ranges(starts[result.beyond_yaw], ends[result.beyond_yaw])
        self._unmeasured.set_data(edges, np.full_like(edges, _STRIP[0] - 0.08))
        self._write(result, (starts + ends) / 2, end)
        self._trace.set_data(*(_outline(before) if before else ([], [])))
        self._guesses.show([(units.to_minutes(guess.value), sum(_STRIP) / 2) for guess in predictions])

    def _write(self, result, middles, length):
        """The words of each leg; those around it as far as they have room beside the ones before."""
        end = -np.inf
        for i, (texts, middle) in enumerate(zip(self._words, middles)):
            saved = "" if result.saved is None else saved_or_lost(result.saved[i]).replace(" s ", " s\n")
            words = [_leg_in_words(result, i), self._inside_in_words(result, i, length), saved]
            half = self._letter * style.widest(words[::2]) * length / 2
            if middle - half >= end:
                end = middle + half + _MARGIN * length
            else:
                words[::2] = "", ""
            for text, said in zip(texts, words):
                text.set(x=middle, text=said)

    def _inside_in_words(self, result, i, length):
        """Minutes, and watts below them, as far as the leg is wide enough for them."""
        time = units.to_minutes(result.time[i])
        watts = "" if result.power is None else f"\n{result.power[i]:.0f} W"
        wanted = f"{time:.0f} min{watts}", f"{time:.0f}{watts}", f"{time:.0f}"
        room = (time / length - _MARGIN) / self._letter
        return next((words for words in wanted if style.widest([words]) <= room), "")


def _as_drawn(result):
    """A road of many legs in as many stretches as can be seen, of like times; words have no room there."""
    if result.time.size <= _MOST_DRAWN:
        return result
    ends = np.cumsum(result.time)
    starts = np.searchsorted(ends, np.linspace(0, ends[-1], _MOST_DRAWN, endpoint=False), "right")
    parts = result.distance, result.distance * result.gradient, result.time
    distance, rise, time = (np.add.reduceat(part, np.unique(starts)) for part in parts)
    beyond = np.logical_or.reduceat(result.beyond_yaw, np.unique(starts))
    return RoadInMinutes(distance, rise / distance, time, beyond)


def _slope(gradient):
    return "flat" if abs(gradient) < _FLAT else "up" if gradient > 0 else "down"


def _leg_in_words(result, i):
    slope = _slope(result.gradient[i])
    steep = "" if slope == "flat" else f"{units.to_percent(abs(result.gradient[i])):.2g} % "
    return f"{units.to_kilometres(result.distance[i]):.3g} km\n{steep}{slope}"


def _outline(result):
    """A line above the strip with a tooth at each end of a leg."""
    ends = np.concatenate([[0.0], np.cumsum(units.to_minutes(result.time))])
    low, high = _STRIP[1] + 0.02, _STRIP[1] + 0.1
    return np.repeat(ends, 3), np.tile([high, low, high], len(ends))
