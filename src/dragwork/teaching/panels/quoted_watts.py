"""Panel: a saving quoted in watts at one speed, taken to the learner's own speed and wind."""

from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.savings import drag_area_behind
from dragwork.scenario.riders import ROSALIND
from dragwork.teaching.figures.curves import GUIDE, ZERO, Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.style import QUANTITY, bare
from dragwork.teaching.panels.knobs import Knob, knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.panels.sentences import into_wind
from dragwork.teaching.telling import sentence

QUOTED_SPEED = units.kmh(50)
SPEEDS = units.kmh(np.linspace(0, 60, 121))
QUOTED = Knob("quoted", "Watts quoted at 50 km/h", "", "W", 2, 20, 40, 1, 0)


@model
def quoted_saving(quoted, ground_speed, wind_speed=0.0):
    """Take watts quoted in still air to another speed and headwind.

    A quoted saving, the drag area behind it, and what it comes to elsewhere. All SI, wheel.
    """
    drag_area = drag_area_behind(quoted, Conditions(), QUOTED_SPEED)
    item, wind = Rider(ROSALIND.rider.all_up_mass, drag_area), Conditions(wind_speed=wind_speed)
    return dict(
        drag_area=drag_area,
        saving=power_balance(item, wind, ground_speed).air,
        savings=power_balance(item, wind, SPEEDS).air,
    )


PICTURE = partial(
    Curves,
    "Watts saved at each speed by the same change of drag area",
    Plane(
        Axis("Speed on the road, km/h", "km/h", 0, 60),
        Axis("Watts saved at the wheel", "W", -7.5, 60),
        (
            Line(None, 0.0, ZERO),
            Line(None, "quoted", GUIDE, "the same watts everywhere"),
            Line(SPEEDS, lambda r: r.quoted * SPEEDS / QUOTED_SPEED, GUIDE, "in proportion to speed"),
            Line(SPEEDS, "savings", bare(QUANTITY["air"]), trace=True),
            Line(QUOTED_SPEED, "quoted", {**QUANTITY["total"], "markersize": 10}, "quoted here"),
            Line("ground_speed", "saving", QUANTITY["air"], lambda r: f"{r.saving:.1f} W"),
        ),
        guesses=at("ground_speed"),
    ),
)


@sentence
def in_words(result):
    """At {ground_speed:.1f km/h}{air} the same {drag_area:.4f m2} saves {saving:.1f W} at the wheel, {share:.0f %}
    of the {quoted:.0f W} quoted at {at:.0f km/h}."""
    air = into_wind(result.wind_speed) or " in still air"
    return dict(air=air, share=result.saving / result.quoted, at=QUOTED_SPEED)


def quoted_watts():
    """The panel: turn your speed, the wind and the quoted watts. It opens where they were quoted."""
    knobs = knob("ground_speed", reference=50, step=0.1), knob("wind_speed", label="Headwind"), QUOTED
    return Panel(knobs, quoted_saving, PICTURE(), in_words, observed="saving")
