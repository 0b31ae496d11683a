"""Panel: the air share of the power against the gradient, at one power; where it is one half."""

from dataclasses import replace
from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane
from dragwork.teaching.figures.style import QUANTITY, bare
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.panels.sentences import on_a_slope
from dragwork.teaching.telling import sentence

GRADIENTS = units.percent(np.linspace(0, 8, 161))
HALF = 0.5


@model
def share(power, gradient=0.0, all_up_mass=TOBIN.rider.all_up_mass):
    """Tobin's air share on a slope, at his steady speed there.

    The air share at one gradient and along all of them; SI, crank power.

    `half` is the gradient at which it is one half; nan where it is less already on the flat.
    """
    rider = replace(TOBIN.rider, all_up_mass=all_up_mass)
    roads = Conditions(gradient=np.append(GRADIENTS, gradient))
    speeds = steady_speed(rider, roads, power)
    shares = power_balance(rider, roads, speeds).air_share
    falling = -shares[:-1]
    return dict(
        speed=speeds[-1],
        air_share=shares[-1],
        half=np.interp(-HALF, falling, GRADIENTS, left=np.nan, right=np.nan),
        shares=shares[:-1],
    )


_HALF = {**QUANTITY["total"], "markersize": 10, "markeredgewidth": 2}
PICTURE = partial(
    Curves,
    "Air share of the power against the gradient, at one power",
    Plane(
        Axis("Gradient, %", "%", 0, 8),
        Axis("Air share of the power at the wheel, %", "%", 0, 100),
        (
            Line(None, HALF, GUIDE, "half the power", sides=("above left",)),
            Line("half", lambda r: (0, HALF), bare(_HALF, linewidth=1, linestyle=":")),
            Line(GRADIENTS, "shares", bare(QUANTITY["air"]), trace=True),
            Line("half", HALF, _HALF, lambda r: f"half at {units.to_percent(r.half):.1f} %"),
            Line(
                "gradient", "air_share", QUANTITY["air"],
                lambda r: f"{units.to_percent(r.air_share):.0f} %",
            ),
        ),
        guesses=lambda guess, result: (guess.value, HALF),
    ),
)  # fmt: skip


@sentence
def in_words(result):
    """At {power:.0f W} {road}, {all_up_mass:.0f kg} all up, Tobin rides {speed:.1f km/h} and air takes
    {air_share:.0f %} of the power at the wheel. It takes {where}."""
    half = f"half at a slope of {units.to_percent(result.half):.1f} %"
    return dict(
        road=on_a_slope(result.gradient, "on a slope of"),
        where="less than half already on the flat" if np.isnan(result.half) else half,
    )


def air_share():
    """The panel: turn power, gradient and mass. Predictions are the gradient of one half."""
    knobs = "power", knob("gradient", low=0, high=8, step=0.1), "all_up_mass"
    return Panel(knobs, share, PICTURE(), in_words, observed="half")
