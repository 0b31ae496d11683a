"""A map of a position: drag area won against power lost holding it, with the line of no gain."""

from dragwork import units
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    PREDICTION,
    QUANTITY,
    QUIET_INK,
    TEXT_SIZE,
    bare,
    label_line,
    name_axes,
    new_figure,
    styled,
)

_MOST_LOST, _MOST_CUT = 15, 20  # percent


class PositionMap(Picture):
    """Takes a `panels.position_map.Position`; marks the rider's point and the learner's guesses."""

    def __init__(self):
        figure, axes = new_figure(7.0, 4.4)
        axes.set(xlim=(0, _MOST_LOST), ylim=(0, _MOST_CUT), yticks=range(0, _MOST_CUT + 1, 5))
        name_axes(axes, "Power lost holding the position, %", "Drag area cut, %")
        (self.trace,) = axes.plot([], [], **BEFORE)
        (self.line,) = axes.plot([], [], **bare(QUANTITY["total"]))
        (self.across,) = axes.plot([], [], color=GREY, linewidth=1.2, linestyle="--")
        (self.guesses,) = axes.plot([], [], **PREDICTION)
        (self.point,) = axes.plot([], [], **{**QUANTITY["air"], "markersize": 10})
        self.point.set_clip_on(False)
        with styled():
            self.sides = [
                axes.text(x, y, text, color=QUIET_INK, fontsize=TEXT_SIZE)
                for x, y, text in ((0.6, 18.4, "faster"), (12.8, 0.8, "slower"))
            ]
        self.name = label_line(axes, "no gain", QUANTITY["total"], side="above left")
        self.reading = label_line(axes, "", QUANTITY["air"], side="above right")
        super().__init__(
            "Drag area cut against power lost: above the line the position makes Tobin faster",
            figure,
            moving=[
                self.trace, self.line, self.across, self.guesses, self.point, self.name,
                self.reading, *self.sides,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        lost, cuts = units.to_percent(result.worth), units.to_percent(result.cuts)
        self.line.set_data(lost, cuts)
        x, y = units.to_percent(result.power_lost), units.to_percent(result.drag_area_cut)
        self.point.set_data([x], [y])
        here = units.to_percent(result.worth_here)
        self.across.set_data([x, here], [y, y])
        steep = lost[-1] < _MOST_LOST / 3
        top = _MOST_CUT * 0.84
        self.name.xy = (min(lost[-1] * top / cuts[-1], _MOST_LOST * 0.97), top)
        self.name.set(ha="left" if steep else "right", position=(8 if steep else -8, 5))
        self.sides[0].set_visible(not steep)
        self.reading.xy = (x, y)
        self.reading.set_text(f"{result.seconds:+.0f} s".replace("-", "−"))
        right = x > _MOST_LOST * 0.8
        self.reading.set_ha("right" if right else "left")
        self.trace.set_data(
            *((units.to_percent(before.worth), units.to_percent(before.cuts)) if before else ([], []))
        )
        self.guesses.set_data(
            [units.to_percent(guess.value) for guess in predictions],
            [units.to_percent(guess.at["drag_area_cut"]) for guess in predictions],
        )
