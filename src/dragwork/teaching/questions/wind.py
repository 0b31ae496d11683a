"""M16 to M21: wind along the road, across it, near the ground, and at an angle."""

from dataclasses import replace
from math import atan2, cos, degrees, sin

import numpy as np

from dragwork import physics
from dragwork.teaching.questions.wording import at_the_wheel, balance, headwind, steady, still
from dragwork.teaching.questions.written import Kind, LikeTobin, Number
from dragwork.units import deg, kilometres, to_deg, to_minutes


def _speed_in(g, wind):
    """Speed with so much headwind; negative is a tailwind."""
    return physics.steady_speed(g.who.rider, still(g, **headwind(wind)), g.who.power)


def _minutes_at(g, out, back):
    return to_minutes(kilometres(g.distance) / out + kilometres(g.distance) / back)


def _air_watts(g, air_speed, ground_speed):
    """The air's force at one speed, carried over the ground at another."""
    return physics.drag_force(g.who.rider.drag_area, g.density, air_speed) * ground_speed


def _drag_area_at(g, yaw):
    return g.straight - g.fall * yaw**2


class M16(LikeTobin):
    """Out into the wind, back with it

    {about_who} {who.power} W at the crank all the way, efficiency 0.975. Flat road, air density
    {density:.2f} kg/m³. {distance} km out straight into {wind:g} m/s of wind at the rider's height,
    then {distance} km back with it. Without wind the ride takes {calm_minutes:.1f} minutes. How
    many minutes does it take in the wind? Solve for the speed on each leg.

    Idea: Find the speed on each leg at the same power. Then add times, not speeds.
    Relation: P = (1/2 ρ CdA (v + w)² + Crr m g) v, w < 0 from behind; t = D/v1 + D/v2: s = m /
    (m/s).
    Why: The leg into the wind takes longer than the leg with it, so wind does not cancel.

    Slip: This is the time without wind, as if it cancelled. The leg into the wind takes longer, so
    it never does.
    Slip mean speed: This divides the distance by the average of the two speeds. The slow leg takes
    longer, so add the times.
    Slip subtracted: This subtracts the wind from the speed and adds it on the way back, as for a
    boat. A rider pushes on the ground: solve each leg.
    Slip out twice: This rides both legs into the wind. On the way back it is a tailwind.
    """

    unit, digits = "min", 1
    distance = Number(20, 15, 30, 1)
    wind = Number(5, 4, 6, 0.5, along=("Wind, m/s", 0, 8))
    derived = {"calm_minutes": lambda g: _minutes_at(g, _speed_in(g, 0), _speed_in(g, 0))}

    def work(g):
        out, one = steady(g.who.rider, g.density, g.who.power, g.wind)
        back, two = steady(g.who.rider, g.density, g.who.power, -g.wind)
        metres = f"{kilometres(g.distance):.0f}"
        return f"""{at_the_wheel(g.who.power)} Out, at {out} m/s, it needs {one}. Back, at {back} m/s, it needs
            {two}. Time: ({metres} / {out} + {metres} / {back}) / 60."""

    def answers(g):
        legs = [physics.Leg(kilometres(g.distance), heading=heading) for heading in (0.0, np.pi)]
        day = physics.steady_ride(physics.Course(legs), g.who.rider, g.who.power, g.density, g.wind)
        calm, out, back = (_speed_in(g, wind) for wind in (0, g.wind, -g.wind))
        yield "right", to_minutes(day.time)
        yield "slip", g.calm_minutes
        yield "slip mean speed", _minutes_at(g, (out + back) / 2, (out + back) / 2)
        yield "slip subtracted", _minutes_at(g, calm - g.wind, calm + g.wind)
        yield "slip out twice", _minutes_at(g, out, out)


class M17(LikeTobin):
    """Power into a headwind

    {about_who} Flat road, air density {density:.2f} kg/m³. The rider goes at {speed:g} m/s over the
    ground, into a headwind of {wind:g} m/s. How much power does the air take? {at_the_wheel}

    Idea: Which speed makes the force? And which speed turns the force into power?
    Relation: P = 1/2 ρ CdA (v + w)² v: W = kg/m³ × m² × (m/s)² × m/s.
    Work: P = 1/2 × {density:.2f} × {who.rider.drag_area:.3f} × ({speed:g} + {wind:g})² × {speed:g}.
    Why: Drag grows with the air speed squared; power is that force times the ground speed.

    Slip: This leaves the wind out, as a bike computer does. Drag depends on the air speed: ground
    speed plus headwind.
    Slip air speed cubed: This cubes the air speed. Drag grows with its square, but power is that
    force times the ground speed.
    Slip last step: This uses the air speed only once. Drag grows with the square of the air speed;
    power then has the ground speed once.
    Slip from behind: This subtracts the wind, as if it came from behind. A headwind adds to the air
    speed.
    """

    unit, digits = "W", 0
    speed = Number(10, 8, 12, 0.5)
    wind = Number(3, 2, 5, 0.5, along=("Headwind, m/s", 0, 8))

    def answers(g):
        yield "right", balance(g, g.speed, wind_speed=g.wind).air
        yield "slip", _air_watts(g, g.speed, g.speed)
        yield "slip air speed cubed", _air_watts(g, g.speed + g.wind, g.speed + g.wind)
        yield "slip last step", _air_watts(g, g.speed, g.speed + g.wind)
        yield "slip from behind", _air_watts(g, g.speed - g.wind, g.speed)


class M18(LikeTobin):
    """Power in a crosswind

    {about_who} CdA is the force along the bike divided by the dynamic pressure of the resultant air speed; here it is the same at every yaw. Flat road, air density {density:.2f} kg/m³. The rider goes at {speed:g}
    m/s in a wind of {wind:g} m/s straight from the side. How much power does the air take?
    {at_the_wheel}

    Idea: How fast is the air the rider feels, if the wind comes straight from the side?
    Relation: P = 1/2 ρ CdA (v² + w²) v: W = kg/m³ × m² × (m/s)² × m/s.
    Work: {speed:g}² + {wind:g}² = {squared:g} m²/s². P = 1/2 × {density:.2f} ×
    {who.rider.drag_area:.3f} × {squared} × {speed:g}.
    Why: A crosswind adds to the air speed; a CdA that falls with yaw may make up for it.

    Slip: This leaves the crosswind out. That would be right for a CdA defined by the air speed
    along the road. Here it is defined by the resultant air speed.
    Slip added: This adds the crosswind as if it were a headwind. The two speeds are at a right
    angle: add their squares.
    Slip air speed cubed: This cubes the air speed. The force has its square, and power is that
    force times the ground speed.
    Slip cosine: This uses only the part of the drag along the road. Here CdA already means the
    force along the bike.
    """

    unit, digits = "W", 0
    speed = Number(10, 8, 12, 0.5)
    wind = Number(5, 4, 7, 0.5, along=("Crosswind, m/s", 0, 10))

    def where(g):
        return g.wind >= 0.4 * g.speed

    def answers(g):
        same_at_every_yaw = physics.YawCurve(deg(np.array([0, 80])), [g.who.rider.drag_area] * 2)
        rider, felt = replace(g.who.rider, drag_area=same_at_every_yaw), np.hypot(g.speed, g.wind)
        across = {"wind_speed": g.wind, "wind_angle": deg(90)}
        yield "right", physics.power_balance(rider, still(g, **across), g.speed).air
        yield "slip", _air_watts(g, g.speed, g.speed)
        yield "slip added", _air_watts(g, g.speed + g.wind, g.speed)
        yield "slip air speed cubed", _air_watts(g, felt, felt)
        yield "slip cosine", balance(g, g.speed, **across).air


class M19(Kind):
    """The angle of the wind you feel

    A rider goes at {speed:g} m/s. The wind at the rider's height is {wind:g} m/s and comes FROM
    {angle}° right of straight ahead. Seen from the rider, how many degrees right of straight ahead
    does the air come from?

    Idea: Split the wind into a part along the road and a part across. Your speed adds to one.
    Relation: yaw = atan(w sin(angle) / (v + w cos(angle))): m/s over m/s.
    Work: Across: {wind:g} × sin({angle}°) = {across:.4f} m/s. Along: {speed:g} + {wind:g} ×
    cos({angle}°) = {along:.4f} m/s. yaw = atan({across} / {along}).
    Why: Your own speed adds a headwind, so the yaw is smaller than the angle of the weather.

    Slip: This is the angle of the weather, which a flag shows. Your own speed adds a headwind, so
    the yaw is far smaller.
    Slip left: This is the same angle to the left. The wind comes from the right, and so does the
    air that the rider feels.
    Slip no head part: This leaves out the part of the wind that comes from ahead. It adds to your
    own speed.
    Slip whole wind: This treats all of the wind as a crosswind. Only its sine goes across the road.
    Slip swapped: This swaps sine and cosine. The part across the road is the sine of the angle from
    straight ahead.
    """

    unit, digits = "deg", 1
    angle = Number(60, 40, 80, 5, along=("Angle of the wind to the road, °", 10, 90))
    wind = Number(5, 3, 7, 0.5)
    speed = Number(10, 8, 13, 0.5)

    def answers(g):
        yaw = to_deg(physics.apparent_wind(g.speed, g.wind, deg(g.angle)).yaw)
        across, along = g.wind * sin(deg(g.angle)), g.wind * cos(deg(g.angle))
        yield "right", yaw
        yield "slip", g.angle
        yield "slip left", -yaw
        yield "slip no head part", degrees(atan2(across, g.speed))
        yield "slip whole wind", degrees(atan2(g.wind, g.speed))
        yield "slip swapped", degrees(atan2(along, g.speed + across))


class M20(Kind):
    """Wind at the rider's height

    The weather station reads {wind:.1f} m/s of wind at 10 m, over open grass (roughness length 0.03
    m). By the log law, how strong is it at {height:.1f} m?

    Idea: The ground slows the wind. It grows with the logarithm of height over roughness length.
    Relation: w = w10 ln(h / z0) / ln(10 / z0): m/s, heights over heights.
    Work: ln({height:.1f} / 0.03) = {here:.5f}; ln(10 / 0.03) = {mast:.5f}. w = {wind:.1f} × {here}
    / {mast}.
    Why: The ground slows the wind, so a reading at 10 m is too strong for a rider.

    Slip: This is the wind at the weather station. The ground slows it, so a rider has less.
    Slip in step: This makes the wind proportional to height. It rises fast near the ground and
    slowly above: a logarithm.
    Slip no roughness: This uses the logarithm of the height in metres. Divide the height by the
    roughness length first.
    Slip seventh: This is the one-seventh power rule, which is for greater heights. The question
    asks for the log law.
    """

    unit, digits = "m/s", 2
    wind = Number(5, 3, 9, 0.5, along=("Wind at the station, m/s", 1, 12))
    height = Number(1.0, 0.8, 1.5, 0.1)

    def answers(g):
        yield "right", physics.wind_at_height(g.wind, g.height)
        yield "slip", g.wind
        yield "slip in step", g.wind * g.height / 10
        yield "slip no roughness", g.wind * np.log1p(g.height) / np.log1p(10)
        yield "slip seventh", g.wind * (g.height / 10) ** (1 / 7)


class M21(Kind):
    """Drag over left and right yaw

    A set-up has CdA = {straight:.3f} - {fall:.5f} b² m² at a yaw of b degrees; CdA is the force
    along the bike divided by the dynamic pressure of the resultant air speed. Half the time the yaw
    is +{yaw}°, half the time -{yaw}°, at the same air speed. What is the average CdA?

    Idea: Find the CdA at each yaw first. Average those.
    Relation: mean CdA = (CdA(+b) + CdA(-b)) / 2, in m², with b in degrees.
    Work: At +{yaw}° and at -{yaw}°: {straight:.3f} - {fall:.5f} × {yaw}² = {there:.5f} m². Mean:
    ({there} + {there}) / 2.
    Why: Average the drag, not the yaw.

    Slip: This is the CdA at the average yaw, which is 0. Left and right do not cancel: average the
    drag, not the angles.
    Slip half: This subtracts only half, as if the CdA fell on one side. Because of the square, it
    falls equally on both.
    Slip added: This adds where the formula subtracts. This set-up has less drag at an angle.
    """

    unit, digits = "m2", 4
    straight = Number(0.240, 0.220, 0.260, 0.005)
    fall = Number(0.00010, 0.00010, 0.00014, 0.00001)
    yaw = Number(14, 12, 16, 1, along=("Yaw to either side, °", 0, 20))

    def answers(g):
        yield "right", np.mean([_drag_area_at(g, yaw) for yaw in (g.yaw, -g.yaw)])
        yield "slip", _drag_area_at(g, 0)
        yield "slip half", np.mean([_drag_area_at(g, yaw) for yaw in (0, g.yaw)])
        yield "slip added", 2 * g.straight - _drag_area_at(g, g.yaw)
