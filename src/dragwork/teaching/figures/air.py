"""Air density: over temperature, as a change against the reference day, and over altitude."""

from dragwork import units
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

_GUIDE = {"color": GREY, "linestyle": "--", "linewidth": 1.4, "marker": "None"}
_STANDARD = {"color": BLACK, "linestyle": "-.", "linewidth": 1.6, "marker": "None"}


class AirDensity(Picture):
    """Density over temperature, and below it the change as a bar. Takes a `panels.air_density.Air`.

    Predictions are changes (fractions), drawn on the axis of the bar.
    """

    def __init__(self):
        figure, (curve, strip) = new_figure(
            7.0, 5.0, nrows=2, gridspec_kw={"height_ratios": (3, 1)}
        )
        figure.subplots_adjust(hspace=0.75, bottom=0.08, top=0.91)
        curve.set(xlim=(-5, 40), ylim=(0.85, 1.40))
        name_axes(curve, "Air temperature, °C", "Air density, kg/m³")
        strip.set(xlim=(-30, 15), ylim=(-0.9, 1.7), yticks=[])
        strip.spines["left"].set_visible(False)
        strip.axvline(0, color=BLACK, linewidth=1.2)
        name_axes(strip, "", "Change against the reference day (20 °C, 1013 hPa, dry), %")
        look = QUANTITY["air"]
        (self.trace,) = curve.plot([], [], **BEFORE)
        (self.curve,) = curve.plot([], [], **bare(look))
        (self.drop,) = curve.plot([], [], **bare(look, linewidth=1, linestyle=":"))
        (self.point,) = curve.plot([], [], **look)
        self.reading = label_line(curve, "", look, side="above")
        (self.bar,) = strip.barh([0], [0], height=1.0, color=look["color"])
        (self.before,) = strip.plot([], [], **BEFORE)
        (self.guesses,) = strip.plot([], [], **PREDICTION, clip_on=False)
        self.percent = label_line(strip, "", look, side="above")
        super().__init__(
            "Air density over temperature, and its change against a reference day",
            figure,
            moving=[
                self.trace, self.drop, self.curve, self.point, self.reading,
                self.bar, self.before, self.guesses, self.percent,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        t, change = units.to_celsius(result.temperature), units.to_percent(result.change)
        self.curve.set_data(units.to_celsius(result.temperatures), result.densities)
        self.point.set_data([t], [result.density])
        self.drop.set_data([-5, t, t], [result.density, result.density, 0])
        self.reading.xy = (min(max(t, -3), 38), result.density)
        self.reading.set_text(f"{result.density:.3f}")
        self.bar.set_width(change)
        put(self.percent, change, 0.5, "above right" if change > -0.05 else "above left")
        self.percent.set_text(_percent(change))
        if before is None:
            self.trace.set_data([], [])
            self.before.set_data([], [])
        else:
            self.trace.set_data(units.to_celsius(before.temperatures), before.densities)
            self.before.set_data([units.to_percent(before.change)] * 2, [-0.8, 0.8])
        guessed = [units.to_percent(guess.value) for guess in predictions]
        self.guesses.set_data(guessed, [0] * len(guessed))


def _percent(change):
    change = round(float(change), 1)
    return f"{'+' if change > 0 else '−' if change < 0 else ''}{abs(change):.1f} %"


class AirUpThere(Picture):
    """Density over altitude, three ways. Takes a `panels.venue_air.VenueAir`, SI.

    Predictions are densities at an altitude.
    """

    def __init__(self):
        figure, axes = new_figure(7.0, 4.6)
        axes.set(xlim=(0, 3000), ylim=(0.75, 1.40))
        name_axes(axes, "Altitude of the road, m", "Air density, kg/m³")
        look = QUANTITY["air"]
        (self.trace,) = axes.plot([], [], **BEFORE)
        (self.untouched,) = axes.plot([], [], **_GUIDE)
        (self.standard,) = axes.plot([], [], **_STANDARD)
        (self.curve,) = axes.plot([], [], **bare(look))
        (self.gap,) = axes.plot([], [], **bare(look, linewidth=1, linestyle=":"))
        (self.guesses,) = axes.plot([], [], **PREDICTION)
        (self.point,) = axes.plot([], [], **look)
        self.untouched_name = label_line(
            axes, "the forecast's pressure taken as it is", _GUIDE, side="above left"
        )
        self.standard_name = label_line(axes, "the standard atmosphere", _STANDARD)
        self.curve_name = label_line(axes, "at this temperature", look)
        self.reading = label_line(axes, "", look)
        super().__init__(
            "Air density against altitude",
            figure,
            moving=[
                self.trace, self.untouched, self.standard, self.curve, self.gap, self.guesses,
                self.point, self.untouched_name, self.standard_name, self.curve_name, self.reading,
            ],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        altitudes, z = result.altitudes, result.altitude
        self.curve.set_data(altitudes, result.densities)
        self.standard.set_data(altitudes, result.standard_densities)
        self.untouched.set_data([0, altitudes[-1]], [result.untouched] * 2)
        self.gap.set_data([z, z], [result.density, result.untouched])
        self.point.set_data([z], [result.density])
        self.untouched_name.xy = (altitudes[-1], result.untouched)
        upper, lower = len(altitudes) * 5 // 8, len(altitudes) * 3 // 8
        thin = result.densities[upper] < result.standard_densities[upper]
        for words, line, above in (
            (self.standard_name, result.standard_densities, thin),
            (self.curve_name, result.densities, not thin),
        ):
            where = upper if above else lower
            words.xy = (altitudes[where], line[where])
            _stand(words, above)
        self.reading.xy = (max(z, 100), result.density)
        _stand(self.reading, above=z < 400)
        self.reading.set_text(f"{result.density:.3f}")
        if before is None:
            self.trace.set_data([], [])
        else:
            self.trace.set_data(before.altitudes, before.densities)
        self.guesses.set_data(
            [guess.at["altitude"] for guess in predictions], [guess.value for guess in predictions]
        )


def _stand(words, above):
    """Put words above a falling line, to the right of their point, or below it to the left."""
    words.set(ha="left" if above else "right", va="bottom" if above else "top")
    words.xyann = (8, 5) if above else (-8, -5)
