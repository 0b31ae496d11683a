"""M07, M13 and M34 to M36: where the watts go, at the wheel and at the crank."""

from dataclasses import replace
from math import sin

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.resistance import crank_power, slope_force
from dragwork.physics.savings import watts_saved
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.questions.drawing import Number, Someone
from dragwork.teaching.questions.question import Along, Kind, Slip
from dragwork.teaching.questions.wording import (
    AT_THE_CRANK,
    AT_THE_WHEEL,
    DENSITY,
    Printed,
    about,
    flat_and_calm,
    slope_pull,
    still,
)
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


def _pull(mass, g):
    """Force of the slope, as the steps print it."""
    return Printed(slope_pull(mass, percent(g.steep))[0], 3)


def _steps_to_the_pull(mass, g):
    return f"F = {slope_pull(mass, percent(g.steep))[1]} = {_pull(mass, g)} N."


def _all_up(g):
    return g.body + g.bicycle + g.carried


def _steps_to_the_saving(g):
    v, area = Printed(kmh(g.kmh), 2), g.who.rider.drag_area
    air = Printed(g.density / 2 * area * v**3, 3)
    return f"""v = {g.kmh:g} / 3.6 = {v} m/s. Air: 1/2 × {g.density:.2f} × {area:.3f} × {v}³ = {air} W
        at the wheel. Saved: {percent(g.cut):.2f} × {air} / 0.975."""


def _steps_to_air_watts(g):
    before, after = (Printed(_air_over_the_rest(s), 5) for s in (g.before, g.before - g.fewer))
    return f"""Air over tyres, before: {g.before} / {100 - g.before} = {before}. After:
        {g.before - g.fewer} / {100 - g.before + g.fewer} = {after}. Change: 100 × ({after} / {before}
        - 1)."""


def _to_the_crank(watts):
    return crank_power(watts, 0.975)


M07 = Kind(
    "M07", "Watts for less drag at one speed", "W", 1,
    given={
        "who": Someone(TOBIN),
        "density": DENSITY,
        "kmh": Number(39.6, 32.4, 45, 0.9),
        "cut": Number(10, 4, 12, 1),
    },
    asks=lambda g: f"""{about(g.who)} {flat_and_calm(g)} At {g.kmh:g} km/h the ride takes
        {_balance(g).total:.1f} W. Then the CdA falls by {g.cut} %. How many watts does that save at
        the same speed? {AT_THE_CRANK}""",
    right=_saved_by_less_drag,
    slips=(
        Slip("M07", lambda g: percent(g.cut) * _balance(g).total,
             "This takes the percentage off all the power. You save it only on the part that goes "
             "into the air."),
        Slip("M07-wheel", lambda g: percent(g.cut) * _balance(g).air,
             "This is what the wheel saves. The crank saves more: divide by the efficiency.",
             near=True),
        Slip("M07-tyres", lambda g: percent(g.cut) * _balance(g).rolling / 0.975,
             "This takes the percentage off the tyres' power. Less CdA doesn't change that."),
        Slip("M07-cubed", lambda g: _balance(g).air / 0.975 * (1 - (1 - percent(g.cut)) ** 3),
             "This cubes the cut. Air power has the cube of the speed, but the CdA only once."),
    ),
    idea="Less CdA changes one part of the power. Which part, and how large is it?",
    relation="saved = x × 1/2 ρ CdA v³ / 0.975: W at the crank, v in m/s.",
    work=_steps_to_the_saving,
    why="You save on the watts that go into the air, not on all of them.",
    along=Along("cut", "Cut of the CdA, %", 0, 30),
)  # fmt: skip

M13 = Kind(
    "M13", "Points of share", "%", 1,
    given={"before": Number(85, 78, 88, 1), "fewer": Number(3, 2, 5, 1)},
    asks=lambda g: f"""Flat and calm, at one speed, the air takes {g.before} % of the power at the wheel.
        The tyres take the other {100 - g.before} %. After a change of position air takes
        {g.before - g.fewer} % at the same speed; the tyres take as many watts as before. By what
        percentage did the air watts change? Give the sign: - is fewer.""",
    right=lambda g: to_percent(
        _air_over_the_rest(g.before - g.fewer) / _air_over_the_rest(g.before) - 1
    ),
    slips=(
        Slip("M13", lambda g: -g.fewer,
             "This is the change in percentage points. The whole got smaller too: compare watts with "
             "watts, not shares."),
        Slip("M13-shares", lambda g: to_percent((g.before - g.fewer) / g.before - 1),
             "This compares the two shares. They are parts of different wholes: compare watts with "
             "watts."),
        Slip("M13-tyres", lambda g: to_percent((100 - g.before + g.fewer) / (100 - g.before) - 1),
             "This is the change in the tyres' share. Their watts stayed the same, so compare with "
             "those."),
        Slip("M13-total", lambda g: to_percent((100 - g.before) / (100 - g.before + g.fewer) - 1),
             "This is the change in all the power. It still includes the tyres."),
    ),
    idea="The tyre watts stayed the same. How many times the tyre watts does air take?",
    relation="air / tyres = s / (1 - s), W over W, before and after.",
    work=_steps_to_air_watts,
    why="A few percentage points of share can be much more in drag: compare watts, not shares.",
    along=Along("fewer", "Percentage points fewer", 0, 20),
)  # fmt: skip

_HILL = {"steep": Number(5, 3, 9, 0.5), "speed": Number(4, 3, 5.5, 0.25)}

M34 = Kind(
    "M34", "Watts against the slope", "W", 0,
    given={"who": Someone(TOBIN), **_HILL},
    asks=lambda g: f"""{about(g.who)} {g.who.name} climbs {g.steep:g} % at {g.speed:g} m/s, calm. How much
        power does lifting take (the slope's part alone)? {AT_THE_WHEEL}""",
    right=_up_the_hill,
    slips=(
        Slip("M34", lambda g: _lifted_at_degrees(g.who.rider.all_up_mass, g),
             "This reads % as degrees, and a steep road does look like that. Gradient is rise over "
             "run: 5 % is 2.9 degrees."),
        Slip("M34-crank", lambda g: _to_the_crank(_up_the_hill(g)),
             "This is the power at the crank. The question asks for power at the wheel.", near=True),
        Slip("M34-ten", lambda g: _up_the_hill(g) * 10 / STANDARD_GRAVITY,
             "This uses g = 10 m/s², which is 2 % too much. Take 9.81 m/s².", near=True),
        Slip("M34-no-gravity", lambda g: _up_the_hill(g) / STANDARD_GRAVITY,
             "This uses kilograms instead of newtons. Each kilogram weighs 9.81 N."),
        Slip("M34-percent", lambda g: g.who.rider.all_up_mass * STANDARD_GRAVITY * g.steep * g.speed,
             "This uses the % as a whole number. As rise over run it is a hundredth of that."),
    ),
    idea="How many metres does the rider rise each second?",
    relation="P = m g v sin(atan G): W = kg × m/s² × m/s; G is rise over run.",
    work=lambda g: f"""{_steps_to_the_pull(g.who.rider.all_up_mass, g)} P =
        {_pull(g.who.rider.all_up_mass, g)} × {g.speed:g}.""",
    why="Gradient is rise over run, and the weight rises at that fraction of the speed.",
    along=Along("steep", "Gradient, %", 0, 15),
)  # fmt: skip

M35 = Kind(
    "M35", "From the wheel to the crank", "W", 1,
    given={"wheel": Number(220, 150, 300, 10), "efficiency": Number(0.975, 0.94, 0.965, 0.005)},
    asks=lambda g: f"""The wheel needs {g.wheel} W. The drivetrain's efficiency is {g.efficiency:g}. How many
        watts must the rider give at the crank?""",
    right=lambda g: crank_power(g.wheel, g.efficiency),
    slips=(
        Slip("M35", lambda g: g.wheel * g.efficiency,
             "This subtracts the drivetrain loss from the power at the wheel. The loss comes between "
             "crank and wheel, so the crank must give more."),
        Slip("M35-same", lambda g: g.wheel if g.efficiency < 0.97 else None,
             "This is the power at the wheel, as if nothing were lost. The drivetrain loses some on "
             "the way."),
        Slip("M35-cut-alone", lambda g: g.wheel / g.efficiency - g.wheel,
             "This is the drivetrain loss alone. The crank must give it on top of what the wheel "
             "needs."),
    ),
    idea="Power goes from the crank through the drivetrain to the wheel. Where is it lost?",
    relation="crank × efficiency = wheel, W = W; so crank = wheel / efficiency.",
    work=lambda g: f"P = {g.wheel} / {g.efficiency:g}.",
    why="The drivetrain loses a little, so the crank must give more than the wheel gets.",
    along=Along("efficiency", "Efficiency of the drivetrain", 0.8, 1),
)  # fmt: skip

M36 = Kind(
    "M36", "All that is lifted", "W", 0,
    given={
        "body": Number(74, 60, 80, 1),
        "bicycle": Number(8, 7, 10, 0.5),
        "carried": Number(2, 1.5, 3, 0.5),
        **_HILL,
    },
    asks=lambda g: f"""A rider of {g.body} kg climbs {g.steep:g} % at {g.speed:g} m/s, calm, on a bike
        of {g.bicycle:g} kg, with {g.carried:g} kg of bottles and clothing. How much power does lifting
        take (the slope's part alone)? {AT_THE_WHEEL}""",
    right=lambda g: _climbing(_all_up(g), g),
    slips=(
        Slip("M36", lambda g: _climbing(g.body, g),
             "This lifts the rider alone. Bike, bottles and clothing climb too."),
        Slip("M36-crank", lambda g: _to_the_crank(_climbing(_all_up(g), g)),
             "This is the power at the crank. The question asks for power at the wheel.", near=True),
        Slip("M36-ten", lambda g: _climbing(_all_up(g), g) * 10 / STANDARD_GRAVITY,
             "This uses g = 10 m/s², which is 2 % too much. Take 9.81 m/s².", near=True),
        Slip("M36-degrees", lambda g: _lifted_at_degrees(_all_up(g), g),
             "This reads % as degrees, and a steep road does look like that. Gradient is rise over "
             "run."),
        Slip("M36-alone-in-degrees", lambda g: _lifted_at_degrees(g.body, g),
             "This lifts the rider alone, and reads % as degrees. Gradient is rise over run, and all "
             "the mass climbs."),
    ),
    idea="What goes up the hill? Count all of it.",
    relation="P = m g v sin(atan G): W = kg × m/s² × m/s; m is all-up mass.",
    work=lambda g: f"""m = {g.body} + {g.bicycle:g} + {g.carried:g} = {_all_up(g):g} kg.
        {_steps_to_the_pull(_all_up(g), g)} P = {_pull(_all_up(g), g)} × {g.speed:g}.""",
    why="The bike, bottles and clothing climb too: use all-up mass.",
    along=Along("steep", "Gradient, %", 0, 15),
)  # fmt: skip

QUESTIONS = (M07, M13, M34, M35, M36)
