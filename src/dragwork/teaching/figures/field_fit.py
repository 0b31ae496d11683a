"""Wheel force over dynamic pressure: laps, pairs, the line through the pairs and its band."""

from dragwork.teaching.figures.legs import LOOKS, WORDS
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import BEFORE, GREY, bare, name_axes, new_figure, styled

_BAND = {"color": GREY, "linestyle": ":", "linewidth": 1.8, "marker": "None"}


class FieldPicture(Picture):
    """A regression as a picture. Takes a `panels.field_fit.Fitted`.

    The slope of a line is a drag area; where it starts, at no air, stands the rolling resistance.
    """

    def __init__(self, most_pressure, most_force):
        figure, axes = new_figure(7.0, 4.4)
        axes.set(xlim=(0, most_pressure), ylim=(0, most_force))
        name_axes(axes, "Dynamic pressure of the air along the road, Pa", "Wheel force of air and tyres, N")
        (self.trace,) = axes.plot([], [], **BEFORE)
        self.lines = {leg: axes.plot([], [], **bare(look))[0] for leg, look in LOOKS.items()}
        self.lines["out"].set_linewidth(1.3)
        self.lines["back"].set_linewidth(1.3)
        (self.low,) = axes.plot([], [], **_BAND)
        (self.high,) = axes.plot([], [], **_BAND, label="95 % band for one more pair")
        self.marks = {}
        for leg, look in LOOKS.items():
            bare_mark = {**look, "linestyle": "None", "label": WORDS[leg]}
            if leg != "pair":
                bare_mark["fillstyle"] = "none"
            (self.marks[leg],) = axes.plot([], [], **bare_mark)
        with styled():
            axes.legend(loc="upper left", frameon=False)
        super().__init__(
            "Wheel force over dynamic pressure, with the line through the averaged pairs",
            figure,
            moving=[
                self.trace, self.low, self.high, *self.lines.values(), *self.marks.values(),
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        for leg, mark in self.marks.items():
            mark.set_data(result.pressure[leg], result.force[leg])
            self.lines[leg].set_data(result.grid, result.line[leg])
        self.low.set_data(result.grid, result.low)
        self.high.set_data(result.grid, result.high)
        there = ([], []) if before is None else (before.grid, before.line["pair"])
        self.trace.set_data(*there)
