"""Panels of lesson 1: how dense the air is, by its weather and up a hill."""

import numpy as np

from dragwork import units
from dragwork.physics.air import density, standard_atmosphere, station_pressure
from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane, at, curve, plot
from dragwork.teaching.figures.style import BEFORE, BLACK, QUANTITY, bare
from dragwork.teaching.panels.knobs import knob, signed
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

KNOBS = (knob("temperature"), knob("pressure"), knob("relative_humidity", reference=0))
REFERENCE = {knob.quantity: knob.into_si(knob.reference) for knob in KNOBS}
_AIR = QUANTITY["air"]


@model(temperature=units.celsius(np.linspace(-5, 40, 91)))
def air(temperature, pressure, relative_humidity=0.0):
    """The air's density, and how far it is from that of the reference day. SI."""
    here = density(temperature, pressure, relative_humidity)
    return dict(density=here, change=here / density(**REFERENCE) - 1)


def air_density():
    """The panel: turn temperature, pressure and humidity. Reference: dry air of 20 °C, 1013 hPa."""
    bar = bare(_AIR, linewidth=18, solid_capstyle="butt")
    picture = Curves(
        "Air density over temperature, and its change against a reference day",
        Plane(
            Axis("Air temperature, °C", "degC", -5, 40),
            Axis("Air density, kg/m³", "kg/m3", 0.85, 1.40),
            *curve("temperature", "density", _AIR, "{density:.3f}", drop=True,
                   sides=("above right", "above", "above left")),
            share=3,
        ),
        Plane(
            Axis("", "%", -30, 15),
            Axis("Change against the reference day (20 °C, 1013 hPa, dry), %", "1", -1, 1.9, ()),
            Line(0.0, None, bare(QUANTITY["total"], linewidth=1.2)),
            Line(lambda r: (0, r.change), 0.0, bar),
            Line("change", (-1, 1), {**BEFORE, "linestyle": "None"}, trace=True),
            Line("change", 1.0, {**bar, "linewidth": 0}, lambda r: f"{_percent(r)} %", sides=("right", "left")),
            guesses=lambda guess, result: (guess.value, 0.0),
        ),
        height=4.1, hspace=0.85, bottom=0.09, top=0.9,
    )  # fmt: skip
    return Panel(KNOBS, air, picture, air_in_words, observed="change")


def _percent(result):
    return signed(units.to_percent(result.change), 1)


@sentence
def air_in_words(result):
    """At {temperature:.0f degC}, {pressure:.0f hPa} and {relative_humidity:.0f %} humidity a cubic metre of
    air has {density:.3f} kg, {against} the reference day."""
    sign, percent = _percent(result)[0], _percent(result)[1:]
    more = {"+": f"{percent} % more than on", "−": f"{percent} % less than on"}
    return dict(against=more.get(sign, "as on"))


FORECAST = knob("pressure", quantity="sea_level_pressure", label="Pressure in the forecast", low=970, high=1045)


@model(altitude=np.linspace(0, 3000, 61))
def venue(altitude, temperature, sea_level_pressure):
    """The dry air at an altitude, as a barometer there would have it. SI.

    `untouched` is the density that the forecast's pressure would give as it is, without the
    altitude, `standard` that of the standard atmosphere, which cools on the way up.
    """
    pressure = station_pressure(sea_level_pressure, altitude, temperature)
    here, untouched = density(temperature, pressure), density(temperature, sea_level_pressure)
    standard = standard_atmosphere(altitude).density
    return dict(pressure=pressure, density=here, untouched=untouched, standard=standard)


def venue_air():
    """The panel: turn altitude, temperature there, and the forecast's pressure."""
    standard = {"color": BLACK, "linestyle": "-.", "linewidth": 1.6, "marker": "None"}
    picture = plot(
        "Air density against altitude",
        Axis("Altitude of the road, m", "m", 0, 3000),
        Axis("Air density, kg/m³", "kg/m3", 0.75, 1.40),
        Line(None, "untouched", GUIDE, "with the forecast's pressure", sides=("above left",)),
        Line("along.altitude", "along.standard", standard, "the standard atmosphere"),
        Line("altitude", lambda r: (r.density, r.untouched), bare(_AIR, linewidth=1, linestyle=":")),
        *curve("altitude", "density", _AIR, "{density:.3f}", "at this temperature"),
        guesses=at("altitude"),
    )
    knobs = "altitude", knob("temperature", label="Temperature at the road"), FORECAST
    return Panel(knobs, venue, picture, venue_in_words, observed="density")


@sentence
def venue_in_words(result):
    """At {altitude:.0f m} and {temperature:.0f degC}, with {sea_level_pressure:.0f hPa} in the forecast, a barometer
    reads {pressure:.0f hPa} and dry air has {density:.3f} kg/m³. {thinner}"""
    return dict(thinner=_thinner(result) if result.altitude else "")


@sentence
def _thinner(result):
    """That is {less:.1f %} less than at sea level at the same temperature. The standard atmosphere, which cools on the
    way up, loses {standard_less:.1f %}."""
    standard = 1 - result.standard / standard_atmosphere(0.0).density
    return dict(less=1 - result.density / result.untouched, standard_less=standard)  # under the same forecast
