"""Panel: a lower position saves drag area and costs power. Where is the line of no gain?"""

from dataclasses import replace
from functools import partial

import numpy as np

from dragwork import units
from dragwork.decisions.options import power_worth
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import Axis, Curves, Line, Plane
from dragwork.teaching.figures.style import BEFORE, GREY, QUANTITY, QUIET_INK, bare
from dragwork.teaching.panels.knobs import Knob, knob, signed
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.panels.sentences import on_a_slope
from dragwork.teaching.telling import capital, sentence

DISTANCE = units.kilometres(40)
CUTS = units.percent(np.linspace(0, 20, 41))
LOST = Knob("power_lost", "Power lost holding it", "", "%", 0, 0, 15, 0.1, 1)


@model
def position(drag_area_cut, power_lost, gradient=0.0):
    """Tobin before and after, over 40 km: less drag area, less power.

    A position on the map, and the line where its seconds are gone. SI, fractions.
    """
    before, road = TOBIN.rider, Conditions(gradient=gradient)
    after = replace(before, drag_area=before.drag_area * (1 - drag_area_cut))
    was = steady_speed(before, road, TOBIN.power)
    now = steady_speed(after, road, TOBIN.power * (1 - power_lost))
    share = power_balance(before, road, was).air_share
    return dict(
        air_share=share,
        worth_here=power_worth(share, drag_area_cut),
        seconds=DISTANCE / was - DISTANCE / now,
        worth=power_worth(share, CUTS),
    )


def _worth(result):
    """What the cut is worth, where there is room between the point and the line."""
    if abs(result.power_lost - result.worth_here) < 0.003:
        return ""
    return f"worth {units.to_percent(result.worth_here):.1f} %\nof the power"


_SIDE = {"color": QUIET_INK, "linestyle": "None", "marker": "None"}
_GAIN = ("above left", "right", "left")
PICTURE = partial(
    Curves,
    "Drag area cut against power lost: above the line the position makes Tobin faster",
    Plane(
        Axis("Power lost holding the position, %", "%", 0, 20, range(0, 21, 5)),
        Axis("Drag area cut, %", "%", 0, 20, range(0, 21, 5)),
        (
            Line("worth", CUTS, bare(QUANTITY["total"]), "no gain", trace=True, sides=_GAIN),
            Line(
                lambda r: (r.power_lost, r.worth_here), "drag_area_cut",
                bare(QUANTITY["total"], color=GREY, linewidth=1.2, linestyle="--"),
            ),
            Line("power_lost", "drag_area_cut", {**QUANTITY["air"], "markersize": 10, "clip_on": False},
                 lambda r: f"{signed(r.seconds)} s"),
            Line("worth_here", "drag_area_cut", {**BEFORE, "linestyle": "None"}, _worth),
            Line(units.percent(0.2), units.percent(18.5), _SIDE, "faster", sides=("right",)),
            Line(units.percent(19.8), units.percent(1.5), _SIDE, "slower", sides=("left",)),
        ),
        guesses=lambda guess, result: (guess.value, guess.at["drag_area_cut"]),
    ),
)  # fmt: skip


@sentence
def in_words(result):
    """{slope} air takes {air_share:.1f %} of Tobin's power at the wheel, so a cut of {drag_area_cut:.0f %} is worth
    {worth_here:.1f %} of his power. {cost}, he {gained} {time:.0f} s over 40 km."""
    lost = units.to_percent(result.power_lost)
    return dict(
        slope=capital(on_a_slope(result.gradient)),
        cost=f"If he loses {lost:.1f} % of it" if lost >= 0.05 else "If it costs him no power",
        gained="saves" if result.seconds >= 0 else "loses",
        time=abs(result.seconds),
    )


def position_map():
    """The panel: turn the cut, the power lost and the slope. Reference: Tobin, 8 %, flat."""
    knobs = knob("drag_area_cut", reference=8, high=20), LOST, knob("gradient", low=0, high=8)
    return Panel(knobs, position, PICTURE(), in_words, observed="worth_here")
