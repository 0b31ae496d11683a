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
    about,
    flat_and_calm,
    still,
)
from dragwork.units import kilometres, percent, to_percent


def _slimmer(g, member):
    return replace(member.rider, drag_area=member.rider.drag_area * (1 - percent(g.cut)))


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
    faster = _speed(g, g.who, g.who.power * (1 + percent(g.more)))
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


def _two_speeds(g):
    """For the steps: the speed before and after less CdA."""
    after = steady_speed(_slimmer(g, g.who), _road(g), g.who.power)
    return f"The speed goes from {_speed(g, g.who):.4f} m/s to {after:.4f} m/s."


_ROAD = {"who": Someone(TOBIN), "density": DENSITY}
_BALANCE = "Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel."

M08 = Kind(
    "M08", "Speed for less drag", "%", 2,
    given={**_ROAD, "cut": Number(10, 8, 14, 1)},
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank. {flat_and_calm(g)} The CdA falls by
        {g.cut} %. By how many percent does the speed rise at the same power? {AT_THE_CRANK}
        {SOLVE_AGAIN}""",
    right=_gain,
    rule=_gain_by_the_rule,
    slips=(
        Slip("M08", lambda g: g.cut,
             "This gives the speed the whole cut. Going faster raises the drag again, so about a "
             "third of it is left."),
        Slip("M08-square", lambda g: to_percent((1 - percent(g.cut)) ** -0.5 - 1),
             "This keeps the drag force the same, with the square. It is the power that stays, and "
             "power has the cube."),
        Slip("M08-share", lambda g: _share(g, g.who) * g.cut,
             "This is the power spared at the old speed. The speed rises until it is spent again."),
    ),
    idea="The power stays. The speed rises until the air takes as much as before, and the tyres more.",
    relation=_BALANCE,
    work=_two_speeds,
    why="Speed gains about a third of the cut, because going faster raises the drag again.",
    along=Along("cut", "Cut of the CdA, %", 0, 40),
)  # fmt: skip

M09 = Kind(
    "M09", "Speed for more power", "%", 2,
    given={**_ROAD, "more": Number(5, 4, 9, 1)},
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank. {flat_and_calm(g)} Then the rider
        gives {g.more} % more power. By how many percent does the speed rise? {AT_THE_CRANK}
        {SOLVE_AGAIN}""",
    right=_gain_of_power,
    rule=_gain_of_power_by_the_rule,
    slips=(
        Slip("M09", lambda g: g.more,
             "This gives the speed the whole gain of power. Near the cube law it is divided by "
             "almost three."),
        Slip("M09-square", lambda g: to_percent((1 + percent(g.more)) ** 0.5 - 1),
             "This takes the square root, as if power went with the square. Near the cube law take "
             "almost a third."),
        Slip("M09-all-air", lambda g: to_percent((1 + percent(g.more)) ** (1 / 3) - 1),
             "This is the pure cube law. The tyres take their part in step with speed, so a little "
             "more is left."),
    ),
    idea="If all power went into air it would grow with the cube. What do the tyres change?",
    relation=_BALANCE,
    work=lambda g: f"""{g.who.power * (1 + percent(g.more)):.1f} W at the crank: the speed goes from
        {_speed(g, g.who):.4f} m/s to {_speed(g, g.who, g.who.power * (1 + percent(g.more))):.4f}
        m/s.""",
    why="Near the cube law a gain of power is divided by almost three before it becomes speed.",
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
             "This lets the seconds grow with speed, as the watts do. The faster rider is out for "
             "less time, so fewer seconds can be saved."),
        Slip("M38-same", lambda g: _seconds(g, g.slow),
             "This gives both the same seconds. The same percent of drag meets two different times "
             "on the road."),
        Slip("M38-whole-cut", lambda g: percent(g.cut) * _time(g, g.fast),
             "This takes the whole percent off the time. Going faster raises the drag again, so "
             "about a third is left."),
    ),
    idea="Percent of speed and time on the road both count. Solve the time before and after.",
    relation="saved = D / v1 - D / v2: s = m / (m/s), each v solved at the same power.",
    work=lambda g: f"""{g.fast.name} needs {_time(g, g.fast):.1f} s before and
        {_time(g, g.fast) - _seconds(g, g.fast):.1f} s after.""",
    why="The faster rider gains more percent, yet is out for less time.",
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
             "This lets the seconds shrink with the time on the road, as on the flat. On this hill "
             "the air's share grows faster than that."),
        Slip("M39-same", lambda g: _seconds(g, g.who, g.low),
             "This is the saving at the lower power. With more speed the air takes a larger share."),
        Slip("M39-cubed", lambda g: _seconds(g, g.who, g.low)
             * (_speed(g, g.who, g.high) / _speed(g, g.who, g.low)) ** 3,
             "This lets the seconds grow as air power does. The hill takes most of the power, and "
             "the ride gets shorter."),
    ),
    idea="How large is the air's share on the hill, at either power? Solve the time again.",
    relation="saved = D / v1 - D / v2: s = m / (m/s), each v solved with the slope's force.",
    work=lambda g: f"""At {g.high} W the speed is {_speed(g, g.who, g.high):.4f} m/s before and
        {steady_speed(_slimmer(g, g.who), _road(g), g.high):.4f} m/s after, over {g.distance} km.""",
    why="While the air is under a quarter of the work, going faster raises the seconds saved.",
    along=Along("high", "The higher power, W", 120, 400),
)  # fmt: skip

M43 = Kind(
    "M43", "Speed in shelter", "%", 1,
    given={**_ROAD, "cut": Number(30, 25, 40, 1)},
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank. {flat_and_calm(g)} In the shelter of
        others the CdA is {g.cut} % less. By how many percent does the speed rise at the same power?
        {AT_THE_CRANK} {SOLVE_AGAIN}""",
    right=_gain,
    rule=_gain_by_the_rule,
    slips=(
        Slip("M43", lambda g: g.cut,
             "This gives the speed the whole cut. Going faster raises the drag again, so somewhat "
             "over a third is left."),
        Slip("M43-square", lambda g: to_percent((1 - percent(g.cut)) ** -0.5 - 1),
             "This keeps the drag force the same, with the square. It is the power that stays."),
        Slip("M43-all-air", lambda g: to_percent((1 - percent(g.cut)) ** (-1 / 3) - 1),
             "This is the pure cube law, as if tyres took nothing. They take more at the higher "
             "speed."),
        Slip("M43-share", lambda g: _share(g, g.who) * g.cut,
             "This is the power spared at the old speed. The speed rises until it is spent again."),
    ),
    idea="The power stays. Solve for the speed at which air and tyres take it all again.",
    relation=_BALANCE,
    work=_two_speeds,
    why="For so large a cut somewhat over a third is left. Distance, sight lines and trust come first.",
    along=Along("cut", "Cut of the CdA, %", 1, 60),
)  # fmt: skip


def _power_it_may_cost(g):
    """Percent of power that a cut is worth: what falls away at the old speed."""
    speed = _speed(g, g.who)
    after = power_balance(_slimmer(g, g.who), _road(g), speed).total
    return to_percent(1 - after / g.who.power)


M47 = Kind(
    "M47", "What a position may cost", "%", 2,
    given={**_ROAD, "cut": Number(8, 6, 14, 1)},
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank. {flat_and_calm(g)} A lower position
        cuts the CdA by {g.cut} %, and costs some power. How many percent of the power may it cost
        until the rider is as fast as before? {AT_THE_CRANK}""",
    right=_power_it_may_cost,
    slips=(
        Slip("M47", lambda g: g.cut,
             "This trades a percent of CdA for a percent of power. The cut eases the air's share "
             "alone; the tyres take what they took."),
        Slip("M47-speed", _gain,
             "This is the speed that the cut buys at full power. The question holds the speed and "
             "asks for the power."),
        Slip("M47-from-below", lambda g: 100 * _power_it_may_cost(g) / (100 - _power_it_may_cost(g)),
             "This counts the percent from the lower power. The question counts from the power "
             "before."),
        Slip("M47-tyres", lambda g: (1 - _share(g, g.who)) * g.cut,
             "This takes the tyres' share of the cut. It is the air's share that is eased."),
    ),
    idea="At the old speed, which part of the power gets less, and which stays?",
    relation="power spared = s × cut, with s the air's share of the power: fractions, no unit.",
    work=lambda g: f"""At {_speed(g, g.who):.4f} m/s the air takes {_share(g, g.who):.4f} of the power.
        Times {g.cut} %.""",
    why="A cut of the CdA is worth its size times the air's share, in percent of power.",
    along=Along("cut", "Cut of the CdA, %", 0, 40),
)  # fmt: skip

QUESTIONS = (M08, M09, M38, M39, M43, M47)
