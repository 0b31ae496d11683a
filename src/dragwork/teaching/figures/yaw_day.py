"""How often each yaw comes, at one speed in one place: a histogram."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures import style
from dragwork.teaching.figures.guesses import Guesses
from dragwork.teaching.figures.picture import Picture

_MIDDLE = style.QUANTITY["total"]
_MOST = 60  # %, where the axis ends


class YawDay(Picture):
    """Bars over yaw. Takes what `panels.wind.day` finds, all SI; its edges stay the same."""

    def __init__(self, edges):
        figure, axes = style.new_figure()
        figure.subplots_adjust(top=0.86)
        degrees = units.to_deg(edges)
        axes.set(xlim=(degrees[0], degrees[-1]), ylim=(0, _MOST))
        axes.set_xticks(np.arange(degrees[0], degrees[-1] + 1, 10))
        style.name_axes(axes, "Yaw, degrees; positive when the air comes from the right",
                  "Share of the time in each 5°, %")
        empty = np.zeros(len(degrees) - 1)
        self.bars = axes.stairs(empty, degrees, fill=True, facecolor=style.BLUE, edgecolor="white")
        self.outline = axes.stairs(empty, degrees, color=style.BLUE, linewidth=1.6)
        self.trace = axes.stairs(empty, degrees, color=style.BEFORE["color"],
                                 linestyle=style.BEFORE["linestyle"], linewidth=style.BEFORE["linewidth"])
        self.middles = [axes.plot([], [], **{**_MIDDLE, "marker": "None"})[0] for _ in range(2)]
        self.middle_name = style.label_line(axes, "", _MIDDLE, side="right")
        self.ends = [
            style.label_line(axes, "", style.QUANTITY["air"], end, 0.35 * _MOST, side)
            for end, side in ((degrees[0], "right"), (degrees[-1], "left"))
        ]
        self.guesses = Guesses(axes)
        self._top = 0.88 * _MOST
        super().__init__(
            "How often each yaw comes",
            figure,
            moving=[self.bars, self.outline, self.trace, *self.middles, self.middle_name,
                    *self.ends, *self.guesses.artists],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        shares = units.to_percent(result.shares)
        self.bars.set_data(shares)
        self.outline.set_data(shares)
        self.trace.set_data(units.to_percent(before.shares) if before else np.full_like(shares, np.nan))
        half = units.to_deg(result.half_within)
        for line, side in zip(self.middles, (-1, 1)):
            line.set_data([side * half] * 2, [0, self._top])
        self.middle_name.xy = (half, self._top)
        self.middle_name.set_text(f"half the time within {half:.1f}°")
        self.middle_name.set(ha="left" if half < 12 else "right", x=8 if half < 12 else -8)
        beyond = units.to_percent(1 - result.shares.sum()) / 2
        for name in self.ends:
            name.set_text(f"{beyond:.0f} % further out" if beyond >= 0.5 else "")
        self.guesses.show([(units.to_deg(guess.value), self._top / 2) for guess in predictions])
