"""The share of the air in the work, over the gradient, and where it is one half."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    PREDICTION,
    QUANTITY,
    bare,
    label_line,
    name_axes,
    new_figure,
)

_GUIDE = {"color": GREY, "linestyle": "--", "linewidth": 1.4, "marker": "None"}
_HALF = {**QUANTITY["total"], "markersize": 10, "markeredgewidth": 2}


class AirShare(Picture):
    """Share over gradient at one power. Takes a `panels.air_share.Share`, SI.

    Predictions are gradients: where the learner expects one half.
    """

    def __init__(self):
        figure, axes = new_figure(7.0, 4.4)
        axes.set(xlim=(0, 8), ylim=(0, 100))
        name_axes(axes, "Gradient, %", "Share of the air in the work, %")
        axes.axhline(50, **_GUIDE)
        label_line(axes, "half the work", _GUIDE, x=8, y=50, side="above left")
        look = QUANTITY["air"]
        (self.trace,) = axes.plot([], [], **BEFORE)
        (self.drop,) = axes.plot([], [], **bare(_HALF, linewidth=1, linestyle=":"))
        (self.curve,) = axes.plot([], [], **bare(look))
        (self.half,) = axes.plot([], [], **_HALF)
        (self.guesses,) = axes.plot([], [], **PREDICTION)
        (self.point,) = axes.plot([], [], **look)
        self.reading = label_line(axes, "", look, side="above right")
        self.half_reading = label_line(axes, "", _HALF, side="above right")
        super().__init__(
            "Share of the air in the work against the gradient, at one power",
            figure,
            moving=[
                self.trace, self.drop, self.curve, self.half, self.guesses, self.point,
                self.reading, self.half_reading,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        gradient, share = units.to_percent(result.gradient), units.to_percent(result.air_share)
        self.curve.set_data(units.to_percent(result.gradients), units.to_percent(result.shares))
        self.point.set_data([gradient], [share])
        self.reading.xy = (gradient, share)
        self.reading.set_text(f"{share:.0f} %")
        crowded = abs(share - 50) < 10
        left = gradient < 7 and not crowded
        self.reading.set(ha="left" if left else "right", va="top" if crowded else "bottom")
        self.reading.xyann = (8 if left else -8, -5 if crowded else 5)
        half = units.to_percent(result.half)
        found = not np.isnan(half)
        self.half.set_data([half] if found else [], [50] if found else [])
        self.drop.set_data([half, half] if found else [], [50, 0] if found else [])
        self.half_reading.xy = (half, 50) if found else (0, 0)
        self.half_reading.set_text(f"half at {half:.1f} %" if found else "")
        if before is None:
            self.trace.set_data([], [])
        else:
            self.trace.set_data(
                units.to_percent(before.gradients), units.to_percent(before.shares)
            )
        guessed = [units.to_percent(guess.value) for guess in predictions]
        self.guesses.set_data(guessed, [50] * len(guessed))
