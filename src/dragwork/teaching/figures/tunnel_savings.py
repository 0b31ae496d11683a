"""Watts that a tunnel's set-ups save against the first one, over speed, with their ranges."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures import style
from dragwork.teaching.figures.dots import set_up_looks
from dragwork.teaching.figures.guesses import Guesses
from dragwork.teaching.figures.picture import Picture, still


class TunnelSavings(Picture):
    """A curve with its band a set-up, bars at the speed chosen, the measured speeds marked.

    Takes what the model of `panels.tunnel_savings` finds.

    Parameters
    ----------
    saved : record
        One of them; its curves stand still.
    """

    def __init__(self, saved):
        figure, axes = style.new_figure()
        self._short = {name: style.wrapped(name, style.BESIDE) for name in saved.watts}
        figure.subplots_adjust(right=style.room_for(self._short.values(), 1.12), top=0.87)
        speeds = units.to_kmh(saved.speeds)
        low = min(0.0, min(curve.min() for curve in saved.low_curve.values()))
        high = max(curve.max() for curve in saved.high_curve.values())
        axes.set(xlim=(speeds[0], speeds[-1]), ylim=(1.05 * low, 1.05 * high))
        style.name_axes(axes, "Speed on the road in still air, km/h", "Watts saved at the wheel")
        slowest, fastest = units.to_kmh(np.array(saved.measured))
        axes.axvspan(slowest, fastest, color=style.GREY, alpha=0.10, linewidth=0)
        with style.styled():
            axes.text(
                (slowest + fastest) / 2, 1.07 * high, "measured in the tunnel",
                ha="center", va="bottom", color=style.QUIET_INK,
            )  # fmt: skip
        looks = set_up_looks((saved.baseline, *saved.watts))
        least = max(0.14 * (high - low), style.height_of(axes, self._short.values()))
        ends = style.apart([curve[-1] for curve in saved.curve.values()], least)
        self.points, self.bars, self.names = {}, {}, {}
        for (name, curve), end in zip(saved.curve.items(), ends):
            look = looks[name]
            band = (saved.low_curve[name], saved.high_curve[name])
            axes.fill_between(speeds, *band, color=look["color"], alpha=0.15, linewidth=0)
            axes.plot(speeds, curve, **style.bare(look))
            (self.bars[name],) = axes.plot([], [], **style.bare(look, linestyle="-", marker="_", markersize=9))
            (self.points[name],) = axes.plot([], [], **{**look, "linestyle": "None"})
            self.names[name] = style.label_line(axes, "", look, speeds[-1], end)
        (self.line,) = axes.plot([], [], **{**style.BEFORE, "linestyle": "-", "linewidth": 1.2})
        (self.trace,) = axes.plot([], [], **style.BEFORE)
        self.guesses = Guesses(axes)
        self.ends = axes.get_ylim()
        moving = [
            self.trace, self.line, *self.bars.values(), *self.points.values(),
            *self.names.values(), *self.guesses.artists,
        ]  # fmt: skip
        super().__init__("Watts saved at the wheel by each set-up, against speed", figure, moving, still(axes, moving))

    def update(self, result, before=None, predictions=()):
        here = units.to_kmh(result.ground_speed)
        self.line.set_data([here, here], self.ends)
        there = [] if before is None else [units.to_kmh(before.ground_speed)] * 2
        self.trace.set_data(there, [] if before is None else self.ends)
        for name, watts in result.watts.items():
            self.points[name].set_data([here], [watts])
            self.bars[name].set_data([here, here], [result.low[name], result.high[name]])
            self.names[name].set_text(f"{self._short[name]}\n{watts:.1f} W")
        self.guesses.show([(units.to_kmh(guess.at["ground_speed"]), guess.value) for guess in predictions])
