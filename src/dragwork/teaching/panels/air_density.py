"""Panel: how dense the air is, from thermometer, barometer and hygrometer."""

from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.air import density
from dragwork.teaching.figures.curves import Axis, Curves, Line, Plane
from dragwork.teaching.figures.style import BEFORE, QUANTITY, bare
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

TEMPERATURES = units.celsius(np.linspace(-5, 40, 91))
_DRY = knob("relative_humidity", reference=0)
KNOBS = (knob("temperature"), knob("pressure"), _DRY)
REFERENCE = {knob.quantity: knob.into_si(knob.reference) for knob in KNOBS}


@model
def air(temperature, pressure, relative_humidity=0.0):
    """The air's density, and how far it is from that of the reference day.

    At one temperature and along all of them, SI.
    """
    here = density(temperature, pressure, relative_humidity)
    return dict(
        density=here,
        change=here / density(**REFERENCE) - 1,
        temperatures=TEMPERATURES,
        densities=density(TEMPERATURES, pressure, relative_humidity),
    )


_BAR = bare(QUANTITY["air"], linewidth=18, solid_capstyle="butt")
PICTURE = partial(
    Curves,
    "Air density over temperature, and its change against a reference day",
    Plane(
        Axis("Air temperature, °C", "degC", -5, 40),
        Axis("Air density, kg/m³", "kg/m3", 0.85, 1.40),
        (
            Line("temperatures", "densities", bare(QUANTITY["air"]), trace=True),
            Line(
                "temperature", "density", QUANTITY["air"], lambda r: f"{r.density:.3f}", drop=True,
                sides=("above right", "above", "above left"),
            ),
        ),
        share=3,
    ),
    Plane(
        Axis("", "%", -30, 15),
        Axis("Change against the reference day (20 °C, 1013 hPa, dry), %", "1", -1, 1.9, ()),
        (
            Line(0.0, None, {**bare(QUANTITY["total"]), "linewidth": 1.2}),
            Line(lambda r: (0, r.change), 0.0, _BAR),
            Line("change", (-1, 1), {**BEFORE, "linestyle": "None"}, trace=True),
            Line(
                "change", 1.0, {**_BAR, "linewidth": 0}, lambda r: _percent(r.change),
                sides=("right", "left"),
            ),
        ),
        guesses=lambda guess, result: (guess.value, 0.0),
    ),
    height=4.1, hspace=0.85, bottom=0.09, top=0.9,
)  # fmt: skip


def _percent(change):
    percent = round(float(units.to_percent(change)), 1)
    return f"{percent:+.1f} %".replace("-", "−") if percent else "0.0 %"


@sentence
def in_words(result):
    """At {temperature:.0f degC}, {pressure:.0f hPa} and {relative_humidity:.0f %} humidity a cubic metre of
    air has {density:.3f} kg, {against} the reference day."""
    percent = round(float(units.to_percent(result.change)), 1)
    more = f"{abs(percent):.1f} % {'more' if percent > 0 else 'less'} than on"
    return dict(against=more if percent else "as on")


def air_density():
    """The panel: turn temperature, pressure and humidity. Reference: dry air of 20 °C, 1013 hPa."""
    return Panel(KNOBS, air, PICTURE(), in_words, observed="change")
