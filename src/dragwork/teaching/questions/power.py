"""M07, M13 and M34 to M36: where the watts go, at the wheel and at the crank."""

from dataclasses import replace
from math import sin

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.resistance import crank_power, slope_force
from dragwork.physics.savings import watts_saved
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.questions.drawing import Number, Someone
from dragwork.teaching.questions.question import Along
from dragwork.teaching.questions.wording import DENSITY, slope_pull, still
from dragwork.teaching.questions.written import near, question
from dragwork.units import deg, kmh, percent, to_percent


def _balance(g):
    return power_balance(g.who.rider, still(g), kmh(g.kmh))


def _saved_by_less_drag(g):
    slimmer = replace(g.who.rider, drag_area=g.who.rider.drag_area * (1 - percent(g.cut)))
    return watts_saved(g.who.rider, slimmer, still(g), kmh(g.kmh))


def _air_over_the_rest(share):
    return percent(share) / (1 - percent(share))


def _climbing(mass, g):
    """Watts at the wheel to lift a mass up the road."""
    return slope_force(mass, percent(g.steep)) * g.speed


def _lifted_at_degrees(mass, g):
    """The same where the percent of the gradient are taken for degrees."""
    return mass * STANDARD_GRAVITY * sin(deg(g.steep)) * g.speed


def _up_the_hill(g):
    return power_balance(
        g.who.rider, Conditions(gradient=percent(g.steep)), g.speed
    ).slope


def _all_up(g):
    return g.body + g.bicycle + g.carried


def _to_the_crank(watts):
    return crank_power(watts, 0.975)


@question
class M07:
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
    who = Someone(TOBIN)
    density = DENSITY
    kmh = Number(39.6, 32.4, 45, 0.9)
    cut = Number(10, 4, 12, 1)
    along = Along("cut", "Cut of the CdA, %", 0, 30)
    shown = {"total": lambda g: _balance(g).total, "share": lambda g: percent(g.cut)}
    right = _saved_by_less_drag

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


@question
class M13:
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
    fewer = Number(3, 2, 5, 1)
    along = Along("fewer", "Percentage points fewer", 0, 20)
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


@question
class M34:
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
    steep = Number(5, 3, 9, 0.5)
    speed = Number(4, 3, 5.5, 0.25)
    along = Along("steep", "Gradient, %", 0, 15)
    shown = {"weight": lambda g: slope_pull(g.who.rider.all_up_mass, percent(g.steep))[1]}
    right = _up_the_hill

    def slip(g):
        """This reads % as degrees, and a steep road does look like that. Gradient is rise over run:
        5 % is 2.9 degrees."""
        return _lifted_at_degrees(g.who.rider.all_up_mass, g)

    @near
    def slip_crank(g):
        """This is the power at the crank. The question asks for power at the wheel."""
        return _to_the_crank(_up_the_hill(g))

    @near
    def slip_ten(g):
        """This uses g = 10 m/s², which is 2 % too much. Take 9.81 m/s²."""
        return _up_the_hill(g) * 10 / STANDARD_GRAVITY

    def slip_no_gravity(g):
        """This uses kilograms instead of newtons. Each kilogram weighs 9.81 N."""
        return _up_the_hill(g) / STANDARD_GRAVITY

    def slip_percent(g):
        """This uses the % as a whole number. As rise over run it is a hundredth of that."""
        return g.who.rider.all_up_mass * STANDARD_GRAVITY * g.steep * g.speed


@question
class M35:
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
    efficiency = Number(0.975, 0.94, 0.965, 0.005)
    along = Along("efficiency", "Efficiency of the drivetrain", 0.8, 1)

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


@question
class M36:
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
    steep = Number(5, 3, 9, 0.5)
    speed = Number(4, 3, 5.5, 0.25)
    along = Along("steep", "Gradient, %", 0, 15)
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
