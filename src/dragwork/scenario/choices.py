"""What a member of the club could change. Sizes, doubts and costs are invented."""

from dataclasses import replace

from dragwork.decisions.options import DOUBTS, Option


def choices(member, held=0.8):
    """Five things that a member could change first.

    A lower position that costs 2 % of the power, a helmet, a season's training, tyres, and a
    kilogram off the bicycle; costs in the club's budget units.

    Parameters
    ----------
    member : Member
    held : float
        Share of the road on which the lower position is held.

    Returns
    -------
    tuple of Option

    Source: COMMON_PRACTICE
    """
    rider = member.rider
    return (
        Option("lower position", replace(rider, drag_area=rider.drag_area * 0.92), 5, "position",
               power_factor=0.98, held=held),
        Option("helmet", replace(rider, drag_area=rider.drag_area - 0.0062), 40, doubt=DOUBTS["equipment"]),
        Option("2 % more power", rider, 10, "training", power_factor=1.02, doubt=DOUBTS["training"]),
        Option("better tyres",
               replace(rider, rolling_coefficient=rider.rolling_coefficient - 0.0007), 12, "tyres"),
        Option("1 kg off the bicycle", replace(rider, all_up_mass=rider.all_up_mass - 1), 60, "mass",
               doubt=DOUBTS["mass"]),
    )  # fmt: skip
