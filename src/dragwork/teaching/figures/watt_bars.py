"""Where the watts go: a bar for each cause at one speed, a curve for each over all speeds."""

from dragwork import units
from dragwork.teaching.figures.ends import EndNames
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
        figure.subplots_adjust(left=0.12, right=0.9, hspace=0.5, bottom=0.09, top=0.93)
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
        self.bars, self.numbers, self.befores, self.curves = [], [], [], []
        for place, (_, look, hatch) in zip(places, _CAUSES.values()):
            fill = {"facecolor": look["color"]} if not hatch else {
                "facecolor": WHITE, "edgecolor": look["color"], "hatch": hatch, "linewidth": 1.4
            }  # fmt: skip
            self.bars += bars.barh([place], [0], height=0.62, **fill)
            self.befores += bars.plot([], [], **BEFORE)
            self.numbers.append(label_line(bars, "", look))
            self.numbers[-1].set_bbox({"facecolor": WHITE, "edgecolor": "none", "pad": 1.0})
        for _, look, _ in _CAUSES.values():
            self.curves += curves.plot([], [], **bare(look))
        self.names = EndNames(curves, {name: look for name, look, _ in _CAUSES.values()})
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
                self.guesses, *self.names.artists,
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
        self.names.follow(speeds, [getattr(result.along, cause) for cause in _CAUSES])
        mark_guesses(self.guesses, predictions)


def _tell(words, watts, place, note):
    """Write the watts beside the end of a bar; an arrow says that it goes on beyond the picture."""
    shown = f"{watts:.0f} W{note}".replace("-", "−")
    room = 200 if note else 130
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
