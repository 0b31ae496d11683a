"""One item, and what may be printed of it: watts over the speed of the test."""

from dragwork import units
from dragwork.teaching.figures.over_speed import draw_trace
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
_GUIDED = 85  # which point of the curve bears its name


class HonestClaim(Picture):
    """Watts that may be printed, over the speed of the test. Takes a `panels.honest_claim.Printed`."""

    def __init__(self, most=70):
        figure, axes = new_figure()
        axes.set(xlim=(25, 60), ylim=(-5, most), yticks=range(0, most + 1, 10))
        name_axes(axes, "Air speed of the test, km/h", "Watts printed, in the air")
        (self.plain,) = axes.plot([], [], **_GUIDE)
        (self.trace,) = axes.plot([], [], **BEFORE)
        (self.curve,) = axes.plot([], [], **bare(QUANTITY["air"]))
        (self.mine,) = axes.plot([], [], **{**QUANTITY["total"], "markersize": 10})
        (self.point,) = axes.plot([], [], **QUANTITY["air"])
        self.names = [
            label_line(axes, "still air, a usual helmet", _GUIDE, side="below right"),
            label_line(axes, "", QUANTITY["total"], side="below right"),
        ]
        self.reading = label_line(axes, "", QUANTITY["air"], side="above left")
        super().__init__(
            "Watts that may honestly be printed of one helmet, by the speed of the test",
            figure,
            moving=[
                self.plain, self.trace, self.curve, self.mine, self.point, *self.names, self.reading,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        speeds, speed = units.to_kmh(result.speeds), units.to_kmh(result.air_speed)
        self.plain.set_data(speeds, result.plain_curve)
        self.curve.set_data(speeds, result.printed_curve)
        self.point.set_data([speed], [result.printed])
        mine = units.to_kmh(result.own_speed)
        self.mine.set_data([mine], [result.own])
        self.names[0].xy = (speeds[_GUIDED], result.plain_curve[_GUIDED])
        self.names[1].xy = (mine, result.own)
        self.names[1].set_text(f"Tobin: {result.own:.1f} W")
        self.reading.xy = (speed, result.printed)
        self.reading.set_text(f"{result.printed:.1f} W")
        draw_trace(self.trace, before, "printed_curve")
