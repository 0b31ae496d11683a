"""M08 to M12, M38, M39, M43 and M47: speed, seconds and power, solved again; what a quoted saving is worth elsewhere."""

from dataclasses import replace
from math import prod

from dragwork import physics
from dragwork.physics.resistance import crank_power
from dragwork.scenario.riders import IMKE, ROSALIND
from dragwork.teaching.questions.wording import (
    Printed,
    slim,
    solved,
    speed_change,
    steady,
    still,
)
from dragwork.teaching.questions.written import DENSITY, Kind, LikeTobin, Number, Someone
from dragwork.units import kilometres, kmh, percent, to_minutes, to_percent


def _speed(g, member):
    return physics.steady_speed(member.rider, still(g), member.power)


def _share(g, member):
    return physics.power_balance(member.rider, still(g), _speed(g, member)).air_share


def _gain(g):
    """Percent of speed for less CdA at the same power."""
    return to_percent(physics.speed_gain(g.who.rider, slim(g, g.who), still(g), g.who.power))


def _seconds(g, member):
    riders, metres = (member.rider, slim(g, member)), kilometres(g.distance)
    return physics.time_saved(*riders, still(g), member.power, metres)


def _seconds_by_the_rule(g, member):
    gain = physics.small_change_gain(_share(g, member), percent(g.cut))
    return kilometres(g.distance) / _speed(g, member) * gain


def _fewer_seconds(g, member):
    """For the steps: the seconds saved by less CdA."""
    was, now, steps = solved(g, member, digits=6, rider=slim(g, member))
    metres = f"{kilometres(g.distance):.0f}"
    return f"{steps} Saved: {metres} / {was} - {metres} / {now}."


class M08(LikeTobin):
    """Speed for less drag

    {about_who} {who.power} W at the crank. {flat_and_calm} The CdA falls by {cut} %. How much
    faster is the rider at the same power, in %? {at_the_crank} {solve_again}

    Idea: The power stays the same. At which speed do air and tyres take all of it again?
    Relation: Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel.
    Why: Speed gains about a third of the cut, because going faster raises the drag again.

    Slip: This gives the speed the whole cut. Going faster raises the drag again, so about a third
    of it is left.
    Slip square: This keeps the drag force the same, which uses the square. It is the power that
    stays the same, and power has the cube.
    Slip all air: This is the pure cube law, as if the tyres took nothing. They take more at the
    higher speed.
    Slip share: This is the power saved at the old speed. The speed rises until that power is used
    again.
    """

    unit, digits = "%", 2
    cut = Number(10, 8, 14, 1, along=("Cut of the CdA, %", 0, 40))

    def work(g):
        return speed_change(g, rider=slim(g, g.who))

    def answers(g):
        cut, air_share = percent(g.cut), _share(g, g.who)
        yield "right", _gain(g)
        yield "rule", to_percent(physics.small_change_gain(air_share, cut))
        yield "slip", g.cut
        yield "slip square", to_percent((1 - cut) ** (-1 / 2) - 1)
        yield "slip all air", to_percent((1 - cut) ** (-1 / 3) - 1)
        yield "slip share", air_share * g.cut


class M09(LikeTobin):
    """Speed for more power

    {about_who} {who.power} W at the crank. {flat_and_calm} Then the rider gives {more} % more
    power. How much faster is that, in %? {at_the_crank} {solve_again}

    Idea: If all power went into air it would grow with the cube. What do the tyres change?
    Relation: Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel.
    Why: Power grows nearly with the cube of speed, so speed gains a little more than a third.

    Slip: This gives the speed the whole gain in power. Speed gains a little more than a third of
    it.
    Slip square: This uses the square root, as if power grew with the square of speed. It grows
    nearly with the cube, so speed gains a little more than a third.
    Slip all air: This is the pure cube law. The power for the tyres is proportional to speed, so
    the gain is a little larger.
    """

    unit, digits = "%", 2
    more = Number(5, 4, 9, 1, along=("More power, %", 0, 30))
    derived = {"stronger": lambda g: replace(g.who, power=round(g.who.power * (1 + percent(g.more)), 3))}

    def work(g):
        return speed_change(g, power=g.stronger.power)

    def answers(g):
        more, slopes = percent(g.more), physics.sensitivities(g.who.rider, still(g), g.who.power)
        yield "right", to_percent(_speed(g, g.stronger) / _speed(g, g.who) - 1)
        yield "rule", to_percent(slopes.power * more * g.who.power / slopes.speed)
        yield "slip", g.more
        yield "slip square", to_percent((1 + more) ** 0.5 - 1)
        yield "slip all air", to_percent((1 + more) ** (1 / 3) - 1)


class M38(Kind):
    """Who saves more seconds?

    {about_fast} {fast.power} W. {about_slow} {slow.power} W. {flat_and_calm} Both cut their CdA by
    {cut} % and ride {distance} km at the same power as before. {slow.name} saves {slow_saves:.0f}
    s. How many seconds does {fast.name} save? {at_the_crank} {solve_again}

    Idea: The gain in speed and the time on the road both count. Solve for the time before and
    after.
    Relation: saved = D / v1 - D / v2: s = m / (m/s), each v solved at the same power.
    Why: The faster rider gains a little more in %, but is out for much less time.

    Slip: This makes the seconds grow with speed, as the watts do. The faster rider is out for less
    time, and has less time to save.
    Slip same: This gives both the same seconds. They are on the road for different times.
    Slip whole cut: This cuts the time by the whole percentage. Going faster raises the drag again,
    so about a third is left.
    """

    unit, digits = "s", 0
    fast = Someone(IMKE)
    slow = Someone(ROSALIND)
    density = DENSITY
    cut = Number(5, 4, 8, 1, along=("Cut of the CdA, %", 1, 20))
    distance = Number(40, 30, 60, 5)
    derived = {"slow_saves": lambda g: _seconds(g, g.slow)}

    def work(g):
        return _fewer_seconds(g, g.fast)

    def where(g):
        return g.fast.name != g.slow.name

    def answers(g):
        fast, slow = _speed(g, g.fast), _speed(g, g.slow)
        yield "right", _seconds(g, g.fast)
        yield "rule", _seconds_by_the_rule(g, g.fast)
        yield "slip", g.slow_saves * fast / slow
        yield "slip same", g.slow_saves
        yield "slip whole cut", percent(g.cut) * kilometres(g.distance) / fast


class M39(LikeTobin):
    """More power on the hill

    {about_who} A climb of {steep:g} % and {distance} km, calm, air density {density:.2f} kg/m³.
    With {cut} % less CdA the rider saves {low_saves:.1f} s at {low} W. How many seconds does the
    same cut save at {high} W? {at_the_crank} {solve_again}

    Idea: How large is the air share on the hill, at each power? Solve for the time again.
    Relation: saved = D / v1 - D / v2: s = m / (m/s), each v solved with the slope's force.
    Why: As long as air takes under a quarter of the power, going faster saves more seconds.

    Slip: This makes the seconds shrink with the time on the road, as on the flat. On this hill the
    air share grows faster than that.
    Slip same: This is the saving at the lower power. At more speed, more of the power goes into the
    air.
    Slip cubed: This makes the seconds grow as air power does. The hill takes most of the power, and
    the ride gets shorter.
    """

    unit, digits = "s", 1
    low = Number(160, 140, 180, 10)
    high = Number(300, 270, 330, 10, along=("The higher power, W", 120, 400))
    steep = Number(5, 5, 7, 0.5)
    cut = Number(5, 5, 10, 1)
    distance = Number(10, 8, 14, 1)
    derived = {
        "easy": lambda g: replace(g.who, power=g.low),
        "hard": lambda g: replace(g.who, power=g.high),
        "low_saves": lambda g: _seconds(g, g.easy),
    }

    def work(g):
        return _fewer_seconds(g, g.hard)

    def answers(g):
        fast, slow = _speed(g, g.hard), _speed(g, g.easy)
        yield "right", _seconds(g, g.hard)
        yield "rule", _seconds_by_the_rule(g, g.hard)
        yield "slip", g.low_saves * slow / fast
        yield "slip same", g.low_saves
        yield "slip cubed", g.low_saves * (fast / slow) ** 3


class M43(M08):
    """Speed in shelter

    {about_who} {who.power} W at the crank. {flat_and_calm} In the shelter of others the CdA is
    {cut} % less. How much faster is the rider at the same power, in %? {at_the_crank} {solve_again}

    Idea: The power stays the same. At which speed do air and tyres take all of it again?
    Relation: Solve P = 1/2 ρ CdA v³ + Crr m g v for v, before and after: W = N × m/s at the wheel.
    Why: For so large a cut a little over a third is left. Distance, sight lines and trust come
    first.

    Slip: This gives the speed the whole cut. Going faster raises the drag again, so a little over a
    third is left.
    Slip square: This keeps the drag force the same. It is the power that stays the same.
    """

    digits = 1
    cut = Number(30, 25, 40, 1, along=("Cut of the CdA, %", 1, 60))


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

    Slip: This trades 1 % of CdA for 1 % of power. The cut saves only air power; the tyres take as
    much as before.
    Slip speed: This is the speed the cut gains at full power. Here the speed stays the same, and
    the question asks for the power.
    Slip from below: This is a percentage of the lower power. The question asks for one of the power
    before.
    Slip tyres: This uses the tyres' share of the power. It is the air share that the cut acts on.
    """

    unit, digits = "%", 2
    cut = Number(8, 6, 14, 1, along=("Cut of the CdA, %", 0, 40))
    derived = {
        "v": lambda g: steady(g.who.rider, g.density, g.who.power)[0],
        "balance": lambda g: steady(g.who.rider, g.density, g.who.power)[1],
    }

    def answers(g):
        after = physics.power_balance(slim(g, g.who), still(g), _speed(g, g.who)).total
        worth = to_percent(1 - after / g.who.power)
        yield "right", worth
        yield "slip", g.cut
        yield "slip speed", _gain(g)
        yield "slip from below", 100 * worth / (100 - worth)
        yield "slip tyres", (1 - _share(g, g.who)) * g.cut


def _minutes(g, drag_area):
    before, metres = g.who.rider, kilometres(g.distance)
    after = replace(before, drag_area=before.drag_area - drag_area)
    return to_minutes(physics.time_saved(before, after, still(g), g.who.power, metres))


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

    Slip: These are the seller's watts, unchanged. Keep the change in CdA instead; the watts shrink
    with the cube of speed.
    Slip in step: This shrinks the watts in proportion to speed, which looks fair. Air power shrinks
    with the cube.
    Slip square: This shrinks the watts with the square, as the force does. Power has one more
    factor of speed.
    Slip reversed: This has the ratio of speeds upside down. At a lower speed there is less to save.
    """

    unit, digits = "W", 1
    watts = Number(20, 12, 30, 1)
    quoted_at = Number(50, 45, 50, 1)
    own = Number(30, 24, 36, 1, along=("Own speed, km/h", 15, 60))
    density = DENSITY

    def answers(g):
        change = physics.drag_area_behind(g.watts, still(g), kmh(g.quoted_at))
        slower = g.own / g.quoted_at
        yield "right", physics.drag_force(change, g.density, kmh(g.own)) * kmh(g.own)
        yield "slip", g.watts
        yield "slip in step", g.watts * slower
        yield "slip square", g.watts * slower**2
        yield "slip reversed", g.watts / slower**3


class M11(Kind):
    """Quoted watts as minutes

    {about_who} {who.power} W at the crank, efficiency 0.975. {flat_and_calm} An item saves {watts}
    W at {quoted_at} km/h, at the wheel. The change in CdA is the same at all speeds. How many
    minutes does it save over {distance} km at the rider's own power? {solve_again}

    Idea: First find the change in CdA behind the claim. Then solve for the rider's speed with it.
    Relation: ΔCdA = 2 ΔP / (ρ v³) in m²; saved = D / v1 - D / v2 in s.
    Why: Change the CdA and solve for the speed again; quoted watts are true at the quoted speed.

    Slip: This gives the rider the quoted watts as extra power. At the rider's speed that would take
    a far larger change in CdA. Change the CdA instead.
    Slip power at crank: This adds the quoted watts at the crank. At the rider's speed that would
    take a far larger change in CdA. Change the CdA instead.
    Slip crank (near): This assumes the quoted watts are at the crank. The seller gives them at the
    wheel.
    Slip whole cut: This cuts the time by the whole percentage. Going faster raises the drag again,
    so about a third is left.
    Slip seconds: This is in seconds. The question asks for minutes.
    """

    unit, digits = "min", 2
    who = Someone(ROSALIND)
    density = DENSITY
    watts = Number(20, 14, 22, 1, along=("Watts quoted", 5, 40))
    quoted_at = Number(50, 48, 52, 1)
    distance = Number(40, 35, 60, 5)

    def work(g):
        v = Printed(kmh(g.quoted_at), 5)
        change = Printed(2 * g.watts / (g.density * v**3), 6)
        rider, metres = g.who.rider, f"{kilometres(g.distance):.0f}"
        slimmer = replace(rider, drag_area=round(rider.drag_area - change, 6))
        was, now, steps = solved(g, g.who, rider=slimmer)
        return f"""There v = {g.quoted_at} / 3.6 = {v} m/s, and ΔCdA = 2 × {g.watts} / ({g.density:.2f} × {v}³) = {change} m².
            The CdA falls to {rider.drag_area:.3f} - {change} = {slimmer.drag_area:.6f} m². {steps} Saved:
            ({metres} / {was} - {metres} / {now}) / 60."""

    def answers(g):
        change = physics.drag_area_behind(g.watts, still(g), kmh(g.quoted_at))
        cut, before = change / g.who.rider.drag_area, kilometres(g.distance) / _speed(g, g.who)
        pushed = (replace(g.who, power=g.who.power + w) for w in (crank_power(g.watts, 0.975), g.watts))
        by_wheel, by_crank = (kilometres(g.distance) / _speed(g, member) for member in pushed)
        yield "right", _minutes(g, change)
        yield "rule", to_minutes(before * physics.small_change_gain(_share(g, g.who), cut))
        yield "slip", to_minutes(before - by_wheel)
        yield "slip power at crank", to_minutes(before - by_crank)
        yield "slip crank", _minutes(g, change * 0.975)
        yield "slip whole cut", to_minutes(before * cut)
        yield "slip seconds", 60 * _minutes(g, change)


class M12(Kind):
    """Four cuts together

    Each of four changes cuts whatever CdA it finds: by {helmet}, {bars}, {suit} and {wheels} %. How
    much do all four together cut the CdA, in %?

    Idea: Each cut acts on what the earlier ones left. What is left after all four?
    Relation: cut = 1 - (1 - x1)(1 - x2)(1 - x3)(1 - x4): fractions, no unit.
    Work: Left: {factors} = {left:.5f}. Gone: 100 × (1 - {left}).
    Why: Multiply what each cut leaves. Percentages of one and the same CdA may add instead: ask
    which is meant.

    Slip: This adds the percentages, which is right where all are percentages of one CdA. Here each
    cut acts on what the earlier ones left.
    Slip left: This is what is left of the CdA. The question asks what is gone.
    Slip mean: This is the mean of the cuts. Each comes on top of the others.
    Slip largest: This is the largest cut alone. The others act on what it left.
    """

    unit, digits = "%", 1
    helmet = Number(12, 8, 14, 1, along=("The first cut, %", 0, 40))
    bars = Number(10, 8, 16, 1)
    suit = Number(15, 10, 16, 1)
    wheels = Number(8, 8, 14, 1)
    derived = {
        "cuts": lambda g: (g.helmet, g.bars, g.suit, g.wheels),
        "factors": lambda g: " × ".join(f"{1 - percent(cut):.2f}" for cut in g.cuts),
    }

    def answers(g):
        left = prod(1 - percent(cut) for cut in g.cuts)
        yield "right", to_percent(1 - left)
        yield "slip", sum(g.cuts)
        yield "slip left", to_percent(left)
        yield "slip mean", sum(g.cuts) / 4
        yield "slip largest", max(g.cuts)
