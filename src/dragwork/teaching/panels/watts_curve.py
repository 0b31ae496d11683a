"""Panel: air power against speed, for a drag area and a headwind."""

from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.teaching.figures.curves import Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.style import QUANTITY, bare
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.panels.sentences import into_wind
from dragwork.teaching.telling import sentence

SPEEDS = units.kmh(np.linspace(0, 60, 121))


@model
def air_power(drag_area, ground_speed, wind_speed=0.0):
    """Air power at the wheel, at one speed and along the curve [W]."""
    rider = Rider(all_up_mass=84.0, drag_area=drag_area)
    wind = Conditions(wind_speed=wind_speed)
    point = power_balance(rider, wind, ground_speed).air
    curve = power_balance(rider, wind, SPEEDS).air
    return dict(air_power=point, powers=curve)


PICTURE = partial(
    Curves,
    "Air power against speed",
    Plane(
        Axis("Speed on the road, km/h", "km/h", 0, 60),
        Axis("Air power at the wheel, W", "W", 0, 1000),
        (
            Line(SPEEDS, "powers", bare(QUANTITY["air"]), trace=True),
            Line(
                "ground_speed", "air_power", QUANTITY["air"], lambda r: f"{r.air_power:.0f} W",
                drop=True, sides=("above left", "above right", "below right"),
            ),
        ),
        guesses=at("ground_speed"),
    ),
)  # fmt: skip


@sentence
def in_words(result):
    """At {ground_speed:.1f km/h}{air} a drag area of {drag_area:.3f m2} takes {air_power:.0f W} of air power at the
    wheel."""
    return dict(air=into_wind(result.wind_speed))


def watts_curve():
    """The panel: turn drag area, speed and headwind, and watch the air power."""
    knobs = "drag_area", "ground_speed", knob("wind_speed", label="Headwind")
    return Panel(knobs, air_power, PICTURE(), in_words, observed="air_power")
