"""Air power against speed: the cubic, with the rider's own point on it."""

from dragwork import units
from dragwork.teaching.figures.over_speed import draw_trace, mark_guesses
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    PREDICTION,
    QUANTITY,
    bare,
    label_line,
    name_axes,
    new_figure,
    read_off,
)

_MOST = 1000  # W


class WattsCurve(Picture):
    """Air power at the wheel over ground speed, one curve; the state is a point on it.

    Takes a result with `.speeds` and `.powers` (the curve), `.ground_speed` and `.air_power`
    (the point), all SI.
    """

    def __init__(self):
        figure, axes = new_figure()
        axes.set(xlim=(0, 60), ylim=(0, _MOST))
        name_axes(axes, "Speed on the road, km/h", "Air power at the wheel, W")
        (self.trace,) = axes.plot([], [], **BEFORE)
        (self.curve,) = axes.plot([], [], **bare(QUANTITY["air"]))
        (self.drop,) = axes.plot([], [], **bare(QUANTITY["air"], linewidth=1, linestyle=":"))
        (self.guesses,) = axes.plot([], [], **PREDICTION)
        (self.point,) = axes.plot([], [], **QUANTITY["air"])
        self.reading = label_line(axes, "", QUANTITY["air"], side="above left")
        super().__init__(
            "Air power against speed",
            figure,
            moving=[self.trace, self.drop, self.curve, self.guesses, self.point, self.reading],
        )

    def update(self, result, before=None, predictions=()):
        speed, power = units.to_kmh(result.ground_speed), result.air_power
        self.curve.set_data(units.to_kmh(result.speeds), result.powers)
        self.point.set_data([speed], [power])
        self.drop.set_data([0, speed, speed], [power, power, 0])
        read_off(self.reading, speed, power, f"{power:.0f} W", "above left", _MOST)
        draw_trace(self.trace, before, "powers")
        mark_guesses(self.guesses, predictions)
