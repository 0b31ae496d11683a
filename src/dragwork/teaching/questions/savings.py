"""M08, M09, M38, M39, M43 and M47: speed, seconds and power, solved again."""

from dataclasses import replace

from dragwork.physics.power import power_balance
from dragwork.physics.savings import sensitivities, small_change_gain, speed_gain, time_saved
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import IMKE, ROSALIND, TOBIN
from dragwork.teaching.questions.drawing import Number, Someone
from dragwork.teaching.questions.question import Along
from dragwork.teaching.questions.wording import DENSITY, solved_twice, speed_change, steady, still
from dragwork.teaching.questions.written import question
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
    was, now, solved = solved_twice(*((r, g.density, power) for r in riders), gradient=steep, digits=6)
    metres = f"{kilometres(g.distance):.0f}"
    return f"{solved} Saved: {metres} / {was} - {metres} / {now}."


def _faster_as(g, power):
    """Percent of speed gained if it went as a power of one over the CdA: 1/2 at the same force, 1/3 in air alone."""
    return to_percent((1 - percent(g.cut)) ** -power - 1)


@question
class M08:
    """Speed for less drag

    {about_who} {who.power} W at the crank. {flat_and_calm} The CdA falls by {cut} %. How much
    faster is the rider at the same power, in %? {at_the_crank} {solve_again}

    Idea: The power stays the same. At which speed do air and tyres take all of it again?
    Relation: Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel.
    Why: Speed gains about a third of the cut, because going faster raises the drag again.
    """

    unit, digits = "%", 2
    who = Someone(TOBIN)
    density = DENSITY
    cut = Number(10, 8, 14, 1)
    along = Along("cut", "Cut of the CdA, %", 0, 40)
    right = _gain
    rule = _gain_by_the_rule
    work = _steps_to_the_gain

    def slip(g):
        """This gives the speed the whole cut. Going faster raises the drag again, so about a third
        of it is left."""
        return g.cut

    def slip_square(g):
        """This keeps the drag force the same, which uses the square. It is the power that stays the
        same, and power has the cube."""
        return _faster_as(g, 1 / 2)

    def slip_all_air(g):
        """This is the pure cube law, as if the tyres took nothing. They take more at the higher
        speed."""
        return _faster_as(g, 1 / 3)

    def slip_share(g):
        """This is the power saved at the old speed. The speed rises until that power is used again."""
        return _share(g, g.who) * g.cut


@question
class M09:
    """Speed for more power

    {about_who} {who.power} W at the crank. {flat_and_calm} Then the rider gives {more} % more
    power. How much faster is that, in %? {at_the_crank} {solve_again}

    Idea: If all power went into air it would grow with the cube. What do the tyres change?
    Relation: Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel.
    Why: Power grows nearly with the cube of speed, so speed gains a little more than a third.
    """

    unit, digits = "%", 2
    who = Someone(TOBIN)
    density = DENSITY
    more = Number(5, 4, 9, 1)
    along = Along("more", "More power, %", 0, 30)
    right = _gain_of_power
    rule = _gain_of_power_by_the_rule
    work = _steps_to_the_gain_of_power

    def slip(g):
        """This gives the speed the whole gain in power. Speed gains a little more than a third of
        it."""
        return g.more

    def slip_square(g):
        """This uses the square root, as if power grew with the square of speed. It grows nearly
        with the cube, so speed gains a little more than a third."""
        return to_percent((1 + percent(g.more)) ** 0.5 - 1)

    def slip_all_air(g):
        """This is the pure cube law. The power for the tyres is proportional to speed, so the gain
        is a little larger."""
        return to_percent((1 + percent(g.more)) ** (1 / 3) - 1)


@question
class M38:
    """Who saves more seconds?

    {about_fast} {fast.power} W. {about_slow} {slow.power} W. {flat_and_calm} Both cut their CdA by
    {cut} % and ride {distance} km at the same power as before. {slow.name} saves {slow_saves:.0f}
    s. How many seconds does {fast.name} save? {at_the_crank} {solve_again}

    Idea: The gain in speed and the time on the road both count. Solve for the time before and
    after.
    Relation: saved = D / v1 - D / v2: s = m / (m/s), each v solved at the same power.
    Why: The faster rider gains a little more in %, but is out for much less time.
    """

    unit, digits = "s", 0
    fast = Someone(IMKE)
    slow = Someone(ROSALIND)
    density = DENSITY
    cut = Number(5, 4, 8, 1)
    distance = Number(40, 30, 60, 5)
    along = Along("cut", "Cut of the CdA, %", 1, 20)
    shown = {"slow_saves": lambda g: _seconds(g, g.slow)}

    def right(g):
        return _seconds(g, g.fast)

    def rule(g):
        return _seconds_by_the_rule(g, g.fast)

    def work(g):
        return _fewer_seconds(g, g.fast, g.fast.power)

    def where(g):
        return g.fast.name != g.slow.name

    def slip(g):
        """This makes the seconds grow with speed, as the watts do. The faster rider is out for less
        time, and has less time to save."""
        return _seconds(g, g.slow) * _speed(g, g.fast) / _speed(g, g.slow)

    def slip_same(g):
        """This gives both the same seconds. They are on the road for different times."""
        return _seconds(g, g.slow)

    def slip_whole_cut(g):
        """This cuts the time by the whole percentage. Going faster raises the drag again, so about
        a third is left."""
        return percent(g.cut) * _time(g, g.fast)


def _time(g, member):
    return kilometres(g.distance) / _speed(g, member)


@question
class M39:
    """More power on the hill

    {about_who} A climb of {steep:g} % and {distance} km, calm, air density {density:.2f} kg/m³.
    With {cut} % less CdA the rider saves {low_saves:.1f} s at {low} W. How many seconds does the
    same cut save at {high} W? {at_the_crank} {solve_again}

    Idea: How large is the air share on the hill, at each power? Solve for the time again.
    Relation: saved = D / v1 - D / v2: s = m / (m/s), each v solved with the slope's force.
    Why: As long as air takes under a quarter of the power, going faster saves more seconds.
    """

    unit, digits = "s", 1
    who = Someone(TOBIN)
    density = DENSITY
    low = Number(160, 140, 180, 10)
    high = Number(300, 270, 330, 10)
    steep = Number(5, 5, 7, 0.5)
    cut = Number(5, 5, 10, 1)
    distance = Number(10, 8, 14, 1)
    along = Along("high", "The higher power, W", 120, 400)
    shown = {"low_saves": lambda g: _seconds(g, g.who, g.low)}

    def right(g):
        return _seconds(g, g.who, g.high)

    def rule(g):
        return _seconds_by_the_rule(g, g.who, g.high)

    def work(g):
        return _fewer_seconds(g, g.who, g.high)

    def slip(g):
        """This makes the seconds shrink with the time on the road, as on the flat. On this hill the
        air share grows faster than that."""
        return _seconds(g, g.who, g.low) * _speed(g, g.who, g.low) / _speed(g, g.who, g.high)

    def slip_same(g):
        """This is the saving at the lower power. At more speed, more of the power goes into the
        air."""
        return _seconds(g, g.who, g.low)

    def slip_cubed(g):
        """This makes the seconds grow as air power does. The hill takes most of the power, and the
        ride gets shorter."""
        return _seconds(g, g.who, g.low) * (_speed(g, g.who, g.high) / _speed(g, g.who, g.low)) ** 3


@question
class M43:
    """Speed in shelter

    {about_who} {who.power} W at the crank. {flat_and_calm} In the shelter of others the CdA is
    {cut} % less. How much faster is the rider at the same power, in %? {at_the_crank} {solve_again}

    Idea: The power stays the same. At which speed do air and tyres take all of it again?
    Relation: Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel.
    Why: For so large a cut a little over a third is left. Distance, sight lines and trust come
    first.
    """

    unit, digits = "%", 1
    who = Someone(TOBIN)
    density = DENSITY
    cut = Number(30, 25, 40, 1)
    along = Along("cut", "Cut of the CdA, %", 1, 60)
    right = _gain
    rule = _gain_by_the_rule
    work = _steps_to_the_gain

    def slip(g):
        """This gives the speed the whole cut. Going faster raises the drag again, so a little over
        a third is left."""
        return g.cut

    def slip_square(g):
        """This keeps the drag force the same. It is the power that stays the same."""
        return _faster_as(g, 1 / 2)

    def slip_all_air(g):
        """This is the pure cube law, as if the tyres took nothing. They take more at the higher
        speed."""
        return _faster_as(g, 1 / 3)

    def slip_share(g):
        """This is the power saved at the old speed. The speed rises until that power is used again."""
        return _share(g, g.who) * g.cut


def _power_it_may_cost(g):
    """Percent of power that a cut is worth: what falls away at the old speed."""
    speed = _speed(g, g.who)
    after = power_balance(_slimmer(g, g.who), _road(g), speed).total
    return to_percent(1 - after / g.who.power)


@question
class M47:
    """What a position can cost

    {about_who} {who.power} W at the crank. {flat_and_calm} A lower position cuts the CdA by {cut}
    %, and costs some power. What is the most power, in %, that it can cost without making the rider
    slower? {at_the_crank}

    Idea: At the old speed, which part of the power gets smaller, and which stays the same?
    Relation: power saved = s × cut, with s the air share of the power: fractions, no unit.
    Work: The wheel gets 0.975 × {who.power:g} = {wheel:g} W. At {v} m/s it needs {balance}. The air
    takes 1/2 × {density:.2f} × {who.rider.drag_area:.3f} × {v}³ = {air:.3f} W of it, a share of
    {air} / {wheel} = {share:.5f}. Worth: {share} × {cut}.
    Why: A cut in CdA is worth its size times the air share, as a percentage of power.
    """

    unit, digits = "%", 2
    who = Someone(TOBIN)
    density = DENSITY
    cut = Number(8, 6, 14, 1)
    along = Along("cut", "Cut of the CdA, %", 0, 40)
    shown = {
        "v": lambda g: steady(g.who.rider, g.density, g.who.power)[0],
        "balance": lambda g: steady(g.who.rider, g.density, g.who.power)[1],
    }
    right = _power_it_may_cost

    def slip(g):
        """This trades 1 % of CdA for 1 % of power. The cut saves only air power; the tyres take as
        much as before."""
        return g.cut

    def slip_speed(g):
        """This is the speed the cut gains at full power. Here the speed stays the same, and the
        question asks for the power."""
        return _gain(g)

    def slip_from_below(g):
        """This is a percentage of the lower power. The question asks for one of the power before."""
        return 100 * _power_it_may_cost(g) / (100 - _power_it_may_cost(g))

    def slip_tyres(g):
        """This uses the tyres' share of the power. It is the air share that the cut acts on."""
        return (1 - _share(g, g.who)) * g.cut
