"""M27 to M29: from a balance reading to a drag area."""

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.drag import area_from_force, drag_force, dynamic_pressure
from dragwork.teaching.questions.written import DENSITY, Kind, Number
from dragwork.units import grams_force, kmh, to_percent


class _InTheTunnel(Kind):
    """A question about a balance in an air stream whose speed is given."""

    kmh, density = Number(50, 42, 54, 1), DENSITY


class M27(_InTheTunnel):
    """Take the stand away

    {in_the_tunnel} With rider, bike and stand, the balance reads {force:.1f} N. With the empty
    stand, at the same speed and yaw, it reads {tare:.1f} N. What is the CdA of rider and bike?

    Idea: What does the balance feel besides rider and bike?
    Relation: CdA = (F - F0) / (1/2 ρ v²): m² = N / Pa.
    Work: v = {kmh:g} / 3.6 = {v:.5f} m/s; q = 1/2 × {density:.2f} × {v}² = {q:.3f} Pa. CdA =
    ({force:.1f} - {tare:.1f}) / {q}.
    Why: The balance feels the stand too, so subtract it at the same speed and yaw.

    Slip: This includes the stand, as the balance does. Subtract the force on the empty stand, at
    the same speed and yaw.
    Slip added: This adds the force on the stand. The balance feels rider and stand together, so
    subtract it.
    Slip kmh: This squares the km/h, the unit on the fan. Turn the speed into m/s first.
    Slip no half: This lacks the half of 1/2 ρ v². It is easily lost on the way to the pressure.
    Slip tare and kmh: This squares the km/h and includes the stand. Turn the speed into m/s, then
    subtract the force on the stand.
    """

    unit, digits = "m2", 3
    force = Number(27.8, 24, 34, 0.1)
    tare = Number(3.1, 2.2, 4.0, 0.1, along=("Force of the empty stand, N", 0, 8))

    def answers(g):
        pressure, of_kmh = dynamic_pressure(g.density, kmh(g.kmh)), 0.5 * g.density * g.kmh**2
        yield "right", area_from_force(g.force - g.tare, g.density, kmh(g.kmh))
        yield "slip", g.force / pressure
        yield "slip added", (g.force + g.tare) / pressure
        yield "slip kmh", (g.force - g.tare) / of_kmh
        yield "slip no half", (g.force - g.tare) / pressure / 2
        yield "slip tare and kmh", g.force / of_kmh


class M28(_InTheTunnel):
    """A balance that reads in grams

    {in_the_tunnel} The sheet gives a drag of {grams:g} g (grams-force), with the stand already
    subtracted. What is the CdA?

    Idea: A gram is a mass. What force does it weigh?
    Relation: F = 9.81 N/kg × kg; CdA = F / (1/2 ρ v²): m² = N / Pa.
    Work: F = {gravity} × {grams:g} / 1000 = {F:.4f} N. v = {kmh:g} / 3.6 = {v:.5f} m/s; q = 1/2 ×
    {density:.2f} × {v}² = {q:.3f} Pa. CdA = {F} / {q}.
    Why: Turn grams-force into newtons before you divide.

    Slip: This uses kilograms, as a scale shows them, instead of newtons. The weight of a kilogram
    is 9.81 N.
    Slip grams: This divides the grams directly. First make them kilograms, then newtons: times
    9.81.
    Slip no kilo: This uses 9.81 N for each gram. It is 9.81 N for a thousand grams.
    Slip kmh: This squares the km/h, the unit on the fan. Turn the speed into m/s first.
    Slip no half: This lacks the half of 1/2 ρ v². It is easily lost on the way to the pressure.
    """

    unit, digits = "m2", 3
    grams = Number(2520, 2000, 3200, 10, along=("Balance reading, g", 500, 5000))

    def answers(g):
        pressure, of_kmh = dynamic_pressure(g.density, kmh(g.kmh)), 0.5 * g.density * g.kmh**2
        yield "right", area_from_force(grams_force(g.grams), g.density, kmh(g.kmh))
        yield "slip", g.grams / 1000 / pressure
        yield "slip grams", g.grams / pressure
        yield "slip no kilo", g.grams * STANDARD_GRAVITY / pressure
        yield "slip kmh", grams_force(g.grams) / of_kmh
        yield "slip no half", grams_force(g.grams) / pressure / 2


class M29(Kind):
    """A lower Cd on a larger front

    Set-up A has Cd {cd_a:.2f} and a frontal area of {area_a:.2f} m². Set-up B has Cd {cd_b:.2f} and
    {area_b:.2f} m². Both ride in the same air at the same speed. How much more drag does B have than
    A, in %? Give the sign: + is more drag.

    Idea: Neither Cd nor area alone makes drag. What do they make together?
    Relation: CdA = Cd × A: m² = 1 × m². Change = CdA(B) / CdA(A) - 1.
    Work: A: {cd_a:.2f} × {area_a:.2f} = {a:.4f} m². B: {cd_b:.2f} × {area_b:.2f} = {b:.4f} m².
    More: 100 × ({b} / {a} - 1).
    Why: A lower Cd on a larger frontal area can lose: drag depends on Cd times area.

    Slip: This compares only the Cd, the number people quote. Drag depends on Cd times area, and the
    area is larger.
    Slip area: This compares only the frontal areas, which you can see. Drag depends on Cd times
    area.
    Slip reversed: This compares A with B. The question asks for B compared with A.
    """

    unit, digits = "%", 1
    cd_a = Number(0.70, 0.64, 0.76, 0.02)
    area_a = Number(0.40, 0.34, 0.44, 0.01)
    cd_b = Number(0.64, 0.58, 0.70, 0.02, along=("Cd of set-up B", 0.4, 0.9))
    area_b = Number(0.46, 0.40, 0.50, 0.01)
    derived = {
        "drag_a": lambda g: drag_force(g.cd_a * g.area_a, 1.2, 10.0),
        "drag_b": lambda g: drag_force(g.cd_b * g.area_b, 1.2, 10.0),
    }

    def where(g):
        return g.cd_b < g.cd_a and g.drag_b >= 1.03 * g.drag_a

    def answers(g):
        yield "right", to_percent(g.drag_b / g.drag_a - 1)
        yield "slip", to_percent(g.cd_b / g.cd_a - 1)
        yield "slip area", to_percent(g.area_b / g.area_a - 1)
        yield "slip reversed", to_percent(g.drag_a / g.drag_b - 1)
