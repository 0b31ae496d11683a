"""Panels of lesson 7: the wind that a rider feels, what it does to the gap of two set-ups, and how often it comes."""

from dataclasses import replace

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.wind import (
    all_directions,
    apparent_wind,
    rayleigh_speeds,
    wind_at_height,
    yaw_distribution,
)
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.wheels import WHEELS
from dragwork.teaching.figures.curves import GUIDE, ZERO, Axis, Curves, Line, Plane, at, plot
from dragwork.teaching.figures.style import BEFORE, BLUE, QUANTITY, SET_UP, bare
from dragwork.teaching.figures.wind_triangle import triangle_picture
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

OTHERS = units.kmh(np.array([18.0, 48.0]))
STILL = 1e-6  # m/s; air as slow as that comes from nowhere


def yaw_of(apparent):
    """The yaw of an apparent wind [rad], nan where no air moves: then it has no direction."""
    return np.where(apparent.speed < STILL, np.nan, apparent.yaw)[()]


@model(ground_speed=units.kmh(np.linspace(0.5, 60, 120)))
def triangle(ground_speed, wind_speed, wind_angle):
    """The air that a rider feels, and the yaw of two other riders in the same wind.

    SI; tip: where the wind's arrow begins, along the road and across it, seen from where it ends; yaws are
    nan where no air moves past the rider.
    """
    felt = apparent_wind(ground_speed, wind_speed, wind_angle)
    return dict(
        air_speed=felt.speed,
        yaw=yaw_of(felt),
        tip=(felt.along - ground_speed, -felt.across),
        other_speeds=OTHERS,
        other_yaws=yaw_of(apparent_wind(OTHERS, wind_speed, wind_angle)),
    )


def wind_triangle():
    """The panel: turn your speed, the wind and its angle. Reference: 5 m/s from 60°."""
    knobs = "ground_speed", knob("wind_speed", reference=5, high=10), knob("wind_angle", reference=60)
    return Panel(knobs, triangle, triangle_picture(), triangle_in_words, observed="yaw")


@sentence
def triangle_in_words(result):
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


# -- the gap between two set-ups ------------------------------------------------------------------------


def gap_between(curves):
    """The model for two set-ups: a function of ground speed, wind speed and wind angle."""
    riders = [replace(TOBIN.rider, drag_area=curve) for curve in curves.values()]

    def saved(ground_speed, wind_speed, angles):
        wind = Conditions(wind_speed=wind_speed, wind_angle=angles)
        first, second = (power_balance(rider, wind, ground_speed) for rider in riders)
        return first.air - second.air, first.beyond_yaw | second.beyond_yaw

    @model(wind_angle=units.deg(np.arange(0, 181, 2.0)))
    def gap(ground_speed, wind_speed, wind_angle):
        """Watts of air that the second set-up saves at the wheel, and the drag areas behind; SI.

        `drag_areas` at this yaw, none where no air moves; `mean_saved` over all directions of the wind alike,
        `share_beyond` of which lie beyond the measured yaw.
        """
        yaw = yaw_of(apparent_wind(ground_speed, wind_speed, wind_angle))
        here, beyond = saved(ground_speed, wind_speed, wind_angle)
        everywhere, unmeasured = saved(ground_speed, wind_speed, all_directions())
        return dict(
            yaw=yaw,
            beyond=beyond & np.isfinite(yaw),
            drag_areas=[curve.extended(yaw) for curve in curves.values()] if np.all(np.isfinite(yaw)) else [],
            saved=here,
            calm_saved=saved(ground_speed, 0.0, 0.0)[0],
            mean_saved=everywhere.mean(),
            share_beyond=unmeasured.mean(),
        )

    return gap


def crosswind_gap():
    """The panel: turn your speed, the wind and its angle; two pairs of wheels, invented.

    Drag area over yaw above, watts over the wind's angle below; the lower of a claim comes second.
    """
    every = np.concatenate([curve.drag_area for curve in WHEELS.values()])
    low, high = every.min() - 0.25 * np.ptp(every), every.max() + 0.25 * np.ptp(every)
    looks, (*_, (second, last)) = (SET_UP["A"], SET_UP["C"]), WHEELS.items()
    ring = {"marker": "o", "markersize": 15, "fillstyle": "none", "linestyle": "None"}

    def area(row):
        return lambda r: None if r.beyond or not r.drag_areas else r.drag_areas[row]

    picture = Curves(
        "Drag area of two set-ups against yaw, and the watts between them against wind angle",
        Plane(
            Axis("Yaw, degrees", "deg", 0, 40),
            Axis("Drag area, m²", "m2", low, high),
            Line(last.yaw[-1], None, GUIDE, "not measured beyond here", sides=("right",)),
            Line("yaw", None, bare(BEFORE, linestyle="-", linewidth=1.2)),
            *(Line(curve.yaw, curve.drag_area, look, name) for (name, curve), look in zip(WHEELS.items(), looks)),
            *(Line("yaw", area(row), {**look, **ring}) for row, look in enumerate(looks)),
            Line("yaw", high, bare(BEFORE, linewidth=0), "yaw {yaw:.0f deg}",
                 sides=("right", "left", "below right", "below left")),
        ),
        Plane(
            Axis("Where the wind comes from: 0° ahead, 180° behind", "deg", 0, 180, range(0, 181, 30)),
            Axis(f"Watts of air saved by {second}, at the wheel", "W", -2, 30),
            Line(None, 0.0, ZERO),
            Line(None, "mean_saved", GUIDE, "mean {mean_saved:.1f W}"),
            Line("along.wind_angle", "along.saved", bare(QUANTITY["air"], linestyle=":"), trace=True),
            Line("along.wind_angle", lambda r: np.where(r.along.beyond, np.nan, r.along.saved), bare(QUANTITY["air"])),
            Line("wind_angle", "saved", QUANTITY["air"], "{saved:.1f W}"),
            guesses=at("wind_angle"),
        ),
        height=4.1, left=0.11, hspace=0.75, top=0.915, bottom=0.13,
    )  # fmt: skip
    wind = knob("wind_speed", reference=3, high=6)
    knobs = knob("ground_speed", high=50), wind, knob("wind_angle", reference=60)
    return Panel(knobs, gap_between(WHEELS), picture, gap_in_words, observed="saved")


@sentence
def gap_in_words(result):
    """At {ground_speed:.1f km/h} in {air} {angle}: {saving}. {elsewhere}"""
    first, second = WHEELS
    angle, air = "no air moves past the rider", "still air"
    verb = "cost" if round(result.saved, 1) < 0 else "save"
    saving = f"{verb} {abs(result.saved):.1f} W of air power at the wheel"
    who = second
    if result.drag_areas:
        angle = f"the yaw is {units.to_deg(result.yaw):.0f}°"
        b, a = (f"{area:.4f} m²" for area in result.drag_areas)
        who = f"{second} have {a} there against {b} for {first}. They"
    if result.beyond:
        angle, who = f"{angle}, beyond the measured angles", f"extrapolated, {second}"
    if result.wind_speed:
        air = f"{result.wind_speed:.1f} m/s of wind from {units.to_deg(result.wind_angle):.0f}°"
    return dict(air=air, angle=angle, saving=f"{who} {saving}", elsewhere=_elsewhere(result))


@sentence
def _elsewhere(result):
    """In still air they save {calm_saved:.1f W}; averaged over all directions of this wind,
    {mean_saved:.1f W}.{beyond}"""
    beyond = units.to_percent(result.share_beyond)
    unmeasured = f" For {beyond:.0f} % of the directions the yaw was not measured." if beyond else ""
    return dict(beyond=unmeasured) if result.wind_speed else None


# -- how often each yaw comes ---------------------------------------------------------------------------

EDGES = units.deg(np.arange(-60, 61, 5.0))
RIDER_HEIGHT = 1.0  # m
MEASURED = units.deg(20)  # where most sheets end
_MOST = 60  # %, where the axis ends
_TOP = units.percent(0.88 * _MOST)  # of the lines at half the time


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


def yaw_day(ground_speed=None):
    """The panel: turn your speed and the place's mean wind. Bars over yaw; half the time lies between two lines.

    Parameters
    ----------
    ground_speed : float [m/s], optional
        The speed at which it opens; by default the catalogue's.
    """
    speed = knob("ground_speed", step=0.1)
    if ground_speed is not None:
        speed = speed.starting_at(round(float(units.to_kmh(ground_speed)), 1))
    edges, middle = np.repeat(EDGES, 2), bare(QUANTITY["total"])
    across, ends = units.to_deg(EDGES[[0, -1]]), bare(QUANTITY["air"], linewidth=0)

    def bars(result):
        return [0, *np.repeat(result.shares, 2), 0]

    def beyond(result):
        share = units.to_percent(1 - result.shares.sum()) / 2
        return f"{share:.0f} % further out" if share >= 0.5 else ""

    picture = plot(
        "How often each yaw comes",
        Axis("Yaw, degrees; positive when the air comes from the right", "deg", *across, range(-60, 61, 10)),
        Axis("Share of the time in each 5°, %", "%", 0, _MOST),
        Line(edges, bars, {"facecolor": BLUE, "linewidth": 0}),
        Line(edges, bars, {"color": BLUE, "linewidth": 1.6}, trace=True),
        Line(lambda r: np.array([-1, -1, np.nan, 1, 1]) * r.half_within, [0, _TOP, np.nan, 0, _TOP], middle),
        Line("half_within", _TOP, bare(middle, linewidth=0), "half the time within {half_within:.1f deg}",
             sides=lambda r: "right" if r.half_within < units.deg(12) else "left"),
        Line(EDGES[0], units.percent(0.35 * _MOST), ends, beyond, sides="right"),
        Line(EDGES[-1], units.percent(0.35 * _MOST), ends, beyond, sides="left"),
        guesses=lambda guess, result: (guess.value, _TOP / 2),
        told=False, top=0.86,
    )  # fmt: skip
    return Panel((speed, "station_wind"), day, picture, day_in_words, observed="half_within")


@sentence
def day_in_words(result):
    """With a mean wind of {station_wind:.1f m/s} at the mast, {rider_wind:.1f m/s} at a rider's height, a rider at
    {ground_speed:.1f km/h} has half the time a yaw within {half_within:.1f deg} on either side. It is within 5° for
    {share_small:.0f %} of the time, and beyond {measured:.0f deg} for {share_beyond:.0f %}."""
    return dict(measured=MEASURED)
