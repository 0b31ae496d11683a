"""Seconds saved by less drag area and by less mass, over the gradient: where they cross."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    QUANTITY,
    bare,
    label_line,
    name_axes,
    new_figure,
)

_GUIDE = {"color": GREY, "linestyle": "--", "linewidth": 1.4, "marker": "None"}
_NAMED = 30  # which point of the curve bears its name


class DragOrMass(Picture):
    """Takes a `panels.drag_or_mass.Choice`."""

    def __init__(self, most_seconds=100):
        figure, axes = new_figure()
        axes.set(xlim=(0, 10), ylim=(0, most_seconds))
        name_axes(axes, "Gradient, %", "Seconds saved over 10 km, at the same power")
        self.traces = [axes.plot([], [], **BEFORE)[0] for _ in range(2)]
        (self.drag,) = axes.plot([], [], **bare(QUANTITY["air"]))
        (self.mass,) = axes.plot([], [], **bare(QUANTITY["slope"]))
        (self.balance,) = axes.plot([], [], **_GUIDE)
        self.names = [
            label_line(axes, "less drag area", QUANTITY["air"], side="above"),
            label_line(axes, "less mass", QUANTITY["slope"], side="above left"),
            label_line(axes, "", _GUIDE, side="right"),
        ]
        self._most = most_seconds
        super().__init__(
            "Seconds saved over 10 km by less drag area and by less mass, against the gradient",
            figure,
            moving=[*self.traces, self.drag, self.mass, self.balance, *self.names],
        )

    def update(self, result, before=None, predictions=()):
        gradients = units.to_percent(result.gradients)
        self.drag.set_data(gradients, result.by_drag)
        self.mass.set_data(gradients, result.by_mass)
        self.names[0].xy = (gradients[_NAMED], result.by_drag[_NAMED])
        inside = np.flatnonzero(result.by_mass < 0.9 * self._most)[-1]
        inside = min(inside, _NAMED + 12)
        self.names[1].xy = (gradients[inside], result.by_mass[inside])
        found = result.balance is not None
        at = units.to_percent(result.balance) if found else 0.0
        self.balance.set_data([at, at] if found else [], [0, self._most] if found else [])
        self.names[2].xy = (at, self._most * 0.82)
        self.names[2].set_text(f"{at:.1f} %" if found else "")
        for trace, name in zip(self.traces, ("by_drag", "by_mass")):
            trace.set_data(*((gradients, getattr(before, name)) if before else ([], [])))
