"""Panel: the same cut of the drag area as watts at one speed, and as speed at the same watts."""

from dataclasses import replace
from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.savings import watts_saved
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import Axis, Curves, Line, Plane
from dragwork.teaching.figures.style import QUANTITY, SET_UP, bare
from dragwork.teaching.panels.knobs import knob, signed
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

SPEEDS = units.kmh(np.linspace(0, 60, 121))


@model
def cut(drag_area_cut, power, gradient=0.0):
    """Tobin before and after a cut of his drag area, at one power and along all speeds.

    All SI; powers are at the crank.
    """
    before, road = TOBIN.rider, Conditions(gradient=gradient)
    after = replace(before, drag_area=before.drag_area * (1 - drag_area_cut))
    speed = steady_speed(before, road, power)
    return dict(
        speed_before=speed,
        speed_after=steady_speed(after, road, power),
        watts_saved=watts_saved(before, after, road, speed),
        powers_before=power_balance(before, road, SPEEDS).total,
        powers_after=power_balance(after, road, SPEEDS).total,
    )


_FASTER = bare(QUANTITY["total"], linewidth=4)
_EASIER = bare(QUANTITY["slope"], linewidth=4, linestyle="-")
PICTURE = partial(
    Curves,
    "Power against speed before and after a cut of the drag area",
    Plane(
        Axis("Speed on the road, km/h", "km/h", 0, 60),
        Axis("Power at the crank, W", "W", 0, 480),
        (
            Line(SPEEDS, "powers_before", bare(SET_UP["A"]), "before", sides=("left", "above left")),
            Line(
                SPEEDS, "powers_after", bare(SET_UP["C"]), "after", trace=True,
                sides=("right", "below right"),
            ),
            Line(
                "speed_before", lambda r: (r.power, r.power - r.watts_saved), _EASIER,
                lambda r: f"same speed: {signed(-r.watts_saved)} W",
                sides=("below right", "right", "below"),
            ),
            Line(
                lambda r: (r.speed_before, r.speed_after), "power", _FASTER,
                lambda r: f"same watts: {signed(units.to_kmh(r.speed_after - r.speed_before), 1)} km/h",
                sides=("above left", "above", "above right", "below right"),
            ),
            Line("speed_before", "power", SET_UP["A"]),
        ),
    ),
)  # fmt: skip


@sentence
def in_words(result):
    """At {power:.0f W} Tobin rides {speed_before:.1f km/h}; with {drag_area_cut:.0f %} less drag area
    {speed_after:.1f km/h}, {gain:.1f %} faster. Or he keeps his speed and saves {watts_saved:.1f W} at the crank,
    {share:.1f %} of his power."""
    return dict(gain=result.speed_after / result.speed_before - 1, share=result.watts_saved / result.power)


def two_ways():
    """The panel: turn the cut, the power and the slope. Reference: Tobin, 20 %, flat.

    Both steps are large enough to see; the lesson asks first what 10 % brings.
    """
    knobs = knob("drag_area_cut", reference=20), "power", knob("gradient", low=0)
    return Panel(knobs, cut, PICTURE(), in_words)
