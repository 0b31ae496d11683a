"""Drag area against yaw: one line a set-up, with the interval at each measured angle."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures import style
from dragwork.teaching.figures.dots import set_up_looks
from dragwork.teaching.figures.picture import Picture, still


class YawCurves(Picture):
    """Lines over yaw, and a ring on each at the yaw looked at.

    Takes a result with `.yaw` [rad], and by set-up `.drag_area` [m2] and `.force` [N], which
    stands beside the name; the lines stand still.

    Parameters
    ----------
    areas : dots.DragAreas
        Of the sheet: all set-ups at all measured angles.
    """

    def __init__(self, areas):
        figure, axes = style.new_figure()
        self._short = {name: style.wrapped(name, style.BESIDE) for name in areas.set_ups}
        figure.subplots_adjust(right=style.room_for(self._short.values(), 1.19))
        degrees = units.to_deg(areas.yaw)
        style.name_axes(axes, "Yaw, degrees; positive when the air comes from the right", "Drag area, m²")
        axes.set(xlim=(degrees[0] - 1, degrees[-1] + 1))
        axes.set_ylim(np.nanmin(areas.low) - 0.015, np.nanmax(areas.high) + 0.015)
        axes.set_xticks(np.arange(np.ceil(degrees[0] / 5) * 5, degrees[-1] + 1, 5))
        self.rings, self.names = {}, {}
        ends = style.apart(areas.drag_area[:, -1], style.height_of(axes, self._short.values()))
        for row, (name, look) in enumerate(set_up_looks(areas.set_ups).items()):
            below, above = areas.drag_area - areas.low, areas.high - areas.drag_area
            axes.plot(degrees, areas.drag_area[row], **look)
            axes.errorbar(
                degrees, areas.drag_area[row], [below[row], above[row]],
                fmt="none", ecolor=look["color"], capsize=4,
            )  # fmt: skip
            end = (degrees[-1] + 0.6, ends[row])
            self.names[name] = style.label_line(axes, self._short[name], look, *end)
            ring = style.bare(look, marker="o", markersize=15, fillstyle="none", linestyle="None")
            (self.rings[name],) = axes.plot([], [], **ring)
        (self.line,) = axes.plot([], [], **{**style.BEFORE, "linestyle": "-", "linewidth": 1.2})
        (self.trace,) = axes.plot([], [], **style.BEFORE)
        moving = [self.trace, self.line, *self.rings.values(), *self.names.values()]
        super().__init__("Drag area of each set-up against yaw", figure, moving, still(axes, moving))
        self.bottom, self.top = axes.get_ylim()

    def update(self, result, before=None, predictions=()):
        here = units.to_deg(result.yaw)
        self.line.set_data([here, here], [self.bottom, self.top])
        for name, ring in self.rings.items():
            ring.set_data([here], [result.drag_area[name]])
            self.names[name].set_text(f"{self._short[name]}\n{result.force[name]:.1f} N")
        there = [] if before is None else [units.to_deg(before.yaw)] * 2
        self.trace.set_data(there, [] if before is None else [self.bottom, self.top])
