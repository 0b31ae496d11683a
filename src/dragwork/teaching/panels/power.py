"""Panels of lessons 2 and 3: what the air takes at a speed, and where the watts of a rider go."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, Rider, air_force, power_balance
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane, at, curve, plot
from dragwork.teaching.figures.style import BEFORE, BLACK, GREY, PREDICTION, QUANTITY, bare
from dragwork.teaching.panels.knobs import into_wind, knob, on_a_slope
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

SPEEDS = units.kmh(np.linspace(0, 60, 121))
_AIR = QUANTITY["air"]


@model(ground_speed=SPEEDS)
def air_power(drag_area, ground_speed, wind_speed=0.0):
    """Air power at the wheel [W]."""
    rider = Rider(all_up_mass=84.0, drag_area=drag_area)
    return dict(air_power=power_balance(rider, Conditions(wind_speed=wind_speed), ground_speed).air)


def watts_curve():
    """The panel: turn drag area, speed and headwind, and watch the air power."""
    sides = ("above left", "above right", "below right")
    picture = plot(
        "Air power against speed",
        Axis("Speed on the road, km/h", "km/h", 0, 60),
        Axis("Air power at the wheel, W", "W", 0, 1000),
        *curve("ground_speed", "air_power", _AIR, "{air_power:.0f W}", drop=True, sides=sides),
        guesses=at("ground_speed"),
    )
    knobs = "drag_area", "ground_speed", knob("wind_speed", label="Headwind")
    return Panel(knobs, air_power, picture, air_power_in_words, observed="air_power")


@sentence
def air_power_in_words(result):
    """At {ground_speed:.1f km/h}{air} a drag area of {drag_area:.3f m2} takes {air_power:.0f W} of air power at the
    wheel."""
    return dict(air=into_wind(result.wind_speed))


# -- squares and cubes ----------------------------------------------------------------------------------


@model(ground_speed=units.kmh(np.geomspace(4, 100, 100)))
def scaling(ground_speed, drag_area=TOBIN.rider.drag_area, wind_speed=0.0):
    """Push and power of the air at a speed, and at half of it; SI, at the wheel.

    `force_ratio` and `power_ratio` are how many times those at half the speed; `as_typed` is the
    power that a learner gets who puts km/h where m/s belong.
    """
    rider, wind = Rider(TOBIN.rider.all_up_mass, drag_area), Conditions(wind_speed=wind_speed)
    force, half_force = (air_force(rider, wind, speed)[0] for speed in (ground_speed, ground_speed / 2))
    power, half_power = force * ground_speed, half_force * ground_speed / 2
    return dict(
        force=force,
        power=power,
        half_force=half_force,
        half_power=half_power,
        force_ratio=force / half_force,
        power_ratio=power / half_power,
        as_typed=power * units.to_kmh(1.0) ** 3,
    )


class _WithYourWorld(Curves):
    """Through the last guess goes its world: the cubic of a learner for whom it is true."""

    def update(self, result, before=None, predictions=()):
        told = [guess for guess in predictions if guess.value > 0]
        super().update(SimpleNamespace(**vars(result) | {"guess": told[-1] if told else None}), before, told)


def _your_world(result):
    guess = getattr(result, "guess", None)
    return guess and guess.value * (result.along.ground_speed / guess.at["ground_speed"]) ** 3


def squares_and_cubes():
    """The panel: turn speed, drag area and headwind. Predictions are watts at a speed.

    On its axes a power law is a straight line.
    """
    push = {"color": BLACK, "linestyle": "-.", "linewidth": 1.8, "marker": "s"}
    your_world = bare(PREDICTION, linestyle=(0, (4, 2)), linewidth=1.4)
    speeds = "along.ground_speed"
    picture = _WithYourWorld(
        "Push and power of the air against speed, on logarithmic axes",
        Plane(
            Axis("Speed on the road, km/h; each mark is a doubling", "km/h", 4, 100, (5, 10, 20, 40, 80), log=True),
            Axis("Push, N, and power at the wheel, W; marks are × 10", "1", 0.1, 200_000,
                 tuple(10.0**n for n in range(-1, 6)), log=True),
            Line(speeds, "along.as_typed", GUIDE, "power with km/h cubed"),
            Line(speeds, _your_world, your_world, "the world of this guess"),
            Line(speeds, "along.force", bare(push), "push, N", sides=("below right", "below")),
            Line(speeds, "along.power", bare(_AIR), "power, W", trace=True),
            Line(lambda r: [r.ground_speed / 2, r.ground_speed, r.ground_speed],
                 lambda r: [r.half_force, r.half_force, r.force], bare(push, linewidth=1, linestyle="-")),
            Line(lambda r: [r.ground_speed / 2, r.ground_speed / 2, r.ground_speed],
                 lambda r: [r.half_power, r.power, r.power], bare(_AIR, linewidth=1)),
            Line("ground_speed", "force", push),
            Line("ground_speed", "power", _AIR),
            Line("ground_speed", lambda r: (r.half_force * r.force) ** 0.5, bare(push), "× {force_ratio:.1f}",
                 sides=("right",)),
            Line(lambda r: r.ground_speed / 2, lambda r: (r.half_power * r.power) ** 0.5, bare(_AIR),
                 "× {power_ratio:.1f}", sides=("left", "right")),
            guesses=at("ground_speed"),
        ),
        height=4.1, left=0.14,
    )  # fmt: skip
    knobs = knob("ground_speed", reference=20), "drag_area", knob("wind_speed", label="Headwind", high=6)
    return Panel(knobs, scaling, picture, scaling_in_words, observed="power")


@sentence
def scaling_in_words(result):
    """At {ground_speed:.1f km/h}{air} the air pushes {drag_area:.3f m2} with {force:.1f N} and takes {power:.0f W} at
    the wheel. Against {half:.1f km/h} that is {force_ratio:.1f} times the push and {power_ratio:.1f} times the
    power."""
    return dict(air=into_wind(result.wind_speed), half=result.ground_speed / 2)


# -- where the watts go ---------------------------------------------------------------------------------

OPENS_AT = units.kmh(36)
_LEAST, _MOST = -600, 800  # W, the axis of the bars
# Field of the balance: name on the page, look. From top to bottom.
_CAUSES = {
    "air": ("air", _AIR),
    "rolling": ("tyres", QUANTITY["rolling"]),
    "slope": ("slope", QUANTITY["slope"]),
    "drivetrain": ("drivetrain", QUANTITY["losses"]),
    "total": ("crank", QUANTITY["total"]),
}


def watt_bars(member=TOBIN, speed=OPENS_AT):
    """The panel for a member, or for `my_rider()`: turn speed, gradient and mass.

    Parameters
    ----------
    member : Member
    speed : float [m/s]
        At which it opens.
    """
    rider = member.rider

    @model(ground_speed=SPEEDS)
    def watts(ground_speed, gradient=0.0, all_up_mass=rider.all_up_mass):
        """The power balance .here, at one speed, and .along all speeds."""
        loaded, road = replace(rider, all_up_mass=all_up_mass), Conditions(gradient=gradient)
        return dict(here=power_balance(loaded, road, ground_speed))

    names = {place: name for place, (name, _) in enumerate(_CAUSES.values())}
    picture = Curves(
        "Where the watts go, as bars at one speed and as curves over speed",
        Plane(
            Axis("below 0 they push", "W", _LEAST, _MOST, (0, 500)),
            Axis("Watts at this speed", "1", len(_CAUSES) - 0.4, -0.6, names),
            Line(0.0, None, {"color": BLACK, "linewidth": 1.2}),
            *(line for place, (cause, (_, look)) in enumerate(_CAUSES.items())
              for line in _bar(place, cause, look)),
            share=5,
        ),
        Plane(
            Axis("Speed on the road, km/h", "km/h", 0, 60),
            Axis("Watts at each speed", "W", -250, 1000),
            Line(None, 0.0, {"color": BLACK, "linewidth": 1.0}),
            Line("ground_speed", None, {"color": GREY, "linewidth": 1}),
            *(Line(SPEEDS, _along(cause), bare(look), name) for cause, (name, look) in _CAUSES.items()),
            *(Line("ground_speed", f"here.{cause}", look) for cause, (_, look) in _CAUSES.items()),
            guesses=at("ground_speed"),
            share=5,
        ),
        across=True, wspace=0.95, left=0.155,
    )  # fmt: skip
    start = knob("ground_speed").starting_at(round(float(units.to_kmh(speed)), 2))
    mass = knob("all_up_mass").starting_at(float(rider.all_up_mass))
    return Panel((start, knob("gradient", high=8), mass), watts, picture, watts_in_words, observed="here.total")


def _bar(place, cause, look):
    """A bar, where its end was before, and its watts in a column at the right."""

    def reading(result):
        watts = getattr(result.here, cause)
        beyond = " →" if watts > _MOST else " ←" if watts < _LEAST else ""
        braked = "\nbrakes" if cause == "total" and watts < 0 else ""
        return f"{watts:.0f} W{beyond}{braked}"

    thick = bare(look, linestyle="-", linewidth=15, solid_capstyle="butt")
    unseen, end = {**BEFORE, "linestyle": "None"}, f"here.{cause}"
    return (
        Line(lambda r: (0, getattr(r.here, cause)), place, thick),
        Line(end, (place - 0.45, place + 0.45), unseen, trace=True),
        Line(_MOST, place, bare(look, linewidth=0), reading, sides=("right",)),
    )


def _along(cause):
    """Watts of a cause at all speeds; nothing where it is zero throughout."""

    def watts(result):
        found = getattr(result.along.here, cause)
        return found if np.any(found) else None

    return watts


@sentence
def watts_in_words(result):
    """At {ground_speed:.1f km/h} {road}, {all_up_mass:.0f kg} all up, {parts} {end}"""
    here, slope = result.here, units.to_percent(result.gradient)
    takes = f"air takes {here.air:.0f} W, tyres {here.rolling:.0f} W"
    parts = f"the slope gives {-here.slope:.0f} W at the wheel; {takes}."
    end = f"With {here.drivetrain:.0f} W of drivetrain loss the crank gives {here.total:.0f} W."
    if here.slope >= 0:
        parts = f"{takes} and the slope {here.slope:.0f} W, all at the wheel."
        end += f" Air takes {units.to_percent(here.air_share):.0f} % of the power at the wheel."
    elif here.total < 0:
        end = f"The brakes take what is left, {-here.total:.0f} W."
    elif here.air > here.total:
        end += " Air takes more than the rider gives, because the slope helps."
    road = f"on a slope of {abs(slope):.1f} % {'up' if slope > 0 else 'down'}" if slope else "on a flat road"
    return dict(road=road, parts=parts, end=end)


# -- the share of the air -------------------------------------------------------------------------------

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
    *shares, here = power_balance(rider, roads, speeds).air_share
    half = np.interp(-HALF, -np.array(shares), GRADIENTS, left=np.nan, right=np.nan)
    return dict(speed=speeds[-1], air_share=here, half=half, shares=shares)


def air_share():
    """The panel: turn power, gradient and mass. Predictions are the gradient of one half."""
    half = {**QUANTITY["total"], "markersize": 10, "markeredgewidth": 2}
    picture = plot(
        "Air share of the power against the gradient, at one power",
        Axis("Gradient, %", "%", 0, 8),
        Axis("Air share of the power at the wheel, %", "%", 0, 100),
        Line(None, HALF, GUIDE, "half the power", sides=("above left",)),
        Line("half", lambda r: (0, HALF), bare(half, linewidth=1, linestyle=":")),
        Line(GRADIENTS, "shares", bare(_AIR), trace=True),
        Line("half", HALF, half, "half at {half:.1f %}"),
        Line("gradient", "air_share", _AIR, "{air_share:.0f %}"),
        guesses=lambda guess, result: (guess.value, HALF),
    )
    knobs = "power", knob("gradient", low=0, high=8, step=0.1), "all_up_mass"
    return Panel(knobs, share, picture, share_in_words, observed="half")


@sentence
def share_in_words(result):
    """At {power:.0f W} {road}, {all_up_mass:.0f kg} all up, Tobin rides {speed:.1f km/h} and air takes
    {air_share:.0f %} of the power at the wheel. It takes {where}."""
    half = f"half at a slope of {units.to_percent(result.half):.1f} %"
    where = "less than half already on the flat" if np.isnan(result.half) else half
    return dict(road=on_a_slope(result.gradient, "on a slope of"), where=where)
