"""A curve for each set-up of a sheet, with its range: drag area over yaw, and watts saved over speed."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures import style
from dragwork.teaching.figures.guesses import Guesses
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.rows import set_up_looks


class _SetUpCurves(Picture):
    """Curves that stand still; on each a mark where the knob is, and the number there below its name.

    Parameters
    ----------
    title : str
    axes : Axes
        With the curves and their ranges drawn.
    ends : dict of str to (x, y)
        Where the name of each set-up would be.
    looks, marks : dict of str to dict
        Of each set-up, and of its mark.
    bars : sequence of Artist
        What else moves.
    least : float
        Between two names.
    beside : float [inch]
        Free at the right of the axes, at the least.
    """

    def __init__(self, title, axes, ends, looks, marks, bars=(), least=0.0, beside=1.19):
        self._short = {name: style.wrapped(name, style.BESIDE) for name in ends}
        axes.figure.subplots_adjust(right=style.room_for(self._short.values(), beside))
        x, heights = zip(*ends.values())
        y = style.apart(heights, max(least, style.height_of(axes, self._short.values())))
        still = [artist for artist in (*axes.lines, *axes.collections) if artist not in bars]
        (self._line,) = axes.plot([], [], **{**style.BEFORE, "linestyle": "-", "linewidth": 1.2})
        (self._trace,) = axes.plot([], [], **style.BEFORE)
        self._marks = {name: axes.plot([], [], **look)[0] for name, look in marks.items()}
        self._names = {name: style.label_line(axes, "", looks[name], *at) for name, *at in zip(ends, x, y)}
        self._reach, self.guesses = axes.get_ylim(), Guesses(axes)
        moving = [
            self._trace, self._line, *bars, *self._marks.values(), *self._names.values(), *self.guesses.artists
        ]  # fmt: skip
        super().__init__(title, axes.figure, moving, still)

    def _show(self, here, there, marked, words):
        """The line where the knob is and was, each mark at its number, words below each name."""
        self._line.set_data([here, here], self._reach)
        self._trace.set_data(*([], []) if there is None else ([there, there], self._reach))
        for name, number in marked.items():
            self._marks[name].set_data([here], [number])
            self._names[name].set_text(f"{self._short[name]}\n{words[name]}")


class YawCurves(_SetUpCurves):
    """Lines over yaw, and a ring on each at the yaw looked at.

    Takes a result with `.yaw` [rad], and by set-up `.drag_area` [m2] and `.force` [N].

    Parameters
    ----------
    areas : rows.DragAreas
        Of the sheet: all set-ups at all measured angles.
    """

    def __init__(self, areas):
        _, axes = style.new_figure()
        degrees, looks = units.to_deg(areas.yaw), set_up_looks(areas.set_ups)
        style.name_axes(axes, "Yaw, degrees; positive when the air comes from the right", "Drag area, m²")
        axes.set(xlim=(degrees[0] - 1, degrees[-1] + 1))
        axes.set_ylim(np.nanmin(areas.low) - 0.015, np.nanmax(areas.high) + 0.015)
        axes.set_xticks(np.arange(np.ceil(degrees[0] / 5) * 5, degrees[-1] + 1, 5))
        for look, middle, low, high in zip(looks.values(), areas.drag_area, areas.low, areas.high):
            axes.plot(degrees, middle, **look)
            axes.errorbar(degrees, middle, [middle - low, high - middle], fmt="none", ecolor=look["color"], capsize=4)
        ends = {name: (degrees[-1] + 0.6, area) for name, area in zip(looks, areas.drag_area[:, -1])}
        ring = {"marker": "o", "markersize": 15, "fillstyle": "none", "linestyle": "None"}
        rings = {name: style.bare(look, **ring) for name, look in looks.items()}
        super().__init__("Drag area of each set-up against yaw", axes, ends, looks, rings)

    def update(self, result, before=None, predictions=()):
        newtons = {name: f"{force:.1f} N" for name, force in result.force.items()}
        self._show(units.to_deg(result.yaw), before and units.to_deg(before.yaw), result.drag_area, newtons)


class TunnelSavings(_SetUpCurves):
    """Watts saved over speed, with bands; bars at the speed chosen, the measured speeds marked.

    Parameters
    ----------
    saved : record
        What the model of `panels.tunnel` finds, one of them; its curves stand still.
    """

    def __init__(self, saved):
        figure, axes = style.new_figure()
        figure.subplots_adjust(top=0.87)
        speeds, along = units.to_kmh(saved.along.ground_speed), saved.along
        low, high = min(0.0, min(map(np.min, along.low.values()))), max(map(np.max, along.high.values()))
        axes.set(xlim=(speeds[0], speeds[-1]), ylim=(1.05 * low, 1.05 * high))
        style.name_axes(axes, "Speed on the road in still air, km/h", "Watts saved at the wheel")
        slowest, fastest = units.to_kmh(np.array(saved.measured))
        axes.axvspan(slowest, fastest, color=style.GREY, alpha=0.10, linewidth=0)
        with style.styled():
            axes.text(
                (slowest + fastest) / 2, 1.07 * high, "measured in the tunnel",
                ha="center", va="bottom", color=style.QUIET_INK,
            )  # fmt: skip
        _, *looks = set_up_looks((saved.baseline, *saved.watts)).items()
        looks, self._bars = dict(looks), {}
        for name, look in looks.items():
            axes.fill_between(speeds, along.low[name], along.high[name], color=look["color"], alpha=0.15, linewidth=0)
            axes.plot(speeds, along.watts[name], **style.bare(look))
            (self._bars[name],) = axes.plot([], [], **style.bare(look, linestyle="-", marker="_", markersize=9))
        super().__init__(
            "Watts saved at the wheel by each set-up, against speed", axes,
            {name: (speeds[-1], watts[-1]) for name, watts in along.watts.items()}, looks,
            {name: {**look, "linestyle": "None"} for name, look in looks.items()},
            self._bars.values(), 0.14 * (high - low), 1.12,
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        here, there = units.to_kmh(result.ground_speed), before and units.to_kmh(before.ground_speed)
        self._show(here, there, result.watts, {name: f"{watts:.1f} W" for name, watts in result.watts.items()})
        for name, bar in self._bars.items():
            bar.set_data([here, here], [result.low[name], result.high[name]])
        self.guesses.show([(units.to_kmh(guess.at["ground_speed"]), guess.value) for guess in predictions])
