"""A ride a second time, apart from the library: forces written out, scipy's adaptive solver over time.

Only `Rider`, `Leg` and `Course` are read; angles, forces, limits and accounts are its own.
"""

from dataclasses import dataclass
from math import atan, cos, hypot, pi, sin

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from dragwork.physics.course import Course, Leg
from dragwork.physics.drag import YawCurve

GRAVITY = 9.80665


@dataclass
class Ridden:
    """Seconds, joules by cause, speed at the end; seconds and end speed of each leg."""

    time: float
    crank: float
    air: float
    bearings: float
    braked: float
    end_speed: float
    legs: list
    end_speeds: list


def ode_ride(course, rider, power, air_density=1.2, wind_speed=0.0, wind_from=0.0,
             start_speed=None, rtol=1e-11):  # fmt: skip
    """One rider over the course; power, wind_speed and wind_from one number, or one a leg; rtol of the solver."""
    number = len(course.legs)
    power, wind, bearing = (np.broadcast_to(x, number) for x in (power, wind_speed, wind_from))
    mass = rider.all_up_mass + rider.rotating_mass
    v, total = start_speed, np.zeros(5)
    legs, ends = [], []
    for leg, P, w, b in zip(course.legs, power, wind, bearing):
        pedal = P * rider.drivetrain_efficiency
        limit = np.inf if leg.speed_limit is None else leg.speed_limit
        slope, weight = atan(leg.gradient), rider.all_up_mass * GRAVITY
        constant = weight * (rider.rolling_coefficient * cos(slope) + sin(slope))
        head, side = w * cos(b - leg.heading), w * sin(b - leg.heading)

        def forces(v, head=head, side=side, shelter=leg.shelter):
            along = v + head
            yaw = np.arctan2(side, along)
            area = area_at(rider.drag_area, yaw) + area_at(rider.wheel_drag_area, yaw)
            air = air_density / 2 * shelter * area * hypot(along, side) ** 2
            return air, rider.bearing_force + rider.bearing_slope * v

        def excess(v, constant=constant, forces=forces, pedal=pedal):
            return pedal / v - constant - sum(forces(v))

        if v is None:
            v = min(brentq(excess, 1e-6, 200, xtol=1e-13), limit)
        braked = mass / 2 * max(v**2 - limit**2, 0.0)
        v = min(v, limit)

        def motion(_, y, excess=excess, forces=forces, P=P):
            speed = max(y[1], 1e-9)
            air, bearings = forces(speed)
            return [speed, excess(speed) / mass, P, air * speed, bearings * speed]

        def arrived(_, y, leg=leg):
            return y[0] - leg.distance

        def at_limit(_, y, limit=limit):
            return y[1] - limit

        arrived.terminal = at_limit.terminal = True
        at_limit.direction = 1
        y, took = np.array([0.0, v, 0.0, 0.0, 0.0]), 0.0
        if not (v >= limit and excess(v) >= 0):
            events = (arrived, at_limit) if limit < np.inf else (arrived,)
            solved = solve_ivp(motion, (0, 1e6), y, "DOP853", rtol=rtol, atol=10 * rtol, events=events)
            y, took = solved.y[:, -1], solved.t[-1]
        left = leg.distance - y[0]
        if left > 1e-9:
            air, bearings = forces(limit)
            asked = air + bearings + constant
            y = y + [0, 0, max(asked, 0) / rider.drivetrain_efficiency * left, air * left, bearings * left]
            braked += max(-asked, 0.0) * left
            took += left / limit
            y[1] = limit
        v = y[1]
        total += [took, *y[2:], braked]
        legs.append(took)
        ends.append(v)
    return Ridden(*total, v, legs, ends)


def random_course(rng, number, shortest=25.0, longest=20_000.0, limits=(30, 50)):
    """Legs of log-uniform length, +-8 %, any heading, half of them with a limit [km/h]."""
    return Course([
        Leg(
            np.exp(rng.uniform(np.log(shortest), np.log(longest))), rng.uniform(-0.08, 0.08),
            rng.uniform(0, 2 * pi),
            rng.choice(limits) / 3.6 if limits and rng.random() < 0.5 else None,
        )
        for _ in range(number)
    ])  # fmt: skip


def area_at(drag_area, yaw):
    """The air law of the conventions: linear in the table, beyond it as cos(yaw)/cos(last)."""
    if not isinstance(drag_area, YawCurve):
        return float(drag_area) * cos(yaw)
    angles, areas = drag_area.yaw, drag_area.drag_area
    if angles[0] >= 0:
        size = abs(yaw)
        table = np.interp(size, angles, areas)  # level between -first and first
        return table if size <= angles[-1] else areas[-1] * cos(size) / cos(angles[-1])
    if yaw < angles[0]:
        return areas[0] * cos(yaw) / cos(angles[0])
    if yaw > angles[-1]:
        return areas[-1] * cos(yaw) / cos(angles[-1])
    return np.interp(yaw, angles, areas)
