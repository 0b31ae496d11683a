"""The same cut of the drag area, three ways, over speed: watts, seconds an hour, seconds a road."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures.over_speed import draw_trace
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    PREDICTION,
    QUANTITY,
    bare,
    label_line,
    name_axes,
    new_figure,
    put,
    read_off,
)

_GUIDE = {"color": GREY, "linestyle": "--", "linewidth": 1.4, "marker": "None"}
_NAMES = ("watts", "per_hour", "per_distance")


class SavingsBySpeed(Picture):
    """Three axes over steady speed. Takes a `panels.savings_by_speed.Savings`, all SI.

    A prediction is the seconds saved over 10 km, marked while slope and wind are those it is for.
    """

    def __init__(self, tops=(60, 80, 60)):
        self._tops = tops
        figure, rows = new_figure(7.0, 5.2, nrows=3, sharex=True)
        figure.subplots_adjust(hspace=0.55, top=0.93, bottom=0.11)
        titles = (
            "Watts saved at the crank, at the same speed",
            "Seconds saved in each hour, at the same power",
            "Seconds saved over 10 km, at the same power",
        )
        for axes, title, top in zip(rows, titles, tops):
            axes.set(xlim=(0, 60), ylim=(-top / 4, top), yticks=np.arange(0, top + 1, top / 2))
            axes.axhline(0, color=GREY, linewidth=0.8)
            name_axes(axes, "", title)
        name_axes(rows[2], "Steady speed of the rider, km/h", titles[2])
        look = QUANTITY["air"]
        self.curves = [axes.plot([], [], **bare(look))[0] for axes in rows]
        self.traces = [axes.plot([], [], **BEFORE)[0] for axes in rows]
        self.points = [axes.plot([], [], **look)[0] for axes in rows]
        self.readings = [label_line(axes, "", look, side="above left") for axes in rows]
        (self.third,) = rows[1].plot([], [], **_GUIDE)
        self.third_names = [  # above the line in still air, where the curve stays below it
            label_line(rows[1], "a third of the cut", _GUIDE, side=side)
            for side in ("above right", "below right")
        ]
        (self.quarter,) = rows[2].plot([], [], **_GUIDE)
        self.quarter_name = label_line(rows[2], "air is a quarter of the work", _GUIDE, side="right")
        (self.guesses,) = rows[2].plot([], [], **PREDICTION)
        super().__init__(
            "Watts, seconds an hour and seconds over 10 km saved by the same cut, against speed",
            figure,
            moving=[
                *self.traces, *self.curves, self.third, *self.third_names, self.quarter,
                self.quarter_name, *self.points, *self.readings, self.guesses,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        speeds, speed = units.to_kmh(result.speeds), units.to_kmh(result.speed)
        for name, curve, trace, point, reading, top in zip(
            _NAMES, self.curves, self.traces, self.points, self.readings, self._tops
        ):
            here = getattr(result, name)
            curve.set_data(speeds, getattr(result, f"{name}_curve"))
            point.set_data([speed], [here])
            values = getattr(result, f"{name}_curve")
            said = f"{here:.1f} W" if name == "watts" else f"{here:.0f} s"
            falling = speed < 54 and np.interp(speed + 2, speeds, values) < here
            bent = name == "per_hour" and here > 20  # rises, but ever less: room below it
            side = "above right" if falling else "below right" if bent else "above left"
            read_off(reading, speed, here, said.replace("-", "−"), side, top)
            draw_trace(trace, before, f"{name}_curve")
        third = units.hours(1) * result.drag_area_cut / 3
        self.third.set_data([0, 60], [third, third])
        still_air = result.wind_speed == 0  # in wind the quarter is not where the peak is
        for name, shown in zip(self.third_names, (still_air, not still_air)):
            name.xy = (1, third)
            name.set_visible(shown)
        peak = units.to_kmh(result.peak_speed)
        self.quarter.set_data([peak, peak], [0, 60])
        put(self.quarter_name, peak, 54, "right" if peak < 30 else "left")
        self.quarter.set_visible(still_air)
        self.quarter_name.set_visible(still_air)
        here = {"gradient": result.gradient, "wind_speed": result.wind_speed}
        fit = [g for g in predictions if all(g.at[name] == value for name, value in here.items())]
        at = np.interp([g.at["power"] for g in fit], result.powers, speeds)
        self.guesses.set_data(at, [g.value for g in fit])
