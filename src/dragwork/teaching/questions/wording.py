"""Phrases that many prompts share, and the sums that many worked solutions share."""

from dataclasses import replace
from math import hypot, pi

from dragwork.constants import ISO2533, STANDARD_GRAVITY
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.speed import steady_speed
from dragwork.units import percent

PHRASES = {
    "at_the_wheel": "Give power at the wheel.",
    "at_the_crank": "Power is at the crank; the drivetrain's efficiency is 0.975.",
    "solve_again": "Solve for the new speed in full; do not use the small-change rule.",
    "flat_and_calm": "Flat road, calm, air density {density:.2f} kg/m³.",
    "in_the_tunnel": "A wind tunnel runs at {kmh:g} km/h, air density {density:.2f} kg/m³, yaw 0.",
    "gravity": f"{STANDARD_GRAVITY}",
    "R": f"{ISO2533.gas_constant:.2f}",
}


def about(member):
    """The rider's numbers that the drag and the tyres need."""
    rider = member.rider
    return (
        f"{member.name}: {rider.all_up_mass:g} kg all-up, CdA {rider.drag_area:.3f} m², "
        f"Crr {rider.rolling_coefficient:.4f}."
    )


def still(g, **others):
    """The usual weather, and the road's slope where one is given, for the library."""
    return Conditions(**{"air_density": g.density, "gradient": percent(getattr(g, "steep", 0))} | others)


def balance(g, speed, **others):
    """What the rider of a question needs at a speed [m/s], in the usual weather."""
    return power_balance(g.who.rider, still(g, **others), speed)


def headwind(speed):
    """Wind against the rider, for `Conditions`; a tailwind is negative."""
    return {"wind_speed": abs(speed), "wind_angle": 0.0 if speed >= 0 else pi}


def slim(g, member):
    """The rider of a member after the question's cut of the drag area, as a page prints it."""
    return replace(member.rider, drag_area=round(member.rider.drag_area * (1 - percent(g.cut)), 6))


class Printed(float):
    """A number as a worked solution prints it, so that the next line counts with those digits."""

    def __new__(cls, value, digits):
        number = super().__new__(cls, round(float(value), digits))
        number.digits = digits
        return number

    def __format__(self, _):
        return f"{float(self):.{self.digits}f}"


def slope_pull(mass, gradient, rolling=0.0):
    """Force of slope and tyres [N], and the sum that gives it."""
    force = mass * STANDARD_GRAVITY * (gradient + rolling) / hypot(1, gradient)
    along = f"({rolling:.4f} {_signed(gradient)})" if rolling else f"{gradient:g}"
    return force, f"{mass:g} × {STANDARD_GRAVITY} × {along} / sqrt(1 + {abs(gradient):g}²)"


def at_the_wheel(power):
    """What of a crank's power reaches the wheel, as a step."""
    return f"The wheel gets 0.975 × {power:g} = {round(0.975 * power, 4):g} W."


def steady(rider, density, power, wind=0.0, gradient=0.0, digits=5):
    """A steady speed as a solution prints it, and the sum that shows what the wheel needs there.

    Parameters
    ----------
    rider : Rider
        With one drag area.
    density, power : float [kg/m3], [W]
        Power at the crank.
    wind : float [m/s]
        Against the rider; a tailwind is negative.
    gradient : float
        Rise over run.
    digits : int
        Decimals of the speed.

    Returns
    -------
    (speed, sum) : Printed [m/s], str
    """
    conditions = Conditions(density, gradient=gradient, **headwind(wind))
    v = Printed(steady_speed(rider, conditions, power), digits)
    felt = f"({v} {_signed(wind)})²" if wind else f"{v}²"
    if gradient:
        pull, weight = slope_pull(rider.all_up_mass, gradient, rider.rolling_coefficient)
    else:
        pull = rider.rolling_coefficient * rider.all_up_mass * STANDARD_GRAVITY
        weight = f"{rider.rolling_coefficient:.4f} × {rider.all_up_mass:g} × {STANDARD_GRAVITY}"
    area = float(rider.drag_area)
    watts = Printed((density / 2 * area * (v + wind) ** 2 + pull) * v, 2)
    return v, f"(1/2 × {density:g} × {area:g} × {felt} + {weight}) × {v} = {watts} W"


def speed_change(g, **others):
    """The steps to a change of speed [%], of the question's rider; others as in `solved`."""
    was, now, steps = solved(g, g.who, **others)
    return f"{steps} Change: 100 × ({now} / {was} - 1)."


def solved(g, member, digits=5, **others):
    """Two steady speeds of a member as a solution prints them, and what the wheel needs at each.

    others: what is another after the change: `rider`, `density` or `power`, as in `steady`.
    """
    road = {"gradient": percent(getattr(g, "steep", 0)), "digits": digits}
    before = {"rider": member.rider, "density": g.density, "power": member.power, **road}
    (was, one), (now, two) = (steady(**case) for case in (before, before | others))
    then = f" {at_the_wheel(others['power'])}" if "power" in others else ""
    steps = f"Before, at {was} m/s, it needs {one}.{then} After, at {now} m/s, it needs {two}."
    return was, now, f"{at_the_wheel(member.power)} {steps}"


def _signed(number):
    return f"{'+' if number >= 0 else '-'} {abs(number):g}"
