"""Panel: one helmet, and all the watts that a seller can honestly print for it."""

from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.drag import drag_force
from dragwork.physics.power import Conditions
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.style import QUANTITY, bare
from dragwork.teaching.panels.knobs import Knob, knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

AIR_DENSITY = 1.2
AHEAD = 0.006  # m2 below a usual helmet, air from ahead; invented
BY_YAW = 0.00006  # m2 more for each square degree of yaw; invented
SPEEDS = units.kmh(np.linspace(25, 60, 141))
BASELINE = Knob("baseline", "Old helmet worse than usual by", "", "m2", 0, 0, 0.01, 0.001, 3)


@model
def printed(air_speed, yaw, baseline):
    """Watts printed of the helmet: force on the difference times the speed of the tunnel.

    What is printed [W in the air], what it comes to for Tobin, and the curves. SI.
    """
    drag_area = AHEAD + BY_YAW * units.to_deg(yaw) ** 2 + baseline
    own_speed = steady_speed(TOBIN.rider, Conditions(AIR_DENSITY), TOBIN.power)
    return dict(
        drag_area=drag_area,
        printed=_watts(drag_area, air_speed),
        own_speed=own_speed,
        own=_watts(AHEAD, own_speed),
        printed_curve=_watts(drag_area, SPEEDS),
        plain_curve=_watts(AHEAD, SPEEDS),
    )


def _watts(drag_area, air_speed):
    return drag_force(drag_area, AIR_DENSITY, air_speed) * air_speed


PICTURE = partial(
    Curves,
    "Watts that can honestly be printed for one helmet, against the speed of the test",
    Plane(
        Axis("Air speed of the test, km/h", "km/h", 25, 60),
        Axis("Watts printed, in the air", "W", -5, 70, range(0, 71, 10)),
        (
            Line(SPEEDS, "plain_curve", GUIDE, "still air, a usual helmet"),
            Line(SPEEDS, "printed_curve", bare(QUANTITY["air"]), trace=True),
            Line(
                "own_speed", "own", {**QUANTITY["total"], "markersize": 10},
                lambda r: f"Tobin: {r.own:.1f} W",
            ),
            Line("air_speed", "printed", QUANTITY["air"], lambda r: f"{r.printed:.1f} W"),
        ),
        guesses=at("air_speed"),
    ),
)  # fmt: skip


@sentence
def in_words(result):
    """The seller prints {printed:.1f W} of air power, tested at {air_speed:.1f km/h} and {yaw:.0f deg} of yaw against
    {against}. Tobin, with a usual helmet, without wind and at {own_speed:.1f km/h}, saves {own:.1f W} of air power.
    The seller's number is {times:.1f} times his."""
    worse = f"an old one, worse than usual by {result.baseline:.3f} m²"
    return dict(against=worse if result.baseline else "a usual helmet", times=result.printed / result.own)


def honest_claim():
    """The panel: turn the speed of the test, its yaw, and what the helmet is compared with."""
    speed = knob("air_speed", label="Air speed of the test", low=30, reference=40, high=60)
    yaw = knob("yaw", label="Yaw of the test", high=10)
    return Panel((speed, yaw, BASELINE), printed, PICTURE(), in_words, observed="printed")
