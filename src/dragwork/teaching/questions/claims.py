"""M10 to M12: what a quoted saving is worth at another speed, on a road, and beside others."""

from dataclasses import replace
from math import prod

from dragwork.physics.drag import drag_force
from dragwork.physics.power import power_balance
from dragwork.physics.resistance import crank_power
from dragwork.physics.savings import drag_area_behind, small_change_gain, time_saved
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import ROSALIND
from dragwork.teaching.questions.drawing import Number, Someone
from dragwork.teaching.questions.question import Along
from dragwork.teaching.questions.wording import DENSITY, Printed, solved_twice, still
from dragwork.teaching.questions.written import near, question
from dragwork.units import kilometres, kmh, percent, to_minutes, to_percent


def _quoted(g, watts=None):
    """The change of CdA behind the quotation."""
    return drag_area_behind(g.watts if watts is None else watts, still(g), kmh(g.quoted_at))


def _carried(g):
    return drag_force(_quoted(g), g.density, kmh(g.own)) * kmh(g.own)


def _minutes(g, drag_area):
    rider = g.who.rider
    slimmer = replace(rider, drag_area=rider.drag_area - drag_area)
    return to_minutes(time_saved(rider, slimmer, still(g), g.who.power, kilometres(g.distance)))


def _minutes_for_power(g, watts):
    """What so many watts more at the crank would save."""
    before, after = (steady_speed(g.who.rider, still(g), g.who.power + w) for w in (0, watts))
    return to_minutes(kilometres(g.distance) / before - kilometres(g.distance) / after)


def _minutes_by_the_rule(g):
    speed = steady_speed(g.who.rider, still(g), g.who.power)
    share = power_balance(g.who.rider, still(g), speed).air_share
    gain = small_change_gain(share, _quoted(g) / g.who.rider.drag_area)
    return to_minutes(kilometres(g.distance) / speed * gain)


def _steps_to_minutes(g):
    v = Printed(kmh(g.quoted_at), 5)
    change = Printed(2 * g.watts / (g.density * v**3), 6)
    rider, metres = g.who.rider, f"{kilometres(g.distance):.0f}"
    slimmer = replace(rider, drag_area=round(rider.drag_area - change, 6))
    was, now, solved = solved_twice(*((r, g.density, g.who.power) for r in (rider, slimmer)))
    return f"""There v = {g.quoted_at} / 3.6 = {v} m/s, and ΔCdA = 2 × {g.watts} / ({g.density:.2f} × {v}³) = {change} m².
        The CdA falls to {rider.drag_area:.3f} - {change} = {slimmer.drag_area:.6f} m². {solved} Saved:
        ({metres} / {was} - {metres} / {now}) / 60."""


def _cuts(g):
    return (g.helmet, g.bars, g.suit, g.wheels)


def _left(g):
    return prod(1 - percent(cut) for cut in _cuts(g))


@question
class M10:
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
    own = Number(30, 24, 36, 1)
    density = DENSITY
    along = Along("own", "Own speed, km/h", 15, 60)
    right = _carried

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


@question
class M11:
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
    watts = Number(20, 14, 22, 1)
    quoted_at = Number(50, 48, 52, 1)
    distance = Number(40, 35, 60, 5)
    along = Along("watts", "Watts quoted", 5, 40)
    rule = _minutes_by_the_rule
    work = _steps_to_minutes

    def right(g):
        return _minutes(g, _quoted(g))

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
        return to_minutes(kilometres(g.distance) / steady_speed(g.who.rider, still(g), g.who.power) * _quoted(g) / g.who.rider.drag_area)

    def slip_seconds(g):
        """This is in seconds. The question asks for minutes."""
        return 60 * _minutes(g, _quoted(g))


@question
class M12:
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
    helmet = Number(12, 8, 14, 1)
    bars = Number(10, 8, 16, 1)
    suit = Number(15, 10, 16, 1)
    wheels = Number(8, 8, 14, 1)
    along = Along("helmet", "The first cut, %", 0, 40)
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
