"""Push and power of the air over speed, both axes logarithmic: straight lines, and their steepness."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures.over_speed import draw_trace, mark_guesses
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    BLACK,
    GREY,
    PREDICTION,
    QUANTITY,
    bare,
    label_line,
    name_axes,
    new_figure,
    put,
)

_PUSH = {"color": BLACK, "linestyle": "-.", "linewidth": 1.8, "marker": "s"}
_WRONG_WORLD = {"color": GREY, "linestyle": "--", "linewidth": 1.4, "marker": "None"}
_YOUR_WORLD = {"color": PREDICTION["color"], "linestyle": (0, (4, 2)), "linewidth": 1.4,
               "marker": "None"}  # fmt: skip
_SPEEDS = (5, 10, 20, 40, 80)
_SIZES = (0.1, 1, 10, 100, 1000, 10_000, 100_000)


class SquaresAndCubes(Picture):
    """Two lines and their steps for a doubled speed. Takes a `panels.squares_and_cubes.Scaling`.

    Predictions are watts at a speed. Through the last one goes its world: the cubic that somebody
    would ride in for whom it is true.
    """

    def __init__(self):
        figure, axes = new_figure(7.0, 5.4)
        figure.subplots_adjust(left=0.12, bottom=0.11, top=0.91)
        axes.set(xscale="log", yscale="log", xlim=(4, 100), ylim=(0.1, 200_000))
        axes.set_xticks(_SPEEDS, [str(speed) for speed in _SPEEDS])
        axes.set_yticks(_SIZES, [f"{size:,}" for size in _SIZES])
        axes.minorticks_off()
        name_axes(axes, "Speed on the road, km/h; each mark is a doubling",
                  "Push of the air, N, and its power at the wheel, W; each mark is ten times")  # fmt: skip
        power = QUANTITY["air"]
        (self.trace,) = axes.plot([], [], **BEFORE)
        (self.wrong,) = axes.plot([], [], **_WRONG_WORLD)
        (self.yours,) = axes.plot([], [], **_YOUR_WORLD)
        (self.forces,) = axes.plot([], [], **bare(_PUSH))
        (self.powers,) = axes.plot([], [], **bare(power))
        (self.force_step,) = axes.plot([], [], **bare(_PUSH, linewidth=1, linestyle="-"))
        (self.power_step,) = axes.plot([], [], **bare(power, linewidth=1))
        (self.guesses,) = axes.plot([], [], **PREDICTION)
        (self.force,) = axes.plot([], [], **_PUSH)
        (self.power,) = axes.plot([], [], **power)
        self.names = [
            label_line(axes, "push, N", _PUSH, side="below right"),
            label_line(axes, "power, W", power, side="above left"),
            label_line(axes, "power with km/h cubed", _WRONG_WORLD, side="above left"),
        ]
        self.your_name = label_line(axes, "", _YOUR_WORLD, side="above left")
        self.force_times = label_line(axes, "", _PUSH, side="right")
        self.power_times = label_line(axes, "", power, side="left")
        super().__init__(
            "Push and power of the air against speed, on logarithmic axes",
            figure,
            moving=[
                self.trace, self.wrong, self.yours, self.forces, self.powers, self.force_step,
                self.power_step, self.guesses, self.force, self.power, *self.names,
                self.your_name, self.force_times, self.power_times,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        speeds, v = units.to_kmh(result.speeds), units.to_kmh(result.ground_speed)
        self.forces.set_data(speeds, result.forces)
        self.powers.set_data(speeds, result.powers)
        self.wrong.set_data(speeds, result.as_typed)
        self.force.set_data([v], [result.force])
        self.power.set_data([v], [result.power])
        low, high = result.half_force, result.force
        self.force_step.set_data([v / 2, v, v], [low, low, high])
        self.force_times.xy = (v, (low * high) ** 0.5)
        self.force_times.set_text(f"× {result.force_ratio:.1f}")
        low, high = result.half_power, result.power
        self.power_step.set_data([v / 2, v / 2, v], [low, high, high])
        if v / 2 > 7:
            put(self.power_times, v / 2, (low * high) ** 0.5, "left")
        else:  # no room between the step and the axis: inside the step
            put(self.power_times, v / 2, low * (high / low) ** 0.75, "right")
        self.power_times.set_text(f"× {result.power_ratio:.1f}")
        # Clear of the steps; the last one below the top of the picture.
        far = min(65, speeds[np.flatnonzero(result.as_typed < 60_000)[-1]])
        curves = (result.forces, result.powers, result.as_typed)
        for name, x, curve in zip(self.names, (58, 80, far) if v < 30 else (12, 9, far), curves):
            name.xy = _on(speeds, curve, x)
        self._draw_your_world(result, predictions)
        draw_trace(self.trace, before, "powers")
        mark_guesses(self.guesses, [guess for guess in predictions if guess.value > 0])

    def _draw_your_world(self, result, predictions):
        speeds, v = units.to_kmh(result.speeds), units.to_kmh(result.ground_speed)
        told = [guess for guess in predictions if guess.value > 0]
        if not told:
            self.yours.set_data([], [])
            self.your_name.set_text("")
            return
        guess = told[-1]
        cubic = guess.value * (speeds / units.to_kmh(guess.at["ground_speed"])) ** 3
        self.yours.set_data(speeds, cubic)
        self.your_name.set_text("the world of this guess")
        times = cubic[0] / result.powers[0]
        if times < 1:  # below the power, so its name stands at its foot, below the steps
            put(self.your_name, *_on(speeds, cubic, speeds[np.searchsorted(cubic, 0.5)]), "below right")
        else:  # clear of the steps, or else of 'power with km/h cubed'
            x = 20 if times > 7 else min(2 * v, 50) if v < 30 else 95
            put(self.your_name, *_on(speeds, cubic, x), "above left")


def _on(speeds, curve, speed):
    """A point of a curve."""
    here = np.searchsorted(speeds, speed)
    return speeds[here], curve[here]
