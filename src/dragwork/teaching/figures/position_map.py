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
    put,
    styled,
)

_MOST_LOST, _MOST_CUT = 20, 20  # percent


class PositionMap(Picture):
    """Takes a `panels.position_map.Position`; marks the rider's point and the learner's guesses."""

    def __init__(self):
        figure, axes = new_figure(7.0, 4.4)
        axes.set(xlim=(0, _MOST_LOST), ylim=(0, _MOST_CUT), yticks=range(0, _MOST_CUT + 1, 5))
        axes.set_xticks(range(0, _MOST_LOST + 1, 5))
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
                for x, y, text in ((0.6, 17.6, "faster"), (17.4, 0.8, "slower"))
            ]
        self.name = label_line(axes, "no gain", QUANTITY["total"])
        self.worth = label_line(axes, "", BEFORE, side="below right")
        self.worth.set_y(-12)  # points: clear of a guess
        self.was = label_line(axes, "no gain, before", BEFORE, side="below right")
        self.reading = label_line(axes, "", QUANTITY["air"], side="above right")
        super().__init__(
            "Drag area cut against power lost: above the line the position makes Tobin faster",
            figure,
            moving=[
                self.trace, self.line, self.across, self.name, self.worth, self.was, *self.sides,
                self.guesses, self.point, self.reading,
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
        if steep:
            put(self.name, *_along(lost, cuts, 0.9 if y < _MOST_CUT / 2 else 0.4), "right")
        else:
            put(self.name, *_along(lost, cuts, 0.9), "above left")
        self.sides[0].set_visible(not steep)
        high = y > _MOST_CUT * 0.9  # no room above the point
        self.worth.set_text(f"worth {here:.1f} %\nof the power")
        self.worth.xy = (here, y)
        self.worth.set_visible(y > 3 and abs(x - here) > (4 if high else 0.3))
        self.reading.set_text(f"{result.seconds:+.0f} s".replace("-", "−"))
        across = "left" if x > _MOST_LOST * 0.8 else "right"
        put(self.reading, x, y, f"{'below' if high else 'above'} {across}")
        moved = before is not None and before.gradient != result.gradient
        was = units.to_percent(before.worth if moved else result.worth[:0])
        self.trace.set_data(was, cuts[: len(was)])
        self.was.set_visible(moved)
        if moved:
            left = was[-1] < lost[-1]
            side = "below right" if not left else "above left" if was[-1] > 5 else "right"
            put(self.was, *_along(was, cuts, 0.6), side)
        self.guesses.set_data(
            [units.to_percent(guess.value) for guess in predictions],
            [units.to_percent(guess.at["drag_area_cut"]) for guess in predictions],
        )


def _along(lost, cuts, share):
    """A point of a line that starts at 0, so far along it."""
    here = round(share * (len(cuts) - 1))
    return lost[here], cuts[here]
