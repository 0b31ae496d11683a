"""M27 to M29: from a balance reading to a drag area."""

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.drag import area_from_force, drag_force, dynamic_pressure
from dragwork.teaching.questions.drawing import Number
from dragwork.teaching.questions.question import Along, Kind, Slip
from dragwork.teaching.questions.wording import DENSITY, Printed
from dragwork.units import grams_force, kmh, to_percent


def _pressure(g):
    return dynamic_pressure(g.density, kmh(g.kmh))


def _pressure_of_kmh(g):
    """What comes out where the km/h are squared as they stand."""
    return 0.5 * g.density * g.kmh**2


def _steps_to_pressure(g):
    v = Printed(kmh(g.kmh), 5)
    q = Printed(g.density / 2 * v**2, 3)
    return f"v = {g.kmh:g} / 3.6 = {v} m/s; q = 1/2 × {g.density:.2f} × {v}² = {q} Pa."


def _in_the_tunnel(g):
    return f"A wind tunnel runs at {g.kmh:g} km/h, air density {g.density:.2f} kg/m³, yaw 0."


def _area_ratio(g):
    """Drag area of B over that of A, from forces in the same air."""
    a, b = (drag_force(c * s, 1.2, 10.0) for c, s in ((g.cd_a, g.area_a), (g.cd_b, g.area_b)))
    return b / a


M27 = Kind(
    "M27", "Take the stand away", "m2", 3,
    given={
        "kmh": Number(50, 42, 54, 1),
        "density": DENSITY,
        "force": Number(27.8, 24, 34, 0.1),
        "tare": Number(3.1, 2.2, 4.0, 0.1),
    },
    asks=lambda g: f"""{_in_the_tunnel(g)} With rider, bike and
        stand, the balance reads {g.force:.1f} N. With the empty stand, at the same speed and yaw, it
        reads {g.tare:.1f} N. What is the CdA of rider and bike?""",
    right=lambda g: area_from_force(g.force - g.tare, g.density, kmh(g.kmh)),
    slips=(
        Slip("M27", lambda g: g.force / _pressure(g),
             "This includes the stand, as the balance does. Subtract the force on the empty stand, "
             "at the same speed and yaw."),
        Slip("M27-added", lambda g: (g.force + g.tare) / _pressure(g),
             "This adds the force on the stand. The balance feels rider and stand together, so "
             "subtract it."),
        Slip("M27-kmh", lambda g: (g.force - g.tare) / _pressure_of_kmh(g),
             "This squares the km/h, the unit on the fan. Turn the speed into m/s first."),
        Slip("M27-no-half", lambda g: (g.force - g.tare) / _pressure(g) / 2,
             "This lacks the half of 1/2 ρ v². It is easily lost on the way to the pressure."),
        Slip("M27-tare-and-kmh", lambda g: g.force / _pressure_of_kmh(g),
             "This squares the km/h and includes the stand. Turn the speed into m/s, then subtract "
             "the force on the stand."),
    ),
    idea="What does the balance feel besides rider and bike?",
    relation="CdA = (F - F0) / (1/2 ρ v²): m² = N / Pa.",
    work=lambda g: f"""{_steps_to_pressure(g)} CdA = ({g.force:.1f} - {g.tare:.1f}) /
        {_pressure(g):.3f}.""",
    why="The balance feels the stand too, so subtract it at the same speed and yaw.",
    along=Along("tare", "Force of the empty stand, N", 0, 8),
)  # fmt: skip

M28 = Kind(
    "M28", "A balance that reads in grams", "m2", 3,
    given={
        "kmh": Number(50, 42, 54, 1),
        "density": DENSITY,
        "grams": Number(2520, 2000, 3200, 10),
    },
    asks=lambda g: f"""{_in_the_tunnel(g)} The sheet gives a drag of {g.grams:g} g (grams-force), with the
        stand already subtracted. What is the CdA?""",
    right=lambda g: area_from_force(grams_force(g.grams), g.density, kmh(g.kmh)),
    slips=(
        Slip("M28", lambda g: g.grams / 1000 / _pressure(g),
             "This uses kilograms, as a scale shows them, instead of newtons. The weight of a "
             "kilogram is 9.81 N."),
        Slip("M28-grams", lambda g: g.grams / _pressure(g),
             "This divides the grams directly. First make them kilograms, then newtons: times 9.81."),
        Slip("M28-no-kilo", lambda g: g.grams * STANDARD_GRAVITY / _pressure(g),
             "This uses 9.81 N for each gram. It is 9.81 N for a thousand grams."),
        Slip("M28-kmh", lambda g: grams_force(g.grams) / _pressure_of_kmh(g),
             "This squares the km/h, the unit on the fan. Turn the speed into m/s first."),
        Slip("M28-no-half", lambda g: grams_force(g.grams) / _pressure(g) / 2,
             "This lacks the half of 1/2 ρ v². It is easily lost on the way to the pressure."),
    ),
    idea="A gram is a mass. What force does it weigh?",
    relation="F = 9.81 N/kg × kg; CdA = F / (1/2 ρ v²): m² = N / Pa.",
    work=lambda g: f"""F = {STANDARD_GRAVITY} × {g.grams:g} / 1000 = {grams_force(g.grams):.4f} N.
        {_steps_to_pressure(g)} CdA = {grams_force(g.grams):.4f} / {_pressure(g):.3f}.""",
    why="Turn grams-force into newtons before you divide.",
    along=Along("grams", "Balance reading, g", 500, 5000),
)  # fmt: skip

M29 = Kind(
    "M29", "A lower Cd on a larger front", "%", 1,
    given={
        "cd_a": Number(0.70, 0.64, 0.76, 0.02),
        "area_a": Number(0.40, 0.34, 0.44, 0.01),
        "cd_b": Number(0.64, 0.58, 0.70, 0.02),
        "area_b": Number(0.46, 0.40, 0.50, 0.01),
    },
    where=lambda g: g.cd_b < g.cd_a and _area_ratio(g) >= 1.03,
    asks=lambda g: f"""Set-up A has Cd {g.cd_a:.2f} and a frontal area of {g.area_a:.2f} m². Set-up B
        has Cd {g.cd_b:.2f} and {g.area_b:.2f} m². Both ride in the same air at the same speed.
        How much more drag has B than A, in %? Give the sign: + is more drag.""",
    right=lambda g: to_percent(_area_ratio(g) - 1),
    slips=(
        Slip("M29", lambda g: to_percent(g.cd_b / g.cd_a - 1),
             "This compares only the Cd, the number people quote. Drag depends on Cd times area, and "
             "the area is larger."),
        Slip("M29-area", lambda g: to_percent(g.area_b / g.area_a - 1),
             "This compares only the frontal areas, which you can see. Drag depends on Cd times area."),
        Slip("M29-reversed", lambda g: to_percent(1 / _area_ratio(g) - 1),
             "This compares A with B. The question asks for B compared with A."),
    ),
    idea="Neither Cd nor area alone makes drag. What do they make together?",
    relation="CdA = Cd × A: m² = 1 × m². Change = CdA(B) / CdA(A) - 1.",
    work=lambda g: f"""A: {g.cd_a:.2f} × {g.area_a:.2f} = {g.cd_a * g.area_a:.4f} m². B: {g.cd_b:.2f} ×
        {g.area_b:.2f} = {g.cd_b * g.area_b:.4f} m². More: 100 × ({g.cd_b * g.area_b:.4f} /
        {g.cd_a * g.area_a:.4f} - 1).""",
    why="A lower Cd on a larger frontal area can lose: drag depends on Cd times area.",
    along=Along("cd_b", "Cd of set-up B", 0.4, 0.9),
)  # fmt: skip

QUESTIONS = (M27, M28, M29)
