"""M01 to M07, M13, M34 to M36 and M41: squares and cubes, their units, and where the watts go, at the wheel and at the crank."""

from dataclasses import replace
from math import sin

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.drag import drag_force
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.resistance import crank_power, rolling_force, slope_force
from dragwork.physics.savings import watts_saved
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.questions.wording import balance, slope_pull, still
from dragwork.teaching.questions.written import DENSITY, Kind, LikeTobin, Number, Someone
from dragwork.units import deg, kmh, percent, to_percent

# Not 10 m/s, where force and power differ by ten.
_KMH = Number(39.6, 37.8, 45.0, 0.9, along=("Speed, km/h", 10, 60))


def _half_rho_area(g):
    return 0.5 * g.density * g.who.rider.drag_area


def _air_force(g):
    return drag_force(g.who.rider.drag_area, g.density, kmh(g.kmh))


def _rolling(g, speed):
    return rolling_force(g.who.rider.all_up_mass, g.more) * kmh(speed)


class M01(LikeTobin):
    """Air power at a speed in km/h

    {about_who} {flat_and_calm} How much power does the air take at {kmh:g} km/h? {at_the_wheel}

    Idea: Turn the speed into m/s first. What is the force of the air, and what is its power?
    Relation: P = 1/2 ρ CdA v³: W = kg/m³ × m² × (m/s)³.
    Work: v = {kmh:g} / 3.6 = {v:.2f} m/s. P = 1/2 × {density:.2f} × {who.rider.drag_area:.3f} ×
    {v}³.
    Why: In m/s the cube of the speed gives watts.

    Slip: This is the cube of the km/h, the unit on every bike computer. Turn km/h into m/s first:
    the slip is cubed too.
    Slip squared: This has km/h in the square and m/s in the last step. Turn the speed into m/s
    first, and only once.
    Slip last step: This is the right force times km/h. Newtons times metres per second gives watts.
    Slip force: This is the force of the air in newtons, which comes first. Power is that force
    times the speed over the ground.
    Slip no half: This leaves out the half in 1/2 ρ v². It is easy to forget.
    """

    unit, digits = "W", 0
    kmh = _KMH

    def answers(g):
        force, v = _air_force(g), kmh(g.kmh)
        yield "right", balance(g, v).air
        yield "slip", _half_rho_area(g) * g.kmh**3
        yield "slip squared", _half_rho_area(g) * g.kmh**2 * v
        yield "slip last step", force * g.kmh
        yield "slip force", force
        yield "slip no half", 2 * force * v


class M02(LikeTobin):
    """Air force at a speed in km/h

    {about_who} {flat_and_calm} What is the force of the air on the rider at {kmh:g} km/h?

    Idea: A force grows with the square of the speed. Which unit must the speed have?
    Relation: F = 1/2 ρ CdA v²: N = kg/m³ × m² × (m/s)².
    Work: v = {kmh:g} / 3.6 = {v:.2f} m/s. F = 1/2 × {density:.2f} × {who.rider.drag_area:.3f} ×
    {v}².
    Why: In m/s the square of the speed gives newtons.

    Slip: This is drag with km/h squared. It would be like holding up {kilograms:.0f} kg: turn km/h
    into m/s first.
    Slip power: This is the power, with the cube of the speed. The force grows with the square;
    power is force times speed.
    Slip no half: This leaves out the half in 1/2 ρ v². It is easy to forget.
    Slip not squared: This uses the speed only once. At twice the speed you meet twice the air, and
    hit it twice as hard.
    """

    unit, digits = "N", 1
    kmh = _KMH
    derived = {"kilograms": lambda g: _half_rho_area(g) * g.kmh**2 / STANDARD_GRAVITY}

    def answers(g):
        force = _air_force(g)
        yield "right", force
        yield "slip", _half_rho_area(g) * g.kmh**2
        yield "slip power", force * kmh(g.kmh)
        yield "slip no half", 2 * force
        yield "slip not squared", _half_rho_area(g) * kmh(g.kmh)


class M03(Kind):
    """Power from a force

    At {kmh:g} km/h, flat and calm, the force of the air on a rider is {force:.1f} N. How much power
    does that take? {at_the_wheel}

    Idea: Power is force times speed over the ground. Which unit must the speed have?
    Relation: P = F v: W = N × m/s.
    Work: v = {kmh:g} / 3.6 = {v:.2f} m/s. P = {force:.1f} × {v}.
    Why: Newtons times metres per second gives watts.

    Slip: This is newtons times km/h. Newtons times m/s gives watts, so divide the km/h by 3.6
    first.
    Slip force: This is the force. Power is the force times the speed over the ground.
    Slip times: This multiplies the km/h by 3.6, the right number used the other way round. Divide
    instead.
    Slip divided: This is the force divided by the speed. Going faster takes more power, so
    multiply.
    """

    unit, digits = "W", 0
    force = Number(23.2, 16, 32, 0.4)
    kmh = _KMH

    def answers(g):
        yield "right", g.force * kmh(g.kmh)
        yield "slip", g.force * g.kmh
        yield "slip force", g.force
        yield "slip times", g.force * g.kmh * 3.6
        yield "slip divided", g.force / kmh(g.kmh)


class M04(LikeTobin):
    """From force to power

    {about_who} {flat_and_calm} At {speed:.2f} m/s the force of the air is {force:.2f} N. How much
    power goes into the air? {at_the_wheel}

    Idea: If you lean on a wall, nothing moves and the power is zero. What is missing from the
    force?
    Relation: P = F v: W = N × m/s.
    Work: P = {force:.2f} × {speed:.2f}.
    Why: Power is the force times the speed over the ground.

    Slip: This is the force given in the question. Power is the force times the speed over the
    ground.
    Slip kmh: This is newtons times km/h. The speed is given in m/s, which is what watts need.
    Slip cubed: This has one factor of speed too many. The force already has the square, and power
    takes one more.
    Slip divided: This is the force divided by the speed. Going faster takes more power, so
    multiply.
    """

    unit, digits = "W", 0
    kmh = _KMH
    derived = {"speed": lambda g: kmh(g.kmh), "force": lambda g: round(float(_air_force(g)), 2)}

    def answers(g):
        yield "right", g.force * g.speed
        yield "slip", g.force
        yield "slip kmh", g.force * g.kmh
        yield "slip cubed", g.force * g.speed**2
        yield "slip divided", g.force / g.speed


class M05(Kind):
    """Power for more speed

    A rider goes {faster} % faster. {flat_and_calm} How much more power goes into the air, in %? Use
    the exact cube.

    Idea: The force grows with the square of the speed. And power is force times speed.
    Relation: P2 / P1 = (v2 / v1)³: no unit, W over W.
    Work: The power grows to {factor:.2f}³ = {cubed:.5f} times as much. More: 100 × ({cubed} - 1).
    Why: Force grows with the square, and you cover ground faster too: the cube.

    Slip: This is how the force grows, with the square. You also cover ground faster, so power grows
    with the cube.
    Slip in step: This makes power proportional to speed. Three things grow with speed: the air you
    meet, how hard you hit it, the ground you cover.
    Slip tripled: This is three times the percentage, the small-change rule. The change is not
    small: multiply by the factor three times.
    Slip factor: This is the factor by which the power grows. Take away 1 to see how much more it
    is, then turn it into %.
    Slip new: This is the new power as a percentage of the old. Take away the 100 % that was there
    before.
    """

    unit, digits = "%", 1
    faster = Number(10, 7, 20, 1, along=("Faster by, %", 0, 40))
    density = DENSITY
    derived = {"factor": lambda g: 1 + percent(g.faster)}

    def answers(g):
        was, now = (power_balance(TOBIN.rider, still(g), v).air for v in (11, 11 * g.factor))
        yield "right", to_percent(now / was - 1)
        yield "slip", to_percent(g.factor**2 - 1)
        yield "slip in step", g.faster
        yield "slip tripled", 3 * g.faster
        yield "slip factor", g.factor**3
        yield "slip new", to_percent(g.factor**3)


class M06(LikeTobin):
    """Crank power at a higher speed

    {about_who} {flat_and_calm} At {slow:g} km/h the ride takes {slow_watts:.0f} W. How many watts
    does it take at {fast:g} km/h? {at_the_crank}

    Idea: Split the power into air and tyres. Each grows in its own way.
    Relation: P = (1/2 ρ CdA v³ + Crr m g v) / 0.975: W at the crank, v in m/s.
    Work: v = {fast:g} / 3.6 = {v:.3f} m/s. Air: 1/2 × {density:.2f} × {who.rider.drag_area:.3f} ×
    {v}³ = {air:.2f} W. Tyres: {who.rider.rolling_coefficient:.4f} × {who.rider.all_up_mass:g} ×
    {gravity} × {v} = {tyres:.2f} W. At the crank: ({air} + {tyres}) / 0.975.
    Why: Air power grows with the cube of speed; rolling power is proportional to it.

    Slip: This cubes all of the power. Only the air power grows with the cube; rolling power is
    proportional to speed.
    Slip squared: This grows with the square, as the force does. Power is force times speed.
    Slip in step: This is proportional to speed, as rolling power is. Air power grows with the cube.
    Slip wheel (near): This is the power at the wheel. The crank gives more: divide by the
    efficiency.
    """

    unit, digits = "W", 0
    slow = Number(39.6, 28.8, 36, 0.9)
    fast = Number(49.5, 39.6, 48.6, 0.9, along=("The higher speed, km/h", 20, 60))
    derived = {"slow_watts": lambda g: balance(g, kmh(g.slow)).total}

    def where(g):
        return g.fast >= 1.25 * g.slow

    def answers(g):
        needed, faster = balance(g, kmh(g.fast)), g.fast / g.slow
        yield "right", needed.total
        yield "slip", g.slow_watts * faster**3
        yield "slip squared", g.slow_watts * faster**2
        yield "slip in step", g.slow_watts * faster
        yield "slip wheel", needed.wheel


class M41(Kind):
    """Worse tyres at half the speed

    {about_who} Flat and calm. Worse tyres raise the Crr by {more:g}, which costs {watts:.2f} W at
    {fast:g} km/h. What do they cost at {half:g} km/h? {at_the_wheel}

    Idea: The force of the tyres does not change with speed. What does their power do?
    Relation: P = Crr m g v: W = kg × m/s² × m/s.
    Work: F = {more:g} × {who.rider.all_up_mass:g} × {gravity} = {F:.5f} N at any speed. v =
    {half:g} / 3.6 = {v:.5f} m/s. P = {F} × {v}.
    Why: Rolling power is proportional to speed, not to its cube.

    Slip: This is an eighth, as air power would fall. The force of the tyres is the same at any
    speed.
    Slip squared: This is a quarter, as drag would fall. The force of the tyres is the same at any
    speed.
    Slip same: This is the cost at the higher speed. The force stays the same; the power is that
    force times a lower speed.
    Slip crank (near): This is the cost at the crank. The question asks for power at the wheel.
    """

    unit, digits = "W", 2
    who = Someone(TOBIN)
    more = Number(0.001, 0.0008, 0.002, 0.0002)
    fast = Number(36, 30, 45, 1, along=("The speed of the given cost, km/h", 10, 60))
    derived = {"watts": lambda g: _rolling(g, g.fast), "half": lambda g: g.fast / 2}

    def answers(g):
        yield "right", _rolling(g, g.half)
        yield "slip", g.watts / 8
        yield "slip squared", g.watts / 4
        yield "slip same", g.watts
        yield "slip crank", crank_power(_rolling(g, g.half), 0.975)


class M07(LikeTobin):
    """Watts for less drag at one speed

    {about_who} {flat_and_calm} At {kmh:g} km/h the ride takes {total:.1f} W. Then the CdA falls by
    {cut} %. How many watts does that save at the same speed? {at_the_crank}

    Idea: Less CdA changes one part of the power. Which part, and how large is it?
    Relation: saved = x × 1/2 ρ CdA v³ / 0.975: W at the crank, v in m/s.
    Work: v = {kmh:g} / 3.6 = {v:.2f} m/s. Air: 1/2 × {density:.2f} × {who.rider.drag_area:.3f} ×
    {v}³ = {air:.3f} W at the wheel. Saved: {share:.2f} × {air} / 0.975.
    Why: You save on the watts that go into the air, not on all of them.

    Slip: This takes the percentage off all the power. You save it only on the part that goes into
    the air.
    Slip wheel (near): This is what the wheel saves. The crank saves more: divide by the efficiency.
    Slip tyres: This takes the percentage off the tyres' power. Less CdA doesn't change that.
    Slip cubed: This cubes the cut. Air power has the cube of the speed, but the CdA only once.
    """

    unit, digits = "W", 1
    kmh = Number(39.6, 32.4, 45, 0.9)
    cut = Number(10, 4, 12, 1, along=("Cut of the CdA, %", 0, 30))
    derived = {"total": lambda g: balance(g, kmh(g.kmh)).total, "share": lambda g: percent(g.cut)}

    def answers(g):
        rider, needed = g.who.rider, balance(g, kmh(g.kmh))
        slimmer = replace(rider, drag_area=rider.drag_area * (1 - g.share))
        yield "right", watts_saved(rider, slimmer, still(g), kmh(g.kmh))
        yield "slip", g.share * needed.total
        yield "slip wheel", g.share * needed.air
        yield "slip tyres", g.share * needed.rolling / 0.975
        yield "slip cubed", needed.air / 0.975 * (1 - (1 - g.share) ** 3)


class M13(Kind):
    """Points of share

    Flat and calm, at one speed, the air takes {before} % of the power at the wheel. The tyres take
    the other {tyres} %. After a change of position air takes {after} % at the same speed; the tyres
    take as many watts as before. By what percentage did the air watts change? Give the sign: - is
    fewer.

    Idea: The tyre watts stayed the same. How many times the tyre watts does air take?
    Relation: air / tyres = s / (1 - s), W over W, before and after.
    Work: Air over tyres, before: {before} / {tyres} = {was:.5f}. After: {after} / {others} =
    {now:.5f}. Change: 100 × ({now} / {was} - 1).
    Why: A few percentage points of share can be much more in drag: compare watts, not shares.

    Slip: This is the change in percentage points. The whole got smaller too: compare watts with
    watts, not shares.
    Slip shares: This compares the two shares. They are parts of different wholes: compare watts
    with watts.
    Slip tyres: This is the change in the tyres' share. Their watts stayed the same, so compare with
    those.
    Slip total: This is the change in all the power. It still includes the tyres.
    """

    unit, digits = "%", 1
    before = Number(85, 78, 88, 1)
    fewer = Number(3, 2, 5, 1, along=("Percentage points fewer", 0, 20))
    derived = {
        "tyres": lambda g: 100 - g.before,
        "after": lambda g: g.before - g.fewer,
        "others": lambda g: 100 - g.before + g.fewer,
    }

    def answers(g):
        was, now = g.before / g.tyres, g.after / g.others  # the air's watts over the tyres'
        yield "right", to_percent(now / was - 1)
        yield "slip", -g.fewer
        yield "slip shares", to_percent(g.after / g.before - 1)
        yield "slip tyres", to_percent(g.others / g.tyres - 1)
        yield "slip total", to_percent(g.tyres / g.others - 1)


class M34(Kind):
    """Watts against the slope

    {about_who} {who.name} climbs {steep:g} % at {speed:g} m/s, calm. How much power does lifting
    take (the slope's part alone)? {at_the_wheel}

    Idea: How many metres does the rider rise each second?
    Relation: P = m g v sin(atan G): W = kg × m/s² × m/s; G is rise over run.
    Work: F = {weight} = {pull:.3f} N. P = {pull} × {speed:g}.
    Why: Gradient is rise over run, and the weight rises at that fraction of the speed.

    Slip: This reads % as degrees, and a steep road does look like that. Gradient is rise over run:
    5 % is 2.9 degrees.
    Slip crank (near): This is the power at the crank. The question asks for power at the wheel.
    Slip ten (near): This uses g = 10 m/s², which is 2 % too much. Take 9.81 m/s².
    Slip no gravity: This uses kilograms instead of newtons. Each kilogram weighs 9.81 N.
    Slip percent: This uses the % as a whole number. As rise over run it is a hundredth of that.
    """

    unit, digits = "W", 0
    who = Someone(TOBIN)
    steep = Number(5, 3, 9, 0.5, along=("Gradient, %", 0, 15))
    speed = Number(4, 3, 5.5, 0.25)
    derived = {"weight": lambda g: slope_pull(g.who.rider.all_up_mass, percent(g.steep))[1]}

    def answers(g):
        mass = g.who.rider.all_up_mass
        lifting = power_balance(g.who.rider, Conditions(gradient=percent(g.steep)), g.speed).slope
        yield "right", lifting
        yield "slip", mass * STANDARD_GRAVITY * sin(deg(g.steep)) * g.speed
        yield "slip crank", crank_power(lifting, 0.975)
        yield "slip ten", lifting * 10 / STANDARD_GRAVITY
        yield "slip no gravity", lifting / STANDARD_GRAVITY
        yield "slip percent", mass * STANDARD_GRAVITY * g.steep * g.speed


class M35(Kind):
    """From the wheel to the crank

    The wheel needs {wheel} W. The drivetrain's efficiency is {efficiency:g}. How many watts must
    the rider give at the crank?

    Idea: Power goes from the crank through the drivetrain to the wheel. Where is it lost?
    Relation: crank × efficiency = wheel, W = W; so crank = wheel / efficiency.
    Work: P = {wheel} / {efficiency:g}.
    Why: The drivetrain loses a little, so the crank must give more than the wheel gets.

    Slip: This subtracts the drivetrain loss from the power at the wheel. The loss comes between
    crank and wheel, so the crank must give more.
    Slip same: This is the power at the wheel, as if nothing were lost. The drivetrain loses some on
    the way.
    Slip cut alone: This is the drivetrain loss alone. The crank must give it on top of what the
    wheel needs.
    """

    unit, digits = "W", 1
    wheel = Number(220, 150, 300, 10)
    efficiency = Number(0.975, 0.94, 0.965, 0.005, along=("Efficiency of the drivetrain", 0.8, 1))

    def answers(g):
        yield "right", crank_power(g.wheel, g.efficiency)
        yield "slip", g.wheel * g.efficiency
        if g.efficiency < 0.97:
            yield "slip same", g.wheel
        yield "slip cut alone", g.wheel / g.efficiency - g.wheel


class M36(Kind):
    """All that is lifted

    A rider of {body} kg climbs {steep:g} % at {speed:g} m/s, calm, on a bike of {bicycle:g} kg,
    with {carried:g} kg of bottles and clothing. How much power does lifting take (the slope's part
    alone)? {at_the_wheel}

    Idea: What goes up the hill? Count all of it.
    Relation: P = m g v sin(atan G): W = kg × m/s² × m/s; m is all-up mass.
    Work: m = {body} + {bicycle:g} + {carried:g} = {mass:g} kg. F = {weight} = {pull:.3f} N. P =
    {pull} × {speed:g}.
    Why: The bike, bottles and clothing climb too: use all-up mass.

    Slip: This lifts the rider alone. Bike, bottles and clothing climb too.
    Slip crank (near): This is the power at the crank. The question asks for power at the wheel.
    Slip ten (near): This uses g = 10 m/s², which is 2 % too much. Take 9.81 m/s².
    Slip degrees: This reads % as degrees, and a steep road does look like that. Gradient is rise
    over run.
    Slip alone in degrees: This lifts the rider alone, and reads % as degrees. Gradient is rise over
    run, and all the mass climbs.
    """

    unit, digits = "W", 0
    body = Number(74, 60, 80, 1)
    bicycle = Number(8, 7, 10, 0.5)
    carried = Number(2, 1.5, 3, 0.5)
    steep = Number(5, 3, 9, 0.5, along=("Gradient, %", 0, 15))
    speed = Number(4, 3, 5.5, 0.25)
    derived = {
        "mass": lambda g: g.body + g.bicycle + g.carried,
        "weight": lambda g: slope_pull(g.mass, percent(g.steep))[1],
    }

    def answers(g):
        lifting, alone = (slope_force(mass, percent(g.steep)) * g.speed for mass in (g.mass, g.body))
        at_degrees = STANDARD_GRAVITY * sin(deg(g.steep)) * g.speed
        yield "right", lifting
        yield "slip", alone
        yield "slip crank", crank_power(lifting, 0.975)
        yield "slip ten", lifting * 10 / STANDARD_GRAVITY
        yield "slip degrees", g.mass * at_degrees
        yield "slip alone in degrees", g.body * at_degrees
