"""How fast the physics is, beside general root finders and the import of numpy.

`.venv/bin/python tests/benchmarks/physics_speed.py` prints the table: medians of several runs and
what is wanted of them. Trust the ratios; a busy machine makes all times longer. Not a timed test.
"""

import subprocess
import sys
import tracemalloc
from math import sqrt
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np
from scipy.optimize import brentq, elementwise

from dragwork.physics.course import Course, Leg, ride, steady_ride
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, Rider
from dragwork.physics.speed import steady_speed

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from ode_ride import ode_ride  # noqa: E402

MANY = 1_000_000
SAMPLE = 2_000  # rows of the loop over brentq
GRAVITY = 9.80665
YAWS = np.deg2rad([0, 5, 10, 15, 20])
SHAPE = np.array([1.0, 1.01, 1.0, 0.95, 0.9])  # of an invented curve


def seconds(work, times=5):
    """Median time of a piece of work, after one run to warm up."""
    work()
    taken = []
    for _ in range(times):
        start = perf_counter()
        work()
        taken.append(perf_counter() - start)
    return median(taken)


class Rows:
    """Different riders, weather and powers, one a row, and the balance written out for a solver."""

    def __init__(self, number, seed=1):
        self.rng, self.number = np.random.default_rng(seed), number
        self.weather = Conditions(
            self.between(0.9, 1.3), self.between(0, 12),
            self.between(-np.pi, np.pi), self.between(-0.12, 0.12),
        )  # fmt: skip
        self.power = self.between(5, 700)
        self.rider = self.with_drag_area(self.between(0.15, 0.6))

    def between(self, low, high):
        return self.rng.uniform(low, high, self.number)

    def with_drag_area(self, drag_area):
        return Rider(
            self.between(45, 140), drag_area, self.between(0.001, 0.012), self.between(0.9, 1),
            self.between(0, 0.01), self.between(0, 0.2), self.between(0, 0.02),
        )  # fmt: skip

    def arguments(self):
        """The columns of `power_left`."""
        rider, weather = self.rider, self.weather
        weight = rider.all_up_mass * GRAVITY / np.hypot(1, weather.gradient)
        return (
            weather.wind_speed * np.cos(weather.wind_angle),
            weather.wind_speed * np.sin(weather.wind_angle),
            weather.air_density / 2 * (rider.drag_area + rider.wheel_drag_area),
            weight * (rider.rolling_coefficient + weather.gradient) + rider.bearing_force,
            rider.bearing_slope,
            self.power * rider.drivetrain_efficiency,
        )

    def upper_bound(self):
        head, _, factor, constant, _, wheel = self.arguments()
        downhill = np.sqrt(np.maximum(-constant, 0) / factor)
        return np.cbrt(wheel / factor) + np.maximum(-head, 0) + downhill + 1


def power_left(v, head, side, factor, constant, bearing_slope, wheel):
    along = v + head
    air = factor * np.sqrt(along * along + side * side) * along
    return v * (air + constant + bearing_slope * v) - wheel


def power_left_of_one(v, head, side, factor, constant, bearing_slope, wheel):
    """The same in plain Python, which is the quickest for one row."""
    along = v + head
    air = factor * sqrt(along * along + side * side) * along
    return v * (air + constant + bearing_slope * v) - wheel


def report(what, figure, wanted=""):
    print(f"{what:<58}{figure:>16}   {wanted}")


def against_solvers():
    rows = Rows(MANY)
    ours = seconds(lambda: steady_speed(rows.rider, rows.weather, rows.power))
    report("steady_speed, a million riders", f"{ours:.3f} s")

    low, high, arguments = np.zeros(MANY), rows.upper_bound(), rows.arguments()
    root = elementwise.find_root(power_left, (low, high), args=arguments)
    miss = np.abs(root.x - steady_speed(rows.rider, rows.weather, rows.power)).max()
    theirs = seconds(
        lambda: elementwise.find_root(power_left, (low, high), args=arguments), times=3
    )
    report("scipy's find_root on the same rows", f"{theirs:.3f} s")
    report("  slower than steady_speed by", f"{theirs / ours:.1f} times", "at least 6")
    report("  largest difference", f"{miss:.1e} m/s", "at most 1e-12")

    sample = list(zip(*(column[:SAMPLE].tolist() for column in (high, *arguments))))

    def loop():
        return [brentq(power_left_of_one, 0.0, top, args=tuple(rest)) for top, *rest in sample]

    row_by_row = seconds(loop, times=3) * MANY / SAMPLE
    report("a loop over scipy's brentq (from a sample)", f"{row_by_row:.1f} s")
    report("  slower than steady_speed by", f"{row_by_row / ours:.0f} times", "at least 100")

    one = rows.with_drag_area(YawCurve(YAWS, 0.3 * SHAPE))
    report("steady_speed, one yaw curve for the million", f"{_speed(one, rows):.3f} s")
    many = rows.with_drag_area(YawCurve(YAWS, rows.between(0.15, 0.6)[:, None] * SHAPE))
    report("steady_speed, a million different yaw curves", f"{_speed(many, rows):.3f} s")


def _speed(rider, rows):
    return seconds(lambda: steady_speed(rider, rows.weather, rows.power), times=3)


def two_hundred_legs():
    rng = np.random.default_rng(2)
    limits = [14.0 if i % 3 == 0 else None for i in range(200)]
    return Course(
        Leg(rng.uniform(200, 2000), rng.uniform(-0.06, 0.06), rng.uniform(0, 6.28), limit)
        for limit in limits
    )


def sampled_riders():
    rng = np.random.default_rng(3)
    areas = rng.uniform(0.2, 0.4, 2000)
    masses = rng.uniform(50, 100, 2000)
    return Rider(masses, areas), Rider(masses, YawCurve(YAWS, areas[:, None] * SHAPE))


def on_the_road():
    """The ride with inertia beside the steady ride and a loop of an ODE solver, in one run."""
    course, day = two_hundred_legs(), {"power": 200.0, "wind_speed": 3, "wind_from": 1}
    plain, curved = Rider(80, 0.3), Rider(80, YawCurve(YAWS, 0.3 * SHAPE))
    for rider, words in ((plain, "plain"), (curved, "yaw curve")):
        taken = seconds(lambda r=rider: ride(course, r, **day), 21)
        report(f"ride, one rider, 200 legs, {words}", f"{taken * 1e3:.1f} ms", "under 60")
    some = Course(course.legs[:10])
    solver = seconds(lambda: ode_ride(some, plain, start_speed=8.0, **day), 3) * 20
    report("an ODE solver, one rider, 200 legs (from ten)", f"{solver:.1f} s")
    for rider, words, most in zip(sampled_riders(), ("plain", "yaw curves"), (2.5, 4)):
        steady = seconds(lambda r=rider: steady_ride(course, r, **day))
        taken = seconds(lambda r=rider: ride(course, r, **day))
        report(f"steady_ride, 2,000 riders, 200 legs, {words}", f"{steady:.3f} s")
        report(f"ride, 2,000 riders, 200 legs, {words}", f"{taken:.3f} s")
        report("  longer by", f"{taken / steady:.1f} times", f"about {most:g}")
    fine = Course(Leg(leg.distance / 8, leg.gradient, leg.heading, leg.speed_limit)
                  for leg in course.legs for _ in range(8))  # fmt: skip
    taken = seconds(lambda: ride(fine, sampled_riders()[1], **day), 1)
    report("ride, 2,000 riders, 1,600 legs, yaw curves", f"{taken:.1f} s", "under 6")


def memory():
    """What the ride of the 2,000 takes at the most, beside Python and numpy (about 40 MB)."""
    course = two_hundred_legs()
    for rider, words in zip(sampled_riders(), ("plain", "yaw curves")):
        tracemalloc.start()
        ride(course, rider, 200.0, wind_speed=3, wind_from=1)
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        report(f"  the most memory, {words}", f"{most / 1e6:.0f} MB", "under 100")


def imports():
    """Fresh Pythons, numpy and physics by turns, so that a busy spell hits both."""
    code = "from time import perf_counter as t; s = t(); import {}; print(t() - s)"
    taken = {"numpy": [], "dragwork.physics": []}
    for _ in range(15):
        for module, times in taken.items():
            shown = subprocess.check_output([sys.executable, "-c", code.format(module)], text=True)
            times.append(float(shown))
    numpy, physics = (median(times) for times in taken.values())
    report("import numpy", f"{numpy * 1e3:.0f} ms")
    report("import dragwork.physics", f"{physics * 1e3:.0f} ms")
    report("  longer by", f"{physics / numpy:.2f} times", "under 1.5")


if __name__ == "__main__":
    report("what", "measured", "wanted")
    against_solvers()
    on_the_road()
    memory()
    imports()
