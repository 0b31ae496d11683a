"""M16 to M21: wind along the road, across it, near the ground, and at an angle."""

from dataclasses import replace
from math import atan2, cos, degrees, sin

import numpy as np

from dragwork.physics.course import Course, Leg, steady_ride
from dragwork.physics.drag import YawCurve, drag_force
from dragwork.physics.power import power_balance
from dragwork.physics.speed import steady_speed
from dragwork.physics.wind import apparent_wind, wind_at_height
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.questions.drawing import Number, Someone
from dragwork.teaching.questions.question import Along, Kind, Slip
from dragwork.teaching.questions.wording import (
    AT_THE_WHEEL,
    DENSITY,
    about,
    at_the_wheel,
    steady,
    still,
)
from dragwork.units import deg, kilometres, to_deg, to_minutes

CONVENTION = (
    "CdA is the force along the bicycle over the pressure of the resultant air speed; "
    "here it is the same at every yaw."
)


def _speed_in(g, wind):
    """Speed with so much headwind; negative is a tailwind."""
    angle = 0.0 if wind >= 0 else np.pi
    return steady_speed(g.who.rider, still(g, wind_speed=abs(wind), wind_angle=angle), g.who.power)


def _there_and_back(g):
    legs = [Leg(kilometres(g.distance), heading=heading) for heading in (0.0, np.pi)]
    day = steady_ride(Course(legs), g.who.rider, g.who.power, g.density, g.wind, wind_from=0.0)
    return to_minutes(day.time)


def _minutes_at(g, out, back):
    return to_minutes(kilometres(g.distance) / out + kilometres(g.distance) / back)


def _air_watts(g, air_speed, ground_speed):
    """The air's force at one speed, carried over the ground at another."""
    return drag_force(g.who.rider.drag_area, g.density, air_speed) * ground_speed


def _same_at_every_yaw(rider):
    return replace(rider, drag_area=YawCurve(deg(np.array([0, 80])), [rider.drag_area] * 2))


def _in_the_side_wind(g):
    wind = still(g, wind_speed=g.wind, wind_angle=deg(90))
    return power_balance(_same_at_every_yaw(g.who.rider), wind, g.speed).air


def _steps_there_and_back(g):
    out, one = steady(g.who.rider, g.density, g.who.power, g.wind)
    back, two = steady(g.who.rider, g.density, g.who.power, -g.wind)
    metres = f"{kilometres(g.distance):.0f}"
    return f"""{at_the_wheel(g.who.power)} Out, at {out} m/s, it needs {one}. Back, at {back} m/s, it needs {two}.
        Time: ({metres} / {out} + {metres} / {back}) / 60."""


def _felt(g):
    return apparent_wind(g.speed, g.wind, deg(g.angle))


def _drag_area_at(g, yaw):
    return g.straight - g.fall * yaw**2


M16 = Kind(
    "M16", "Out into the wind, back with it", "min", 1,
    given={
        "who": Someone(TOBIN),
        "density": DENSITY,
        "distance": Number(20, 15, 30, 1),
        "wind": Number(5, 4, 6, 0.5),
    },
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank all the way, efficiency 0.975. Flat
        road, air density {g.density:.2f} kg/m³. {g.distance} km out straight into {g.wind:g} m/s of
        wind at the rider's height, then {g.distance} km back with it. Without wind the ride takes
        {_minutes_at(g, _speed_in(g, 0), _speed_in(g, 0)):.1f} minutes. How many minutes does it take
        in the wind? Solve for the speed on each leg.""",
    right=_there_and_back,
    slips=(
        Slip("M16", lambda g: _minutes_at(g, _speed_in(g, 0), _speed_in(g, 0)),
             "This is the time without wind, as if it cancelled. The leg into the wind takes longer, "
             "so it never does."),
        Slip("M16-mean-speed",
             lambda g: _minutes_at(g, *[(_speed_in(g, g.wind) + _speed_in(g, -g.wind)) / 2] * 2),
             "This divides the distance by the average of the two speeds. The slow leg takes longer, so "
             "add the times."),
        Slip("M16-subtracted",
             lambda g: _minutes_at(g, _speed_in(g, 0) - g.wind, _speed_in(g, 0) + g.wind),
             "This subtracts the wind from the speed and adds it on the way back, as for a boat. "
             "A rider pushes on the ground: solve each leg."),
        Slip("M16-out-twice", lambda g: _minutes_at(g, _speed_in(g, g.wind), _speed_in(g, g.wind)),
             "This rides both legs into the wind. On the way back it is a tailwind."),
    ),
    idea="Find the speed on each leg at the same power. Then add times, not speeds.",
    relation="P = (1/2 ρ CdA (v + w)² + Crr m g) v, w < 0 from behind; t = D/v1 + D/v2: s = m / "
             "(m/s).",
    work=_steps_there_and_back,
    why="The leg into the wind takes longer than the leg with it, so wind does not cancel.",
    along=Along("wind", "Wind, m/s", 0, 8),
)  # fmt: skip

M17 = Kind(
    "M17", "Power into a headwind", "W", 0,
    given={
        "who": Someone(TOBIN),
        "density": DENSITY,
        "speed": Number(10, 8, 12, 0.5),
        "wind": Number(3, 2, 5, 0.5),
    },
    asks=lambda g: f"""{about(g.who)} Flat road, air density {g.density:.2f} kg/m³. The rider goes at
        {g.speed:g} m/s over the ground, into a headwind of {g.wind:g} m/s. How much power does the
        air take? {AT_THE_WHEEL}""",
    right=lambda g: power_balance(g.who.rider, still(g, wind_speed=g.wind), g.speed).air,
    slips=(
        Slip("M17", lambda g: _air_watts(g, g.speed, g.speed),
             "This leaves the wind out, as a bike computer does. Drag depends on the air speed: "
             "ground speed plus headwind."),
        Slip("M17-air-speed-cubed", lambda g: _air_watts(g, g.speed + g.wind, g.speed + g.wind),
             "This cubes the air speed. Drag grows with its square, but power is that force times the "
             "ground speed."),
        Slip("M17-last-step", lambda g: _air_watts(g, g.speed, g.speed + g.wind),
             "This uses the air speed only once. Drag grows with the square of the air speed; power "
             "then has the ground speed once."),
        Slip("M17-from-behind", lambda g: _air_watts(g, g.speed - g.wind, g.speed),
             "This subtracts the wind, as if it came from behind. A headwind adds to the air speed."),
    ),
    idea="Which speed makes the force? And which speed turns the force into power?",
    relation="P = 1/2 ρ CdA (v + w)² v: W = kg/m³ × m² × (m/s)² × m/s.",
    work=lambda g: f"""P = 1/2 × {g.density:.2f} × {g.who.rider.drag_area:.3f} ×
        ({g.speed:g} + {g.wind:g})² × {g.speed:g}.""",
    why="Drag grows with the air speed squared; power is that force times the ground speed.",
    along=Along("wind", "Headwind, m/s", 0, 8),
)  # fmt: skip

M18 = Kind(
    "M18", "Power in a crosswind", "W", 0,
    given={
        "who": Someone(TOBIN),
        "density": DENSITY,
        "speed": Number(10, 8, 12, 0.5),
        "wind": Number(5, 4, 7, 0.5),
    },
    where=lambda g: g.wind >= 0.4 * g.speed,
    asks=lambda g: f"""{about(g.who)} {CONVENTION} Flat road, air density {g.density:.2f} kg/m³. The
        rider goes at {g.speed:g} m/s in a wind of {g.wind:g} m/s straight from the side. How much power
        does the air take? {AT_THE_WHEEL}""",
    right=_in_the_side_wind,
    slips=(
        Slip("M18", lambda g: _air_watts(g, g.speed, g.speed),
             "This leaves the crosswind out. That would be right for a CdA defined by the air speed along "
             "the road. Here it is defined by the resultant air speed."),
        Slip("M18-added", lambda g: _air_watts(g, g.speed + g.wind, g.speed),
             "This adds the crosswind as if it were a headwind. The two speeds are at a right angle: "
             "add their squares."),
        Slip("M18-air-speed-cubed", lambda g: _air_watts(g, *[np.hypot(g.speed, g.wind)] * 2),
             "This cubes the air speed. The force has its square, and power is that force times the "
             "ground speed."),
        Slip("M18-cosine", lambda g: power_balance(
                 g.who.rider, still(g, wind_speed=g.wind, wind_angle=deg(90)), g.speed).air,
             "This uses only the part of the drag along the road. Here CdA already means the force "
             "along the bike."),
    ),
    idea="How fast is the air the rider feels, if the wind comes straight from the side?",
    relation="P = 1/2 ρ CdA (v² + w²) v: W = kg/m³ × m² × (m/s)² × m/s.",
    work=lambda g: f"""{g.speed:g}² + {g.wind:g}² = {g.speed**2 + g.wind**2:g} m²/s². P = 1/2 ×
        {g.density:.2f} × {g.who.rider.drag_area:.3f} × {g.speed**2 + g.wind**2:g} × {g.speed:g}.""",
    why="A crosswind adds to the air speed; a CdA that falls with yaw may make up for it.",
    along=Along("wind", "Crosswind, m/s", 0, 10),
)  # fmt: skip

M19 = Kind(
    "M19", "The angle of the wind you feel", "deg", 1,
    given={
        "angle": Number(60, 40, 80, 5),
        "wind": Number(5, 3, 7, 0.5),
        "speed": Number(10, 8, 13, 0.5),
    },
    asks=lambda g: f"""A rider goes at {g.speed:g} m/s. The wind at the rider's height is
        {g.wind:g} m/s and comes FROM {g.angle}° right of straight ahead. At how many degrees right of
        straight ahead does the rider feel the air come in?""",
    right=lambda g: to_deg(_felt(g).yaw),
    slips=(
        Slip("M19", lambda g: g.angle,
             "This is the angle of the weather, which a flag shows. Your own speed adds a headwind, so "
             "the yaw is far smaller."),
        Slip("M19-left", lambda g: -to_deg(_felt(g).yaw),
             "This is the same angle to the left. The wind comes from the right, and so does the air "
             "that the rider feels."),
        Slip("M19-no-head-part",
             lambda g: degrees(atan2(g.wind * sin(deg(g.angle)), g.speed)),
             "This leaves out the part of the wind that comes from ahead. It adds to your own speed."),
        Slip("M19-whole-wind", lambda g: degrees(atan2(g.wind, g.speed)),
             "This treats all of the wind as a crosswind. Only its sine goes across the road."),
        Slip("M19-swapped", lambda g: degrees(
                 atan2(g.wind * cos(deg(g.angle)), g.speed + g.wind * sin(deg(g.angle)))),
             "This swaps sine and cosine. The part across the road is the sine of the angle from "
             "straight ahead."),
    ),
    idea="Split the wind into a part along the road and a part across. Your speed adds to one.",
    relation="yaw = atan(w sin(angle) / (v + w cos(angle))): m/s over m/s.",
    work=lambda g: f"""Across: {g.wind:g} × sin({g.angle}°) = {_felt(g).across:.4f} m/s. Along:
        {g.speed:g} + {g.wind:g} × cos({g.angle}°) = {_felt(g).along:.4f} m/s. yaw =
        atan({_felt(g).across:.4f} / {_felt(g).along:.4f}).""",
    why="Your own speed adds a headwind, so the yaw is smaller than the angle of the weather.",
    along=Along("angle", "Angle of the wind to the road, °", 10, 90),
)  # fmt: skip

M20 = Kind(
    "M20", "Wind at the rider's height", "m/s", 2,
    given={"wind": Number(5, 3, 9, 0.5), "height": Number(1.0, 0.8, 1.5, 0.1)},
    asks=lambda g: f"""The weather station reads {g.wind:.1f} m/s of wind at 10 m, over open grass
        (roughness length 0.03 m). By the log law, how strong is it at {g.height:.1f} m?""",
    right=lambda g: wind_at_height(g.wind, g.height),
    slips=(
        Slip("M20", lambda g: g.wind,
             "This is the wind at the weather station. The ground slows it, so a rider has less."),
        Slip("M20-in-step", lambda g: g.wind * g.height / 10,
             "This makes the wind proportional to height. It rises fast near the ground and slowly "
             "above: a logarithm."),
        Slip("M20-no-roughness", lambda g: g.wind * np.log1p(g.height) / np.log1p(10),
             "This uses the logarithm of the height in metres. Divide the height by the roughness "
             "length first."),
        Slip("M20-seventh", lambda g: g.wind * (g.height / 10) ** (1 / 7),
             "This is the one-seventh power rule, which is for greater heights. The question asks for "
             "the log law."),
    ),
    idea="The ground slows the wind. It grows with the logarithm of height over roughness length.",
    relation="w = w10 ln(h / z0) / ln(10 / z0): m/s, heights over heights.",
    work=lambda g: f"""ln({g.height:.1f} / 0.03) = {np.log(g.height / 0.03):.5f}; ln(10 / 0.03) =
        {np.log(10 / 0.03):.5f}. w = {g.wind:.1f} × {np.log(g.height / 0.03):.5f} /
        {np.log(10 / 0.03):.5f}.""",
    why="The ground slows the wind, so a reading at 10 m is too strong for a rider.",
    along=Along("wind", "Wind at the station, m/s", 1, 12),
)  # fmt: skip

M21 = Kind(
    "M21", "Drag over left and right yaw", "m2", 4,
    given={
        "straight": Number(0.240, 0.220, 0.260, 0.005),
        "fall": Number(0.00010, 0.00010, 0.00014, 0.00001),
        "yaw": Number(14, 12, 16, 1),
    },
    asks=lambda g: f"""A set-up has CdA = {g.straight:.3f} - {g.fall:.5f} b² m² at a yaw of b degrees;
        CdA is the force along the bike divided by the dynamic pressure of the resultant air speed. Half
        the time the yaw is +{g.yaw}°, half the time -{g.yaw}°, at the same air speed. What is the
        average CdA?""",
    right=lambda g: np.mean([_drag_area_at(g, yaw) for yaw in (g.yaw, -g.yaw)]),
    slips=(
        Slip("M21", lambda g: _drag_area_at(g, 0),
             "This is the CdA at the average yaw, which is 0. Left and right do not cancel: average "
             "the drag, not the angles."),
        Slip("M21-half", lambda g: np.mean([_drag_area_at(g, yaw) for yaw in (0, g.yaw)]),
             "This subtracts only half, as if the CdA fell on one side. Because of the square, it falls "
             "equally on both."),
        Slip("M21-added", lambda g: 2 * g.straight - _drag_area_at(g, g.yaw),
             "This adds where the formula subtracts. This set-up has less drag at an angle."),
    ),
    idea="Find the CdA at each yaw first. Average those.",
    relation="mean CdA = (CdA(+b) + CdA(-b)) / 2, in m², with b in degrees.",
    work=lambda g: f"""At +{g.yaw}° and at -{g.yaw}°: {g.straight:.3f} - {g.fall:.5f} × {g.yaw}² =
        {_drag_area_at(g, g.yaw):.5f} m². Mean: ({_drag_area_at(g, g.yaw):.5f} +
        {_drag_area_at(g, -g.yaw):.5f}) / 2.""",
    why="Average the drag, not the yaw.",
    along=Along("yaw", "Yaw to either side, °", 0, 20),
)  # fmt: skip

QUESTIONS = (M16, M17, M18, M19, M20, M21)
