"""Panel: the push of the air and its power over speed, on axes where a power law is a straight line."""

from functools import partial
from types import SimpleNamespace

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, Rider, air_force
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.style import BLACK, PREDICTION, QUANTITY, bare
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.panels.sentences import into_wind
from dragwork.teaching.telling import sentence

SPEEDS = units.kmh(np.geomspace(4, 100, 100))


@model
def scaling(ground_speed, drag_area=TOBIN.rider.drag_area, wind_speed=0.0):
    """What the air does to a drag area at a speed, and at half of it.

    Push and power of the air at a speed, at half of it, and over all speeds; SI, at the wheel.

    `force_ratio` and `power_ratio` are how many times those at half the speed; `as_typed` is the
    power that a learner gets who puts km/h where m/s belong; `guess` is the prediction whose world the
    picture shows.
    """
    rider = Rider(TOBIN.rider.all_up_mass, drag_area)
    speeds = np.append(SPEEDS, [ground_speed / 2, ground_speed])
    forces, _ = air_force(rider, Conditions(wind_speed=wind_speed), speeds)
    powers = forces * speeds
    return dict(
        force=forces[-1],
        power=powers[-1],
        half_force=forces[-2],
        half_power=powers[-2],
        force_ratio=forces[-1] / forces[-2],
        power_ratio=powers[-1] / powers[-2],
        guess=None,
        as_typed=powers[:-2] * units.to_kmh(1.0) ** 3,
        speeds=speeds[:-2],
        forces=forces[:-2],
        powers=powers[:-2],
    )


_PUSH = {"color": BLACK, "linestyle": "-.", "linewidth": 1.8, "marker": "s"}
_YOUR_WORLD = bare(PREDICTION, linestyle=(0, (4, 2)), linewidth=1.4)


class _WithYourWorld(Curves):
    """Through the last guess goes its world: the cubic of a learner for whom it is true."""

    def update(self, result, before=None, predictions=()):
        told = [guess for guess in predictions if guess.value > 0]
        super().update(SimpleNamespace(**vars(result) | {"guess": told[-1] if told else None}), before, told)


def _your_world(result):
    if result.guess is None:
        return None
    return result.guess.value * (result.speeds / result.guess.at["ground_speed"]) ** 3


def _halfway(low, high):
    return lambda result: (getattr(result, low) * getattr(result, high)) ** 0.5


PICTURE = partial(
    _WithYourWorld,
    "Push and power of the air against speed, on logarithmic axes",
    Plane(
        Axis("Speed on the road, km/h; each mark is a doubling", "km/h", 4, 100, (5, 10, 20, 40, 80), log=True),
        Axis("Push, N, and power at the wheel, W; marks are × 10", "1", 0.1, 200_000,
             tuple(10.0**n for n in range(-1, 6)), log=True),
        (
            Line("speeds", "as_typed", GUIDE, "power with km/h cubed"),
            Line("speeds", _your_world, _YOUR_WORLD, "the world of this guess"),
            Line("speeds", "forces", bare(_PUSH), "push, N", sides=("below right", "below")),
            Line("speeds", "powers", bare(QUANTITY["air"]), "power, W", trace=True),
            Line(lambda r: [r.ground_speed / 2, r.ground_speed, r.ground_speed],
                 lambda r: [r.half_force, r.half_force, r.force], bare(_PUSH, linewidth=1, linestyle="-")),
            Line(lambda r: [r.ground_speed / 2, r.ground_speed / 2, r.ground_speed],
                 lambda r: [r.half_power, r.power, r.power], bare(QUANTITY["air"], linewidth=1)),
            Line("ground_speed", "force", _PUSH),
            Line("ground_speed", "power", QUANTITY["air"]),
            Line("ground_speed", _halfway("half_force", "force"), bare(_PUSH),
                 lambda r: f"× {r.force_ratio:.1f}", sides=("right",)),
            Line(lambda r: r.ground_speed / 2, _halfway("half_power", "power"), bare(QUANTITY["air"]),
                 lambda r: f"× {r.power_ratio:.1f}", sides=("left", "right")),
        ),
        guesses=at("ground_speed"),
    ),
    height=4.1, left=0.14,
)  # fmt: skip


@sentence
def in_words(result):
    """At {ground_speed:.1f km/h}{air} the air pushes {drag_area:.3f m2} with {force:.1f N} and takes {power:.0f W} at
    the wheel. Against {half:.1f km/h} that is {force_ratio:.1f} times the push and {power_ratio:.1f} times the
    power."""
    return dict(air=into_wind(result.wind_speed), half=result.ground_speed / 2)


def squares_and_cubes():
    """The panel: turn speed, drag area and headwind. Predictions are watts at a speed."""
    knobs = knob("ground_speed", reference=20), "drag_area", knob("wind_speed", label="Headwind", high=6)
    return Panel(knobs, scaling, PICTURE(), in_words, observed="power")
