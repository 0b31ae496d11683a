"""Apparent drag area over speed: out alone, back alone, and both averaged, beside the truth."""

from dragwork import units
from dragwork.teaching.figures.legs import LOOKS, WORDS
from dragwork.teaching.figures.over_speed import mark_guesses
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    PREDICTION,
    bare,
    label_line,
    name_axes,
    new_figure,
    put,
    styled,
)

_TRUTH = {"color": GREY, "linestyle": "-", "linewidth": 5.0, "marker": "None"}
_APART = 0.02  # m2; marks nearer than this to each other share one number


class HiddenWind(Picture):
    """Drag area that each way of testing would give. Takes a `panels.hidden_wind.TestedTwice`."""

    def __init__(self, truth, limits=(0.15, 0.65)):
        figure, axes = new_figure()
        self._limits = limits
        axes.set(xlim=(15, 60), ylim=limits)
        name_axes(axes, "Speed on the road, km/h", "Apparent drag area, m²")
        axes.plot([15, 60], [truth, truth], **_TRUTH, alpha=0.35, label="the truth")
        self.traces = {leg: axes.plot([], [], **BEFORE)[0] for leg in LOOKS}
        self.lines = {leg: axes.plot([], [], **bare(look))[0] for leg, look in LOOKS.items()}
        self.marks = {leg: axes.plot([], [], **look)[0] for leg, look in LOOKS.items()}
        (self.guesses,) = axes.plot([], [], **PREDICTION)
        self.numbers = {leg: label_line(axes, "", look) for leg, look in LOOKS.items()}
        for leg, mark in self.marks.items():
            mark.set_label(WORDS[leg])
        with styled():
            axes.legend(loc="upper right", frameon=False, ncols=2, handlelength=2.6)
        super().__init__(
            "Apparent drag area over speed: out alone, back alone, both averaged, and the truth",
            figure,
            moving=[
                *self.traces.values(), *self.lines.values(), *self.marks.values(), self.guesses,
                *self.numbers.values(),
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        speeds, here = units.to_kmh(result.speeds), units.to_kmh(result.ground_speed)
        both = result.apparent["pair"]
        for leg in LOOKS:
            self.lines[leg].set_data(speeds, result.curves[leg])
            area = result.apparent[leg]
            self.marks[leg].set_data([here], [area])
            alone = leg == "pair" or abs(area - both) > _APART
            inside = self._limits[0] < area < self._limits[1]
            self.numbers[leg].set_text(f"{area:.3f}" if alone and inside else "")
            upper = "above" if area > both else "below"
            put(self.numbers[leg], here, area, f"{upper} {'left' if here > 52 else 'right'}")
            there = ([], []) if before is None else (speeds, before.curves[leg])
            self.traces[leg].set_data(*there)
        mark_guesses(self.guesses, predictions)
