"""How fast the physics is: `python tests/benchmarks/physics_speed.py` (about half a minute).

Medians of runs taken in turn, so that a busy machine slows both sides alike. Trust the ratios.
"""

import subprocess
import sys
import tracemalloc
from statistics import median
from time import perf_counter

import numpy as np
from scipy.optimize import brentq, elementwise

from dragwork.physics.course import Course, Leg, ride
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, Rider
from dragwork.physics.speed import steady_speed

MILLION = 1_000_000
LOOPED = 2_000  # rows that the loop over brentq is timed on
RNG = np.random.default_rng(20)
MODULES = "air, course, drag, power, resistance, savings, speed, wind"


def seconds(*actions, runs=5):
    """Median time of each action, run in turn."""
    times = [[] for _ in actions]
    for _ in range(runs):
        for action, taken in zip(actions, times, strict=True):
            start = perf_counter()
            action()
            taken.append(perf_counter() - start)
    return [median(taken) for taken in times]


def report(what, value, wanted):
    print(f"{what:<64}{value:>14}   wanted {wanted}")


def rows(number):
    """Riders and conditions that all differ, and their crank powers."""

    def between(low, high):
        return RNG.uniform(low, high, number)

    rider = Rider(between(50, 110), between(0.18, 0.5), between(0.002, 0.01), between(0.93, 1))
    weather = Conditions(between(1, 1.3), between(0, 8), between(-np.pi, np.pi), between(-0.1, 0.1))
    return rider, weather, between(20, 600)


def power_left(v, wheel, head, side_squared, factor, constant):
    """Wheel power that a speed asks for less what there is: the equation that all three solve."""
    along = v + head
    return v * (factor * np.sqrt(along * along + side_squared) * along + constant) - wheel


def prepared(rider, weather, power):
    """The columns of `power_left`."""
    slope = np.arctan(weather.gradient)
    weight = rider.all_up_mass * 9.80665
    return (
        power * rider.drivetrain_efficiency,
        weather.wind_speed * np.cos(weather.wind_angle),
        (weather.wind_speed * np.sin(weather.wind_angle)) ** 2,
        weather.air_density * rider.drag_area / 2,
        weight * (rider.rolling_coefficient * np.cos(slope) + np.sin(slope)),
    )


def a_million_riders():
    rider, weather, power = rows(MILLION)
    columns = prepared(rider, weather, power)
    bracket = np.zeros(MILLION), np.full(MILLION, 100.0)
    ours, library = seconds(
        lambda: steady_speed(rider, weather, power),
        lambda: elementwise.find_root(power_left, bracket, args=columns),
        runs=5,
    )
    sample = np.transpose([column[:LOOPED] for column in columns]).tolist()
    (loop,) = seconds(lambda: [brentq(power_left, 0, 100, args=tuple(r)) for r in sample], runs=3)
    loop *= MILLION / LOOPED
    miss = steady_speed(rider, weather, power) - elementwise.find_root(
        power_left, bracket, args=columns
    ).x
    report("steady_speed, a million plain riders", f"{ours * 1e3:.0f} ms", "-")
    report("  against scipy's find_root", f"{library / ours:.1f} times", "6 or more")
    report("  against a loop over brentq", f"{loop / ours:.0f} times", "100 or more")
    report("  largest difference to find_root", f"{np.abs(miss).max():.1e} m/s", "1e-12 m/s")

    tables = RNG.uniform(0.25, 0.32, (MILLION, 5))
    curves = Rider(
        rider.all_up_mass, YawCurve(np.deg2rad([0, 5, 10, 15, 20]), tables), 0.005, 0.975
    )
    one_curve = Rider(rider.all_up_mass, YawCurve(np.deg2rad([0, 5, 10, 15, 20]), tables[0]))
    many, one = seconds(
        lambda: steady_speed(curves, weather, power),
        lambda: steady_speed(one_curve, weather, power),
        runs=3,
    )
    report("steady_speed, a million riders with a yaw curve each", f"{many * 1e3:.0f} ms", "-")
    report("steady_speed, a million riders with one yaw curve", f"{one * 1e3:.0f} ms", "-")


def courses():
    course = Course(
        Leg(1000, gradient, heading)
        for gradient, heading in zip(
            RNG.uniform(-0.06, 0.06, 200), RNG.uniform(0, 2 * np.pi, 200), strict=True
        )
    )
    angles, table = np.deg2rad([0, 10, 20]), np.array([0.30, 0.31, 0.28])
    one = Rider(80, 0.3)
    with_curve = Rider(80, YawCurve(angles, table))
    number = 2_000
    riders = Rider(RNG.uniform(50, 110, number), RNG.uniform(0.2, 0.4, number))
    draws = Rider(
        RNG.uniform(50, 110, number), YawCurve(angles, table * RNG.normal(1, 0.02, (number, 1)))
    )
    powers = RNG.uniform(120, 320, (number, 1))

    def over(rider, power):
        return lambda: ride(course, rider, power, wind_speed=3.0, wind_from=1.0)

    alone, curve = seconds(over(one, 220), over(with_curve, 220), runs=21)
    many, sampled = seconds(over(riders, powers), over(draws, powers), runs=5)
    report("200 legs, one rider", f"{alone * 1e3:.2f} ms", "below 3 ms")
    report("200 legs, one rider with a yaw curve", f"{curve * 1e3:.2f} ms", "-")
    report("200 legs, 2,000 riders", f"{many:.3f} s", "below 0.5 s")
    report("200 legs, 2,000 drawn yaw curves", f"{sampled:.3f} s", "-")
    for name, rider in (("riders", riders), ("drawn yaw curves", draws)):
        tracemalloc.start()
        over(rider, powers)()
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        report(f"  memory at its peak, {name}", f"{peak / 1e6:.0f} MB", "below 300 MB")


def imports():
    def fresh(statement):
        return lambda: subprocess.run([sys.executable, "-c", statement], check=True)

    everything = f"import dragwork.physics; from dragwork.physics import {MODULES}"
    nothing, numpy_alone, physics = seconds(
        fresh("pass"), fresh("import numpy"), fresh(everything), runs=15
    )
    ratio = (physics - nothing) / (numpy_alone - nothing)
    report("import of dragwork.physics against numpy", f"{ratio:.2f} times", "below 1.5")


if __name__ == "__main__":
    a_million_riders()
    courses()
    imports()
