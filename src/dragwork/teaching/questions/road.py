"""M14, M15, M37, M40 and M42: means, hills, whole courses and the clock."""

from dataclasses import replace
from math import asin, atan, hypot, tan

import numpy as np

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.course import Course, Leg, steady_ride
from dragwork.physics.drag import drag_force
from dragwork.physics.power import power_balance
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.questions.drawing import Number, Someone
from dragwork.teaching.questions.question import CLOCK, Along, Kind, Slip
from dragwork.teaching.questions.wording import (
    AT_THE_WHEEL,
    DENSITY,
    Printed,
    about,
    at_the_wheel,
    flat_and_calm,
    steady,
    still,
)
from dragwork.units import deg, kilometres, kmh, minutes, percent, to_percent


def _air_power(g, speed):
    return power_balance(g.who.rider, still(g), kmh(speed)).air


def _push_of_the_gap(g):
    """Force of the air on the difference in CdA, and weight of the difference in mass [N]."""
    return drag_force(g.area, g.density, kmh(g.kmh)), g.mass * STANDARD_GRAVITY


def _even_gradient(push, weight, rolling):
    """The gradient [%] where the air's force is what the difference in mass saves."""
    ratio = push / weight  # sin + rolling x cos of the slope's angle
    return to_percent(tan(asin(ratio / hypot(1, rolling)) - atan(rolling)))


def _steps_to_the_gradient(g):
    v = Printed(kmh(g.kmh), 5)
    push = Printed(g.density / 2 * g.area * v**2, 5)
    weight = Printed(g.mass * STANDARD_GRAVITY, 5)
    ratio = Printed(push / weight, 6)
    rough = Printed(ratio - g.rolling, 6)
    return f"""v = {g.kmh} / 3.6 = {v} m/s. Less CdA saves 1/2 × {g.density:.2f} × {g.area:.3f} × {v}² = {push}
        N; {g.mass:g} kg weigh {g.mass:g} × {STANDARD_GRAVITY} = {weight} N. The ratio is {push} / {weight} =
        {ratio}. First without the root: {ratio} - {g.rolling:.4f} = {rough}. With the root of that: 100 ×
        ({ratio} × sqrt(1 + {rough}²) - {g.rolling:.4f})."""


def _steps_to_the_mean(g):
    speeds = [Printed(kmh(v), 5) for v in (g.slow, g.fast)]
    area = g.who.rider.drag_area
    slow, fast = (Printed(g.density / 2 * area * v**3, 2) for v in speeds)
    return f"""{g.slow} / 3.6 = {speeds[0]} m/s; {g.fast} / 3.6 = {speeds[1]} m/s. Slow: 1/2 × {g.density:.2f} ×
        {area:.3f} × {speeds[0]}³ = {slow} W. Fast: 1/2 × {g.density:.2f} × {area:.3f} × {speeds[1]}³ =
        {fast} W. Mean: ({slow} + {fast}) / 2."""


def _steps_round_the_loop(g):
    cap, half = Printed(kmh(g.limit), 5), g.who.power / 2
    slimmer = _slimmer(g)
    (before, needs), (after, _) = (_legs_of_the_loop(g, rider, cap) for rider in (g.who.rider, slimmer))
    (time, sum_before), (less, sum_after) = (_time_of_the_loop(g, v) for v in (before, after))
    return f"""The cap: {g.limit} / 3.6 = {cap} m/s. {at_the_wheel(g.who.power)} Leg 1 at {before[0]} m/s needs
        {needs[0]}. Leg 2 at {before[1]} m/s needs {needs[1]}. Leg 3, where the wheel gets
        0.975 × {half:g} = {round(0.975 * half, 4):g} W, is ridden at {before[2]} m/s. Leg 4 at {before[3]} m/s
        needs {needs[3]}. Before: {sum_before} = {time} s. With {1 - percent(g.cut):.2f} ×
        {g.who.rider.drag_area:g} = {slimmer.drag_area:g} m² the speeds are {after[0]}, {after[1]}, {after[2]} and
        {after[3]} m/s. After: {sum_after} = {less} s. Saved: {time} - {less}."""


def _legs_of_the_loop(g, rider, cap):
    """The speeds of the four legs, and what each needs, as the steps print them."""
    climb, power = percent(g.steep), g.who.power
    cases = ((power, g.wind, 0), (power, 0, climb), (power / 2, 0, -climb), (power, -g.wind, 0))
    speeds, needs = zip(*(steady(rider, g.density, *case) for case in cases))
    return [*speeds[:2], min(speeds[2], cap), speeds[3]], needs


def _time_of_the_loop(g, speeds):
    """Seconds round the loop, and the sum that gives them."""
    metres = [round(kilometres(km)) for km in (g.flat, g.hill, g.hill, g.flat)]
    time = Printed(sum(d / v for d, v in zip(metres, speeds)), 2)
    return time, " + ".join(f"{d} / {v}" for d, v in zip(metres, speeds))


def _slimmer(g):
    area = g.who.rider.drag_area
    return replace(g.who.rider, drag_area=round(area * (1 - percent(g.cut)), 6))


def _loop(g, steep, limit):
    half = kilometres(g.flat)
    return Course(
        [
            Leg(half, heading=deg(0)),
            Leg(kilometres(g.hill), percent(steep), heading=deg(0)),
            Leg(kilometres(g.hill), percent(-steep), heading=deg(180), speed_limit=limit),
            Leg(half, heading=deg(180)),
        ]
    )


def _times(g, steep, limit, wind, downhill=0.5):
    """Seconds for the course before and after less CdA."""
    day = {
        "power": g.who.power * np.array([1, 1, downhill, 1]),
        "air_density": g.density,
        "wind_speed": np.array([wind, 0, 0, wind]),
    }
    course = _loop(g, steep, limit)
    return [steady_ride(course, rider, **day).time for rider in (g.who.rider, _slimmer(g))]


def _seconds(*arguments, **others):
    before, after = _times(*arguments, **others)
    return before - after


M14 = Kind(
    "M14", "Mean air power at two speeds", "W", 0,
    given={
        "who": Someone(TOBIN),
        "density": DENSITY,
        "slow": Number(30, 22, 30, 1),
        "fast": Number(50, 42, 52, 1),
    },
    asks=lambda g: f"""{about(g.who)} {flat_and_calm(g)} Half the TIME the rider is at {g.slow} km/h, half
        the time at {g.fast} km/h. How much power does the air take on average? {AT_THE_WHEEL}""",
    right=lambda g: np.mean([_air_power(g, g.slow), _air_power(g, g.fast)]),
    slips=(
        Slip("M14", lambda g: _air_power(g, (g.slow + g.fast) / 2),
             "This is the power at the mean speed. Fast minutes cost more than slow ones save, so "
             "average the powers."),
        Slip("M14-sum", lambda g: _air_power(g, g.slow) + _air_power(g, g.fast),
             "This adds the two powers. Each lasts only half the time."),
        Slip("M14-kmh", lambda g: 3.6**3 * np.mean([_air_power(g, g.slow), _air_power(g, g.fast)]),
             "This is the mean of the cubes in km/h. Turn both speeds into m/s first."),
        Slip("M14-fast", lambda g: _air_power(g, g.fast) / 2,
             "This leaves the slow half out. It costs less, not nothing."),
    ),
    idea="Find the power at each speed first. Average those.",
    relation="mean P = (P1 + P2) / 2 with P = 1/2 ρ CdA v³: W, v in m/s.",
    work=_steps_to_the_mean,
    why="Fast minutes cost more than slow ones save, so average the cubes, not the speeds.",
    along=Along("fast", "Speed in the fast half, km/h", 30, 70),
)  # fmt: skip

M15 = Kind(
    "M15", "Mean speed over two halves", "km/h", 1,
    given={
        "each": Number(10, 5, 20, 1),
        "slow": Number(20, 15, 24, 1),
        "fast": Number(40, 34, 48, 1),
    },
    where=lambda g: g.fast >= 1.5 * g.slow,
    asks=lambda g: f"""{g.each} km at {g.slow} km/h, then {g.each} km at {g.fast} km/h. What is the average
        speed over both?""",
    right=lambda g: 2 * g.each / (g.each / g.slow + g.each / g.fast),
    slips=(
        Slip("M15", lambda g: (g.slow + g.fast) / 2,
             "This is the mean of the two speeds, as if each lasted as long. The slow half lasts "
             "longer, so add the times."),
        Slip("M15-geometric", lambda g: (g.slow * g.fast) ** 0.5,
             "This is the geometric mean. An average speed is distance over time."),
        Slip("M15-half", lambda g: g.each / (g.each / g.slow + g.each / g.fast),
             "This divides half the road by the whole time. The rider rode both halves."),
    ),
    idea="Average speed is all the distance over all the time. How long does each half last?",
    relation="v = 2 D / (D / v1 + D / v2): km/h = km / h.",
    work=lambda g: f"""{g.each} / {g.slow} = {g.each / g.slow:.5f} h, then {g.each} / {g.fast} =
        {g.each / g.fast:.5f} h. v = 2 × {g.each} / ({g.each / g.slow:.5f} + {g.each / g.fast:.5f}).""",
    why="You spend more time on the slow half, so it counts for more: add the times.",
    along=Along("fast", "Speed in the second half, km/h", 20, 60),
)  # fmt: skip

M37 = Kind(
    "M37", "Drag or mass on a climb", "%", 1,
    given={
        "area": Number(0.010, 0.008, 0.014, 0.001),
        "mass": Number(0.5, 0.4, 0.7, 0.1),
        "kmh": Number(20, 18, 22, 1),
        "rolling": Number(0.004, 0.004, 0.006, 0.0005),
        "density": DENSITY,
    },
    asks=lambda g: f"""Set-up A has {g.area:.3f} m² less CdA, set-up B has {g.mass:g} kg less mass. Crr
        {g.rolling:.4f}, calm, air density {g.density:.2f} kg/m³, both ridden at the same {g.kmh}
        km/h. What is the steepest gradient at which A needs no more power than B?""",
    right=lambda g: _even_gradient(*_push_of_the_gap(g), g.rolling),
    slips=(
        Slip("M37", lambda g: 0.0,
             "This says that only weight counts on a climb. At this speed there is still drag to "
             "save."),
        Slip("M37-rolling", lambda g: _even_gradient(*_push_of_the_gap(g), 0.0),
             "This leaves the tyres out. Less mass saves rolling resistance too: subtract the Crr."),
        Slip("M37-added",
             lambda g: _even_gradient(*_push_of_the_gap(g), -g.rolling),
             "This adds the Crr. Less mass saves rolling resistance too, which helps B: subtract it."),
        Slip("M37-kmh", lambda g: to_percent(
                 3.6**2 * _push_of_the_gap(g)[0] / _push_of_the_gap(g)[1] - g.rolling),
             "This squares the km/h, the unit on the bike computer. Turn the speed into m/s first."),
    ),
    idea="Where they are even, both set-ups save the same force. How much does each save?",
    relation="1/2 ρ ΔCdA v² = Δm g (G + Crr) / sqrt(1 + G²): N = N, v in m/s. The root is nearly 1.",
    work=_steps_to_the_gradient,
    why="Up to that gradient, less drag saves more force than less mass.",
    along=Along("kmh", "Speed, km/h", 5, 40),
)  # fmt: skip

M40 = Kind(
    "M40", "A whole loop", "s", 0,
    given={
        "who": Someone(TOBIN),
        "density": DENSITY,
        "flat": Number(20, 15, 25, 1),
        "hill": Number(10, 8, 14, 1),
        "steep": Number(4, 4.5, 6, 0.5),
        "limit": Number(45, 40, 45, 1),
        "wind": Number(3, 2, 4, 0.5),
        "cut": Number(5, 5, 10, 1),
    },
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank, efficiency 0.975; air density
        {g.density:.2f} kg/m³. A loop. Leg 1: {g.flat} km flat, headwind {g.wind:g} m/s. Leg 2:
        {g.hill} km up {g.steep:g} %, no wind. Leg 3: {g.hill} km down {g.steep:g} %, no wind, half
        the power, braked to {g.limit} km/h at most. Leg 4: {g.flat} km flat, tailwind
        {g.wind:g} m/s. The CdA falls by {g.cut} %. How many seconds does that save on the whole loop?
        Solve each leg at steady speed, before and after; do not use the small-change rule.""",
    right=lambda g: _seconds(g, g.steep, kmh(g.limit), g.wind),
    slips=(
        Slip("M40", lambda g: _seconds(g, 0, None, 0, downhill=1),
             "This rides all of it flat and calm. On the hill drag counts for little, and you can't "
             "save time where you brake."),
        Slip("M40-no-limit",
             lambda g: None if g.steep < 4.5 else _seconds(g, g.steep, None, g.wind),
             "This lets the descent run freely. You can't save time where you brake: cap the speed "
             "before and after."),
        Slip("M40-flat-alone", lambda g: _seconds(g, g.steep, kmh(g.limit), 0),
             "This leaves the wind out, as if it cancelled. Into the wind the air takes more, and "
             "for longer."),
        Slip("M40-whole-cut", lambda g: percent(g.cut) * _times(g, g.steep, kmh(g.limit), g.wind)[0],
             "This cuts the time by the whole percentage. Going faster raises the drag again."),
    ),
    idea="Solve each leg before and after, and add times. Which legs can save anything?",
    relation="t = sum of D / v: s = m / (m/s), each v at its own slope, wind and power, "
             "capped on leg 3.",
    work=_steps_round_the_loop,
    why="Add up the legs and cap the descent: you can't save time where you brake.",
    along=Along("cut", "Cut of the CdA, %", 1, 20),
)  # fmt: skip

M42 = Kind(
    "M42", "Minutes with decimals", CLOCK, 0,
    given={"whole": Number(1, 1, 9, 1), "hundredths": Number(8, 7, 59, 1)},
    where=lambda g: abs(g.hundredths * 0.6 % 1 - 0.5) > 0.15,
    asks=lambda g: f"""A page says: {_decimal(g):.2f} minutes saved. How long is that in minutes and
        seconds?""",
    right=lambda g: minutes(_decimal(g)),
    slips=(
        Slip("M42", lambda g: minutes(g.whole) + g.hundredths,
             "This reads the decimals as seconds. They are hundredths of a minute: times 0.6."),
        Slip("M42-hours", lambda g: minutes(60 * g.whole + 0.6 * g.hundredths),
             "This looks like hours and minutes. The saving is in minutes, so its parts are minutes "
             "and seconds."),
        Slip("M42-decimals-alone", lambda g: 0.6 * g.hundredths,
             "This is only the part after the decimal mark. Add the whole minutes."),
    ),
    idea="A minute has 60 seconds, not 100. What part of a minute are the decimals?",
    relation="seconds = decimals × 60 s/min.",
    work=lambda g: f"""The decimals: {percent(g.hundredths):.2f} × 60 = {0.6 * g.hundredths:.1f} s. All in
        seconds: {g.whole} × 60 + {0.6 * g.hundredths:.1f}.""",
    why="The decimals are hundredths of a minute: times 60.",
    relative=0.0,
)  # fmt: skip


def _decimal(g):
    return g.whole + percent(g.hundredths)


QUESTIONS = (M14, M15, M37, M40, M42)
