"""M08, M09, M38, M39, M43 and M47: speed, seconds and power, solved again."""

from dataclasses import replace

from dragwork.physics.power import power_balance
from dragwork.physics.savings import sensitivities, small_change_gain, speed_gain, time_saved
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import IMKE, ROSALIND, TOBIN
from dragwork.teaching.questions.drawing import Number, Someone
from dragwork.teaching.questions.question import Along, Kind, Slip
from dragwork.teaching.questions.wording import (
    AT_THE_CRANK,
    DENSITY,
    SOLVE_AGAIN,
    Printed,
    about,
    at_the_wheel,
    flat_and_calm,
    speed_change,
    steady,
    still,
)
from dragwork.units import kilometres, percent, to_percent


def _slimmer(g, member):
    return replace(member.rider, drag_area=round(member.rider.drag_area * (1 - percent(g.cut)), 6))


def _speed(g, member, power=None):
    return steady_speed(member.rider, _road(g), member.power if power is None else power)


def _road(g):
    return still(g, gradient=percent(getattr(g, "steep", 0)))


def _share(g, member, power=None):
    return power_balance(member.rider, _road(g), _speed(g, member, power)).air_share


def _gain(g):
    """Percent of speed for less CdA at the same power."""
    return to_percent(speed_gain(g.who.rider, _slimmer(g, g.who), _road(g), g.who.power))


def _gain_by_the_rule(g):
    return to_percent(small_change_gain(_share(g, g.who), percent(g.cut)))


def _gain_of_power(g):
    faster = _speed(g, g.who, _more_power(g))
    return to_percent(faster / _speed(g, g.who) - 1)


def _gain_of_power_by_the_rule(g):
    slopes = sensitivities(g.who.rider, _road(g), g.who.power)
    return to_percent(slopes.power * percent(g.more) * g.who.power / slopes.speed)


def _seconds(g, member, power=None):
    power = member.power if power is None else power
    return time_saved(
        member.rider, _slimmer(g, member), _road(g), power, kilometres(g.distance)
    )


def _seconds_by_the_rule(g, member, power=None):
    gain = small_change_gain(_share(g, member, power), percent(g.cut))
    return kilometres(g.distance) / _speed(g, member, power) * gain


def _more_power(g):
    return round(g.who.power * (1 + percent(g.more)), 3)


def _steps_to_the_gain(g):
    """The steps for less CdA at the same power."""
    rider, power = g.who.rider, g.who.power
    return speed_change((rider, g.density, power), (_slimmer(g, g.who), g.density, power))


def _steps_to_the_gain_of_power(g):
    rider, power = g.who.rider, g.who.power
    return speed_change((rider, g.density, power), (rider, g.density, _more_power(g)))


def _fewer_seconds(g, member, power):
    """For the steps: the seconds saved by less CdA."""
    riders, steep = (member.rider, _slimmer(g, member)), percent(getattr(g, "steep", 0))
    (was, one), (now, two) = (steady(r, g.density, power, gradient=steep, digits=6) for r in riders)
    metres = f"{kilometres(g.distance):.0f}"
    return f"""{at_the_wheel(power)} Before, at {was} m/s, it needs {one}. After, at {now} m/s, it needs
        {two}. Saved: {metres} / {was} - {metres} / {now}."""


def _steps_to_the_cost(g):
    v, balance = steady(g.who.rider, g.density, g.who.power)
    wheel, area = 0.975 * g.who.power, g.who.rider.drag_area
    air = Printed(g.density / 2 * area * v**3, 3)
    share = Printed(air / wheel, 5)
    return f"""{at_the_wheel(g.who.power)} At {v} m/s it needs {balance}. The air takes 1/2 ×
        {g.density:.2f} × {area:.3f} × {v}³ = {air} W of it, a share of {air} / {round(wheel, 4):g} =
        {share}. Worth: {share} × {g.cut}."""


_ROAD = {"who": Someone(TOBIN), "density": DENSITY}
_BALANCE = "Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel."

M08 = Kind(
    "M08", "Speed for less drag", "%", 2,
    given={**_ROAD, "cut": Number(10, 8, 14, 1)},
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank. {flat_and_calm(g)} The CdA falls by
        {g.cut} %. How much faster is the rider at the same power, in %? {AT_THE_CRANK}
        {SOLVE_AGAIN}""",
    right=_gain,
    rule=_gain_by_the_rule,
    slips=(
        Slip("M08", lambda g: g.cut,
             "This gives the speed the whole cut. Going faster raises the drag again, so about a "
             "third of it is left."),
        Slip("M08-square", lambda g: to_percent((1 - percent(g.cut)) ** -0.5 - 1),
             "This keeps the drag force the same, which uses the square. It is the power that stays "
             "the same, and power has the cube."),
        Slip("M08-all-air", lambda g: to_percent((1 - percent(g.cut)) ** (-1 / 3) - 1),
             "This is the pure cube law, as if the tyres took nothing. They take more at the higher "
             "speed."),
        Slip("M08-share", lambda g: _share(g, g.who) * g.cut,
             "This is the power saved at the old speed. The speed rises until that power is used "
             "again."),
    ),
    idea="The power stays the same. At which speed do air and tyres take all of it again?",
    relation=_BALANCE,
    work=_steps_to_the_gain,
    why="Speed gains about a third of the cut, because going faster raises the drag again.",
    along=Along("cut", "Cut of the CdA, %", 0, 40),
)  # fmt: skip

M09 = Kind(
    "M09", "Speed for more power", "%", 2,
    given={**_ROAD, "more": Number(5, 4, 9, 1)},
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank. {flat_and_calm(g)} Then the rider
        gives {g.more} % more power. How much faster is that, in %? {AT_THE_CRANK}
        {SOLVE_AGAIN}""",
    right=_gain_of_power,
    rule=_gain_of_power_by_the_rule,
    slips=(
        Slip("M09", lambda g: g.more,
             "This gives the speed the whole gain in power. Speed gains a little more than a third of "
             "it."),
        Slip("M09-square", lambda g: to_percent((1 + percent(g.more)) ** 0.5 - 1),
             "This uses the square root, as if power grew with the square of speed. It grows nearly "
             "with the cube, so speed gains a little more than a third."),
        Slip("M09-all-air", lambda g: to_percent((1 + percent(g.more)) ** (1 / 3) - 1),
             "This is the pure cube law. The power for the tyres is proportional to speed, so the "
             "gain is a little larger."),
    ),
    idea="If all power went into air it would grow with the cube. What do the tyres change?",
    relation=_BALANCE,
    work=_steps_to_the_gain_of_power,
    why="Power grows nearly with the cube of speed, so speed gains a little more than a third.",
    along=Along("more", "More power, %", 0, 30),
)  # fmt: skip

M38 = Kind(
    "M38", "Who saves more seconds?", "s", 0,
    given={
        "fast": Someone(IMKE),
        "slow": Someone(ROSALIND),
        "density": DENSITY,
        "cut": Number(5, 4, 8, 1),
        "distance": Number(40, 30, 60, 5),
    },
    where=lambda g: g.fast.name != g.slow.name,
    asks=lambda g: f"""{about(g.fast)} {g.fast.power} W. {about(g.slow)} {g.slow.power} W.
        {flat_and_calm(g)} Both cut their CdA by {g.cut} % and ride {g.distance} km at the same power
        as before. {g.slow.name} saves {_seconds(g, g.slow):.0f} s. How many seconds does
        {g.fast.name} save? {AT_THE_CRANK} {SOLVE_AGAIN}""",
    right=lambda g: _seconds(g, g.fast),
    rule=lambda g: _seconds_by_the_rule(g, g.fast),
    slips=(
        Slip("M38", lambda g: _seconds(g, g.slow) * _speed(g, g.fast) / _speed(g, g.slow),
             "This makes the seconds grow with speed, as the watts do. The faster rider is out for "
             "less time, and has less time to save."),
        Slip("M38-same", lambda g: _seconds(g, g.slow),
             "This gives both the same seconds. They are on the road for different times."),
        Slip("M38-whole-cut", lambda g: percent(g.cut) * _time(g, g.fast),
             "This cuts the time by the whole percentage. Going faster raises the drag again, so "
             "about a third is left."),
    ),
    idea="The gain in speed and the time on the road both count. Solve for the time before and after.",
    relation="saved = D / v1 - D / v2: s = m / (m/s), each v solved at the same power.",
    work=lambda g: _fewer_seconds(g, g.fast, g.fast.power),
    why="The faster rider gains a little more in %, but is out for much less time.",
    along=Along("cut", "Cut of the CdA, %", 1, 20),
)  # fmt: skip


def _time(g, member):
    return kilometres(g.distance) / _speed(g, member)


M39 = Kind(
    "M39", "More power on the hill", "s", 1,
    given={
        **_ROAD,
        "low": Number(160, 140, 180, 10),
        "high": Number(300, 270, 330, 10),
        "steep": Number(5, 5, 7, 0.5),
        "cut": Number(5, 5, 10, 1),
        "distance": Number(10, 8, 14, 1),
    },
    asks=lambda g: f"""{about(g.who)} A climb of {g.steep:g} % and {g.distance} km, calm, air density
        {g.density:.2f} kg/m³. With {g.cut} % less CdA the rider saves {_seconds(g, g.who, g.low):.1f} s
        at {g.low} W. How many seconds does the same cut save at {g.high} W? {AT_THE_CRANK}
        {SOLVE_AGAIN}""",
    right=lambda g: _seconds(g, g.who, g.high),
    rule=lambda g: _seconds_by_the_rule(g, g.who, g.high),
    slips=(
        Slip("M39", lambda g: _seconds(g, g.who, g.low)
             * _speed(g, g.who, g.low) / _speed(g, g.who, g.high),
             "This makes the seconds shrink with the time on the road, as on the flat. On this hill "
             "the air share grows faster than that."),
        Slip("M39-same", lambda g: _seconds(g, g.who, g.low),
             "This is the saving at the lower power. At more speed, more of the power goes into the "
             "air."),
        Slip("M39-cubed", lambda g: _seconds(g, g.who, g.low)
             * (_speed(g, g.who, g.high) / _speed(g, g.who, g.low)) ** 3,
             "This makes the seconds grow as air power does. The hill takes most of the power, and "
             "the ride gets shorter."),
    ),
    idea="How large is the air share on the hill, at each power? Solve for the time again.",
    relation="saved = D / v1 - D / v2: s = m / (m/s), each v solved with the slope's force.",
    work=lambda g: _fewer_seconds(g, g.who, g.high),
    why="As long as air takes under a quarter of the power, going faster saves more seconds.",
    along=Along("high", "The higher power, W", 120, 400),
)  # fmt: skip

M43 = Kind(
    "M43", "Speed in shelter", "%", 1,
    given={**_ROAD, "cut": Number(30, 25, 40, 1)},
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank. {flat_and_calm(g)} In the shelter of
        others the CdA is {g.cut} % less. How much faster is the rider at the same power, in %?
        {AT_THE_CRANK} {SOLVE_AGAIN}""",
    right=_gain,
    rule=_gain_by_the_rule,
    slips=(
        Slip("M43", lambda g: g.cut,
             "This gives the speed the whole cut. Going faster raises the drag again, so a little "
             "over a third is left."),
        Slip("M43-square", lambda g: to_percent((1 - percent(g.cut)) ** -0.5 - 1),
             "This keeps the drag force the same. It is the power that stays the same."),
        Slip("M43-all-air", lambda g: to_percent((1 - percent(g.cut)) ** (-1 / 3) - 1),
             "This is the pure cube law, as if the tyres took nothing. They take more at the higher "
             "speed."),
        Slip("M43-share", lambda g: _share(g, g.who) * g.cut,
             "This is the power saved at the old speed. The speed rises until that power is used "
             "again."),
    ),
    idea="The power stays the same. At which speed do air and tyres take all of it again?",
    relation=_BALANCE,
    work=_steps_to_the_gain,
    why="For so large a cut a little over a third is left. Distance, sight lines and trust come first.",
    along=Along("cut", "Cut of the CdA, %", 1, 60),
)  # fmt: skip


def _power_it_may_cost(g):
    """Percent of power that a cut is worth: what falls away at the old speed."""
    speed = _speed(g, g.who)
    after = power_balance(_slimmer(g, g.who), _road(g), speed).total
    return to_percent(1 - after / g.who.power)


M47 = Kind(
    "M47", "What a position can cost", "%", 2,
    given={**_ROAD, "cut": Number(8, 6, 14, 1)},
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank. {flat_and_calm(g)} A lower position
        cuts the CdA by {g.cut} %, and costs some power. What is the most power, in %, that it can cost
        without making the rider slower? {AT_THE_CRANK}""",
    right=_power_it_may_cost,
    slips=(
        Slip("M47", lambda g: g.cut,
             "This trades 1 % of CdA for 1 % of power. The cut saves only air power; the tyres take "
             "as much as before."),
        Slip("M47-speed", _gain,
             "This is the speed the cut gains at full power. Here the speed stays the same, and the "
             "question asks for the power."),
        Slip("M47-from-below", lambda g: 100 * _power_it_may_cost(g) / (100 - _power_it_may_cost(g)),
             "This is a percentage of the lower power. The question asks for one of the power "
             "before."),
        Slip("M47-tyres", lambda g: (1 - _share(g, g.who)) * g.cut,
             "This uses the tyres' share of the power. It is the air share that the cut acts on."),
    ),
    idea="At the old speed, which part of the power gets smaller, and which stays the same?",
    relation="power saved = s × cut, with s the air share of the power: fractions, no unit.",
    work=_steps_to_the_cost,
    why="A cut in CdA is worth its size times the air share, as a percentage of power.",
    along=Along("cut", "Cut of the CdA, %", 0, 40),
)  # fmt: skip

QUESTIONS = (M08, M09, M38, M39, M43, M47)
