"""Panel: how often each yaw comes, at one's own speed and in a place's wind."""

import numpy as np

from dragwork import units
from dragwork.physics.wind import (
    all_directions,
    apparent_wind,
    rayleigh_speeds,
    wind_at_height,
    yaw_distribution,
)
from dragwork.teaching.figures.yaw_day import YawDay
from dragwork.teaching.panels.knobs import Knob, knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

EDGES = units.deg(np.arange(-60, 61, 5.0))
RIDER_HEIGHT = 1.0  # m
MEASURED = units.deg(20)  # where most sheets end
STATION = Knob("station_wind", "Mean wind of the place, at 10 m", "", "m/s", 0.5, 4, 9, 0.1, 1)


@model
def day(ground_speed, station_wind):
    """Winds of a season (Rayleigh), from all directions alike, brought down to the rider.

    The yaws of many days, SI: shares of the time between edges; half of it within an angle.
    """
    rider_wind = float(wind_at_height(station_wind, RIDER_HEIGHT))
    winds, directions = rayleigh_speeds(rider_wind, 60)[:, None], all_directions(720)
    away = np.abs(apparent_wind(ground_speed, winds, directions).yaw)
    return dict(
        rider_wind=rider_wind,
        shares=yaw_distribution(ground_speed, winds, directions, edges=EDGES),
        half_within=float(np.median(away)),
        share_small=float(np.mean(away <= units.deg(5))),
        share_beyond=float(np.mean(away > MEASURED)),
    )


@sentence
def in_words(result):
    """With a mean wind of {station_wind:.1f m/s} at the mast, {rider_wind:.1f m/s} at a rider's height, a rider at
    {ground_speed:.1f km/h} has half the time a yaw within {half_within:.1f deg} on either side. It is within 5° for
    {share_small:.0f %} of the time, and beyond {measured:.0f deg} for {share_beyond:.0f %}."""
    return dict(measured=MEASURED)


def yaw_day(ground_speed=None):
    """The panel: turn your speed and the place's mean wind.

    Parameters
    ----------
    ground_speed : float [m/s], optional
        The speed at which it opens; by default the catalogue's.
    """
    speed = knob("ground_speed", step=0.1)
    if ground_speed is not None:
        speed = speed.starting_at(round(float(units.to_kmh(ground_speed)), 1))
    return Panel((speed, STATION), day, YawDay(EDGES), in_words, observed="half_within")
