"""Panel: in which sense a saving grows with speed, and in which it does not."""

from dataclasses import replace
from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.resistance import rolling_force, slope_force
from dragwork.physics.savings import watts_saved
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import GUIDE, ZERO, Axis, Curves, Line, Plane
from dragwork.teaching.figures.style import QUANTITY, bare
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.panels.sentences import on_a_slope
from dragwork.teaching.telling import sentence

CUT = units.percent(5)
DISTANCE = units.kilometres(10)
POWERS = np.geomspace(2, 2500, 120)
FASTEST = units.kmh(160)  # further right than the picture goes


@model
def savings(power, gradient=0.0, wind_speed=0.0):
    """Tobin's savings by a 5 % cut of his drag area; a wind below 0 comes from behind.

    What the cut saves at one power, and along all powers; SI, watts at the crank.
    """
    before = TOBIN.rider
    behind = np.pi if wind_speed < 0 else 0.0
    road = Conditions(gradient=gradient, wind_speed=abs(wind_speed), wind_angle=behind)
    after = replace(before, drag_area=before.drag_area * (1 - CUT))
    powers = np.append(POWERS, power)
    speeds, faster = (steady_speed(rider, road, powers) for rider in (before, after))
    watts = watts_saved(before, after, road, np.minimum(speeds, FASTEST))
    per_hour = units.hours(1) * (1 - speeds / faster)
    per_distance = DISTANCE / speeds - DISTANCE / faster
    return dict(
        air_share=power_balance(before, road, speeds[-1]).air_share,
        speed=speeds[-1],
        watts=watts[-1],
        per_hour=per_hour[-1],
        per_distance=per_distance[-1],
        pushed=bool(speeds[-1] < -wind_speed),
        peak_speed=_quarter_speed(before, road),
        powers=POWERS,
        speeds=speeds[:-1],
        watts_curve=watts[:-1],
        per_hour_curve=per_hour[:-1],
        per_distance_curve=per_distance[:-1],
    )


def _quarter_speed(rider, road):
    """The speed at which air takes a quarter of the power: the peak, in still air [m/s]."""
    constant = rolling_force(rider.all_up_mass, rider.rolling_coefficient, road.gradient)
    constant = constant + slope_force(rider.all_up_mass, road.gradient)
    air = road.air_density * rider.drag_area / 2
    return np.sqrt(max(constant, 0) / (3 * air))


def _in_still_air(value):
    """A field of the result, where there is no wind: in wind the quarter is not where the peak is."""
    return lambda result: None if result.wind_speed else getattr(result, value)


def _guessed(guess, result):
    """Where a prediction is marked, while slope and wind are those it is for."""
    if (guess.at["gradient"], guess.at["wind_speed"]) != (result.gradient, result.wind_speed):
        return None
    return np.interp(guess.at["power"], result.powers, result.speeds), guess.value


def _plane(field, title, unit, top, *lines, below="", guesses=None):
    said = (lambda r: f"{r.watts:.1f} W") if unit == "W" else (lambda r: f"{getattr(r, field):.0f} s")
    return Plane(
        Axis(below, "km/h", 0, 60, None if below else dict.fromkeys(range(0, 61, 10), "")),
        Axis(title, unit, -top / 4, top, (0, top // 2, top)),
        (
            Line(None, 0.0, ZERO),
            Line("speeds", f"{field}_curve", bare(QUANTITY["air"]), trace=True),
            *lines,
            Line("speed", field, QUANTITY["air"], lambda r: said(r).replace("-", "−")),
        ),
        guesses,
    )


PICTURE = partial(
    Curves,
    "Watts, seconds an hour and seconds over 10 km saved by the same cut, against speed",
    _plane("watts", "Watts saved at the crank, at the same speed", "W", 60),
    _plane(
        "per_hour", "Seconds saved in each hour, at the same power", "s", 80,
        Line(None, units.hours(1) * CUT / 3, GUIDE, "a third of the cut"),
    ),
    _plane(
        "per_distance", "Seconds saved over 10 km, at the same power", "s", 80,
        Line(_in_still_air("peak_speed"), None, GUIDE, "air takes ¼ of the power"),
        below="Steady speed of the rider, km/h", guesses=_guessed,
    ),
    height=4.1, hspace=0.62, top=0.915, bottom=0.13,
)  # fmt: skip


@sentence
def in_words(result):
    """At {power:.0f W} {slope}{air} Tobin rides {speed:.1f km/h}{where}. {cut:.0f %} less drag area {does}
    {gained:.1f} W at the crank, or {hourly:.0f} s in each hour, or {over:.1f} s over 10 km."""
    wind = f"a {'tail' if result.wind_speed < 0 else 'head'}wind of {abs(result.wind_speed):.1f} m/s"
    sign = -1 if result.pushed else 1
    share = f"; air takes {units.to_percent(result.air_share):.0f} % of the power"
    return dict(
        slope=on_a_slope(result.gradient, "on"),
        air=f" in {wind}" if result.wind_speed else "",
        where=", slower than the wind, which pushes him" if result.pushed else share,
        cut=CUT,
        does="costs" if result.pushed else "saves",
        gained=sign * result.watts,
        hourly=sign * result.per_hour,
        over=sign * result.per_distance,
    )


def savings_by_speed():
    """The panel: turn power, slope and wind. Reference: Tobin on the flat in still air."""
    wind = knob("wind_speed", label="Headwind (tailwind below 0)", low=-6, high=6)
    knobs = "power", knob("gradient", low=0), wind
    return Panel(knobs, savings, PICTURE(), in_words, observed="per_distance")
