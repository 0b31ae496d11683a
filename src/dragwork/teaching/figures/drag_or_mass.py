"""Seconds saved by less drag area and by less mass, over the gradient: where they cross."""

from dragwork import units
from dragwork.teaching.figures.ends import EndNames
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


class DragOrMass(Picture):
    """Takes a `panels.drag_or_mass.Choice`."""

    def __init__(self, most_seconds=100):
        figure, axes = new_figure()
        figure.subplots_adjust(right=0.8)
        axes.set(xlim=(0, 10), ylim=(0, most_seconds))
        name_axes(axes, "Gradient, %", "Seconds saved over 10 km, at the same power")
        self.traces = [axes.plot([], [], **BEFORE)[0] for _ in range(2)]
        (self.drag,) = axes.plot([], [], **bare(QUANTITY["air"]))
        (self.mass,) = axes.plot([], [], **bare(QUANTITY["slope"]))
        (self.balance,) = axes.plot([], [], **_GUIDE)
        looks = {"less drag area": QUANTITY["air"], "less mass": QUANTITY["slope"]}
        self.names = EndNames(axes, looks)
        self.reading = label_line(axes, "", _GUIDE, side="right")
        self._most = most_seconds
        super().__init__(
            "Seconds saved over 10 km by less drag area and by less mass, against the gradient",
            figure,
            moving=[
                *self.traces, self.drag, self.mass, self.balance, *self.names.artists, self.reading,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        gradients = units.to_percent(result.gradients)
        self.drag.set_data(gradients, result.by_drag)
        self.mass.set_data(gradients, result.by_mass)
        self.names.follow(gradients, (result.by_drag, result.by_mass))
        found = result.balance is not None
        at = units.to_percent(result.balance) if found else 0.0
        self.balance.set_data([at, at] if found else [], [0, self._most] if found else [])
        self.reading.xy = (at, self._most * 0.82)
        self.reading.set_text(f"even at {at:.1f} %" if found else "")
        for trace, name in zip(self.traces, ("by_drag", "by_mass")):
            trace.set_data(*((gradients, getattr(before, name)) if before else ([], [])))
