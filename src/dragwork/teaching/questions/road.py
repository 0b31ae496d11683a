"""M14, M15, M37, M40 and M42: means, hills, whole courses and the clock."""

from math import asin, atan, hypot, tan

import numpy as np

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.course import Course, Leg, steady_ride
from dragwork.physics.drag import drag_force
from dragwork.teaching.questions.question import CLOCK
from dragwork.teaching.questions.wording import Printed, at_the_wheel, balance, slim, steady
from dragwork.teaching.questions.written import DENSITY, Kind, LikeTobin, Number
from dragwork.units import deg, kilometres, kmh, minutes, percent, to_percent


def _even_gradient(ratio, rolling):
    """The gradient [%] at whose angle sin + rolling x cos is a ratio of force to weight."""
    return to_percent(tan(asin(ratio / hypot(1, rolling)) - atan(rolling)))


def _round_the_loop(g, rider, cap):
    """As the steps print them: the speeds of the four legs, what each needs, the seconds, and their sum."""
    climb, power = percent(g.steep), g.who.power
    cases = ((power, g.wind, 0), (power, 0, climb), (power / 2, 0, -climb), (power, -g.wind, 0))
    (one, two, down, four), needs = zip(*(steady(rider, g.density, *case) for case in cases))
    speeds = one, two, min(down, cap), four
    metres = [round(kilometres(km)) for km in (g.flat, g.hill, g.hill, g.flat)]
    time = Printed(sum(d / v for d, v in zip(metres, speeds)), 2)
    return speeds, needs, time, " + ".join(f"{d} / {v}" for d, v in zip(metres, speeds))


def _times(g, steep, limit, wind, downhill=0.5):
    """Seconds for the course before and after less CdA."""
    power, winds = g.who.power * np.array([1, 1, downhill, 1]), np.array([wind, 0, 0, wind])
    flat, hill, back = kilometres(g.flat), kilometres(g.hill), deg(180)
    up, down = Leg(hill, percent(steep)), Leg(hill, percent(-steep), heading=back, speed_limit=limit)
    course = Course([Leg(flat), up, down, Leg(flat, heading=back)])
    return [steady_ride(course, rider, power, g.density, winds).time for rider in (g.who.rider, slim(g, g.who))]


def _seconds(*arguments, **others):
    before, after = _times(*arguments, **others)
    return before - after


class M14(LikeTobin):
    """Mean air power at two speeds

    {about_who} {flat_and_calm} Half the TIME the rider is at {slow} km/h, half the time at {fast}
    km/h. How much power does the air take on average? {at_the_wheel}

    Idea: Find the power at each speed first. Average those.
    Relation: mean P = (P1 + P2) / 2 with P = 1/2 ρ CdA v³: W, v in m/s.
    Work: {slow} / 3.6 = {v1:.5f} m/s; {fast} / 3.6 = {v2:.5f} m/s. Slow: 1/2 × {density:.2f} ×
    {who.rider.drag_area:.3f} × {v1}³ = {low:.2f} W. Fast: 1/2 × {density:.2f} ×
    {who.rider.drag_area:.3f} × {v2}³ = {high:.2f} W. Mean: ({low} + {high}) / 2.
    Why: Fast minutes cost more than slow ones save, so average the cubes, not the speeds.

    Slip: This is the power at the mean speed. Fast minutes cost more than slow ones save, so
    average the powers.
    Slip sum: This adds the two powers. Each lasts only half the time.
    Slip kmh: This is the mean of the cubes in km/h. Turn both speeds into m/s first.
    Slip fast: This leaves the slow half out. It costs less, not nothing.
    """

    unit, digits = "W", 0
    slow = Number(30, 22, 30, 1)
    fast = Number(50, 42, 52, 1, along=("Speed in the fast half, km/h", 30, 70))

    def answers(g):
        slow, fast = (balance(g, kmh(speed)).air for speed in (g.slow, g.fast))
        yield "right", (slow + fast) / 2
        yield "slip", balance(g, kmh((g.slow + g.fast) / 2)).air
        yield "slip sum", slow + fast
        yield "slip kmh", 3.6**3 * (slow + fast) / 2
        yield "slip fast", fast / 2


class M15(Kind):
    """Mean speed over two halves

    {each} km at {slow} km/h, then {each} km at {fast} km/h. What is the average speed over both?

    Idea: Average speed is all the distance over all the time. How long does each half last?
    Relation: v = 2 D / (D / v1 + D / v2): km/h = km / h.
    Work: {each} / {slow} = {first:.5f} h, then {each} / {fast} = {second:.5f} h. v = 2 × {each} /
    ({first} + {second}).
    Why: You spend more time on the slow half, so it counts for more: add the times.

    Slip: This is the mean of the two speeds, as if both lasted equally long. The slow half lasts
    longer, so add the times.
    Slip geometric: This is the geometric mean. An average speed is distance over time.
    Slip half: This divides half the road by the whole time. The rider rode both halves.
    """

    unit, digits = "km/h", 1
    each = Number(10, 5, 20, 1)
    slow = Number(20, 15, 24, 1)
    fast = Number(40, 34, 48, 1, along=("Speed in the second half, km/h", 20, 60))

    def where(g):
        return g.fast >= 1.5 * g.slow

    def answers(g):
        hours = g.each / g.slow + g.each / g.fast
        yield "right", 2 * g.each / hours
        yield "slip", (g.slow + g.fast) / 2
        yield "slip geometric", (g.slow * g.fast) ** 0.5
        yield "slip half", g.each / hours


class M37(Kind):
    """Drag or mass on a climb

    Set-up A has {area:.3f} m² less CdA, set-up B has {mass:g} kg less mass. Crr {rolling:.4f},
    calm, air density {density:.2f} kg/m³, both ridden at the same {kmh} km/h. What is the steepest
    gradient at which A needs no more power than B?

    Idea: Where they are even, both set-ups save the same force. How much does each save?
    Relation: 1/2 ρ ΔCdA v² = Δm g (G + Crr) / sqrt(1 + G²): N = N, v in m/s. The root is nearly 1.
    Work: v = {kmh} / 3.6 = {v:.5f} m/s. Less CdA saves 1/2 × {density:.2f} × {area:.3f} × {v}² =
    {push:.5f} N; {mass:g} kg weigh {mass:g} × {gravity} = {weight:.5f} N. The ratio is {push} /
    {weight} = {ratio:.6f}. First without the root: {ratio} - {rolling:.4f} = {rough:.6f}. With the
    root of that: 100 × ({ratio} × sqrt(1 + {rough}²) - {rolling:.4f}).
    Why: Up to that gradient, less drag saves more force than less mass.

    Slip: This says that only weight counts on a climb. At this speed there is still drag to save.
    Slip rolling: This leaves the tyres out. Less mass saves rolling resistance too: subtract the
    Crr.
    Slip added: This adds the Crr. Less mass saves rolling resistance too, which helps B: subtract
    it.
    Slip kmh: This squares the km/h, the unit on the bike computer. Turn the speed into m/s first.
    """

    unit, digits = "%", 1
    area = Number(0.010, 0.008, 0.014, 0.001)
    mass = Number(0.5, 0.4, 0.7, 0.1)
    kmh = Number(20, 18, 22, 1, along=("Speed, km/h", 5, 40))
    rolling = Number(0.004, 0.004, 0.006, 0.0005)
    density = DENSITY

    def answers(g):
        ratio = drag_force(g.area, g.density, kmh(g.kmh)) / (g.mass * STANDARD_GRAVITY)
        yield "right", _even_gradient(ratio, g.rolling)
        yield "slip", 0.0
        yield "slip rolling", _even_gradient(ratio, 0.0)
        yield "slip added", _even_gradient(ratio, -g.rolling)
        yield "slip kmh", to_percent(3.6**2 * ratio - g.rolling)


class M40(LikeTobin):
    """A whole loop

    {about_who} {who.power} W at the crank, efficiency 0.975; air density {density:.2f} kg/m³. A
    loop. Leg 1: {flat} km flat, headwind {wind:g} m/s. Leg 2: {hill} km up {steep:g} %, no wind.
    Leg 3: {hill} km down {steep:g} %, no wind, half the power, braked to {limit} km/h at most. Leg
    4: {flat} km flat, tailwind {wind:g} m/s. The CdA falls by {cut} %. How many seconds does that
    save on the whole loop? Solve each leg at steady speed, before and after; do not use the
    small-change rule.

    Idea: Solve each leg before and after, and add times. Which legs can save anything?
    Relation: t = sum of D / v: s = m / (m/s), each v at its own slope, wind and power, capped on
    leg 3.
    Why: Add up the legs and cap the descent: you can't save time where you brake.

    Slip: This rides all of it flat and calm. On the hill drag counts for little, and you can't save
    time where you brake.
    Slip no limit: This lets the descent run freely. You can't save time where you brake: cap the
    speed before and after.
    Slip flat alone: This leaves the wind out, as if it cancelled. Into the wind the air takes more,
    and for longer.
    Slip whole cut: This cuts the time by the whole percentage. Going faster raises the drag again.
    """

    unit, digits = "s", 0
    flat = Number(20, 15, 25, 1)
    hill = Number(10, 8, 14, 1)
    steep = Number(4, 4.5, 6, 0.5)
    limit = Number(45, 40, 45, 1)
    wind = Number(3, 2, 4, 0.5)
    cut = Number(5, 5, 10, 1, along=("Cut of the CdA, %", 1, 20))

    def work(g):
        cap, half = Printed(kmh(g.limit), 5), g.who.power / 2
        slimmer = slim(g, g.who)
        before, needs, time, sum_before = _round_the_loop(g, g.who.rider, cap)
        after, _, less, sum_after = _round_the_loop(g, slimmer, cap)
        return f"""The cap: {g.limit} / 3.6 = {cap} m/s. {at_the_wheel(g.who.power)} Leg 1 at {before[0]} m/s needs
            {needs[0]}. Leg 2 at {before[1]} m/s needs {needs[1]}. Leg 3, where the wheel gets
            0.975 × {half:g} = {round(0.975 * half, 4):g} W, is ridden at {before[2]} m/s. Leg 4 at {before[3]} m/s
            needs {needs[3]}. Before: {sum_before} = {time} s. With {1 - percent(g.cut):.2f} ×
            {g.who.rider.drag_area:g} = {slimmer.drag_area:g} m² the speeds are {after[0]}, {after[1]}, {after[2]} and
            {after[3]} m/s. After: {sum_after} = {less} s. Saved: {time} - {less}."""

    def answers(g):
        before, after = _times(g, g.steep, kmh(g.limit), g.wind)
        yield "right", before - after
        yield "slip", _seconds(g, 0, None, 0, downhill=1)
        if g.steep >= 4.5:
            yield "slip no limit", _seconds(g, g.steep, None, g.wind)
        yield "slip flat alone", _seconds(g, g.steep, kmh(g.limit), 0)
        yield "slip whole cut", percent(g.cut) * before


class M42(Kind):
    """Minutes with decimals

    A page says: {decimal:.2f} minutes saved. How long is that in minutes and seconds?

    Idea: A minute has 60 seconds, not 100. What part of a minute are the decimals?
    Relation: seconds = decimals × 60 s/min.
    Work: The decimals: {part:.2f} × 60 = {s:.1f} s. All in seconds: {whole} × 60 + {s}.
    Why: The decimals are hundredths of a minute: times 60.

    Slip: This reads the decimals as seconds. They are hundredths of a minute: times 0.6.
    Slip hours: This looks like hours and minutes. The saving is in minutes, so its parts are
    minutes and seconds.
    Slip decimals alone: This is only the part after the decimal mark. Add the whole minutes.
    """

    unit, digits = CLOCK, 0
    whole = Number(1, 1, 9, 1)
    hundredths = Number(8, 7, 59, 1)
    relative = 0.0
    derived = {"decimal": lambda g: g.whole + percent(g.hundredths), "part": lambda g: percent(g.hundredths)}

    def where(g):
        return abs(g.hundredths * 0.6 % 1 - 0.5) > 0.15

    def answers(g):
        yield "right", minutes(g.decimal)
        yield "slip", minutes(g.whole) + g.hundredths
        yield "slip hours", minutes(60 * g.whole + 0.6 * g.hundredths)
        yield "slip decimals alone", 0.6 * g.hundredths
