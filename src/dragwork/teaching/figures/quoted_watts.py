"""Watts quoted at one speed, carried to all others: the cubic, and two tempting wrong worlds."""

from dragwork import units
from dragwork.teaching.figures.over_speed import draw_trace, mark_guesses
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    PREDICTION,
    QUANTITY,
    apart,
    bare,
    label_line,
    name_axes,
    new_figure,
    read_off,
)

_WRONG_WORLD = {"color": GREY, "linestyle": "--", "linewidth": 1.4, "marker": "None"}


class QuotedWatts(Picture):
    """Watts saved over ground speed. Takes a `panels.quoted_watts.QuotedSaving`, all SI."""

    def __init__(self, most_speed=60, most_power=60):
        figure, axes = new_figure()
        self._most = most_power
        axes.set(xlim=(0, most_speed), ylim=(-most_power / 8, most_power))
        axes.axhline(0, color=GREY, linewidth=0.8)
        name_axes(axes, "Speed on the road, km/h", "Watts saved at the wheel")
        (self.same,) = axes.plot([], [], **_WRONG_WORLD)
        (self.straight,) = axes.plot([], [], **_WRONG_WORLD)
        (self.trace,) = axes.plot([], [], **BEFORE)
        (self.curve,) = axes.plot([], [], **bare(QUANTITY["air"]))
        (self.quoted,) = axes.plot([], [], **{**QUANTITY["total"], "markersize": 10})
        (self.guesses,) = axes.plot([], [], **PREDICTION)
        (self.point,) = axes.plot([], [], **QUANTITY["air"])
        self.names = [
            label_line(axes, "the same watts everywhere", _WRONG_WORLD, side="above"),
            label_line(axes, "in step with speed", _WRONG_WORLD, side="above left"),
            label_line(axes, "quoted here", QUANTITY["total"], side="below right"),
        ]
        self.reading = label_line(axes, "", QUANTITY["air"], side="above left")
        super().__init__(
            "Watts saved at each speed by the same change of drag area",
            figure,
            moving=[
                self.same, self.straight, self.trace, self.curve, self.quoted, self.guesses,
                self.point, *self.names, self.reading,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        speeds = units.to_kmh(result.speeds)
        quoted_at, speed = units.to_kmh(result.quoted_speed), units.to_kmh(result.ground_speed)
        self.curve.set_data(speeds, result.savings)
        self.same.set_data([0, speeds[-1]], [result.quoted, result.quoted])
        self.straight.set_data([0, speeds[-1]], [0, result.quoted * speeds[-1] / quoted_at])
        self.quoted.set_data([quoted_at], [result.quoted])
        self.point.set_data([speed], [result.saving])
        same, in_step = apart([result.quoted, result.quoted * 18 / quoted_at], self._most / 14)
        self.names[0].xy, self.names[1].xy = (13, same), (18, in_step)
        self.names[2].xy = (quoted_at, result.quoted)
        below = result.saving < 0.7 * result.quoted * speed / quoted_at  # all other lines
        side = "below right" if below else "above left"
        read_off(self.reading, speed, result.saving, f"{result.saving:.1f} W", side, self._most)
        draw_trace(self.trace, before, "savings")
        mark_guesses(self.guesses, predictions)
