"""Panel: the air of a place up a hill, from the forecast's pressure, which is reduced to sea level."""

from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.air import density, standard_atmosphere, station_pressure
from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.style import BLACK, QUANTITY, bare
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

ALTITUDES = np.linspace(0, 3000, 61)
FORECAST = knob("pressure", quantity="sea_level_pressure", label="Pressure in the forecast", low=970, high=1045)


@model
def venue(altitude, temperature, sea_level_pressure):
    """The air at an altitude, as a barometer there would have it.

    Dry air at one altitude and along all of them, SI.

    `untouched` is the density that the forecast's pressure would give as it is, without the
    altitude. `thinner` is the share lost since sea level at the same temperature and forecast,
    `standard_thinner` the same in the standard atmosphere, which cools on the way up.
    """
    pressure = station_pressure(sea_level_pressure, altitude, temperature)
    here, untouched = density(temperature, pressure), density(temperature, sea_level_pressure)
    standard = standard_atmosphere(ALTITUDES).density
    return dict(
        pressure=pressure,
        density=here,
        untouched=untouched,
        thinner=1 - here / untouched,
        standard_thinner=1 - standard_atmosphere(altitude).density / standard[0],
        altitudes=ALTITUDES,
        densities=density(temperature, station_pressure(sea_level_pressure, ALTITUDES, temperature)),
        standard_densities=standard,
    )


_STANDARD = {"color": BLACK, "linestyle": "-.", "linewidth": 1.6, "marker": "None"}
PICTURE = partial(
    Curves,
    "Air density against altitude",
    Plane(
        Axis("Altitude of the road, m", "m", 0, 3000),
        Axis("Air density, kg/m³", "kg/m3", 0.75, 1.40),
        (
            Line(None, "untouched", GUIDE, "with the forecast's pressure", sides=("above left",)),
            Line("altitudes", "standard_densities", _STANDARD, "the standard atmosphere"),
            Line("altitudes", "densities", bare(QUANTITY["air"]), "at this temperature", trace=True),
            Line(
                "altitude", lambda r: (r.density, r.untouched),
                bare(QUANTITY["air"], linewidth=1, linestyle=":"),
            ),
            Line("altitude", "density", QUANTITY["air"], lambda r: f"{r.density:.3f}"),
        ),
        guesses=at("altitude"),
    ),
)  # fmt: skip


@sentence
def in_words(result):
    """At {altitude:.0f m} and {temperature:.0f degC}, with {sea_level_pressure:.0f hPa} in the forecast, a barometer
    reads {pressure:.0f hPa} and dry air has {density:.3f} kg/m³. {thinner_there}"""
    thinner, standard = (units.to_percent(share) for share in (result.thinner, result.standard_thinner))
    there = (
        f"That is {thinner:.1f} % less than at sea level at the same temperature. The standard atmosphere, "
        f"which cools on the way up, loses {standard:.1f} %."
    )
    return dict(thinner_there=there if result.altitude else "")


def venue_air():
    """The panel: turn altitude, temperature there, and the forecast's pressure."""
    knobs = "altitude", knob("temperature", label="Temperature at the road"), FORECAST
    return Panel(knobs, venue, PICTURE(), in_words, observed="density")
