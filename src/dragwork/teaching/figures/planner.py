"""A session planned: how small a difference it tells apart, against how long it takes."""

from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from dragwork import units
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    GREY,
    PREDICTION,
    SET_UP,
    bare,
    label_line,
    name_axes,
    new_figure,
    styled,
)

_TICKS = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05)


class Planner(Picture):
    """Smallest difference over the length of the session. Takes a `panels.planner.Planned`.

    Parameters
    ----------
    most_time : float [s]
    wanted : float [m2]
        A difference to hold the plan against.
    """

    def __init__(self, most_time, wanted):
        figure, axes = new_figure()
        self._most = units.to_hours(most_time)
        axes.set(xlim=(0, self._most), yscale="log", ylim=(0.0008, 0.06))
        axes.yaxis.set_major_locator(FixedLocator(_TICKS))
        axes.yaxis.set_minor_locator(NullLocator())
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
        name_axes(axes, "Length of the session, hours", "Smallest difference told apart, m²")
        axes.axhline(wanted, color=GREY, linestyle="--", linewidth=1.4)
        with styled():
            axes.annotate(
                f"a difference of {wanted:.3f} m²", (1, wanted), (0, 5), ha="right", va="bottom",
                xycoords=("axes fraction", "data"), textcoords="offset points",
            )  # fmt: skip
        look = SET_UP["C"]
        (self._trace,) = axes.plot([], [], **BEFORE)
        (self._curve,) = axes.plot([], [], **{**look, "linestyle": ":", "markersize": 5})
        (self._point,) = axes.plot([], [], **bare(look, marker="o", markersize=12, linestyle="None"))
        (self._guesses,) = axes.plot([], [], **PREDICTION)
        self._name = label_line(axes, "", look, side="above right")
        super().__init__(
            "Smallest difference that a session tells apart, against its length",
            figure,
            moving=[self._trace, self._curve, self._point, self._guesses, self._name],
        )

    def update(self, result, before=None, predictions=()):
        self._curve.set_data(units.to_hours(result.times), result.smallest)
        here = units.to_hours(result.plan.time), result.smallest_difference
        self._point.set_data([here[0]], [here[1]])
        late = here[0] > 0.6 * self._most
        self._name.set(position=(0, 18) if late else (8, 5), ha="right" if late else "left")
        self._name.xy = here
        self._name.set_text(f"{result.plan.repeats} passes: {here[1]:.4f} m²")
        there = ([], []) if before is None else (units.to_hours(before.times), before.smallest)
        self._trace.set_data(*there)
        self._guesses.set_data([here[0]] * len(predictions), [p.value for p in predictions])
