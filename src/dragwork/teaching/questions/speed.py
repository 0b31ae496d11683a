"""M01 to M06 and M41: squares and cubes, and the unit that has to be right before them."""

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.drag import drag_force
from dragwork.physics.power import power_balance
from dragwork.physics.resistance import crank_power, rolling_force
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
    still,
)
from dragwork.units import kmh, percent, to_percent

_KMH = Number(39.6, 37.8, 45.0, 0.9)  # not 10 m/s, where force and power differ by ten


def _half_rho_area(g):
    return 0.5 * g.density * g.who.rider.drag_area


def _air_power(g):
    return power_balance(g.who.rider, still(g), kmh(g.kmh)).air


def _air_force(g):
    return drag_force(g.who.rider.drag_area, g.density, kmh(g.kmh))


def _crank(g, speed):
    return power_balance(g.who.rider, still(g), kmh(speed)).total


def _more_air_power(g):
    was, now = (power_balance(TOBIN.rider, still(g), v).air for v in (11, 11 * _factor(g)))
    return to_percent(now / was - 1)


def _factor(g):
    return 1 + percent(g.faster)


def _force_given(g):
    """The force of the air as a prompt prints it."""
    return round(float(_air_force(g)), 2)


def _steps_to_the_crank(g):
    v = Printed(kmh(g.fast), 3)
    mass, rolling = g.who.rider.all_up_mass, g.who.rider.rolling_coefficient
    air = Printed(_half_rho_area(g) * v**3, 2)
    tyres = Printed(rolling * mass * STANDARD_GRAVITY * v, 2)
    return f"""v = {g.fast:g} / 3.6 = {v} m/s. Air: 1/2 × {g.density:.2f} ×
        {g.who.rider.drag_area:.3f} × {v}³ = {air} W. Tyres: {rolling:.4f} × {mass:g} ×
        {STANDARD_GRAVITY} × {v} = {tyres} W. At the crank: ({air} + {tyres}) / 0.975."""


def _rolling(g, speed):
    return rolling_force(g.who.rider.all_up_mass, g.more) * kmh(speed)


M01 = Kind(
    "M01", "Air power at a speed in km/h", "W", 0,
    given={"who": Someone(TOBIN), "density": DENSITY, "kmh": _KMH},
    asks=lambda g: f"""{about(g.who)} {flat_and_calm(g)} How much power does the air take at
        {g.kmh:g} km/h? {AT_THE_WHEEL}""",
    right=_air_power,
    slips=(
        Slip("M01", lambda g: _half_rho_area(g) * g.kmh**3,
             "This is the cube of the km/h, the unit on every bike computer. Turn km/h into m/s "
             "first: the slip is cubed too."),
        Slip("M01-squared", lambda g: _half_rho_area(g) * g.kmh**2 * kmh(g.kmh),
             "This has km/h in the square and m/s in the last step. Turn the speed into m/s first, "
             "and only once."),
        Slip("M01-last-step", lambda g: _air_force(g) * g.kmh,
             "This is the right force times km/h. Newtons times metres per second gives watts."),
        Slip("M01-force", _air_force,
             "This is the force of the air in newtons, which comes first. Power is that force times "
             "the speed over the ground."),
        Slip("M01-no-half", lambda g: 2 * _air_power(g),
             "This leaves out the half in 1/2 ρ v². It is easy to forget."),
    ),
    idea="Turn the speed into m/s first. What is the force of the air, and what is its power?",
    relation="P = 1/2 ρ CdA v³: W = kg/m³ × m² × (m/s)³.",
    work=lambda g: f"""v = {g.kmh:g} / 3.6 = {kmh(g.kmh):.2f} m/s. P = 1/2 × {g.density:.2f} ×
        {g.who.rider.drag_area:.3f} × {kmh(g.kmh):.2f}³.""",
    why="In m/s the cube of the speed gives watts.",
    along=Along("kmh", "Speed, km/h", 10, 60),
)  # fmt: skip

M02 = Kind(
    "M02", "Air force at a speed in km/h", "N", 1,
    given={"who": Someone(TOBIN), "density": DENSITY, "kmh": _KMH},
    asks=lambda g: f"""{about(g.who)} {flat_and_calm(g)} What is the force of the air on the
        rider at {g.kmh:g} km/h?""",
    right=_air_force,
    slips=(
        Slip("M02", lambda g: _half_rho_area(g) * g.kmh**2,
             lambda g: f"This is drag with km/h squared. It would be like holding "
             f"up {_half_rho_area(g) * g.kmh**2 / STANDARD_GRAVITY:.0f} kg: turn km/h into m/s first."),
        Slip("M02-power", _air_power,
             "This is the power, with the cube of the speed. The force grows with the square; power is "
             "force times speed."),
        Slip("M02-no-half", lambda g: 2 * _air_force(g),
             "This leaves out the half in 1/2 ρ v². It is easy to forget."),
        Slip("M02-not-squared", lambda g: _half_rho_area(g) * kmh(g.kmh),
             "This uses the speed only once. At twice the speed you meet twice the air, and hit it "
             "twice as hard."),
    ),
    idea="A force grows with the square of the speed. Which unit must the speed have?",
    relation="F = 1/2 ρ CdA v²: N = kg/m³ × m² × (m/s)².",
    work=lambda g: f"""v = {g.kmh:g} / 3.6 = {kmh(g.kmh):.2f} m/s. F = 1/2 × {g.density:.2f} ×
        {g.who.rider.drag_area:.3f} × {kmh(g.kmh):.2f}².""",
    why="In m/s the square of the speed gives newtons.",
    along=Along("kmh", "Speed, km/h", 10, 60),
)  # fmt: skip

M03 = Kind(
    "M03", "Power from a force", "W", 0,
    given={"force": Number(23.2, 16, 32, 0.4), "kmh": _KMH},
    asks=lambda g: f"""At {g.kmh:g} km/h, flat and calm, the force of the air on a rider is
        {g.force:.1f} N. How much power does that take? {AT_THE_WHEEL}""",
    right=lambda g: g.force * kmh(g.kmh),
    slips=(
        Slip("M03", lambda g: g.force * g.kmh,
             "This is newtons times km/h. Newtons times m/s gives watts, so divide the km/h by 3.6 "
             "first."),
        Slip("M03-force", lambda g: g.force,
             "This is the force. Power is the force times the speed over the ground."),
        Slip("M03-times", lambda g: g.force * g.kmh * 3.6,
             "This multiplies the km/h by 3.6, the right number used the other way round. "
             "Divide instead."),
        Slip("M03-divided", lambda g: g.force / kmh(g.kmh),
             "This is the force divided by the speed. Going faster takes more power, so multiply."),
    ),
    idea="Power is force times speed over the ground. Which unit must the speed have?",
    relation="P = F v: W = N × m/s.",
    work=lambda g: f"""v = {g.kmh:g} / 3.6 = {kmh(g.kmh):.2f} m/s. P = {g.force:.1f} ×
        {kmh(g.kmh):.2f}.""",
    why="Newtons times metres per second gives watts.",
    along=Along("kmh", "Speed, km/h", 10, 60),
)  # fmt: skip

M04 = Kind(
    "M04", "From force to power", "W", 0,
    given={"who": Someone(TOBIN), "density": DENSITY, "kmh": _KMH},
    asks=lambda g: f"""{about(g.who)} {flat_and_calm(g)} At {kmh(g.kmh):.2f} m/s the force of the air
        is {_force_given(g):.2f} N. How much power goes into the air? {AT_THE_WHEEL}""",
    right=lambda g: _force_given(g) * kmh(g.kmh),
    slips=(
        Slip("M04", _force_given,
             "This is the force given in the question. Power is the force times the speed over the "
             "ground."),
        Slip("M04-kmh", lambda g: _force_given(g) * g.kmh,
             "This is newtons times km/h. The speed is given in m/s, which is what watts need."),
        Slip("M04-cubed", lambda g: _force_given(g) * kmh(g.kmh) ** 2,
             "This has one factor of speed too many. The force already has the square, and power "
             "takes one more."),
        Slip("M04-divided", lambda g: _force_given(g) / kmh(g.kmh),
             "This is the force divided by the speed. Going faster takes more power, so multiply."),
    ),
    idea="If you lean on a wall, nothing moves and the power is zero. What is missing from the force?",
    relation="P = F v: W = N × m/s.",
    work=lambda g: f"P = {_force_given(g):.2f} × {kmh(g.kmh):.2f}.",
    why="Power is the force times the speed over the ground.",
    along=Along("kmh", "Speed, km/h", 10, 60),
)  # fmt: skip

M05 = Kind(
    "M05", "Power for more speed", "%", 1,
    given={"faster": Number(10, 7, 20, 1), "density": DENSITY},
    asks=lambda g: f"""A rider goes {g.faster} % faster. {flat_and_calm(g)} How much more power goes into
        the air, in %? Use the exact cube.""",
    right=_more_air_power,
    slips=(
        Slip("M05", lambda g: to_percent(_factor(g) ** 2 - 1),
             "This is how the force grows, with the square. You also cover ground faster, so power "
             "grows with the cube."),
        Slip("M05-in-step", lambda g: g.faster,
             "This makes power proportional to speed. Three things grow with speed: the air you meet, "
             "how hard you hit it, the ground you cover."),
        Slip("M05-tripled", lambda g: 3 * g.faster,
             "This is three times the percentage, the small-change rule. The change is not small: "
             "multiply by the factor three times."),
        Slip("M05-factor", lambda g: _factor(g) ** 3,
             "This is the factor by which the power grows. Take away 1 to see how much more it is, "
             "then turn it into %."),
        Slip("M05-new", lambda g: to_percent(_factor(g) ** 3),
             "This is the new power as a percentage of the old. Take away the 100 % that was there "
             "before."),
    ),
    idea="The force grows with the square of the speed. And power is force times speed.",
    relation="P2 / P1 = (v2 / v1)³: no unit, W over W.",
    work=lambda g: f"""The power grows to {_factor(g):.2f}³ = {_factor(g)**3:.5f} times as much.
        More: 100 × ({_factor(g)**3:.5f} - 1).""",
    why="Force grows with the square, and you cover ground faster too: the cube.",
    along=Along("faster", "Faster by, %", 0, 40),
)  # fmt: skip

M06 = Kind(
    "M06", "Crank power at a higher speed", "W", 0,
    given={
        "who": Someone(TOBIN),
        "density": DENSITY,
        "slow": Number(39.6, 28.8, 36, 0.9),
        "fast": Number(49.5, 39.6, 48.6, 0.9),
    },
    where=lambda g: g.fast >= 1.25 * g.slow,
    asks=lambda g: f"""{about(g.who)} {flat_and_calm(g)} At {g.slow:g} km/h the ride takes
        {_crank(g, g.slow):.0f} W. How many watts does it take at {g.fast:g} km/h? {AT_THE_CRANK}""",
    right=lambda g: _crank(g, g.fast),
    slips=(
        Slip("M06", lambda g: _crank(g, g.slow) * (g.fast / g.slow) ** 3,
             "This cubes all of the power. Only the air power grows with the cube; rolling power is "
             "proportional to speed."),
        Slip("M06-squared", lambda g: _crank(g, g.slow) * (g.fast / g.slow) ** 2,
             "This grows with the square, as the force does. Power is force times speed."),
        Slip("M06-in-step", lambda g: _crank(g, g.slow) * g.fast / g.slow,
             "This is proportional to speed, as rolling power is. Air power grows with the cube."),
        Slip("M06-wheel", lambda g: power_balance(g.who.rider, still(g), kmh(g.fast)).wheel,
             "This is the power at the wheel. The crank gives more: divide by the efficiency.",
             near=True),
    ),
    idea="Split the power into air and tyres. Each grows in its own way.",
    relation="P = (1/2 ρ CdA v³ + Crr m g v) / 0.975: W at the crank, v in m/s.",
    work=_steps_to_the_crank,
    why="Air power grows with the cube of speed; rolling power is proportional to it.",
    along=Along("fast", "The higher speed, km/h", 20, 60),
)  # fmt: skip

M41 = Kind(
    "M41", "Worse tyres at half the speed", "W", 2,
    given={
        "who": Someone(TOBIN),
        "more": Number(0.001, 0.0008, 0.002, 0.0002),
        "fast": Number(36, 30, 45, 1),
    },
    asks=lambda g: f"""{about(g.who)} Flat and calm. Worse tyres raise the Crr by {g.more:g}, which costs
        {_rolling(g, g.fast):.2f} W at {g.fast:g} km/h. What do they cost at {g.fast / 2:g} km/h?
        {AT_THE_WHEEL}""",
    right=lambda g: _rolling(g, g.fast / 2),
    slips=(
        Slip("M41", lambda g: _rolling(g, g.fast) / 8,
             "This is an eighth, as air power would fall. The force of the tyres is the same at any "
             "speed."),
        Slip("M41-squared", lambda g: _rolling(g, g.fast) / 4,
             "This is a quarter, as drag would fall. The force of the tyres is the same at any "
             "speed."),
        Slip("M41-same", lambda g: _rolling(g, g.fast),
             "This is the cost at the higher speed. The force stays the same; the power is that "
             "force times a lower speed."),
        Slip("M41-crank", lambda g: crank_power(_rolling(g, g.fast / 2), 0.975),
             "This is the cost at the crank. The question asks for power at the wheel.", near=True),
    ),
    idea="The force of the tyres does not change with speed. What does their power do?",
    relation="P = Crr m g v: W = kg × m/s² × m/s.",
    work=lambda g: f"""F = {g.more:g} × {g.who.rider.all_up_mass:g} × {STANDARD_GRAVITY} =
        {rolling_force(g.who.rider.all_up_mass, g.more):.5f} N at any speed. v = {g.fast / 2:g} / 3.6 =
        {kmh(g.fast / 2):.5f} m/s. P = {rolling_force(g.who.rider.all_up_mass, g.more):.5f} ×
        {kmh(g.fast / 2):.5f}.""",
    why="Rolling power is proportional to speed, not to its cube.",
    along=Along("fast", "The speed of the given cost, km/h", 10, 60),
)  # fmt: skip

QUESTIONS = (M01, M02, M03, M04, M05, M06, M41)
