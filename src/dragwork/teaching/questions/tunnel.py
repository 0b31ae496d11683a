"""M27 to M29: from a balance reading to a drag area."""

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.drag import area_from_force, drag_force, dynamic_pressure
from dragwork.teaching.questions.written import DENSITY, Kind, Number
from dragwork.units import grams_force, kmh, to_percent


def _pressure(g):
    return dynamic_pressure(g.density, kmh(g.kmh))


def _pressure_of_kmh(g):
    """What comes out where the km/h are squared as they stand."""
    return 0.5 * g.density * g.kmh**2


def _in_the_tunnel(g):
    return f"A wind tunnel runs at {g.kmh:g} km/h, air density {g.density:.2f} kg/m³, yaw 0."


def _area_ratio(g):
    """Drag area of B over that of A, from forces in the same air."""
    a, b = (drag_force(c * s, 1.2, 10.0) for c, s in ((g.cd_a, g.area_a), (g.cd_b, g.area_b)))
    return b / a


class M27(Kind):
    """Take the stand away

    {in_the_tunnel} With rider, bike and stand, the balance reads {force:.1f} N. With the empty
    stand, at the same speed and yaw, it reads {tare:.1f} N. What is the CdA of rider and bike?

    Idea: What does the balance feel besides rider and bike?
    Relation: CdA = (F - F0) / (1/2 ρ v²): m² = N / Pa.
    Work: v = {kmh:g} / 3.6 = {v:.5f} m/s; q = 1/2 × {density:.2f} × {v}² = {q:.3f} Pa. CdA =
    ({force:.1f} - {tare:.1f}) / {q}.
    Why: The balance feels the stand too, so subtract it at the same speed and yaw.
    """

    unit, digits = "m2", 3
    kmh = Number(50, 42, 54, 1)
    density = DENSITY
    force = Number(27.8, 24, 34, 0.1)
    tare = Number(3.1, 2.2, 4.0, 0.1, along=("Force of the empty stand, N", 0, 8))
    shown = {"in_the_tunnel": _in_the_tunnel}

    def right(g):
        return area_from_force(g.force - g.tare, g.density, kmh(g.kmh))

    def slip(g):
        """This includes the stand, as the balance does. Subtract the force on the empty stand, at
        the same speed and yaw."""
        return g.force / _pressure(g)

    def slip_added(g):
        """This adds the force on the stand. The balance feels rider and stand together, so subtract
        it."""
        return (g.force + g.tare) / _pressure(g)

    def slip_kmh(g):
        """This squares the km/h, the unit on the fan. Turn the speed into m/s first."""
        return (g.force - g.tare) / _pressure_of_kmh(g)

    def slip_no_half(g):
        """This lacks the half of 1/2 ρ v². It is easily lost on the way to the pressure."""
        return (g.force - g.tare) / _pressure(g) / 2

    def slip_tare_and_kmh(g):
        """This squares the km/h and includes the stand. Turn the speed into m/s, then subtract the
        force on the stand."""
        return g.force / _pressure_of_kmh(g)


class M28(Kind):
    """A balance that reads in grams

    {in_the_tunnel} The sheet gives a drag of {grams:g} g (grams-force), with the stand already
    subtracted. What is the CdA?

    Idea: A gram is a mass. What force does it weigh?
    Relation: F = 9.81 N/kg × kg; CdA = F / (1/2 ρ v²): m² = N / Pa.
    Work: F = {gravity} × {grams:g} / 1000 = {F:.4f} N. v = {kmh:g} / 3.6 = {v:.5f} m/s; q = 1/2 ×
    {density:.2f} × {v}² = {q:.3f} Pa. CdA = {F} / {q}.
    Why: Turn grams-force into newtons before you divide.
    """

    unit, digits = "m2", 3
    kmh = Number(50, 42, 54, 1)
    density = DENSITY
    grams = Number(2520, 2000, 3200, 10, along=("Balance reading, g", 500, 5000))
    shown = {"in_the_tunnel": _in_the_tunnel}

    def right(g):
        return area_from_force(grams_force(g.grams), g.density, kmh(g.kmh))

    def slip(g):
        """This uses kilograms, as a scale shows them, instead of newtons. The weight of a kilogram
        is 9.81 N."""
        return g.grams / 1000 / _pressure(g)

    def slip_grams(g):
        """This divides the grams directly. First make them kilograms, then newtons: times 9.81."""
        return g.grams / _pressure(g)

    def slip_no_kilo(g):
        """This uses 9.81 N for each gram. It is 9.81 N for a thousand grams."""
        return g.grams * STANDARD_GRAVITY / _pressure(g)

    def slip_kmh(g):
        """This squares the km/h, the unit on the fan. Turn the speed into m/s first."""
        return grams_force(g.grams) / _pressure_of_kmh(g)

    def slip_no_half(g):
        """This lacks the half of 1/2 ρ v². It is easily lost on the way to the pressure."""
        return grams_force(g.grams) / _pressure(g) / 2


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
    """

    unit, digits = "%", 1
    cd_a = Number(0.70, 0.64, 0.76, 0.02)
    area_a = Number(0.40, 0.34, 0.44, 0.01)
    cd_b = Number(0.64, 0.58, 0.70, 0.02, along=("Cd of set-up B", 0.4, 0.9))
    area_b = Number(0.46, 0.40, 0.50, 0.01)

    def right(g):
        return to_percent(_area_ratio(g) - 1)

    def where(g):
        return g.cd_b < g.cd_a and _area_ratio(g) >= 1.03

    def slip(g):
        """This compares only the Cd, the number people quote. Drag depends on Cd times area, and
        the area is larger."""
        return to_percent(g.cd_b / g.cd_a - 1)

    def slip_area(g):
        """This compares only the frontal areas, which you can see. Drag depends on Cd times area."""
        return to_percent(g.area_b / g.area_a - 1)

    def slip_reversed(g):
        """This compares A with B. The question asks for B compared with A."""
        return to_percent(1 / _area_ratio(g) - 1)
