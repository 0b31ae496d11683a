"""M08 to M12, M38, M39, M43 and M47: speed, seconds and power, solved again; what a quoted saving is worth elsewhere."""

from dataclasses import replace
from math import prod

from dragwork.physics.drag import drag_force
from dragwork.physics.power import power_balance
from dragwork.physics.resistance import crank_power
from dragwork.physics.savings import (
    drag_area_behind,
    sensitivities,
    small_change_gain,
    speed_gain,
    time_saved,
)
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import IMKE, ROSALIND
from dragwork.teaching.questions.wording import Printed, solved_twice, speed_change, steady, still
from dragwork.teaching.questions.written import DENSITY, Kind, LikeTobin, Number, Someone, near
from dragwork.units import kilometres, kmh, percent, to_minutes, to_percent


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


def _seconds(g, member, power=None):
    power = member.power if power is None else power
    return time_saved(member.rider, _slimmer(g, member), _road(g), power, kilometres(g.distance))


def _seconds_by_the_rule(g, member, power=None):
    gain = small_change_gain(_share(g, member, power), percent(g.cut))
    return kilometres(g.distance) / _speed(g, member, power) * gain


def _more_power(g):
    return round(g.who.power * (1 + percent(g.more)), 3)


def _fewer_seconds(g, member, power):
    """For the steps: the seconds saved by less CdA."""
    riders, steep = (member.rider, _slimmer(g, member)), percent(getattr(g, "steep", 0))
    was, now, solved = solved_twice(*((r, g.density, power) for r in riders), gradient=steep, digits=6)
    metres = f"{kilometres(g.distance):.0f}"
    return f"{solved} Saved: {metres} / {was} - {metres} / {now}."


def _faster_as(g, power):
    """Percent of speed gained if it went as a power of one over the CdA: 1/2 at the same force, 1/3 in air alone."""
    return to_percent((1 - percent(g.cut)) ** -power - 1)


class M08(LikeTobin):
    """Speed for less drag

    {about_who} {who.power} W at the crank. {flat_and_calm} The CdA falls by {cut} %. How much
    faster is the rider at the same power, in %? {at_the_crank} {solve_again}

    Idea: The power stays the same. At which speed do air and tyres take all of it again?
    Relation: Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel.
    Why: Speed gains about a third of the cut, because going faster raises the drag again.
    """

    unit, digits = "%", 2
    cut = Number(10, 8, 14, 1, along=("Cut of the CdA, %", 0, 40))
    right = _gain

    def rule(g):
        return to_percent(small_change_gain(_share(g, g.who), percent(g.cut)))

    def work(g):
        rider, power = g.who.rider, g.who.power
        return speed_change((rider, g.density, power), (_slimmer(g, g.who), g.density, power))

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


class M09(LikeTobin):
    """Speed for more power

    {about_who} {who.power} W at the crank. {flat_and_calm} Then the rider gives {more} % more
    power. How much faster is that, in %? {at_the_crank} {solve_again}

    Idea: If all power went into air it would grow with the cube. What do the tyres change?
    Relation: Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel.
    Why: Power grows nearly with the cube of speed, so speed gains a little more than a third.
    """

    unit, digits = "%", 2
    more = Number(5, 4, 9, 1, along=("More power, %", 0, 30))

    def right(g):
        faster = _speed(g, g.who, _more_power(g))
        return to_percent(faster / _speed(g, g.who) - 1)

    def rule(g):
        slopes = sensitivities(g.who.rider, _road(g), g.who.power)
        return to_percent(slopes.power * percent(g.more) * g.who.power / slopes.speed)

    def work(g):
        rider, power = g.who.rider, g.who.power
        return speed_change((rider, g.density, power), (rider, g.density, _more_power(g)))

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


class M38(Kind):
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
    cut = Number(5, 4, 8, 1, along=("Cut of the CdA, %", 1, 20))
    distance = Number(40, 30, 60, 5)
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
        return percent(g.cut) * kilometres(g.distance) / _speed(g, g.fast)


class M39(LikeTobin):
    """More power on the hill

    {about_who} A climb of {steep:g} % and {distance} km, calm, air density {density:.2f} kg/m³.
    With {cut} % less CdA the rider saves {low_saves:.1f} s at {low} W. How many seconds does the
    same cut save at {high} W? {at_the_crank} {solve_again}

    Idea: How large is the air share on the hill, at each power? Solve for the time again.
    Relation: saved = D / v1 - D / v2: s = m / (m/s), each v solved with the slope's force.
    Why: As long as air takes under a quarter of the power, going faster saves more seconds.
    """

    unit, digits = "s", 1
    low = Number(160, 140, 180, 10)
    high = Number(300, 270, 330, 10, along=("The higher power, W", 120, 400))
    steep = Number(5, 5, 7, 0.5)
    cut = Number(5, 5, 10, 1)
    distance = Number(10, 8, 14, 1)
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


class M43(M08):
    """Speed in shelter

    {about_who} {who.power} W at the crank. {flat_and_calm} In the shelter of others the CdA is
    {cut} % less. How much faster is the rider at the same power, in %? {at_the_crank} {solve_again}

    Idea: The power stays the same. At which speed do air and tyres take all of it again?
    Relation: Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel.
    Why: For so large a cut a little over a third is left. Distance, sight lines and trust come
    first.
    """

    digits = 1
    cut = Number(30, 25, 40, 1, along=("Cut of the CdA, %", 1, 60))

    def slip(g):
        """This gives the speed the whole cut. Going faster raises the drag again, so a little over
        a third is left."""
        return g.cut

    def slip_square(g):
        """This keeps the drag force the same. It is the power that stays the same."""
        return _faster_as(g, 1 / 2)


def _power_it_may_cost(g):
    """Percent of power that a cut is worth: what falls away at the old speed."""
    speed = _speed(g, g.who)
    after = power_balance(_slimmer(g, g.who), _road(g), speed).total
    return to_percent(1 - after / g.who.power)


class M47(LikeTobin):
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
    cut = Number(8, 6, 14, 1, along=("Cut of the CdA, %", 0, 40))
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


def _quoted(g, watts=None):
    """The change of CdA behind the quotation."""
    return drag_area_behind(g.watts if watts is None else watts, still(g), kmh(g.quoted_at))


def _minutes(g, drag_area):
    rider = g.who.rider
    slimmer = replace(rider, drag_area=rider.drag_area - drag_area)
    return to_minutes(time_saved(rider, slimmer, still(g), g.who.power, kilometres(g.distance)))


def _minutes_for_power(g, watts):
    """What so many watts more at the crank would save."""
    before, after = (steady_speed(g.who.rider, still(g), g.who.power + w) for w in (0, watts))
    return to_minutes(kilometres(g.distance) / before - kilometres(g.distance) / after)


def _cuts(g):
    return (g.helmet, g.bars, g.suit, g.wheels)


def _left(g):
    return prod(1 - percent(cut) for cut in _cuts(g))


class M10(Kind):
    """Quoted watts at my speed

    A seller says that an item saves {watts} W at {quoted_at} km/h, at the wheel. {flat_and_calm}
    The change in CdA is the same at all speeds. How many watts does it save at {own} km/h?
    {at_the_wheel}

    Idea: What about the item stays the same when the speed changes?
    Relation: ΔCdA = 2 ΔP / (ρ v³): m² = W / (kg/m³ × m³/s³); then back to W at your speed.
    Work: There v = {quoted_at} / 3.6 = {there:.5f} m/s, and ΔCdA = 2 × {watts} / ({density:.2f} ×
    {there}³) = {change:.6f} m². At your speed v = {own} / 3.6 = {v:.5f} m/s. P = 1/2 ×
    {density:.2f} × {change} × {v}³.
    Why: Keep the change in CdA; the watts follow the cube of speed.
    """

    unit, digits = "W", 1
    watts = Number(20, 12, 30, 1)
    quoted_at = Number(50, 45, 50, 1)
    own = Number(30, 24, 36, 1, along=("Own speed, km/h", 15, 60))
    density = DENSITY

    def right(g):
        return drag_force(_quoted(g), g.density, kmh(g.own)) * kmh(g.own)

    def slip(g):
        """These are the seller's watts, unchanged. Keep the change in CdA instead; the watts shrink
        with the cube of speed."""
        return g.watts

    def slip_in_step(g):
        """This shrinks the watts in proportion to speed, which looks fair. Air power shrinks with
        the cube."""
        return g.watts * g.own / g.quoted_at

    def slip_square(g):
        """This shrinks the watts with the square, as the force does. Power has one more factor of
        speed."""
        return g.watts * (g.own / g.quoted_at) ** 2

    def slip_reversed(g):
        """This has the ratio of speeds upside down. At a lower speed there is less to save."""
        return g.watts * (g.quoted_at / g.own) ** 3


class M11(Kind):
    """Quoted watts as minutes

    {about_who} {who.power} W at the crank, efficiency 0.975. {flat_and_calm} An item saves {watts}
    W at {quoted_at} km/h, at the wheel. The change in CdA is the same at all speeds. How many
    minutes does it save over {distance} km at the rider's own power? {solve_again}

    Idea: First find the change in CdA behind the claim. Then solve for the rider's speed with it.
    Relation: ΔCdA = 2 ΔP / (ρ v³) in m²; saved = D / v1 - D / v2 in s.
    Why: Change the CdA and solve for the speed again; quoted watts are true at the quoted speed.
    """

    unit, digits = "min", 2
    who = Someone(ROSALIND)
    density = DENSITY
    watts = Number(20, 14, 22, 1, along=("Watts quoted", 5, 40))
    quoted_at = Number(50, 48, 52, 1)
    distance = Number(40, 35, 60, 5)

    def right(g):
        return _minutes(g, _quoted(g))

    def rule(g):
        speed = steady_speed(g.who.rider, still(g), g.who.power)
        share = power_balance(g.who.rider, still(g), speed).air_share
        gain = small_change_gain(share, _quoted(g) / g.who.rider.drag_area)
        return to_minutes(kilometres(g.distance) / speed * gain)

    def work(g):
        v = Printed(kmh(g.quoted_at), 5)
        change = Printed(2 * g.watts / (g.density * v**3), 6)
        rider, metres = g.who.rider, f"{kilometres(g.distance):.0f}"
        slimmer = replace(rider, drag_area=round(rider.drag_area - change, 6))
        was, now, solved = solved_twice(*((r, g.density, g.who.power) for r in (rider, slimmer)))
        return f"""There v = {g.quoted_at} / 3.6 = {v} m/s, and ΔCdA = 2 × {g.watts} / ({g.density:.2f} × {v}³) = {change} m².
            The CdA falls to {rider.drag_area:.3f} - {change} = {slimmer.drag_area:.6f} m². {solved} Saved:
            ({metres} / {was} - {metres} / {now}) / 60."""

    def slip(g):
        """This gives the rider the quoted watts as extra power. At the rider's speed that would
        take a far larger change in CdA. Change the CdA instead."""
        return _minutes_for_power(g, crank_power(g.watts, 0.975))

    def slip_power_at_crank(g):
        """This adds the quoted watts at the crank. At the rider's speed that would take a far
        larger change in CdA. Change the CdA instead."""
        return _minutes_for_power(g, g.watts)

    @near
    def slip_crank(g):
        """This assumes the quoted watts are at the crank. The seller gives them at the wheel."""
        return _minutes(g, _quoted(g, g.watts * 0.975))

    def slip_whole_cut(g):
        """This cuts the time by the whole percentage. Going faster raises the drag again, so about
        a third is left."""
        time = kilometres(g.distance) / steady_speed(g.who.rider, still(g), g.who.power)
        return to_minutes(time * _quoted(g) / g.who.rider.drag_area)

    def slip_seconds(g):
        """This is in seconds. The question asks for minutes."""
        return 60 * M11.right(g)


class M12(Kind):
    """Four cuts together

    Each of four changes cuts whatever CdA it finds: by {helmet}, {bars}, {suit} and {wheels} %. How
    much do all four together cut the CdA, in %?

    Idea: Each cut acts on what the earlier ones left. What is left after all four?
    Relation: cut = 1 - (1 - x1)(1 - x2)(1 - x3)(1 - x4): fractions, no unit.
    Work: Left: {factors} = {left:.5f}. Gone: 100 × (1 - {left}).
    Why: Multiply what each cut leaves. Percentages of one and the same CdA may add instead: ask
    which is meant.
    """

    unit, digits = "%", 1
    helmet = Number(12, 8, 14, 1, along=("The first cut, %", 0, 40))
    bars = Number(10, 8, 16, 1)
    suit = Number(15, 10, 16, 1)
    wheels = Number(8, 8, 14, 1)
    shown = {"factors": lambda g: ' × '.join(f'{1 - percent(cut):.2f}' for cut in _cuts(g))}

    def right(g):
        return to_percent(1 - _left(g))

    def slip(g):
        """This adds the percentages, which is right where all are percentages of one CdA. Here each
        cut acts on what the earlier ones left."""
        return sum(_cuts(g))

    def slip_left(g):
        """This is what is left of the CdA. The question asks what is gone."""
        return to_percent(_left(g))

    def slip_mean(g):
        """This is the mean of the cuts. Each comes on top of the others."""
        return sum(_cuts(g)) / 4

    def slip_largest(g):
        """This is the largest cut alone. The others act on what it left."""
        return max(_cuts(g))
