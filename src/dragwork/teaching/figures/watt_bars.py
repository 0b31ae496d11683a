"""Where the watts go: a bar for each cause at one speed, a curve for each over all speeds."""

from dragwork import units
from dragwork.teaching.figures.over_speed import mark_guesses
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import (
    BEFORE,
    BLACK,
    PREDICTION,
    QUANTITY,
    WHITE,
    bare,
    label_line,
    name_axes,
    new_figure,
    text_colour,
)

# Field of the balance: name on the page, look, hatch. From top to bottom.
_CAUSES = {
    "air": ("air", QUANTITY["air"], ""),
    "rolling": ("tyres", QUANTITY["rolling"], "//"),
    "slope": ("slope", QUANTITY["slope"], ".."),
    "drivetrain": ("chain", QUANTITY["losses"], "xx"),
    "total": ("crank", QUANTITY["total"], ""),
}
_LOW, _HIGH = -600, 800  # W, the axis of the bars
_TOP = 1000  # W, the axis of the curves


class WattBars(Picture):
    """Bars above, curves below. Takes a `panels.watt_bars.Watts`, SI.

    Predictions are watts at the crank, at a speed; they stand among the curves.
    """

    def __init__(self):
        figure, (bars, curves) = new_figure(
            7.0, 6.4, nrows=2, gridspec_kw={"height_ratios": (5, 6)}
        )
        figure.subplots_adjust(left=0.14, hspace=0.45, bottom=0.09, top=0.93)
        places = range(len(_CAUSES))
        bars.set(xlim=(_LOW, _HIGH), ylim=(len(_CAUSES) - 0.4, -0.6))
        bars.set_yticks(places, [name for name, _, _ in _CAUSES.values()])
        bars.tick_params(axis="y", length=0)
        bars.spines["left"].set_visible(False)
        bars.axvline(0, color=BLACK, linewidth=1.2)
        name_axes(bars, "", "Watts at this speed; below 0 they push")
        curves.set(xlim=(0, 60), ylim=(-_TOP / 4, _TOP))
        curves.axhline(0, color=BLACK, linewidth=1.0)
        name_axes(curves, "Speed on the road, km/h", "Watts at each speed")
        self.bars, self.numbers, self.befores, self.curves, self.names = [], [], [], [], []
        for place, (_, look, hatch) in zip(places, _CAUSES.values()):
            fill = {"facecolor": look["color"]} if not hatch else {
                "facecolor": WHITE, "edgecolor": look["color"], "hatch": hatch, "linewidth": 1.4
            }  # fmt: skip
            self.bars += bars.barh([place], [0], height=0.62, **fill)
            self.befores += bars.plot([], [], **BEFORE)
            self.numbers.append(label_line(bars, "", look))
        for name, look, _ in _CAUSES.values():
            self.curves += curves.plot([], [], **bare(look))
            self.names.append(label_line(curves, name, look, side="above left"))
        for words in (*self.numbers, *self.names):
            words.set_bbox({"facecolor": WHITE, "edgecolor": "none", "pad": 1.0, "alpha": 0.8})
        (self.here,) = curves.plot([], [], color=text_colour(BEFORE["color"]), linewidth=1)
        self.points = [
            curves.plot([], [], **look)[0] for _, look, _ in _CAUSES.values()
        ]
        (self.guesses,) = curves.plot([], [], **PREDICTION)
        super().__init__(
            "Where the watts go, as bars at one speed and as curves over speed",
            figure,
            moving=[
                *self.bars, *self.befores, *self.numbers, self.here, *self.curves, *self.points,
                self.guesses, *self.names,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        speeds, v = units.to_kmh(result.speeds), units.to_kmh(result.ground_speed)
        self.here.set_data([v, v], [-_TOP, _TOP])
        for place, cause in enumerate(_CAUSES):
            watts, along = getattr(result.here, cause), getattr(result.along, cause)
            self.bars[place].set_width(watts)
            braked = cause == "total" and watts < 0
            _tell(self.numbers[place], watts, place, ", brakes" if braked else "")
            was = [] if before is None else [getattr(before.here, cause)] * 2
            self.befores[place].set_data(was, [place - 0.4, place + 0.4] if was else [])
            self.curves[place].set_data(speeds, along)
            self.points[place].set_data([v], [watts])
            end = _last_inside(along)
            name = self.names[place]
            name.set(
                visible=bool(along[-1]),
                ha="left" if along[end] < 0 else "right",
            )
            name.xy, name.xyann = (speeds[end], along[end]), (8 if along[end] < 0 else -8, 5)
        _spread([name for name in self.names if name.get_visible()])
        mark_guesses(self.guesses, predictions)


def _tell(words, watts, place, note):
    """Write the watts beside the end of a bar; an arrow says that it goes on beyond the picture."""
    shown = f"{watts:.0f} W{note}".replace("-", "−")
    room = 170 if note else 110
    if watts > _HIGH - room:
        words.set(ha="right", text=f"{shown} →" if watts > _HIGH else shown)
        words.xy, words.xyann = (min(watts, _HIGH), place), (-6, 0)
    elif watts >= 0:
        words.set(ha="left", text=shown)
        words.xy, words.xyann = (watts, place), (8, 0)
    elif watts >= _LOW + room:
        words.set(ha="right", text=shown)
        words.xy, words.xyann = (watts, place), (-8, 0)
    else:
        words.set(ha="left", text=f"← {shown}" if watts < _LOW else shown)
        words.xy, words.xyann = (max(watts, _LOW), place), (6, 0)


def _last_inside(along):
    """Where a curve leaves the picture, or its end."""
    inside = [i for i, watts in enumerate(along) if -_TOP / 4 < watts < 0.95 * _TOP]
    return inside[-1]


def _spread(names, apart=0.075 * _TOP):
    """Move the names of curves that end close together apart, upwards."""
    names = sorted(names, key=lambda words: words.xy[1])
    for lower, upper in zip(names, names[1:]):
        x, y = upper.xy
        if abs(x - lower.xy[0]) < 12 and y - lower.xy[1] < apart:
            upper.xy = (x, lower.xy[1] + apart)
