"""Panel: less drag area or less mass, over the gradient."""

from dataclasses import replace
from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions
from dragwork.physics.savings import time_saved
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane
from dragwork.teaching.figures.style import QUANTITY, bare
from dragwork.teaching.panels.knobs import Knob, knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

DISTANCE = units.kilometres(10)
GRADIENTS = units.percent(np.linspace(0, 10, 51))
AREA = Knob("drag_area_saved", "Drag area saved", "", "m2", 0.002, 0.010, 0.030, 0.001, 3)
MASS = Knob("mass_saved", "Mass saved on the bicycle", "", "kg", 0.1, 1, 3, 0.1, 1)


@model
def choice(drag_area_saved, mass_saved, power):
    """Tobin with less drag area, or with less mass, at the same power.

    Seconds by each, over the gradients; `balance`, where they are the same, nan where they never are. SI.
    """
    rider, roads = TOBIN.rider, Conditions(gradient=GRADIENTS)
    low = replace(rider, drag_area=rider.drag_area - drag_area_saved)
    light = replace(rider, all_up_mass=rider.all_up_mass - mass_saved)
    by_drag, by_mass = (
        time_saved(rider, after, roads, power, DISTANCE) for after in (low, light)
    )
    return dict(
        by_drag=by_drag,
        by_mass=by_mass,
        balance=crossing(GRADIENTS, by_drag - by_mass),
    )


def crossing(x, y):
    """Where y goes through 0, by straight line between two of its points."""
    through = np.flatnonzero((y[:-1] > 0) & (y[1:] <= 0))
    if not len(through):
        return np.nan
    i = through[0]
    return float(x[i] + (x[i + 1] - x[i]) * y[i] / (y[i] - y[i + 1]))


PICTURE = partial(
    Curves,
    "Seconds saved over 10 km by less drag area and by less mass, against the gradient",
    Plane(
        Axis("Gradient, %", "%", 0, 10),
        Axis("Seconds saved over 10 km, at the same power", "s", 0, 150),
        (
            Line(
                "balance", None, GUIDE, lambda r: "" if np.isnan(r.balance) else f"even at {units.to_percent(r.balance):.1f} %",
                sides=("right", "left"),
            ),
            Line(GRADIENTS, "by_drag", bare(QUANTITY["air"]), "less drag area", trace=True),
            Line(GRADIENTS, "by_mass", bare(QUANTITY["slope"]), "less mass", trace=True),
        ),
    ),
)  # fmt: skip


@sentence
def in_words(result):
    """At {power:.0f W} on the flat {drag_area_saved:.3f m2} less drag area saves Tobin {drag:.0f} s over 10 km,
    {mass_saved:.1f kg} less {mass:.1f} s. {where}"""
    first = "drag area" if result.by_drag[-1] > result.by_mass[-1] else "mass"
    where = f"From 0 to 10 % the {first} saves more all the way."
    if not np.isnan(result.balance):
        where = f"They are even at {units.to_percent(result.balance):.1f} %; steeper, mass leads."
    return dict(drag=result.by_drag[0], mass=result.by_mass[0], where=where)


def drag_or_mass():
    """The panel: turn the drag area, the mass and the power. Reference: Tobin, 0.010 m2, 1 kg."""
    return Panel((AREA, MASS, knob("power", low=90, high=400)), choice, PICTURE(), in_words)
