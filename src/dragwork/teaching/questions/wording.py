"""Phrases that many prompts share, so that the same thing is always said in the same words."""

from dragwork.physics.power import Conditions
from dragwork.teaching.questions.drawing import Number

DENSITY = Number(1.20, 1.14, 1.26, 0.01)
AT_THE_WHEEL = "Give power at the wheel."
AT_THE_CRANK = "Power is at the crank; the drivetrain's efficiency is 0.975."
SOLVE_AGAIN = "Solve for the new speed in full; do not use the small-change rule."


def about(member):
    """The rider's numbers that the drag and the tyres need."""
    rider = member.rider
    return (
        f"{member.name}: {rider.all_up_mass:g} kg all-up, CdA {rider.drag_area:.3f} m², "
        f"Crr {rider.rolling_coefficient:.4f}."
    )


def flat_and_calm(g):
    """The usual road and weather."""
    return f"Flat road, calm, air density {g.density:.2f} kg/m³."


def still(g, **others):
    """The usual weather, for the library."""
    return Conditions(air_density=g.density, **others)
