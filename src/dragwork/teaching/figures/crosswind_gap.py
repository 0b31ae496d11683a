"""Two set-ups in a crosswind: drag area over yaw, and watts between them over the wind's angle."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    PREDICTION,
    QUANTITY,
    SET_UP,
    bare,
    label_line,
    name_axes,
    new_figure,
    put,
)

_LOOKS = (SET_UP["A"], SET_UP["C"])
_MEAN = {"color": GREY, "linestyle": "--", "linewidth": 1.4, "marker": "None"}


class CrosswindGap(Picture):
    """Takes a `panels.crosswind_gap.Gap`, all SI, of the two set-ups named here.

    Parameters
    ----------
    curves : dict of str to YawCurve
        The two set-ups as measured; the lower one of a claim comes second.
    watts : (low, high) [W]
        Ends of the lower axis.
    """

    def __init__(self, curves, watts=(-2, 30)):
        figure, (areas, gaps) = new_figure(7.0, 5.8, nrows=2)
        figure.subplots_adjust(left=0.1, right=0.96, top=0.92, bottom=0.1, hspace=0.5)
        self.rings, names = [], []
        for (name, curve), look, side in zip(curves.items(), _LOOKS, ("above left", "left")):
            angles, half = units.to_deg(curve.yaw), len(curve.yaw) // 2
            areas.plot(angles, curve.drag_area, **look)
            names.append(label_line(areas, name, look, angles[half], curve.drag_area[half], side))
            ring = bare(look, marker="o", markersize=15, fillstyle="none", linestyle="None", clip_on=False)
            self.rings.append(areas.plot([], [], **ring)[0])
        names[-1].set_y(-10)  # points: below its line, which falls
        every = np.concatenate([curve.drag_area for curve in curves.values()])
        room = 0.25 * np.ptp(every)
        self._ends = (every.min() - room, every.max() + room)
        self._last = angles[-1]
        areas.set(xlim=(0, 40), ylim=self._ends)
        name_axes(areas, "Yaw, degrees", "Drag area, m²")
        beyond = label_line(
            areas, "not measured beyond here", _MEAN, self._last, self._ends[0], "above right"
        )
        areas.plot([self._last] * 2, self._ends, **_MEAN)
        (self.line,) = areas.plot([], [], **{**BEFORE, "linestyle": "-", "linewidth": 1.2})
        self.name = label_line(areas, "", BEFORE, side="right")
        gaps.set(xlim=(0, 180), ylim=watts, xticks=range(0, 181, 30))
        gaps.axhline(0, color=GREY, linewidth=0.8)
        name_axes(gaps, "Where the wind comes from: 0° ahead, 180° behind",
                  f"Watts of air saved by {list(curves)[-1]}, at the wheel")
        (self.trace,) = gaps.plot([], [], **BEFORE)
        (self.mean,) = gaps.plot([], [], **_MEAN)
        (self.guess_line,) = gaps.plot([], [], **bare(QUANTITY["air"], linestyle=":"))
        (self.known,) = gaps.plot([], [], **bare(QUANTITY["air"]))
        (self.guesses,) = gaps.plot([], [], **PREDICTION)
        (self.point,) = gaps.plot([], [], **QUANTITY["air"])
        self.reading = label_line(gaps, "", QUANTITY["air"], side="above")
        self.mean_name = label_line(gaps, "", _MEAN, side="above left")
        super().__init__(
            "Drag area of two set-ups against yaw, and the watts between them against wind angle",
            figure,
            moving=[
                self.line, beyond, *self.rings, self.name, self.trace, self.mean, self.guess_line,
                self.known, self.guesses, self.point, self.reading, self.mean_name,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        angles, yaw = units.to_deg(result.angles), units.to_deg(result.yaw)
        here = min(yaw, 39.0)
        self.line.set_data([here, here], self._ends)
        for ring, area in zip(self.rings, result.drag_areas):
            ring.set_data([] if result.beyond else [yaw], [] if result.beyond else [area])
        self.name.xy = (here, self._ends[1])
        self.name.set_text(f"yaw {yaw:.0f}°")
        self.name.set_ha("right" if here > 30 else "left")
        self.name.set_x(-8 if here > 30 else 8)
        self.known.set_data(angles, np.where(result.beyond_at, np.nan, result.saved_at))
        self.guess_line.set_data(angles, result.saved_at)
        self.mean.set_data([0, 180], [result.mean_saved] * 2)
        angle = units.to_deg(result.wind_angle)
        far = angle > 120  # the mean is named at the other end
        put(self.mean_name, 0 if far else 180, result.mean_saved, f"above {'right' if far else 'left'}")
        self.mean_name.set_text(f"mean {result.mean_saved:.1f} W")
        self.point.set_data([angle], [result.saved])
        self.reading.xy = (min(max(angle, 9), 171), result.saved)
        self.reading.set_text(f"{result.saved:.1f} W")
        if before is None:
            self.trace.set_data([], [])
        else:
            self.trace.set_data(units.to_deg(before.angles), before.saved_at)
        self.guesses.set_data(
            [units.to_deg(guess.at["wind_angle"]) for guess in predictions],
            [guess.value for guess in predictions],
        )
