"""Panel: the wind triangle of a rider, and the same wind for a slower and a faster one."""

import numpy as np

from dragwork import units
from dragwork.physics.wind import apparent_wind
from dragwork.teaching.figures.wind_triangle import WindTriangle
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

OTHERS = units.kmh(np.array([18.0, 48.0]))
SPEEDS = units.kmh(np.linspace(0.5, 60, 120))
STILL = 1e-6  # m/s; air as slow as that comes from nowhere


def yaw_of(apparent):
    """The yaw of an apparent wind [rad], nan where no air moves: then it has no direction."""
    return np.where(apparent.speed < STILL, np.nan, apparent.yaw)[()]


@model
def triangle(ground_speed, wind_speed, wind_angle):
    """The air that a rider feels, with the yaw of two other riders and along all speeds.

    What riders feel in one wind, SI; yaws are nan where no air moves past the rider.
    """
    felt = apparent_wind(ground_speed, wind_speed, wind_angle)
    return dict(
        air_speed=felt.speed,
        yaw=yaw_of(felt),
        along=felt.along,
        across=felt.across,
        other_speeds=OTHERS,
        other_yaws=yaw_of(apparent_wind(OTHERS, wind_speed, wind_angle)),
        speeds=SPEEDS,
        yaws=yaw_of(apparent_wind(SPEEDS, wind_speed, wind_angle)),
    )


@sentence
def in_words(result):
    """At {ground_speed:.1f km/h}, in {wind_speed:.1f m/s} of wind from {wind_angle:.0f deg} off straight ahead, {air}.
    In the same wind, {others}."""
    others = [
        f"at {units.to_kmh(speed):.0f} km/h " + ("no air moves" if np.isnan(yaw) else f"the yaw is {units.to_deg(yaw):.0f}°")
        for speed, yaw in zip(result.other_speeds, result.other_yaws)
    ]
    air = f"the apparent wind is {result.air_speed:.1f} m/s at a yaw of {units.to_deg(result.yaw):.1f}°"
    if np.isnan(result.yaw):
        air = "no air moves past the rider: the wind from behind is as fast as the rider"
    return dict(air=air, others=" and ".join(others))


def wind_triangle():
    """The panel: turn your speed, the wind and its angle. Reference: 5 m/s from 60°."""
    knobs = "ground_speed", knob("wind_speed", reference=5, high=10), knob("wind_angle", reference=60)
    return Panel(knobs, triangle, WindTriangle(), in_words, observed="yaw")
