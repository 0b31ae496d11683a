"""Two ways to spend less drag: fewer watts at the same speed, or more speed at the same watts."""

from dragwork import units
from dragwork.teaching.figures.over_speed import draw_trace
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    QUANTITY,
    SET_UP,
    bare,
    label_line,
    name_axes,
    new_figure,
    put,
)


class TwoWays(Picture):
    """Crank power over speed, before and after a cut. Takes a `panels.two_ways.Cut`, all SI."""

    def __init__(self, most_speed=60, most_power=480):
        figure, axes = new_figure(7.0, 4.6)
        figure.subplots_adjust(right=0.92)
        axes.set(xlim=(0, most_speed), ylim=(0, most_power))
        name_axes(axes, "Speed on the road, km/h", "Power at the crank, W")
        (self.trace,) = axes.plot([], [], **BEFORE)
        (self.before_curve,) = axes.plot([], [], **bare(SET_UP["A"]))
        (self.after_curve,) = axes.plot([], [], **bare(SET_UP["C"]))
        (self.faster,) = axes.plot([], [], **{**bare(QUANTITY["total"]), "linewidth": 4})
        (self.easier,) = axes.plot([], [], **{**bare(QUANTITY["slope"]), "linewidth": 4, "linestyle": "-"})
        (self.start,) = axes.plot([], [], **SET_UP["A"])
        self.names = [
            label_line(axes, "before", SET_UP["A"], side="left"),
            label_line(axes, "after", SET_UP["C"], side="right"),
        ]
        self.faster_name = label_line(axes, "", QUANTITY["total"], side="above left")
        self.easier_name = label_line(axes, "", QUANTITY["slope"], side="below right")
        super().__init__(
            "Power against speed before and after a cut of the drag area",
            figure,
            moving=[
                self.trace, self.before_curve, self.after_curve, self.easier, self.faster,
                self.start, *self.names, self.faster_name, self.easier_name,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        speeds = units.to_kmh(result.speeds)
        v, faster = units.to_kmh(result.speed_before), units.to_kmh(result.speed_after)
        power, easier = result.power, result.power - result.watts_saved
        self.before_curve.set_data(speeds, result.powers_before)
        self.after_curve.set_data(speeds, result.powers_after)
        self.start.set_data([v], [power])
        self.faster.set_data([v, faster], [power, power])
        self.easier.set_data([v, v], [power, easier])
        named_at = 440 if power < 330 else 180  # away from the words of the two ways
        for name, powers in zip(self.names, (result.powers_before, result.powers_after)):
            here = min(range(len(speeds)), key=lambda i: abs(powers[i] - named_at))
            name.xy = (speeds[here], powers[here])
        if v > 17:
            put(self.faster_name, v, power, "above left")
        else:  # no room at the left: below the other words
            put(self.faster_name, v, easier, "below right")
            self.faster_name.set_y(-22)
        self.faster_name.set_text(f"same watts: {faster - v:+.1f} km/h")
        self.easier_name.xy = (v, easier)
        self.easier_name.set_text(f"same speed: {-result.watts_saved:+.0f} W".replace("-", "−"))
        draw_trace(self.trace, before, "powers_after")
