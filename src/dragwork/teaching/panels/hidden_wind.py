"""Panel: what a hidden wind and slope do to a road test, one way and in pairs."""

from dataclasses import replace
from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, power_balance
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.legs import LOOKS, WORDS
from dragwork.teaching.figures.style import GREY, bare
from dragwork.teaching.panels.knobs import Knob, knob, signed
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

SPEEDS = units.kmh(np.linspace(15, 60, 91))
HEAD_WIND = Knob("head_wind", "Hidden wind, against you on the way out", "w", "m/s", 0, 0, 2, 0.1, 1)


@model
def tested_twice(head_wind, gradient, ground_speed, rider=TOBIN.rider):
    """Ride out and back at one speed, and work out the drag area as if wind and slope were 0.

    A road test as an analyst sees it who notes neither wind nor slope. SI.

    apparent: drag area by 'out', 'back' and 'pair' at the ground speed; curves: at all speeds.
    """
    return dict(
        truth=rider.drag_area,
        apparent=_apparent(head_wind, gradient, ground_speed, rider),
        speeds=SPEEDS,
        curves=_apparent(head_wind, gradient, SPEEDS, rider),
    )


def _apparent(head_wind, gradient, ground_speed, rider):
    out = power_balance(rider, Conditions(1.2, head_wind, 0.0, gradient), ground_speed).wheel
    back = power_balance(rider, Conditions(1.2, head_wind, np.pi, -gradient), ground_speed).wheel
    # At the wheel, where a leg that is coasted counts as what it is: negative.
    legs = {"out": out, "back": back, "pair": (out + back) / 2}
    rolling = power_balance(replace(rider, drag_area=0.0), Conditions(1.2), ground_speed).wheel
    air = power_balance(replace(rider, drag_area=1.0, rolling_coefficient=0.0), Conditions(1.2), ground_speed)
    return {leg: (power - rolling) / air.wheel for leg, power in legs.items()}


_TRUTH = {"color": GREY, "linestyle": "-", "linewidth": 5.0, "marker": "None", "alpha": 0.35}
_APART = 0.02  # m2; marks nearer than this to each other share one number


def _number(leg):
    """What is written at a mark: its drag area, unless it shares the number of the pair."""

    def said(result):
        area, both = result.apparent[leg], result.apparent["pair"]
        return f"{area:.3f}" if leg == "pair" or abs(area - both) > _APART else ""

    return said


def _leg_lines(leg, look):
    return (
        Line("speeds", lambda r: r.curves[leg], bare(look), WORDS[leg], trace=True),
        Line("ground_speed", lambda r: r.apparent[leg], look, _number(leg)),
    )


PICTURE = partial(
    Curves,
    "Apparent drag area over speed: out alone, back alone, both averaged, and the truth",
    Plane(
        Axis("Speed on the road, km/h", "km/h", 15, 60),
        Axis("Apparent drag area, m²", "m2", 0.15, 0.65),
        (
            Line(None, "truth", _TRUTH, "the truth"),
            *(line for leg, look in LOOKS.items() for line in _leg_lines(leg, look)),
        ),
        guesses=at("ground_speed"),
    ),
)


@sentence
def in_words(result):
    """At {ground_speed:.1f km/h}, with a hidden wind of {head_wind:.1f m/s} against you on the way out and a hidden
    slope of {gradient:.2f %}: the way out alone gives {out:.3f m2} ({out_off}), the way back alone {back:.3f m2}
    ({back_off}), both averaged {pair:.4f m2} ({pair_off}). The truth is {truth:.3f m2}."""
    apparent = result.apparent
    off = {f"{leg}_off": f"{signed(units.to_percent(a / result.truth - 1), 1)} %" for leg, a in apparent.items()}
    return apparent | off


def hidden_wind():
    """The panel: turn a wind and a slope that the analyst does not know, and the speed."""
    speed = knob("ground_speed", low=15, reference=39.6, step=0.1)
    slope = knob("gradient", label="Hidden slope of the road, up on the way out", low=-0.3, high=0.3, step=0.05, digits=2)
    return Panel(
        (HEAD_WIND, slope, speed), tested_twice, PICTURE(), in_words, observed=lambda result: result.apparent["out"],
    )  # fmt: skip
