"""M01 to M07, M13, M34 to M36 and M41: squares and cubes, their units, and where the watts go, at the wheel and at the crank."""

from dataclasses import replace
from math import sin

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.drag import drag_force
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.resistance import crank_power, rolling_force, slope_force
from dragwork.physics.savings import watts_saved
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.questions.wording import slope_pull, still
from dragwork.teaching.questions.written import DENSITY, Kind, LikeTobin, Number, Someone, near
from dragwork.units import deg, kmh, percent, to_percent

# Not 10 m/s, where force and power differ by ten.
_KMH = Number(39.6, 37.8, 45.0, 0.9, along=("Speed, km/h", 10, 60))


def _half_rho_area(g):
    return 0.5 * g.density * g.who.rider.drag_area


def _air_power(g):
    return power_balance(g.who.rider, still(g), kmh(g.kmh)).air


def _air_force(g):
    return drag_force(g.who.rider.drag_area, g.density, kmh(g.kmh))


def _crank(g, speed):
    return power_balance(g.who.rider, still(g), kmh(speed)).total


def _factor(g):
    return 1 + percent(g.faster)


def _force_given(g):
    """The force of the air as a prompt prints it."""
    return round(float(_air_force(g)), 2)


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
    """

    unit, digits = "W", 0
    kmh = _KMH
    right = _air_power

    def slip(g):
        """This is the cube of the km/h, the unit on every bike computer. Turn km/h into m/s first:
        the slip is cubed too."""
        return _half_rho_area(g) * g.kmh**3

    def slip_squared(g):
        """This has km/h in the square and m/s in the last step. Turn the speed into m/s first, and
        only once."""
        return _half_rho_area(g) * g.kmh**2 * kmh(g.kmh)

    def slip_last_step(g):
        """This is the right force times km/h. Newtons times metres per second gives watts."""
        return _air_force(g) * g.kmh

    def slip_force(g):
        """This is the force of the air in newtons, which comes first. Power is that force times the
        speed over the ground."""
        return _air_force(g)

    def slip_no_half(g):
        """This leaves out the half in 1/2 ρ v². It is easy to forget."""
        return 2 * _air_power(g)


class M02(LikeTobin):
    """Air force at a speed in km/h

    {about_who} {flat_and_calm} What is the force of the air on the rider at {kmh:g} km/h?

    Idea: A force grows with the square of the speed. Which unit must the speed have?
    Relation: F = 1/2 ρ CdA v²: N = kg/m³ × m² × (m/s)².
    Work: v = {kmh:g} / 3.6 = {v:.2f} m/s. F = 1/2 × {density:.2f} × {who.rider.drag_area:.3f} ×
    {v}².
    Why: In m/s the square of the speed gives newtons.
    """

    unit, digits = "N", 1
    kmh = _KMH
    shown = {"kilograms": lambda g: _half_rho_area(g) * g.kmh**2 / STANDARD_GRAVITY}
    right = _air_force

    def slip(g):
        """This is drag with km/h squared. It would be like holding up {kilograms:.0f} kg: turn km/h
        into m/s first."""
        return _half_rho_area(g) * g.kmh**2

    def slip_power(g):
        """This is the power, with the cube of the speed. The force grows with the square; power is
        force times speed."""
        return _air_power(g)

    def slip_no_half(g):
        """This leaves out the half in 1/2 ρ v². It is easy to forget."""
        return 2 * _air_force(g)

    def slip_not_squared(g):
        """This uses the speed only once. At twice the speed you meet twice the air, and hit it
        twice as hard."""
        return _half_rho_area(g) * kmh(g.kmh)


class M03(Kind):
    """Power from a force

    At {kmh:g} km/h, flat and calm, the force of the air on a rider is {force:.1f} N. How much power
    does that take? {at_the_wheel}

    Idea: Power is force times speed over the ground. Which unit must the speed have?
    Relation: P = F v: W = N × m/s.
    Work: v = {kmh:g} / 3.6 = {v:.2f} m/s. P = {force:.1f} × {v}.
    Why: Newtons times metres per second gives watts.
    """

    unit, digits = "W", 0
    force = Number(23.2, 16, 32, 0.4)
    kmh = _KMH

    def right(g):
        return g.force * kmh(g.kmh)

    def slip(g):
        """This is newtons times km/h. Newtons times m/s gives watts, so divide the km/h by 3.6
        first."""
        return g.force * g.kmh

    def slip_force(g):
        """This is the force. Power is the force times the speed over the ground."""
        return g.force

    def slip_times(g):
        """This multiplies the km/h by 3.6, the right number used the other way round. Divide
        instead."""
        return g.force * g.kmh * 3.6

    def slip_divided(g):
        """This is the force divided by the speed. Going faster takes more power, so multiply."""
        return g.force / kmh(g.kmh)


class M04(LikeTobin):
    """From force to power

    {about_who} {flat_and_calm} At {speed:.2f} m/s the force of the air is {force:.2f} N. How much
    power goes into the air? {at_the_wheel}

    Idea: If you lean on a wall, nothing moves and the power is zero. What is missing from the
    force?
    Relation: P = F v: W = N × m/s.
    Work: P = {force:.2f} × {speed:.2f}.
    Why: Power is the force times the speed over the ground.
    """

    unit, digits = "W", 0
    kmh = _KMH
    shown = {"speed": lambda g: kmh(g.kmh), "force": _force_given}

    def right(g):
        return _force_given(g) * kmh(g.kmh)

    def slip(g):
        """This is the force given in the question. Power is the force times the speed over the
        ground."""
        return _force_given(g)

    def slip_kmh(g):
        """This is newtons times km/h. The speed is given in m/s, which is what watts need."""
        return _force_given(g) * g.kmh

    def slip_cubed(g):
        """This has one factor of speed too many. The force already has the square, and power takes
        one more."""
        return _force_given(g) * kmh(g.kmh) ** 2

    def slip_divided(g):
        """This is the force divided by the speed. Going faster takes more power, so multiply."""
        return _force_given(g) / kmh(g.kmh)


class M05(Kind):
    """Power for more speed

    A rider goes {faster} % faster. {flat_and_calm} How much more power goes into the air, in %? Use
    the exact cube.

    Idea: The force grows with the square of the speed. And power is force times speed.
    Relation: P2 / P1 = (v2 / v1)³: no unit, W over W.
    Work: The power grows to {factor:.2f}³ = {cubed:.5f} times as much. More: 100 × ({cubed} - 1).
    Why: Force grows with the square, and you cover ground faster too: the cube.
    """

    unit, digits = "%", 1
    faster = Number(10, 7, 20, 1, along=("Faster by, %", 0, 40))
    density = DENSITY
    shown = {"factor": _factor}

    def right(g):
        was, now = (power_balance(TOBIN.rider, still(g), v).air for v in (11, 11 * _factor(g)))
        return to_percent(now / was - 1)

    def slip(g):
        """This is how the force grows, with the square. You also cover ground faster, so power
        grows with the cube."""
        return to_percent(_factor(g) ** 2 - 1)

    def slip_in_step(g):
        """This makes power proportional to speed. Three things grow with speed: the air you meet,
        how hard you hit it, the ground you cover."""
        return g.faster

    def slip_tripled(g):
        """This is three times the percentage, the small-change rule. The change is not small:
        multiply by the factor three times."""
        return 3 * g.faster

    def slip_factor(g):
        """This is the factor by which the power grows. Take away 1 to see how much more it is, then
        turn it into %."""
        return _factor(g) ** 3

    def slip_new(g):
        """This is the new power as a percentage of the old. Take away the 100 % that was there
        before."""
        return to_percent(_factor(g) ** 3)


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
    """

    unit, digits = "W", 0
    slow = Number(39.6, 28.8, 36, 0.9)
    fast = Number(49.5, 39.6, 48.6, 0.9, along=("The higher speed, km/h", 20, 60))
    shown = {"slow_watts": lambda g: _crank(g, g.slow)}

    def right(g):
        return _crank(g, g.fast)

    def where(g):
        return g.fast >= 1.25 * g.slow

    def slip(g):
        """This cubes all of the power. Only the air power grows with the cube; rolling power is
        proportional to speed."""
        return _crank(g, g.slow) * (g.fast / g.slow) ** 3

    def slip_squared(g):
        """This grows with the square, as the force does. Power is force times speed."""
        return _crank(g, g.slow) * (g.fast / g.slow) ** 2

    def slip_in_step(g):
        """This is proportional to speed, as rolling power is. Air power grows with the cube."""
        return _crank(g, g.slow) * g.fast / g.slow

    @near
    def slip_wheel(g):
        """This is the power at the wheel. The crank gives more: divide by the efficiency."""
        return power_balance(g.who.rider, still(g), kmh(g.fast)).wheel


class M41(Kind):
    """Worse tyres at half the speed

    {about_who} Flat and calm. Worse tyres raise the Crr by {more:g}, which costs {watts:.2f} W at
    {fast:g} km/h. What do they cost at {half:g} km/h? {at_the_wheel}

    Idea: The force of the tyres does not change with speed. What does their power do?
    Relation: P = Crr m g v: W = kg × m/s² × m/s.
    Work: F = {more:g} × {who.rider.all_up_mass:g} × {gravity} = {F:.5f} N at any speed. v =
    {half:g} / 3.6 = {v:.5f} m/s. P = {F} × {v}.
    Why: Rolling power is proportional to speed, not to its cube.
    """

    unit, digits = "W", 2
    who = Someone(TOBIN)
    more = Number(0.001, 0.0008, 0.002, 0.0002)
    fast = Number(36, 30, 45, 1, along=("The speed of the given cost, km/h", 10, 60))
    shown = {"watts": lambda g: _rolling(g, g.fast), "half": lambda g: g.fast / 2}

    def right(g):
        return _rolling(g, g.fast / 2)

    def slip(g):
        """This is an eighth, as air power would fall. The force of the tyres is the same at any
        speed."""
        return _rolling(g, g.fast) / 8

    def slip_squared(g):
        """This is a quarter, as drag would fall. The force of the tyres is the same at any speed."""
        return _rolling(g, g.fast) / 4

    def slip_same(g):
        """This is the cost at the higher speed. The force stays the same; the power is that force
        times a lower speed."""
        return _rolling(g, g.fast)

    @near
    def slip_crank(g):
        """This is the cost at the crank. The question asks for power at the wheel."""
        return crank_power(_rolling(g, g.fast / 2), 0.975)


def _balance(g):
    return power_balance(g.who.rider, still(g), kmh(g.kmh))


def _air_over_the_rest(share):
    return percent(share) / (1 - percent(share))


def _climbing(mass, g):
    """Watts at the wheel to lift a mass up the road."""
    return slope_force(mass, percent(g.steep)) * g.speed


def _lifted_at_degrees(mass, g):
    """The same where the percent of the gradient are taken for degrees."""
    return mass * STANDARD_GRAVITY * sin(deg(g.steep)) * g.speed


def _all_up(g):
    return g.body + g.bicycle + g.carried


def _to_the_crank(watts):
    return crank_power(watts, 0.975)


class M07(LikeTobin):
    """Watts for less drag at one speed

    {about_who} {flat_and_calm} At {kmh:g} km/h the ride takes {total:.1f} W. Then the CdA falls by
    {cut} %. How many watts does that save at the same speed? {at_the_crank}

    Idea: Less CdA changes one part of the power. Which part, and how large is it?
    Relation: saved = x × 1/2 ρ CdA v³ / 0.975: W at the crank, v in m/s.
    Work: v = {kmh:g} / 3.6 = {v:.2f} m/s. Air: 1/2 × {density:.2f} × {who.rider.drag_area:.3f} ×
    {v}³ = {air:.3f} W at the wheel. Saved: {share:.2f} × {air} / 0.975.
    Why: You save on the watts that go into the air, not on all of them.
    """

    unit, digits = "W", 1
    kmh = Number(39.6, 32.4, 45, 0.9)
    cut = Number(10, 4, 12, 1, along=("Cut of the CdA, %", 0, 30))
    shown = {"total": lambda g: _balance(g).total, "share": lambda g: percent(g.cut)}

    def right(g):
        slimmer = replace(g.who.rider, drag_area=g.who.rider.drag_area * (1 - percent(g.cut)))
        return watts_saved(g.who.rider, slimmer, still(g), kmh(g.kmh))

    def slip(g):
        """This takes the percentage off all the power. You save it only on the part that goes into
        the air."""
        return percent(g.cut) * _balance(g).total

    @near
    def slip_wheel(g):
        """This is what the wheel saves. The crank saves more: divide by the efficiency."""
        return percent(g.cut) * _balance(g).air

    def slip_tyres(g):
        """This takes the percentage off the tyres' power. Less CdA doesn't change that."""
        return percent(g.cut) * _balance(g).rolling / 0.975

    def slip_cubed(g):
        """This cubes the cut. Air power has the cube of the speed, but the CdA only once."""
        return _balance(g).air / 0.975 * (1 - (1 - percent(g.cut)) ** 3)


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
    """

    unit, digits = "%", 1
    before = Number(85, 78, 88, 1)
    fewer = Number(3, 2, 5, 1, along=("Percentage points fewer", 0, 20))
    shown = {
        "tyres": lambda g: 100 - g.before,
        "after": lambda g: g.before - g.fewer,
        "others": lambda g: 100 - g.before + g.fewer,
    }

    def right(g):
        return to_percent(_air_over_the_rest(g.before - g.fewer) / _air_over_the_rest(g.before) - 1)

    def slip(g):
        """This is the change in percentage points. The whole got smaller too: compare watts with
        watts, not shares."""
        return -g.fewer

    def slip_shares(g):
        """This compares the two shares. They are parts of different wholes: compare watts with
        watts."""
        return to_percent((g.before - g.fewer) / g.before - 1)

    def slip_tyres(g):
        """This is the change in the tyres' share. Their watts stayed the same, so compare with
        those."""
        return to_percent((100 - g.before + g.fewer) / (100 - g.before) - 1)

    def slip_total(g):
        """This is the change in all the power. It still includes the tyres."""
        return to_percent((100 - g.before) / (100 - g.before + g.fewer) - 1)


class M34(Kind):
    """Watts against the slope

    {about_who} {who.name} climbs {steep:g} % at {speed:g} m/s, calm. How much power does lifting
    take (the slope's part alone)? {at_the_wheel}

    Idea: How many metres does the rider rise each second?
    Relation: P = m g v sin(atan G): W = kg × m/s² × m/s; G is rise over run.
    Work: F = {weight} = {pull:.3f} N. P = {pull} × {speed:g}.
    Why: Gradient is rise over run, and the weight rises at that fraction of the speed.
    """

    unit, digits = "W", 0
    who = Someone(TOBIN)
    steep = Number(5, 3, 9, 0.5, along=("Gradient, %", 0, 15))
    speed = Number(4, 3, 5.5, 0.25)
    shown = {"weight": lambda g: slope_pull(g.who.rider.all_up_mass, percent(g.steep))[1]}

    def right(g):
        return power_balance(g.who.rider, Conditions(gradient=percent(g.steep)), g.speed).slope

    def slip(g):
        """This reads % as degrees, and a steep road does look like that. Gradient is rise over run:
        5 % is 2.9 degrees."""
        return _lifted_at_degrees(g.who.rider.all_up_mass, g)

    @near
    def slip_crank(g):
        """This is the power at the crank. The question asks for power at the wheel."""
        return _to_the_crank(M34.right(g))

    @near
    def slip_ten(g):
        """This uses g = 10 m/s², which is 2 % too much. Take 9.81 m/s²."""
        return M34.right(g) * 10 / STANDARD_GRAVITY

    def slip_no_gravity(g):
        """This uses kilograms instead of newtons. Each kilogram weighs 9.81 N."""
        return M34.right(g) / STANDARD_GRAVITY

    def slip_percent(g):
        """This uses the % as a whole number. As rise over run it is a hundredth of that."""
        return g.who.rider.all_up_mass * STANDARD_GRAVITY * g.steep * g.speed


class M35(Kind):
    """From the wheel to the crank

    The wheel needs {wheel} W. The drivetrain's efficiency is {efficiency:g}. How many watts must
    the rider give at the crank?

    Idea: Power goes from the crank through the drivetrain to the wheel. Where is it lost?
    Relation: crank × efficiency = wheel, W = W; so crank = wheel / efficiency.
    Work: P = {wheel} / {efficiency:g}.
    Why: The drivetrain loses a little, so the crank must give more than the wheel gets.
    """

    unit, digits = "W", 1
    wheel = Number(220, 150, 300, 10)
    efficiency = Number(0.975, 0.94, 0.965, 0.005, along=("Efficiency of the drivetrain", 0.8, 1))

    def right(g):
        return crank_power(g.wheel, g.efficiency)

    def slip(g):
        """This subtracts the drivetrain loss from the power at the wheel. The loss comes between
        crank and wheel, so the crank must give more."""
        return g.wheel * g.efficiency

    def slip_same(g):
        """This is the power at the wheel, as if nothing were lost. The drivetrain loses some on the
        way."""
        return g.wheel if g.efficiency < 0.97 else None

    def slip_cut_alone(g):
        """This is the drivetrain loss alone. The crank must give it on top of what the wheel needs."""
        return g.wheel / g.efficiency - g.wheel


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
    """

    unit, digits = "W", 0
    body = Number(74, 60, 80, 1)
    bicycle = Number(8, 7, 10, 0.5)
    carried = Number(2, 1.5, 3, 0.5)
    steep = Number(5, 3, 9, 0.5, along=("Gradient, %", 0, 15))
    speed = Number(4, 3, 5.5, 0.25)
    shown = {"weight": lambda g: slope_pull(_all_up(g), percent(g.steep))[1]}

    def right(g):
        return _climbing(_all_up(g), g)

    def slip(g):
        """This lifts the rider alone. Bike, bottles and clothing climb too."""
        return _climbing(g.body, g)

    @near
    def slip_crank(g):
        """This is the power at the crank. The question asks for power at the wheel."""
        return _to_the_crank(_climbing(_all_up(g), g))

    @near
    def slip_ten(g):
        """This uses g = 10 m/s², which is 2 % too much. Take 9.81 m/s²."""
        return _climbing(_all_up(g), g) * 10 / STANDARD_GRAVITY

    def slip_degrees(g):
        """This reads % as degrees, and a steep road does look like that. Gradient is rise over run."""
        return _lifted_at_degrees(_all_up(g), g)

    def slip_alone_in_degrees(g):
        """This lifts the rider alone, and reads % as degrees. Gradient is rise over run, and all
        the mass climbs."""
        return _lifted_at_degrees(g.body, g)
