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
from dragwork.teaching.questions.question import Along, Kind, Slip
from dragwork.teaching.questions.wording import (
    AT_THE_WHEEL,
    DENSITY,
    SOLVE_AGAIN,
    Printed,
    about,
    at_the_wheel,
    flat_and_calm,
    steady,
    still,
)
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


def _steps_to_the_change(g):
    """The change of CdA as a solution prints it, and the step to it."""
    v = Printed(kmh(g.quoted_at), 5)
    change = Printed(2 * g.watts / (g.density * v**3), 6)
    return change, f"""There v = {g.quoted_at} / 3.6 = {v} m/s, and ΔCdA = 2 × {g.watts} / ({g.density:.2f}
        × {v}³) = {change} m²."""


def _steps_to_my_watts(g):
    change, step = _steps_to_the_change(g)
    v = Printed(kmh(g.own), 5)
    return f"""{step} At your speed v = {g.own} / 3.6 = {v} m/s. P = 1/2 × {g.density:.2f} × {change} ×
        {v}³."""


def _steps_to_minutes(g):
    change, step = _steps_to_the_change(g)
    rider, metres = g.who.rider, f"{kilometres(g.distance):.0f}"
    slimmer = replace(rider, drag_area=round(rider.drag_area - change, 6))
    (was, one), (now, two) = (steady(r, g.density, g.who.power) for r in (rider, slimmer))
    return f"""{step} The CdA falls to {rider.drag_area:.3f} - {change} = {slimmer.drag_area:.6f} m².
        {at_the_wheel(g.who.power)} Before, at {was} m/s, it needs {one}. After, at {now} m/s, it needs
        {two}. Saved: ({metres} / {was} - {metres} / {now}) / 60."""


def _cuts(g):
    return (g.helmet, g.bars, g.suit, g.wheels)


def _left(g):
    return prod(1 - percent(cut) for cut in _cuts(g))


M10 = Kind(
    "M10", "Quoted watts at my speed", "W", 1,
    given={
        "watts": Number(20, 12, 30, 1),
        "quoted_at": Number(50, 45, 50, 1),
        "own": Number(30, 24, 36, 1),
        "density": DENSITY,
    },
    asks=lambda g: f"""A seller says that an item saves {g.watts} W at {g.quoted_at} km/h, at the wheel.
        {flat_and_calm(g)} The change in CdA is the same at all speeds. How many watts does it
        save at {g.own} km/h? {AT_THE_WHEEL}""",
    right=_carried,
    slips=(
        Slip("M10", lambda g: g.watts,
             "These are the seller's watts, unchanged. Keep the change in CdA instead; the watts "
             "shrink with the cube of speed."),
        Slip("M10-in-step", lambda g: g.watts * g.own / g.quoted_at,
             "This shrinks the watts in proportion to speed, which looks fair. Air power shrinks "
             "with the cube."),
        Slip("M10-square", lambda g: g.watts * (g.own / g.quoted_at) ** 2,
             "This shrinks the watts with the square, as the force does. Power has one more factor "
             "of speed."),
        Slip("M10-reversed", lambda g: g.watts * (g.quoted_at / g.own) ** 3,
             "This has the ratio of speeds upside down. At a lower speed there is less to save."),
    ),
    idea="What about the item stays the same when the speed changes?",
    relation="ΔCdA = 2 ΔP / (ρ v³): m² = W / (kg/m³ × m³/s³); then back to W at your speed.",
    work=_steps_to_my_watts,
    why="Keep the change in CdA; the watts follow the cube of speed.",
    along=Along("own", "Own speed, km/h", 15, 60),
)  # fmt: skip

M11 = Kind(
    "M11", "Quoted watts as minutes", "min", 2,
    given={
        "who": Someone(ROSALIND),
        "density": DENSITY,
        "watts": Number(20, 14, 22, 1),
        "quoted_at": Number(50, 48, 52, 1),
        "distance": Number(40, 35, 60, 5),
    },
    asks=lambda g: f"""{about(g.who)} {g.who.power} W at the crank, efficiency 0.975. {flat_and_calm(g)}
        An item saves {g.watts} W at {g.quoted_at} km/h, at the wheel. The change in CdA is the
        same at all speeds. How many minutes does it save over {g.distance} km at the rider's own
        power? {SOLVE_AGAIN}""",
    right=lambda g: _minutes(g, _quoted(g)),
    rule=_minutes_by_the_rule,
    slips=(
        Slip("M11", lambda g: _minutes_for_power(g, crank_power(g.watts, 0.975)),
             "This gives the rider the quoted watts as extra power. At the rider's speed that would "
             "take a far larger change in CdA. Change the CdA instead."),
        Slip("M11-power-at-crank", lambda g: _minutes_for_power(g, g.watts),
             "This adds the quoted watts at the crank. At the rider's speed that would take a far "
             "larger change in CdA. Change the CdA instead."),
        Slip("M11-crank", lambda g: _minutes(g, _quoted(g, g.watts * 0.975)),
             "This assumes the quoted watts are at the crank. The seller gives them at the wheel.",
             near=True),
        Slip("M11-whole-cut", lambda g: to_minutes(
                 kilometres(g.distance) / steady_speed(g.who.rider, still(g), g.who.power)
                 * _quoted(g) / g.who.rider.drag_area),
             "This cuts the time by the whole percentage. Going faster raises the drag again, so "
             "about a third is left."),
        Slip("M11-seconds", lambda g: 60 * _minutes(g, _quoted(g)),
             "This is in seconds. The question asks for minutes."),
    ),
    idea="First find the change in CdA behind the claim. Then solve for the rider's speed with it.",
    relation="ΔCdA = 2 ΔP / (ρ v³) in m²; saved = D / v1 - D / v2 in s.",
    work=_steps_to_minutes,
    why="Change the CdA and solve for the speed again; quoted watts are true at the quoted speed.",
    along=Along("watts", "Watts quoted", 5, 40),
)  # fmt: skip

M12 = Kind(
    "M12", "Four cuts together", "%", 1,
    given={
        "helmet": Number(12, 8, 14, 1),
        "bars": Number(10, 8, 16, 1),
        "suit": Number(15, 10, 16, 1),
        "wheels": Number(8, 8, 14, 1),
    },
    asks=lambda g: f"""Each of four changes cuts whatever CdA it finds: by {g.helmet}, {g.bars}, {g.suit} and
        {g.wheels} %. How much do all four together cut the CdA, in %?""",
    right=lambda g: to_percent(1 - _left(g)),
    slips=(
        Slip("M12", lambda g: sum(_cuts(g)),
             "This adds the percentages, which is right where all are percentages of one CdA. Here each "
             "cut acts on what the earlier ones left."),
        Slip("M12-left", lambda g: to_percent(_left(g)),
             "This is what is left of the CdA. The question asks what is gone."),
        Slip("M12-mean", lambda g: sum(_cuts(g)) / 4,
             "This is the mean of the cuts. Each comes on top of the others."),
        Slip("M12-largest", lambda g: max(_cuts(g)),
             "This is the largest cut alone. The others act on what it left."),
    ),
    idea="Each cut acts on what the earlier ones left. What is left after all four?",
    relation="cut = 1 - (1 - x1)(1 - x2)(1 - x3)(1 - x4): fractions, no unit.",
    work=lambda g: f"""Left: {" × ".join(f"{1 - percent(cut):.2f}" for cut in _cuts(g))} =
        {_left(g):.5f}. Gone: 100 × (1 - {_left(g):.5f}).""",
    why="Multiply what each cut leaves. Percentages of one and the same CdA may add instead: ask which is meant.",
    along=Along("helmet", "The first cut, %", 0, 40),
)  # fmt: skip

QUESTIONS = (M10, M11, M12)
